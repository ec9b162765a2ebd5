//! `pitwright restore`: a backup in the register's place.

use super::backup::{refused, tell_unfinished};
use super::opening::{Where, day, failed, now};
use super::{Outcome, Voice};
use crate::register::{restore, rows};
use std::path::PathBuf;

#[derive(Debug, clap::Args)]
pub struct Args {
    /// The backup.
    file: PathBuf,
    /// Also where the register has rows that the backup lacks, or cannot be read. Either way it is kept, under another
    /// name beside its place.
    #[arg(long)]
    set_aside: bool,
    #[command(flatten)]
    place: Where,
}

/// Restores.
pub fn run(args: &Args, voice: &mut Voice) -> Outcome {
    let ready = now().and_then(|now| Ok((now, args.place.path()?)));
    let (now, place) = match ready {
        Ok(ready) => ready,
        Err(why) => return failed(voice, why),
    };
    let restored = match restore(&args.file, &place, args.set_aside, day(None, now).date) {
        Ok(restored) => restored,
        Err(why) => return refused(&why, voice),
    };
    tell_unfinished(&restored.unfinished, voice);
    if voice.json {
        voice.say_json(&restored);
        return Outcome::Clean;
    }
    voice.say(format!(
        "{} stands in the place of {}: {}, and its chain holds",
        args.file.display(),
        place.display(),
        rows(restored.rows)
    ));
    voice.say(format!("last row: {}", restored.head));
    if let Some(aside) = &restored.set_aside {
        voice.say(format!("what stood there is now {}", aside.display()));
    }
    let Some(comparison) = &restored.comparison else {
        return Outcome::Clean;
    };
    let gone = comparison.register_rows - comparison.same_rows;
    if gone > 0 {
        voice.say(format!(
            "Only there now: {}. Gather again what trainees handed in since; what trainers and signers entered since must be entered again.",
            rows(gone)
        ));
    }
    if !comparison.erased_since.is_empty() {
        voice.say(format!(
            "Names or notes that had been erased are back, of {}: erase them again.",
            comparison.erased_since.join(", ")
        ));
    }
    Outcome::Clean
}
