//! `pitwright withdraw`: a competency is taken away, with a reason.

use super::entry::{self, Answerable};
use super::{Outcome, Voice};
use crate::record::What;

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

/// Takes it away.
pub fn run(args: &Args, voice: &mut Voice) -> Outcome {
    let what = What::Withdrawn {
        competency: args.competency.clone(),
    };
    entry::run(&args.person, what, &args.answerable, voice)
}
