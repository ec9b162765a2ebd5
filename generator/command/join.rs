//! `pitwright join`: somebody begins to work at the centre, or comes back.

use super::entry::{Answerable, Desk, Wanted, enter_one};
use super::opening::failed;
use super::{Outcome, Voice};
use crate::record::{What, code};
use crate::standing::ERASED;

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
    #[command(flatten)]
    answerable: Answerable,
}

/// Enters the joining. For somebody who is here already it corrects the name and the job.
pub fn run(args: &Args, voice: &mut Voice) -> Outcome {
    let ready = (|| {
        let who = code(&args.person).map_err(|why| why.to_string())?;
        let desk = Desk::open(&args.answerable)?;
        let before = desk.person(&who)?;
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
        if let Some(name) = before.name.filter(|name| name != ERASED && name != args.name.trim()) {
            voice.tell(format!(
                "{who} was {name} until now: if this is somebody else, they need a code of their own, or they stand in for what {name} did"
            ));
        }
        if let Some(left) = before.left {
            voice.tell(format!(
                "{who} left on {left}: coming back is a change of job assignment, so all that was signed before has lapsed"
            ));
        } else if before.joined.is_some() {
            voice.tell(format!("{who} was here already: name and job are now as given"));
            if before.job != args.job {
                voice.tell(format!(
                    "a change of job assignment calls for retraining (29 CFR 1910.147(c)(7)(iii)(A)): `pitwright retrain {who} COMPETENCY --because job`"
                ));
            }
        }
    }
    outcome
}
