//! `pitwright starter`: a small course to begin from.

use super::{Outcome, Voice};
use crate::bundle;
use crate::theme;
use serde_json::json;
use std::path::{Path, PathBuf};

#[derive(Debug, clap::Args)]
pub struct Args {
    /// A folder that is not there yet, or is empty.
    #[arg(value_name = "DIR")]
    folder: PathBuf,
}

/// Writes the small course. What lies in a folder already is never touched.
pub fn run(args: &Args, voice: &mut Voice) -> Outcome {
    let folder = &args.folder;
    match is_free(folder) {
        Ok(true) => {}
        Ok(false) => {
            voice.tell(format!(
                "{} is there already and holds something, so nothing was written\n  help: name a folder that does not exist yet",
                folder.display()
            ));
            return Outcome::Failed;
        }
        Err(why) => {
            voice.tell(format!(
                "{} cannot be looked into: {why}\n  help: name another folder",
                folder.display()
            ));
            return Outcome::Failed;
        }
    }
    let files = theme::starter();
    match bundle::folder(&files, folder) {
        Ok(_) => {
            voice.say_json_or(&json!({ "folder": folder, "files": files.keys().collect::<Vec<_>>() }), || {
                let shown = folder.display();
                format!(
                    "A small course stands in {shown}: one invented machine, one stop. Everything in it is yours to change.\n\
                     See it:    pitwright preview {shown}\n\
                     Prove it:  pitwright prove --all {shown}\n\
                     Build it:  pitwright compile {shown}"
                )
            });
            Outcome::Clean
        }
        Err(why) => {
            voice.tell(why.to_string());
            Outcome::Failed
        }
    }
}

fn is_free(folder: &Path) -> std::io::Result<bool> {
    match std::fs::read_dir(folder) {
        Ok(mut entries) => Ok(entries.next().is_none()),
        Err(why) if why.kind() == std::io::ErrorKind::NotFound => Ok(true),
        Err(why) => Err(why),
    }
}
