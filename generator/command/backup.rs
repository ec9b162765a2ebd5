//! `pitwright backup`: a copy of the register, and whether such a copy is good.

use super::opening::{Where, failed};
use super::{Outcome, Voice};
use crate::register::{Checkup, Error, NotCopied, Sqlite, backup, check, names_or_notes, rows};
use std::path::{Path, PathBuf};

#[derive(Debug, clap::Args)]
pub struct Args {
    /// The file to copy the register into: on another disk, not beside the register.
    file: PathBuf,
    /// Put the new backup in the place of the one that FILE is now, if it has all that the old one has.
    #[arg(long)]
    replace: bool,
    /// Make no backup: check whether FILE is a whole register, and an earlier state of the one in use.
    #[arg(long, conflicts_with = "replace")]
    check: bool,
    #[command(flatten)]
    place: Where,
}

/// Makes a backup, or checks one.
pub fn run(args: &Args, voice: &mut Voice) -> Outcome {
    if args.check {
        return look(args, voice);
    }
    let place = match args.place.path() {
        Ok(place) => place,
        Err(why) => return failed(voice, why),
    };
    let copied = match backup(&place, &args.file, args.replace) {
        Ok(copied) => copied,
        Err(why) => return refused(&why, voice),
    };
    tell_unfinished(&copied.unfinished, voice);
    if voice.json {
        voice.say_json(&copied);
        return Outcome::Clean;
    }
    voice.say(format!(
        "{}: {} of {}; the copy opens and its chain holds",
        args.file.display(),
        rows(copied.rows),
        place.display()
    ));
    voice.say(format!("last row: {}", copied.head));
    voice.tell(
        "Note the last row down outside this computer: it shows later, with audit --head, that nothing up to here was altered.",
    );
    if copied.details > 0 {
        voice.tell(format!(
            "The copy holds {}. What is erased in the register later is not erased in this file.",
            names_or_notes(copied.details)
        ));
    }
    Outcome::Clean
}

fn look(args: &Args, voice: &mut Voice) -> Outcome {
    let looked = args.place.path().and_then(|place| {
        let register = match Sqlite::read(&place) {
            Ok(register) => Some(register),
            Err(Error::Absent(_)) => None,
            Err(why) => return Err(why.to_string()),
        };
        match check(&args.file, register.as_ref()) {
            Ok(checkup) => Ok(checkup),
            Err(Error::Absent(file)) => Err(format!("there is no file {}", file.display())),
            Err(why) => Err(why.to_string()),
        }
    });
    match looked {
        Err(why) => failed(voice, why),
        Ok(checkup) => {
            if voice.json {
                voice.say_json(&checkup);
            } else {
                told(&args.file, &checkup, voice);
            }
            if checkup.clean() {
                Outcome::Clean
            } else {
                Outcome::Findings
            }
        }
    }
}

fn told(file: &Path, checkup: &Checkup, voice: &mut Voice) {
    let file = file.display();
    if !checkup.faults.is_empty() {
        voice.say(format!("{file} is not a whole register:"));
        for fault in &checkup.faults {
            voice.say(format!("  {fault}"));
        }
        return;
    }
    voice.say(format!(
        "{file} is a whole register of {}, and its chain holds",
        rows(checkup.rows)
    ));
    voice.say(format!("last row: {}", checkup.head));
    let Some(comparison) = &checkup.comparison else {
        voice.tell("There is no register here to hold it against.");
        return;
    };
    voice.say(comparison.says());
    if comparison.lost_details > 0 {
        voice.say(format!(
            "missing from the register, though no erasure says so: {} that the file has",
            names_or_notes(comparison.lost_details)
        ));
    }
    if comparison.details_not_copied > 0 {
        voice.say(format!(
            "missing from the file, though no erasure says so: {} that the register has",
            names_or_notes(comparison.details_not_copied)
        ));
    }
    tell_erased(&comparison.erased_since, voice);
}

/// Says whose erased details a copy still holds.
fn tell_erased(people: &[String], voice: &mut Voice) {
    if !people.is_empty() {
        voice.tell(format!(
            "It holds names or notes that were erased from the register since, of {}.",
            people.join(", ")
        ));
    }
}

/// Names what stopped runs have left.
pub(super) fn tell_unfinished(folders: &[PathBuf], voice: &mut Voice) {
    for folder in folders {
        voice.tell(format!(
            "warning: {} is left of a copy that was stopped before it was whole; if none is being made now, delete it",
            folder.display()
        ));
    }
}

/// Says why no copy was made or put in its place.
pub(super) fn refused(why: &NotCopied, voice: &mut Voice) -> Outcome {
    if !why.is_a_finding() {
        return failed(voice, why.to_string());
    }
    if voice.json {
        voice.say_json(&serde_json::json!({ "refused": why.to_string() }));
    } else {
        voice.say(format!("Nothing was changed: {why}"));
    }
    Outcome::Findings
}
