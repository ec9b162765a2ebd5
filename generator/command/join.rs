//! `pitwright join`: somebody begins to work at the centre, or comes back.

use super::entry::{Answerable, Desk, Wanted, enter_one};
use super::opening::failed;
use super::{Outcome, Voice};
use crate::record::{What, code};
use crate::standing::{ERASED, Person};

#[derive(Debug, clap::Args)]
pub struct Args {
    /// The code that the person is known by from now on.
    person: String,
    /// The person's name; kept apart, so that it can be erased.
    #[arg(long)]
    name: String,
    /// What they are employed as: the id of a job in the outline.
    #[arg(long, value_name = "ID")]
    job: Option<String>,
    /// The code is known under another name, and it is the same person.
    #[arg(long)]
    same_person: bool,
    #[command(flatten)]
    answerable: Answerable,
}

/// Refuses a code that is somebody else's: whoever took it over would stand in for all that was done and signed under it.
fn known_otherwise(who: &str, before: Option<&Person>, name: &str) -> Result<(), String> {
    match before.and_then(|before| before.name.as_deref()) {
        Some(known) if known != name && !name.is_empty() => {
            let was = match known {
                ERASED => format!("the name of {who} was erased"),
                known => format!("{who} is {known}"),
            };
            Err(format!(
                "{was}, and all that was done and signed as {who} would become the record of {name}. Somebody else needs a code of their own; if it is the same person under a new name, say --same-person"
            ))
        }
        _ => Ok(()),
    }
}

/// Enters the joining. For somebody who is here already it corrects the name and the job.
pub fn run(args: &Args, voice: &mut Voice) -> Outcome {
    let ready = (|| {
        let who = code(&args.person).map_err(|why| why.to_string())?;
        let desk = Desk::open(&args.answerable)?;
        let before = desk.person_on(&who, &desk.today())?;
        if !args.same_person {
            known_otherwise(&who, before.as_ref(), args.name.trim())?;
        }
        Ok::<_, String>((who, desk, before))
    })();
    let (who, desk, before) = match ready {
        Ok(ready) => ready,
        Err(why) => return failed(voice, why),
    };
    let wanted = Wanted {
        person: who.clone(),
        what: What::Joined { job: args.job.clone() },
        name: Some(args.name.trim().to_owned()),
    };
    let outcome = enter_one(desk, wanted, voice);
    if let (Outcome::Clean, Some(before)) = (outcome, before) {
        if let Some(left) = before.left {
            voice.tell(format!(
                "{who} left on {left}: coming back is a change of job assignment, so all that was signed before has lapsed"
            ));
        } else if before.joined.is_some() {
            voice.tell(format!("{who} was here already: name and job are now as given"));
            // Who had none is given a first one.
            if before.job.is_some() && before.job != args.job {
                voice.tell(format!(
                    "a change of job assignment calls for retraining (29 CFR 1910.147(c)(7)(iii)(A)): `pitwright retrain {who} COMPETENCY --because job`"
                ));
            }
        }
    }
    outcome
}
