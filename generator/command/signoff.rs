//! `pitwright signoff`: a manager signs a competency off on its evidence.

use super::opening::{Where, date, day, failed, now};
use super::witness::refused;
use super::{Outcome, Voice};
use crate::record::code;
use crate::register::{Signing, Sqlite};
use crate::standing::person;
use jiff::civil::Date;
use serde_json::{Value, json};

#[derive(Debug, clap::Args)]
pub struct Args {
    /// The code of the person.
    person: String,
    /// The id of the competency.
    competency: String,
    /// The signer's own code.
    #[arg(long, value_name = "CODE")]
    by: String,
    /// The day of the signature; today if left out.
    #[arg(long, value_name = "DATE", value_parser = date)]
    on: Option<Date>,
    #[command(flatten)]
    place: Where,
}

/// Signs, if there is something to sign; else says what is still needed.
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
    let signing = Signing {
        person: &who,
        competency: &args.competency,
        by: &by,
        day: &day,
    };
    match register.sign_off(&signing, now) {
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
                if let Some(lapses) = standing.lapses {
                    voice.say(format!("  lapses on {lapses}"));
                }
            }
            Outcome::Clean
        }
    }
}
