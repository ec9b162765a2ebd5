//! `pitwright witness`: a trainer watched somebody do it.

use super::entry::{self, Answerable};
use super::{Outcome, Voice};
use crate::record::{What, Witnessing};

#[derive(Debug, clap::Args)]
#[command(group = clap::ArgGroup::new("how").required(true).args(["met", "not_met", "prompted"]))]
#[command(group = clap::ArgGroup::new("setting").required(true).args(["real", "staged"]))]
pub struct Args {
    /// The code of the person who was watched.
    person: String,
    /// The id of the competency.
    competency: String,
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
    /// The person has handed nothing in yet, and the code is right all the same.
    #[arg(long)]
    new_person: bool,
    #[command(flatten)]
    answerable: Answerable,
}

/// Adds one witnessed performance, or says why not.
pub fn run(args: &Args, voice: &mut Voice) -> Outcome {
    let seen = Witnessing {
        competency: args.competency.clone(),
        // Help on the way means that the standard, doing it alone, was not met.
        met: args.met,
        prompted: args.prompted,
        real: args.real,
        steps: Vec::new(),
    };
    entry::run(
        &args.person,
        What::Witnessed(seen),
        args.new_person,
        &args.answerable,
        voice,
    )
}
