//! `pitwright leave`: somebody no longer works at the centre.

use super::entry::{self, Answerable};
use super::{Outcome, Voice};
use crate::record::What;

#[derive(Debug, clap::Args)]
pub struct Args {
    /// The code of the person.
    person: String,
    #[command(flatten)]
    answerable: Answerable,
}

/// Enters the leaving. The record stays.
pub fn run(args: &Args, voice: &mut Voice) -> Outcome {
    entry::run(&args.person, What::Left, &args.answerable, voice)
}
