//! `pitwright export`: all that the register holds of one person.

use super::opening::{Where, date, day, failed, now, on_record};
use super::{Outcome, Voice};
use crate::bundle;
use crate::record::code;
use crate::register::{Sqlite, export, holds_of};
use jiff::civil::Date;
use serde_json::json;
use std::path::PathBuf;

#[derive(Debug, clap::Args)]
pub struct Args {
    /// The person's code.
    person: String,
    /// The zip to write.
    file: PathBuf,
    /// With the standing at the end of this day; today if left out.
    #[arg(long, value_name = "DATE", value_parser = date)]
    on: Option<Date>,
    /// Overwrite FILE if it is there.
    #[arg(long)]
    replace: bool,
    #[command(flatten)]
    place: Where,
}

/// Exports.
pub fn run(args: &Args, voice: &mut Voice) -> Outcome {
    let written = (|| {
        let now = now()?;
        let who = code(&args.person).map_err(|why| why.to_string())?;
        if args.file.symlink_metadata().is_ok() && !args.replace {
            return Err(format!(
                "{} is there already: give another name, or say --replace",
                args.file.display()
            ));
        }
        let register = args.place.open(Sqlite::read)?;
        if !holds_of(&register, &who).map_err(|why| why.to_string())? {
            on_record(&register, &who)?;
        }
        let files = export(&register, &who, &day(args.on, now)).map_err(|why| why.to_string())?;
        let bytes = bundle::archive(&files, &format!("register-{who}")).map_err(|why| why.to_string())?;
        bundle::replace(&bytes, &args.file).map_err(|why| why.to_string())?;
        Ok((who, files))
    })();
    let (who, files) = match written {
        Ok(written) => written,
        Err(why) => return failed(voice, why),
    };
    if voice.json {
        voice.say_json(&json!({
            "person": who, "file": args.file.display().to_string(), "files": files.keys().collect::<Vec<_>>(),
        }));
        return Outcome::Clean;
    }
    voice.say(format!("{}: all that the register holds of {who}", args.file.display()));
    for name in files.keys() {
        voice.say(format!("  {name}"));
    }
    voice.tell("It holds names and notes: give it to nobody but the person, or who has a right to it.");
    Outcome::Clean
}
