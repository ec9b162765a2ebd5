//! `pitwright erase`: a person's names and notes, gone from the register.

use super::opening::{Where, day, failed, now, on_record};
use super::{Outcome, Voice};
use crate::record::code;
use crate::register::{Erasable, Sqlite, names_or_notes};
use serde_json::json;
use std::io::{BufRead, IsTerminal, stdin};

#[derive(Debug, clap::Args)]
pub struct Args {
    /// The person's code.
    person: String,
    /// The code of whoever answers for it.
    #[arg(long, value_name = "CODE")]
    by: String,
    /// Do not ask.
    #[arg(long)]
    yes: bool,
    #[command(flatten)]
    place: Where,
}

/// Erases, after asking.
pub fn run(args: &Args, voice: &mut Voice) -> Outcome {
    let ready = (|| {
        let now = now()?;
        let who = code(&args.person).map_err(|why| why.to_string())?;
        let by = code(&args.by).map_err(|why| why.to_string())?;
        let register = args.place.open(Sqlite::write)?;
        on_record(&register, &who)?;
        let erasable = register.erasable(&who).map_err(|why| why.to_string())?;
        Ok::<_, String>((now, who, by, register, erasable))
    })();
    let (now, who, by, mut register, erasable) = match ready {
        Ok(ready) => ready,
        Err(why) => return failed(voice, why),
    };
    if erasable.details > 0
        && !args.yes
        && let Err(why) = asked(&who, &erasable, voice)
    {
        return failed(voice, why);
    }
    let erased = match register.erase(&who, &by, &day(None, now), now) {
        Ok(erased) => erased,
        Err(why) => return failed(voice, why.to_string()),
    };
    let count = erased.as_ref().map_or(0, |_| erasable.details);
    if voice.json {
        voice.say_json(&json!({
            "person": who,
            "erased": count,
            "statement": erased.map(|statement| statement.id),
            "chainedNotes": erasable.chained_notes,
        }));
        return Outcome::Clean;
    }
    match &erased {
        None => voice.say(format!("There was nothing to erase: no name and no note of {who} is kept apart from the chain.")),
        Some(statement) => voice.say(format!(
            "Erased {} of {who}; entered as {}. What {who} did stays on record under the code, and the chain still holds.",
            names_or_notes(count),
            statement.id
        )),
    }
    if !erasable.chained_notes.is_empty() {
        let rows: Vec<String> = erasable.chained_notes.iter().map(u64::to_string).collect();
        voice.say(format!(
            "Notes of an earlier form stand within the chained rows {}: they cannot be erased without breaking the chain.",
            rows.join(", ")
        ));
    }
    if erased.is_some() {
        voice.tell("Backups, exports and printed pages that were made before still hold them: find those and destroy them, or make new backups with --replace.");
        voice.tell("A note about somebody else may name this person too; nobody but a reader can find that.");
    }
    Outcome::Clean
}

/// Asks on a terminal for the code, which nobody types by accident.
fn asked(who: &str, erasable: &Erasable, voice: &mut Voice) -> Result<(), String> {
    if !stdin().is_terminal() {
        return Err(format!(
            "erasing cannot be undone, and there is no terminal to ask on: say --yes to erase {} of {who}",
            names_or_notes(erasable.details)
        ));
    }
    voice.tell(format!(
        "This erases {} of {who} for good. What {who} did stays on record under the code.",
        names_or_notes(erasable.details)
    ));
    voice.tell(format!("To go on, type {who}:"));
    let mut line = String::new();
    stdin()
        .lock()
        .read_line(&mut line)
        .map_err(|why| format!("the answer could not be read: {why}"))?;
    match code(&line) {
        Ok(typed) if typed == who => Ok(()),
        _ => Err("that is another code; nothing was erased".to_owned()),
    }
}
