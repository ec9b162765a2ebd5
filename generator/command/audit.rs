//! `pitwright audit`: the chain, the markings and every mark, gone over again.

use super::opening::{Where, failed};
use super::{Outcome, Voice};
use crate::bundle;
use crate::register::{Sqlite, Store, audit, check_export};
use indicatif::{ProgressBar, ProgressDrawTarget};
use std::io::{IsTerminal, stderr};
use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};

#[derive(Debug, clap::Args)]
pub struct Args {
    /// The hash of a last row that was noted down earlier: shows whether rows after it were cut off or written anew.
    #[arg(long, value_name = "HASH")]
    head: Option<String>,
    /// Hold a file that `export` made against the register, instead of marking everything again.
    #[arg(long, value_name = "FILE", conflicts_with = "head")]
    exported: Option<PathBuf>,
    #[command(flatten)]
    place: Where,
}

/// Audits the register.
pub fn run(args: &Args, voice: &mut Voice) -> Outcome {
    if let Some(file) = &args.exported {
        return exported(file, args, voice);
    }
    let audited = args.place.store(Sqlite::read).and_then(|store| {
        let rows = store.head().map_err(|why| why.to_string())?.seq;
        let bar = ProgressBar::with_draw_target(Some(rows), ProgressDrawTarget::hidden());
        let begun = Instant::now();
        let terminal = stderr().is_terminal();
        let audited = audit(&store, args.head.as_deref(), |row| {
            if terminal && bar.is_hidden() && begun.elapsed() > Duration::from_secs(1) {
                bar.set_draw_target(ProgressDrawTarget::stderr());
            }
            bar.set_position(row);
        });
        bar.finish_and_clear();
        audited.map_err(|why| why.to_string())
    });
    let audited = match audited {
        Ok(audited) => audited,
        Err(why) => return failed(voice, why),
    };
    if voice.json {
        voice.say_json(&audited);
    } else {
        for finding in &audited.findings {
            voice.say(&finding.says);
        }
        for voided in &audited.voided {
            voice.say(&voided.says);
        }
        voice.say(format!(
            "{} rows: {} statements, {} attempts marked again, {} markings; {}",
            audited.rows,
            audited.statements,
            audited.attempts,
            audited.markings,
            match audited.findings.len() {
                0 => "everything fits".to_owned(),
                1 => "1 finding".to_owned(),
                many => format!("{many} findings"),
            }
        ));
        voice.say(format!("last row: {}", audited.head));
        if args.head.is_none() {
            voice.tell(
                "Note the last row down outside this computer; with --head it shows later that nothing was cut off.",
            );
        }
    }
    if audited.findings.is_empty() {
        Outcome::Clean
    } else {
        Outcome::Findings
    }
}

/// The most that an export may take unpacked, in bytes.
const LARGEST: u64 = 512_000_000;

/// Holds an export against the register.
fn exported(file: &Path, args: &Args, voice: &mut Voice) -> Outcome {
    let checked = (|| {
        let at = |why: &dyn std::fmt::Display| format!("{}: {why}", file.display());
        let store = args.place.store(Sqlite::read)?;
        let size = std::fs::metadata(file).map_err(|why| at(&why))?.len();
        if size > LARGEST {
            return Err(at(&"far too large for an export"));
        }
        let bytes = std::fs::read(file).map_err(|why| at(&why))?;
        let files = bundle::unzip(&bytes, LARGEST).map_err(|why| at(&why))?;
        check_export(&store, &files).map_err(|why| at(&why))
    })();
    let check = match checked {
        Ok(check) => check,
        Err(why) => return failed(voice, why),
    };
    if voice.json {
        voice.say_json(&check);
    } else {
        for finding in &check.findings {
            voice.say(&finding.says);
        }
        voice.say(match check.findings.len() {
            0 => format!(
                "{}: what the register held of {} at row {} of its {}, unaltered",
                file.display(),
                check.person,
                check.rows,
                check.register_rows
            ),
            1 => "1 finding".to_owned(),
            many => format!("{many} findings"),
        });
        for remark in &check.remarks {
            voice.tell(remark);
        }
    }
    if check.findings.is_empty() {
        Outcome::Clean
    } else {
        Outcome::Findings
    }
}
