//! `pitwright slip`: the signed way back to the trainee. The register notes what it says may be done alone, and until when:
//! once that is taken back, it is still on a phone.

use super::key_file::KeyFile;
use super::opening::{Where, day, failed, now, on_record};
use super::{Outcome, Voice};
use crate::bundle;
use crate::record::{Event, What, code};
use crate::register::{Entering, NotEntered, Register, Sqlite};
use crate::slip::{Slip, slip};
use crate::standing::Day;
use jiff::Timestamp;
use serde_json::{Value, json};
use std::path::PathBuf;

#[derive(Debug, clap::Args)]
pub struct Args {
    /// The person's code.
    person: String,
    /// The file to write; slip-CODE-DATE.json if left out.
    file: Option<PathBuf>,
    /// The code of the trainer or signer who issues it.
    #[arg(long, value_name = "CODE")]
    by: String,
    /// Overwrite FILE if it is there.
    #[arg(long)]
    replace: bool,
    #[command(flatten)]
    key: KeyFile,
    #[command(flatten)]
    place: Where,
}

/// Writes the slip, signed, whole or not at all.
pub fn run(args: &Args, voice: &mut Voice) -> Outcome {
    match issue(args) {
        Err(why) => failed(voice, why),
        Ok((file, slip, signed)) => {
            if voice.json {
                voice.say_json(&json!({ "file": file, "slip": signed }));
            } else {
                told(&file, &slip, voice);
            }
            Outcome::Clean
        }
    }
}

fn issue(args: &Args) -> Result<(PathBuf, Slip, Value), String> {
    let now = now()?;
    let today = day(None, now);
    let who = code(&args.person).map_err(|why| why.to_string())?;
    let by = code(&args.by).map_err(|why| why.to_string())?;
    let file = match &args.file {
        Some(file) => file.clone(),
        None => PathBuf::from(format!("slip-{who}-{}.json", today.date)),
    };
    if file.symlink_metadata().is_ok() && !args.replace {
        return Err(format!(
            "{} is there already: give another name, or say --replace",
            file.display()
        ));
    }
    let mut register = args.place.open(Sqlite::write)?;
    let markings = register.markings();
    let (_, newest) = markings.newest().ok_or_else(|| NotEntered::NoCourse.to_string())?;
    if !newest.trainers.contains_key(&by) && !newest.signers.contains_key(&by) {
        let known = newest.trainers.keys().chain(newest.signers.keys()).cloned().collect();
        return Err(NotEntered::NotOfTheCourse { code: by, known }.to_string());
    }
    if who == by {
        return Err(NotEntered::OwnRecord.to_string());
    }
    on_record(&register, &who)?;
    let statements = register.statements().map_err(|why| why.to_string())?;
    let slip = slip(&who, &statements, markings, &today, now).ok_or_else(|| NotEntered::NoCourse.to_string())?;
    // Nobody is asked for a passphrase before all else is in order.
    let key = args.key.unlock_named(&by, newest)?;
    let signed = slip.signed(&key, now).map_err(|why| why.to_string())?;
    let text = serde_json::to_string_pretty(&signed).map_err(|why| why.to_string())? + "\n";
    // Noted first: a slip that is noted and was never written misleads nobody, one that nobody knows of does.
    note(&mut register, &slip, &by, &today, now)?;
    bundle::replace(text.as_bytes(), &file).map_err(|why| why.to_string())?;
    Ok((file, slip, signed))
}

/// Enters that the slip was given, and what it says yes to.
fn note(register: &mut Register<Sqlite>, slip: &Slip, by: &str, today: &Day, now: Timestamp) -> Result<(), String> {
    let marking = register.markings().get(&slip.marking);
    let alone = marking.map_or_else(Default::default, |marking| slip.alone(marking, today, now));
    let event = Event {
        by: by.to_owned(),
        what: What::GivenSlip { alone },
        details: None,
    };
    let entering = Entering {
        person: &slip.person,
        event,
        name: None,
        note: None,
        day: today,
        key: None,
    };
    register.enter(&[entering], now).map_err(|why| why.to_string())?;
    Ok(())
}

fn told(file: &std::path::Path, slip: &Slip, voice: &mut Voice) {
    voice.say(format!("{}: the slip of {}", file.display(), slip.person));
    for stands in &slip.standings {
        let until = stands
            .until
            .map_or(String::new(), |until| format!(", lapses on {until}"));
        voice.say(format!(
            "  {}: {} ({}{until})",
            stands.competency,
            stands.standing,
            stands.may.says()
        ));
    }
    let open = slip.assignments.iter().filter(|asked| !asked.done).count();
    let released: u32 = slip.tries.iter().map(|released| released.more).sum();
    voice.say(format!("  assignments open: {open}; tries released: {released}"));
    voice.tell(format!(
        "Give it to {}: in the course, My record, Bring in.",
        slip.person
    ));
}
