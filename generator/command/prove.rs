//! `pitwright prove`: every check, and what it showed, without a file written.

use super::{Outcome, Voice, compile};

mod proven;
mod telling;
use crate::check::Checked;
use crate::safety;
use crate::survey::{self, Survey};
use serde_json::json;
use std::path::PathBuf;

#[derive(Debug, clap::Args)]
pub struct Args {
    /// The course folder: the one that holds lessons/ and quizzes/.
    #[arg(default_value = ".")]
    course: PathBuf,

    /// Also what leaving out each step, or swapping it with the next, comes to, the shortest way into each hazard, and which
    /// actions may be guarded by a permission.
    #[arg(long)]
    all: bool,
}

/// Checks the course.
pub fn run(args: &Args, voice: &mut Voice) -> Outcome {
    let (sources, checked) = match compile::checked(&args.course, voice) {
        Ok(both) => both,
        Err(outcome) => return outcome,
    };
    let looked = survey::survey(&checked, &sources);
    if voice.json {
        let banks: Vec<_> = checked
            .odds()
            .banks
            .iter()
            .map(|odds| json!({ "id": odds.id, "blindOnce": odds.once, "exact": odds.exact, "blindOverTries": odds.over_tries, "formsAlike": odds.alike }))
            .collect();
        let scenarios: Vec<_> = checked
            .odds()
            .scenarios
            .iter()
            .map(|odds| {
                json!({
                    "id": odds.id, "blindOnce": odds.once, "blindOverTries": odds.over_tries, "meanChoices": odds.mean_choices,
                    "mostMarks": odds.most, "leastMarks": odds.least, "shortest": odds.shortest, "longest": odds.longest,
                })
            })
            .collect();
        let proofs = proven::json(checked.proofs(), &safety::blind(checked.course()));
        let mut said = json!({ "findings": [], "banks": banks, "scenarios": scenarios, "drills": proofs.0, "procedures": proofs.1, "stops": telling::json(checked.course()), "survey": looked });
        if args.all {
            said["states"] = proven::ways_json(&safety::ways(checked.course()));
            said["guards"] = proven::guards_json(&safety::guarded(checked.course()));
        }
        voice.say_json(&said);
        return Outcome::Clean;
    }
    odds(&checked, voice);
    proven::lines(checked.proofs(), &safety::blind(checked.course()), args.all, voice);
    if args.all {
        proven::ways(&safety::ways(checked.course()), voice);
        proven::guards(&safety::guarded(checked.course()), voice);
    }
    telling::lines(checked.course(), voice);
    surveyed(&looked, voice);
    voice.say("No findings. A proof says that the written steps are safe in the model; a model is not the machine.");
    Outcome::Clean
}

/// How the lessons read, and where the course is thin.
fn surveyed(looked: &Survey, voice: &mut Voice) {
    for lesson in &looked.lessons {
        let grade = match (lesson.grade, lesson.grade_without_terms) {
            (Some(grade), Some(without)) => {
                format!("; reading grade {grade:.1}, {without:.1} without the names of parts")
            }
            _ => String::new(),
        };
        voice.say(format!(
            "lesson {}: {} min to read{grade}.",
            lesson.lesson, lesson.minutes
        ));
    }
    for remark in &looked.thin {
        voice.say(format!("worth a look: {remark}."));
    }
}

/// One line an assessment: what blind clicking would earn.
pub fn odds(checked: &Checked, voice: &mut Voice) {
    let tries = checked.marking().attempts.tries;
    for odds in &checked.odds().banks {
        let word = if odds.exact { "exactly" } else { "at most" };
        voice.say(format!(
            "bank {}: a blind form passes with {word} {}, {tries} tries with {}; two forms share half of their questions or more with exactly {}.",
            odds.id,
            share(odds.once),
            share(odds.over_tries),
            share(odds.alike)
        ));
    }
    for odds in &checked.odds().scenarios {
        let longest = odds
            .longest
            .map_or("can go round".to_owned(), |longest| format!("{longest} at most"));
        voice.say(format!(
            "scenario {}: {} to {} marks; choices: {} at least, {longest}, {:.1} on average when blind; a blind run passes with exactly {}, {tries} tries with {}.",
            odds.id,
            odds.least,
            odds.most,
            odds.shortest,
            odds.mean_choices,
            share(odds.once),
            share(odds.over_tries)
        ));
    }
}

/// A small chance as per cent, with three figures that count.
pub fn share(chance: f64) -> String {
    let percent = chance * 100.0;
    if percent >= 0.001 || percent == 0.0 {
        format!("{percent:.4}%")
    } else {
        format!("{percent:.2e}%")
    }
}
