//! `pitwright witness`: a trainer watched somebody do it.

use super::entry::{Answerable, Desk, Wanted, enter_one};
use super::opening::failed;
use super::{Outcome, Voice};
use crate::marking::Marking;
use crate::record::{StepSeen, What, Witnessing, code};
use crate::register::NotEntered;
use std::collections::BTreeSet;

#[derive(Debug, clap::Args)]
#[command(group = clap::ArgGroup::new("how").required(true).args(["met", "not_met", "prompted", "step"]))]
#[command(group = clap::ArgGroup::new("setting").required(true).args(["real", "staged"]))]
pub struct Args {
    /// The code of the person who was watched.
    person: String,
    /// The id of the competency.
    competency: String,
    /// Done as it should be, without help.
    #[arg(long)]
    met: bool,
    /// Not done as it should be.
    #[arg(long)]
    not_met: bool,
    /// Done, but with a hint on the way.
    #[arg(long)]
    prompted: bool,
    /// How a step of the sheet went: met, prompted or not-met. Steps not named were met; the whole follows.
    #[arg(long, value_name = "N=HOW", value_parser = step)]
    step: Vec<(usize, StepSeen)>,
    /// On a real call.
    #[arg(long)]
    real: bool,
    /// Staged for the purpose.
    #[arg(long)]
    staged: bool,
    #[command(flatten)]
    answerable: Answerable,
}

/// Adds one witnessed performance, or says why not.
pub fn run(args: &Args, voice: &mut Voice) -> Outcome {
    let ready = (|| {
        let who = code(&args.person).map_err(|why| why.to_string())?;
        let desk = Desk::open(&args.answerable)?;
        let steps = match args.step.as_slice() {
            [] => Vec::new(),
            named => steps(named, &args.competency, desk.marking()?)?,
        };
        Ok::<_, String>((who, desk, steps))
    })();
    let (who, desk, steps) = match ready {
        Ok(ready) => ready,
        Err(why) => return failed(voice, why),
    };
    // Help on the way means that the standard, doing it alone, was not met.
    let (met, prompted) = if steps.is_empty() {
        (args.met, args.prompted)
    } else {
        Witnessing::of_steps(&steps)
    };
    let seen = Witnessing {
        competency: args.competency.clone(),
        met,
        prompted,
        real: args.real,
        steps,
    };
    enter_one(desk, Wanted::of(who, What::Witnessed(seen)), voice)
}

/// Reads `3=prompted`.
fn step(text: &str) -> Result<(usize, StepSeen), String> {
    text.split_once('=')
        .and_then(|(number, how)| Some((number.trim().parse().ok()?, StepSeen::from_word(how.trim())?)))
        .ok_or_else(|| format!("`{text}` does not say how a step went: write 3=met, 3=prompted or 3=not-met"))
}

/// How every step of the competency's sheet went.
fn steps(named: &[(usize, StepSeen)], competency: &str, marking: &Marking) -> Result<Vec<StepSeen>, String> {
    let known = marking
        .competency(competency)
        .ok_or_else(|| NotEntered::no_competency(competency, marking).to_string())?;
    let Some(sheet) = &known.sheet else {
        return Err(format!(
            "{competency} has no sheet of steps: say --met, --prompted or --not-met"
        ));
    };
    let mut steps = vec![StepSeen::Met; sheet.steps.len()];
    let mut seen = BTreeSet::new();
    for (number, how) in named {
        if !seen.insert(number) {
            return Err(format!("step {number} is named twice"));
        }
        match number.checked_sub(1).and_then(|index| steps.get_mut(index)) {
            Some(step) => *step = *how,
            None => {
                let listed = sheet.steps.iter().zip(1..);
                let listed: Vec<String> = listed.map(|(says, number)| format!("  {number:>2}  {says}")).collect();
                return Err(format!(
                    "there is no step {number}; the sheet of {competency} (lesson {}) has\n{}",
                    sheet.lesson,
                    listed.join("\n")
                ));
            }
        }
    }
    Ok(steps)
}
