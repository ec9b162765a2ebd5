//! `pitwright audit`: the chain, the markings and every mark, gone over again.

use super::opening::{Where, failed};
use super::{Outcome, Voice};
use crate::register::{Sqlite, Store, audit};
use indicatif::{ProgressBar, ProgressDrawTarget};
use std::io::{IsTerminal, stderr};
use std::time::{Duration, Instant};

#[derive(Debug, clap::Args)]
pub struct Args {
    /// The hash of a last row that was noted down earlier: shows whether rows after it were cut off or written anew.
    #[arg(long, value_name = "HASH")]
    head: Option<String>,
    #[command(flatten)]
    place: Where,
}

/// Audits the register.
pub fn run(args: &Args, voice: &mut Voice) -> Outcome {
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
