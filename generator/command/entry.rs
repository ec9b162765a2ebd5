//! What every command that adds an event shares: who answers for it, on which day, and what is said afterwards.

use super::opening::{Where, date, day, failed, now};
use super::{Outcome, Voice};
use crate::record::{Event, Statement, What, code};
use crate::register::{Entering, NotEntered, Register, Sqlite};
use crate::standing::{Day, person};
use jiff::civil::Date;
use serde_json::{Value, json};

/// The arguments that all of them take.
#[derive(Debug, clap::Args)]
pub struct Answerable {
    /// The code of whoever answers for it.
    #[arg(long, value_name = "CODE")]
    by: String,
    /// The day on which it happened; today if left out.
    #[arg(long, value_name = "DATE", value_parser = date)]
    on: Option<Date>,
    /// A sentence about it; kept apart, so that it can be erased.
    #[arg(long)]
    note: Option<String>,
    #[command(flatten)]
    place: Where,
}

/// Adds one event to one person's record, or says why not.
pub fn run(who: &str, what: What, new_person: bool, answerable: &Answerable, voice: &mut Voice) -> Outcome {
    let ready = (|| {
        let now = now()?;
        let who = code(who).map_err(|why| why.to_string())?;
        let by = code(&answerable.by).map_err(|why| why.to_string())?;
        let register = answerable.place.open(Sqlite::write)?;
        Ok::<_, String>((now, who, by, register))
    })();
    let (now, who, by, mut register) = match ready {
        Ok(ready) => ready,
        Err(why) => return failed(voice, why),
    };
    let day = day(answerable.on, now);
    let event = Event {
        by,
        what,
        details: None,
    };
    let competency = event.competency().map(str::to_owned);
    let entering = Entering {
        person: &who,
        event,
        name: None,
        note: answerable.note.as_deref(),
        day: &day,
        new_person,
    };
    match register.enter(&[entering], now) {
        Err(why) => refused(&why, voice),
        Ok(statements) => {
            for statement in &statements {
                told(&register, statement, competency.as_deref(), &day, voice);
            }
            Outcome::Clean
        }
    }
}

/// Says what was entered, and how the person stands now.
fn told(register: &Register<Sqlite>, statement: &Statement, competency: Option<&str>, day: &Day, voice: &mut Voice) {
    let who = &statement.person;
    let standing = competency.and_then(|competency| {
        let all = register.statements().ok()?;
        person(who, &all, register.markings(), &register.details().ok()?, day)?
            .competence(competency)
            .cloned()
    });
    if voice.json {
        let statement: Value = serde_json::from_str(&statement.body).unwrap_or(Value::Null);
        voice.say_json(&json!({ "entered": statement, "standing": standing }));
        return;
    }
    voice.say(format!(
        "Entered {}: {who} {} on {}.",
        statement.id,
        statement.about(),
        day.date
    ));
    if let Some(standing) = standing {
        voice.say(format!("{}: {} ({})", standing.id, standing.standing, standing.may));
        for line in &standing.missing {
            voice.say(format!("  still needed: {line}"));
        }
        if let Some(lapses) = standing.lapses {
            voice.say(format!("  lapses on {lapses}"));
        }
    }
}

/// Says why nothing was entered. A standing that is not ready is a finding; everything else is wrong usage.
fn refused(why: &NotEntered, voice: &mut Voice) -> Outcome {
    let outcome = match why {
        NotEntered::NotReady { .. } => Outcome::Findings,
        _ => Outcome::Failed,
    };
    if voice.json {
        let (standing, missing, reasons) = match why {
            NotEntered::NotReady {
                standing,
                missing,
                reasons,
                ..
            } => (json!(standing), json!(missing), json!(reasons)),
            _ => (Value::Null, json!([]), json!([])),
        };
        voice.say_json(&json!({
            "entered": null, "refused": why.to_string(), "standing": standing, "missing": missing, "reasons": reasons,
        }));
    } else if outcome == Outcome::Findings {
        voice.say(format!("Nothing entered: {why}"));
    } else {
        voice.tell(format!("error: {why}"));
    }
    outcome
}
