//! `pitwright withdraw`: a competency is taken away, with a reason.

use super::entry::{Answerable, Desk, Wanted, enter_one};
use super::opening::failed;
use super::{Outcome, Voice};
use crate::record::{What, code};

#[derive(Debug, clap::Args)]
pub struct Args {
    /// The code of the person.
    person: String,
    /// The id of the competency.
    competency: String,
    /// The reason is its note.
    #[command(flatten)]
    answerable: Answerable,
}

/// Takes it away, if there is a signature to take back.
pub fn run(args: &Args, voice: &mut Voice) -> Outcome {
    let ready = (|| {
        let who = code(&args.person).map_err(|why| why.to_string())?;
        let desk = Desk::open(&args.answerable)?;
        let person = desk.person(&who)?;
        let never = person
            .as_ref()
            .and_then(|person| person.competence(&args.competency))
            .is_some_and(|known| known.signed_on.is_none());
        if never {
            return Err(format!(
                "{who} was never signed off for {id} by {day}, so there is nothing to withdraw. If it should be studied, passed and watched anew before anybody signs: `pitwright retrain {who} {id} --because deviation --by {by}`",
                id = args.competency,
                day = desk.day.date,
                by = desk.by
            ));
        }
        Ok((who, desk))
    })();
    let what = What::Withdrawn {
        competency: args.competency.clone(),
    };
    match ready {
        Ok((who, desk)) => enter_one(desk, Wanted::of(who, what), voice),
        Err(why) => failed(voice, why),
    }
}
