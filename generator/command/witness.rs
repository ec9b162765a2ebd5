//! `pitwright witness`: a trainer watched somebody do it.

use super::opening::{Where, date, day, failed, now};
use super::{Outcome, Voice};
use crate::record::{Witnessing, code};
use crate::register::{NotEntered, Sqlite, Witness};
use crate::standing::person;
use jiff::civil::Date;
use serde_json::{Value, json};

#[derive(Debug, clap::Args)]
#[command(group = clap::ArgGroup::new("how").required(true).args(["met", "not_met", "prompted"]))]
#[command(group = clap::ArgGroup::new("setting").required(true).args(["real", "staged"]))]
pub struct Args {
    /// The code of the person who was watched.
    person: String,
    /// The id of the competency.
    competency: String,
    /// The trainer's own code.
    #[arg(long, value_name = "CODE")]
    by: String,
    /// Done as it should be, without help.
    #[arg(long)]
    met: bool,
    /// Not done as it should be.
    #[arg(long)]
    not_met: bool,
    /// Done, but with a hint on the way.
    #[arg(long)]
    prompted: bool,
    /// On a real call.
    #[arg(long)]
    real: bool,
    /// Staged for the purpose.
    #[arg(long)]
    staged: bool,
    /// The day on which it happened; today if left out.
    #[arg(long, value_name = "DATE", value_parser = date)]
    on: Option<Date>,
    /// A sentence about it.
    #[arg(long)]
    note: Option<String>,
    /// The person has handed nothing in yet, and the code is right all the same.
    #[arg(long)]
    new_person: bool,
    #[command(flatten)]
    place: Where,
}

/// Adds one witnessed performance, or says why not.
pub fn run(args: &Args, voice: &mut Voice) -> Outcome {
    let ready = (|| {
        let now = now()?;
        let who = code(&args.person).map_err(|why| why.to_string())?;
        let by = code(&args.by).map_err(|why| why.to_string())?;
        let register = args.place.open(Sqlite::write)?;
        Ok::<_, String>((now, who, by, register))
    })();
    let (now, who, by, mut register) = match ready {
        Ok(ready) => ready,
        Err(why) => return failed(voice, why),
    };
    let day = day(args.on, now);
    let seen = Witnessing {
        competency: args.competency.clone(),
        by,
        // Help on the way means that the standard, doing it alone, was not met.
        met: args.met,
        prompted: args.prompted,
        real: args.real,
        note: args.note.clone(),
    };
    let witness = Witness {
        person: &who,
        seen: &seen,
        day: &day,
        new_person: args.new_person,
    };
    match register.witness(&witness, now) {
        Err(why) => refused(&why, voice),
        Ok(statement) => {
            let standing = register
                .statements()
                .ok()
                .and_then(|all| person(&who, &all, register.markings(), &day))
                .and_then(|person| person.competence(&args.competency).cloned());
            if voice.json {
                let statement: Value = serde_json::from_str(&statement.body).unwrap_or(Value::Null);
                voice.say_json(&json!({ "entered": statement, "standing": standing }));
                return Outcome::Clean;
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
            }
            Outcome::Clean
        }
    }
}

/// Says why nothing was entered. A standing that is not ready is a finding; everything else is wrong usage.
pub fn refused(why: &NotEntered, voice: &mut Voice) -> Outcome {
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
