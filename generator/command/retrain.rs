//! `pitwright retrain`: retraining is due.

use super::entry::{Answerable, Desk, Wanted, enter_all};
use super::opening::failed;
use super::{Outcome, Voice};
use crate::record::{Trigger, What, code, near};
use crate::register::NotEntered;
use crate::standing::Standing;

#[derive(Debug, clap::Args)]
pub struct Args {
    /// The codes of the people and the ids of the competencies, in any order.
    #[arg(required = true, value_name = "CODE or COMPETENCY")]
    words: Vec<String>,
    /// Everybody who has begun with the competency, signed or not, instead of codes.
    #[arg(long)]
    everyone: bool,
    /// What has happened: job, machine, procedure or deviation (29 CFR 1910.147(c)(7)(iii)).
    #[arg(long, value_name = "WHAT", value_parser = trigger)]
    because: Trigger,
    #[command(flatten)]
    answerable: Answerable,
}

fn trigger(word: &str) -> Result<Trigger, String> {
    Trigger::from_word(word).ok_or_else(|| {
        let known: Vec<&str> = Trigger::ALL.iter().map(|trigger| trigger.word()).collect();
        format!("`{word}` is no reason for retraining; those are {}", known.join(", "))
    })
}

/// Enters that retraining is due, for each person and competency.
pub fn run(args: &Args, voice: &mut Voice) -> Outcome {
    let ready = Desk::open(&args.answerable).and_then(|desk| Ok((plan(args, &desk)?, desk)));
    match ready {
        Ok((wanted, desk)) => enter_all(desk, &wanted, &[], voice),
        Err(why) => failed(voice, why),
    }
}

fn is_on_record(typed: &str, desk: &Desk) -> bool {
    code(typed).is_ok_and(|code| desk.register.ledger().people.contains(&code))
}

fn plan(args: &Args, desk: &Desk) -> Result<Vec<Wanted>, String> {
    let marking = desk.marking()?;
    let (competencies, people): (Vec<&String>, Vec<&String>) =
        args.words.iter().partition(|word| marking.competency(word).is_some());
    if competencies.is_empty() {
        // What is nobody's code was meant as a competency.
        let nobody = args.words.iter().find(|word| !is_on_record(word, desk));
        let word = nobody.or(args.words.last()).map_or("", String::as_str);
        return Err(NotEntered::no_competency(word, marking).to_string());
    }
    if args.everyone != people.is_empty() {
        return Err(match people.first() {
            Some(word) => format!("`{word}` is not a competency of the course, and --everyone takes no codes"),
            None => "nobody is named: give codes, or --everyone".to_owned(),
        });
    }
    let mut wanted: Vec<Wanted> = Vec::new();
    let mut add = |who: &str, competency: &str| {
        let what = What::MustRetrain {
            competency: competency.to_owned(),
            trigger: args.because,
        };
        if wanted.iter().all(|known| known.person != who || known.what != what) {
            wanted.push(Wanted::of(who, what));
        }
    };
    if args.everyone {
        for person in desk.people()? {
            let begun = person
                .competencies
                .iter()
                .filter(|known| known.standing != Standing::NothingYet);
            for competence in begun.filter(|known| competencies.contains(&&known.id)) {
                add(&person.person, &competence.id);
            }
        }
    } else {
        for typed in people {
            let known = marking.competencies.iter().map(|known| known.id.as_str());
            if !is_on_record(typed, desk) && !near(typed, known).is_empty() {
                return Err(NotEntered::no_competency(typed, marking).to_string());
            }
            let who = code(typed).map_err(|why| format!("{why}; nor is it a competency of the course"))?;
            competencies.iter().for_each(|competency| add(&who, competency));
        }
    }
    Ok(wanted)
}
