//! Arguments → calls of the stages, one file a command.

use clap::{Parser, Subcommand};
use std::io::{self, Write};

mod assign;
mod audit;
mod backup;
mod compile;
mod entry;
mod erase;
mod export;
mod finding;
mod gather;
mod inspect;
mod join;
mod key;
mod key_file;
mod leave;
mod on_phone;
mod opening;
mod preview;
mod prove;
mod release;
mod restore;
mod retrain;
mod signoff;
mod slip;
mod standing;
mod starter;
mod void;
mod withdraw;
mod witness;

/// Compiles lessons for pinsetter mechanics into an offline course, and keeps the competency record that comes back.
#[derive(Debug, Parser)]
#[command(name = "pitwright", version)]
pub struct Arguments {
    /// Give results as JSON, for other programs.
    #[arg(long, global = true)]
    json: bool,
    #[command(subcommand)]
    command: Command,
}

#[derive(Debug, Subcommand)]
enum Command {
    /// Build the course into out/ (or a folder of your choice).
    Compile(compile::Args),
    /// Check everything and print what can be proven, without writing a file.
    Prove(prove::Args),
    /// Write a small course to begin from.
    Starter(starter::Args),
    /// Show the course in a browser on this machine, made anew on every change.
    Preview(preview::Args),
    /// Explain a finding's code, or list them all.
    Finding(finding::Args),
    /// Take records that trainees handed in into the register.
    Gather(gather::Args),
    /// Enter that somebody begins to work at the centre, or comes back.
    Join(join::Args),
    /// Enter that somebody no longer works at the centre.
    Leave(leave::Args),
    /// Ask people to study, pass or reach something.
    Assign(assign::Args),
    /// Allow somebody more tries at an assessment.
    Release(release::Args),
    /// Enter that a trainer watched somebody do it.
    Witness(witness::Args),
    /// Take back an entry that was made in error, with a reason.
    Void(void::Args),
    /// Make the key pair with which a signer or trainer signs.
    Key(key::Args),
    /// Sign a competency off on its evidence.
    Signoff(signoff::Args),
    /// Take a competency away, with a reason.
    Withdraw(withdraw::Args),
    /// Enter that retraining is due, and why.
    Retrain(retrain::Args),
    /// Certify the periodic inspection of a machine's lockout procedure.
    Inspect(inspect::Args),
    /// Show who may do what, or one person's scored record.
    Standing(standing::Args),
    /// Write a signed slip: what a person takes back into the course.
    Slip(slip::Args),
    /// Go over the register's chain and every mark again.
    Audit(audit::Args),
    /// Write down all that the register holds of one person, in an open form.
    Export(export::Args),
    /// Erase all names and notes of a person; what they did stays on record.
    Erase(erase::Args),
    /// Copy the register while others write to it, or check such a copy.
    Backup(backup::Args),
    /// Put a backup in the register's place.
    Restore(restore::Args),
}

/// How a command ended; its exit code.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Outcome {
    /// 0: nothing to object to.
    Clean,
    /// 1: it ran, and something was found.
    Findings,
    /// 2: it could not run: wrong usage, or the disk refused.
    Failed,
}

impl Outcome {
    pub const fn code(self) -> u8 {
        match self {
            Self::Clean => 0,
            Self::Findings => 1,
            Self::Failed => 2,
        }
    }
}

/// Where a command speaks: results to `out`, talk to `talk`.
pub struct Voice {
    pub out: Box<dyn Write>,
    pub talk: Box<dyn Write>,
    pub json: bool,
}

impl Voice {
    /// One line of result. Nobody listening (a closed pipe) is no fault of the command.
    pub fn say(&mut self, line: impl AsRef<str>) {
        let _ = writeln!(self.out, "{}", line.as_ref());
    }

    /// One line of talk.
    pub fn tell(&mut self, line: impl AsRef<str>) {
        let _ = writeln!(self.talk, "{}", line.as_ref());
    }

    /// A result as one line of JSON, or in words.
    pub fn say_json_or(&mut self, value: &serde_json::Value, words: impl FnOnce() -> String) {
        if self.json {
            self.say(value.to_string());
        } else {
            self.say(words());
        }
    }

    /// A result as JSON.
    pub fn say_json(&mut self, value: &impl serde::Serialize) {
        if let Ok(text) = serde_json::to_string_pretty(value) {
            self.say(text);
        }
    }
}

/// Runs what the arguments ask for.
pub fn run(arguments: Arguments) -> Outcome {
    let mut voice = Voice {
        out: Box::new(anstream::AutoStream::auto(io::stdout())),
        talk: Box::new(anstream::AutoStream::auto(io::stderr())),
        json: arguments.json,
    };
    match &arguments.command {
        Command::Compile(args) => compile::run(args, &mut voice),
        Command::Prove(args) => prove::run(args, &mut voice),
        Command::Starter(args) => starter::run(args, &mut voice),
        Command::Preview(args) => preview::run(args, &mut voice),
        Command::Finding(args) => finding::run(args, &mut voice),
        Command::Gather(args) => gather::run(args, &mut voice),
        Command::Join(args) => join::run(args, &mut voice),
        Command::Leave(args) => leave::run(args, &mut voice),
        Command::Assign(args) => assign::run(args, &mut voice),
        Command::Release(args) => release::run(args, &mut voice),
        Command::Witness(args) => witness::run(args, &mut voice),
        Command::Void(args) => void::run(args, &mut voice),
        Command::Key(args) => key::run(args, &mut voice),
        Command::Signoff(args) => signoff::run(args, &mut voice),
        Command::Withdraw(args) => withdraw::run(args, &mut voice),
        Command::Retrain(args) => retrain::run(args, &mut voice),
        Command::Inspect(args) => inspect::run(args, &mut voice),
        Command::Standing(args) => standing::run(args, &mut voice),
        Command::Slip(args) => slip::run(args, &mut voice),
        Command::Audit(args) => audit::run(args, &mut voice),
        Command::Export(args) => export::run(args, &mut voice),
        Command::Erase(args) => erase::run(args, &mut voice),
        Command::Backup(args) => backup::run(args, &mut voice),
        Command::Restore(args) => restore::run(args, &mut voice),
    }
}
