//! `pitwright inspect`: the periodic inspection of a machine's energy control procedure (29 CFR 1910.147(c)(6)).

use super::entry::{Answerable, Desk, Wanted, enter_all};
use super::opening::failed;
use super::{Outcome, Voice};
use crate::record::{Inspection, Trigger, What, code};
use crate::standing::Standing;

#[derive(Debug, clap::Args)]
#[command(group = clap::ArgGroup::new("found").required(true).args(["clean", "deviates"]))]
pub struct Args {
    /// The id of the machine.
    machine: String,
    /// The codes of those who were included: who use the procedure.
    #[arg(long, value_name = "CODE", num_args = 1.., value_delimiter = ',', required = true)]
    included: Vec<String>,
    /// Nothing deviated from the procedure.
    #[arg(long)]
    clean: bool,
    /// The codes of those whose work deviated; they must retrain.
    #[arg(long, value_name = "CODE", num_args = 1.., value_delimiter = ',', requires = "competency")]
    deviates: Vec<String>,
    /// The competencies for which they must retrain.
    #[arg(long, value_name = "ID", num_args = 1.., value_delimiter = ',', conflicts_with = "clean")]
    competency: Vec<String>,
    /// The inspector answers for it.
    #[command(flatten)]
    answerable: Answerable,
}

/// Certifies the inspection, and with it the retraining that it calls for.
pub fn run(args: &Args, voice: &mut Voice) -> Outcome {
    let ready = Desk::open(&args.answerable).and_then(|desk| Ok((plan(args, &desk)?, desk)));
    match ready {
        Ok((wanted, desk)) => {
            let unsigned = unsigned(&args.included, &desk);
            let outcome = enter_all(desk, &wanted, &[], voice);
            if outcome == Outcome::Clean {
                unsigned.iter().for_each(|line| voice.tell(line));
            }
            outcome
        }
        Err(why) => failed(voice, why),
    }
}

fn plan(args: &Args, desk: &Desk) -> Result<Vec<Wanted>, String> {
    let (included, deviating) = (codes(&args.included)?, codes(&args.deviates)?);
    if let Some(outside) = deviating.iter().find(|code| !included.contains(code)) {
        return Err(format!(
            "{outside} was not among those included: name them with --included too"
        ));
    }
    let inspection = What::Inspected(Inspection {
        machine: args.machine.clone(),
        clean: deviating.is_empty(),
        included,
    });
    let mut wanted = vec![Wanted::of(desk.by.clone(), inspection)];
    for who in &deviating {
        let mut competencies = args.competency.clone();
        competencies.sort();
        competencies.dedup();
        wanted.extend(competencies.into_iter().map(|competency| {
            let trigger = Trigger::Deviation;
            Wanted::of(who, What::MustRetrain { competency, trigger })
        }));
    }
    Ok(wanted)
}

/// Those included who are signed for nothing: an inspection goes over the procedure with those who may use it.
fn unsigned(included: &[String], desk: &Desk) -> Vec<String> {
    let codes = codes(included).unwrap_or_default();
    let unsigned = codes.into_iter().filter(|code| {
        let person = desk.person(code).ok().flatten();
        person.is_some_and(|person| {
            person
                .competencies
                .iter()
                .all(|known| known.standing != Standing::Signed)
        })
    });
    unsigned
        .map(|code| {
            format!(
                "{code} was signed off for nothing on {}: the inspection goes over the procedure with those who are authorized to use it (29 CFR 1910.147(c)(6)(i)(C)). If somebody else was meant, enter it again with their code",
                desk.day.date
            )
        })
        .collect()
}

/// Codes as typed, sorted, each once.
fn codes(typed: &[String]) -> Result<Vec<String>, String> {
    let mut codes = typed
        .iter()
        .map(|typed| code(typed).map_err(|why| why.to_string()))
        .collect::<Result<Vec<_>, _>>()?;
    codes.sort();
    codes.dedup();
    Ok(codes)
}
