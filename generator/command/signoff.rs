//! `pitwright signoff`: a manager signs a competency off on its evidence.

use super::entry::{self, Answerable};
use super::key_file::KeyFile;
use super::{Outcome, Voice};
use crate::record::What;

#[derive(Debug, clap::Args)]
pub struct Args {
    /// The code of the person.
    person: String,
    /// The id of the competency.
    competency: String,
    #[command(flatten)]
    answerable: Answerable,
    #[command(flatten)]
    key: KeyFile,
}

/// Signs, if there is something to sign; else says what is still needed.
pub fn run(args: &Args, voice: &mut Voice) -> Outcome {
    let what = What::SignedOff {
        competency: args.competency.clone(),
        proof: None,
    };
    entry::sign(&args.person, what, &args.answerable, &args.key, voice)
}
