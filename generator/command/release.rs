//! `pitwright release`: a trainer allows more tries at an assessment.

use super::entry::{Answerable, Desk, Wanted, enter_one};
use super::opening::failed;
use super::{Outcome, Voice};
use crate::marking::{Evidence, Marking};
use crate::record::{What, code};

#[derive(Debug, clap::Args)]
pub struct Args {
    /// The code of the person.
    person: String,
    /// The id of the bank or scenario; bank:ID or scenario:ID where both have it.
    assessment: String,
    /// How many more.
    #[arg(long, value_name = "N", default_value_t = 1, value_parser = clap::value_parser!(u32).range(1..=10))]
    more: u32,
    #[command(flatten)]
    answerable: Answerable,
}

/// Enters the release, and says how many tries are left.
pub fn run(args: &Args, voice: &mut Voice) -> Outcome {
    let ready = (|| {
        let who = code(&args.person).map_err(|why| why.to_string())?;
        let desk = Desk::open(&args.answerable)?;
        let assessment = assessment(&args.assessment, desk.marking()?)?;
        Ok::<_, String>((who, desk, assessment))
    })();
    match ready {
        Ok((who, desk, assessment)) => {
            let what = What::Released {
                assessment,
                more: args.more,
            };
            enter_one(desk, Wanted::of(who, what), voice)
        }
        Err(why) => failed(voice, why),
    }
}

/// The assessment that a word names.
fn assessment(word: &str, marking: &Marking) -> Result<Evidence, String> {
    let bank = |id: &str| marking.bank(id).map(|bank| Evidence::Bank(bank.id.clone()));
    let scenario = |id: &str| marking.scenario(id).map(|known| Evidence::Scenario(known.id.clone()));
    let found = match word.split_once(':') {
        Some(("bank", id)) => bank(id),
        Some(("scenario", id)) => scenario(id),
        Some(_) => None,
        None => match (bank(word), scenario(word)) {
            (Some(_), Some(_)) => {
                return Err(format!(
                    "`{word}` is both a bank and a scenario: write bank:{word} or scenario:{word}"
                ));
            }
            (bank, scenario) => bank.or(scenario),
        },
    };
    found.ok_or_else(|| {
        let banks = marking.banks.iter().map(|bank| bank.id.as_str());
        let known: Vec<&str> = banks
            .chain(marking.scenarios.iter().map(|scenario| scenario.id.as_str()))
            .collect();
        format!(
            "there is no bank or scenario `{word}`; the course has {}",
            known.join(", ")
        )
    })
}
