//! `pitwright void`: an entry was made in error.

use super::entry::{Answerable, Desk, Wanted, enter_read_back, stands};
use super::opening::failed;
use super::{Outcome, Voice};
use crate::record::{Deed, Statement, What, entry_name};
use serde_json::{Value, json};

/// Fewer letters name an entry by chance.
const LEAST: usize = 4;

#[derive(Debug, clap::Args)]
pub struct Args {
    /// The entry: its id, or the first letters of it, as `pitwright standing PERSON` shows them.
    entry: String,
    /// The reason is its note.
    #[command(flatten)]
    answerable: Answerable,
}

/// Voids it, and says what that was and how the person stands now.
pub fn run(args: &Args, voice: &mut Voice) -> Outcome {
    let ready = (|| {
        let desk = Desk::open(&args.answerable)?;
        let entry = found(&args.entry, &desk)?;
        Ok::<_, String>((desk, entry))
    })();
    let (desk, entry) = match ready {
        Ok(ready) => ready,
        Err(why) => return failed(voice, why),
    };
    let what = What::Voided {
        entry: entry.id.clone(),
    };
    let wanted = Wanted::of(entry.person.clone(), what);
    enter_read_back(desk, wanted, voice, |statement, desk, voice| {
        told(statement, &entry, desk, voice);
    })
}

/// The entry that the letters name.
fn found(typed: &str, desk: &Desk) -> Result<Statement, String> {
    let wanted = typed.trim().to_ascii_lowercase();
    if wanted.len() < LEAST {
        return Err(format!(
            "`{typed}` is too short to name an entry: give at least {LEAST} letters of its id"
        ));
    }
    let mut all = desk.register.statements().map_err(|why| why.to_string())?;
    all.retain(|statement| statement.id.starts_with(&wanted));
    match all.as_slice() {
        [] => Err(format!(
            "there is no entry `{typed}`; `pitwright standing PERSON` lists what was entered, each with the first letters of its id"
        )),
        [_] => Ok(all.remove(0)),
        several => {
            let listed: Vec<String> = several
                .iter()
                .map(|one| format!("  {}  {} {}", one.id, one.person, one.about()))
                .collect();
            Err(format!(
                "`{typed}` names several; give more letters:\n{}",
                listed.join("\n")
            ))
        }
    }
}

fn told(statement: &Statement, entry: &Statement, desk: &Desk, voice: &mut Voice) {
    let person = desk.person(&entry.person).ok().flatten();
    let competency = match &entry.deed {
        Deed::Entered(event) => event.competency(),
        _ => None,
    };
    let competence = person
        .as_ref()
        .zip(competency)
        .and_then(|(person, id)| person.competence(id));
    if voice.json {
        let body: Value = serde_json::from_str(&statement.body).unwrap_or(Value::Null);
        voice.say_json(&json!({ "entered": body, "voided": entry.id, "standing": competence }));
        return;
    }
    voice.say(format!(
        "Voided {}: {} {}, on {}. It stays on record as voided, and counts nowhere.",
        entry_name(&entry.id),
        entry.person,
        entry.about(),
        desk.day.date_of(entry.timestamp)
    ));
    if let Some(competence) = competence {
        stands(competence, voice);
    }
    if let Deed::Entered(event) = &entry.deed
        && event.by != desk.by
    {
        voice.tell(format!("It was entered by {}: tell them.", event.by));
    }
}
