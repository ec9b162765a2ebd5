//! `pitwright preview`: the course in a browser on this machine, made anew on every change.

use super::{Outcome, Voice};
use crate::preview::{self, Edition, Site};
use serde_json::json;
use std::path::PathBuf;
use std::sync::Arc;

#[derive(Debug, clap::Args)]
pub struct Args {
    /// The course folder: the one that holds lessons/ and quizzes/.
    #[arg(default_value = ".")]
    course: PathBuf,
    /// The port on this machine; 0 takes any that is free.
    #[arg(long, default_value_t = 7810)]
    port: u16,
}

/// Shows the course until it is ended with Ctrl-C. Nothing is written to the disk.
pub fn run(args: &Args, voice: &mut Voice) -> Outcome {
    if !args.course.join("lessons").is_dir() {
        voice.tell(format!(
            "{} holds no folder lessons/, so it is no course\n  help: name the course's folder, or make one with `pitwright starter DIR`",
            args.course.display()
        ));
        return Outcome::Failed;
    }
    let site = Arc::new(Site::new(&args.course));
    let first = site.latest();
    let json = voice.json;
    let ready = |address: std::net::SocketAddr| {
        voice.say_json_or(&json!({ "address": format!("http://{address}/") }), || {
            format!("Open http://{address}/ in a browser on this machine. It follows every change that you save. End with Ctrl-C.")
        });
        voice.say_json_or(&told(&first), || line(&first));
    };
    let renewed = move |edition: &Edition| {
        if json {
            println!("{}", told(edition));
        } else {
            println!("{}", line(edition));
        }
    };
    match preview::serve(site, args.port, ready, renewed) {
        Ok(()) => Outcome::Clean,
        Err(why) => {
            voice.tell(why.to_string());
            Outcome::Failed
        }
    }
}

fn told(edition: &Edition) -> serde_json::Value {
    json!({ "edition": edition.number, "milliseconds": edition.took.as_millis(), "findings": edition.wrong })
}

fn line(edition: &Edition) -> String {
    let took = edition.took.as_secs_f64();
    match edition.wrong.len() {
        0 => format!("Made in {took:.2} s: {} files, no findings.", edition.files.len()),
        many => format!(
            "Looked over in {took:.2} s, {many} found:\n\n{}\n",
            edition.wrong.join("\n\n")
        ),
    }
}
