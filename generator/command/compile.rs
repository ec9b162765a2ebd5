//! `pitwright compile`: sources → the course in `out/`.

use super::{Outcome, Voice};
use crate::check::{self, Checked};
use crate::diagnostic::{self, Finding};
use crate::source::{self, Sources};
use crate::{bundle, render};
use serde_json::json;
use std::path::{Path, PathBuf};

#[derive(Debug, clap::Args)]
pub struct Args {
    /// The course folder: the one that holds lessons/ and quizzes/.
    #[arg(default_value = ".")]
    course: PathBuf,
    /// Where to build, instead of out/ in the course folder.
    #[arg(long, value_name = "DIR")]
    into: Option<PathBuf>,
}

/// Builds the course. What stood in the folder before stays until the new course is whole.
pub fn run(args: &Args, voice: &mut Voice) -> Outcome {
    let (sources, checked) = match checked(&args.course, voice) {
        Ok(both) => both,
        Err(outcome) => return outcome,
    };
    let into = args.into.clone().unwrap_or_else(|| args.course.join("out"));
    match build(&sources, &checked, &into) {
        Ok(written) => {
            report(&checked, &into, written, voice);
            Outcome::Clean
        }
        Err(why) => {
            voice.tell(why);
            Outcome::Failed
        }
    }
}

/// Reads and checks a course and reports what is found.
///
/// # Errors
/// How the command ends: with findings, or because the folder could not be read. Both are reported already.
pub fn checked(course: &Path, voice: &mut Voice) -> Result<(Sources, Checked), Outcome> {
    let sources = source::read(course).map_err(|unreadable| {
        voice.tell(unreadable.to_string());
        Outcome::Failed
    })?;
    match check::check(&sources) {
        Ok(checked) => Ok((sources, checked)),
        Err(findings) => {
            found(&findings, &sources, voice);
            Err(Outcome::Findings)
        }
    }
}

fn found(findings: &[Finding], sources: &Sources, voice: &mut Voice) {
    if voice.json {
        let list: Vec<_> = findings
            .iter()
            .map(|finding| diagnostic::json(finding, sources))
            .collect();
        voice.say_json(&json!({ "findings": list }));
        return;
    }
    for finding in findings {
        // The stream takes the colours off again where nobody would see them.
        voice.say(diagnostic::text(finding, sources, true));
        voice.say("");
    }
    let number = findings.len();
    let things = if number == 1 {
        "1 finding"
    } else {
        &format!("{number} findings")
    };
    voice.tell(format!(
        "{things}. Nothing was written. `pitwright finding CODE` explains a code."
    ));
}

fn build(sources: &Sources, checked: &Checked, into: &Path) -> Result<bundle::Written, String> {
    let output = render::render(checked, sources).map_err(|error| error.to_string())?;
    let archive = bundle::zip(&output).map_err(|error| error.to_string())?;
    let marking = checked.marking().bytes().map_err(|error| error.to_string())?;
    let written = bundle::folder(&output, &into.join("course")).map_err(|error| error.to_string())?;
    bundle::file(&archive, &into.join("course.zip")).map_err(|error| error.to_string())?;
    let name = format!("marking-{}.json", checked.marking_hash());
    // The latest marking by its file's time is the one in force, so going back to an older course must make its marking the latest again.
    bundle::replace(&marking, &into.join(name)).map_err(|error| error.to_string())?;
    Ok(written)
}

fn report(checked: &Checked, into: &Path, written: bundle::Written, voice: &mut Voice) {
    let course = into.join("course");
    let start = course.join("index.html");
    if voice.json {
        voice.say_json(&json!({
            "course": checked.marking().course,
            "marking": checked.marking_hash(),
            "open": start,
            "files": written.files, "changed": written.changed, "removed": written.removed,
        }));
        return;
    }
    let marking = checked.marking();
    voice.say(format!(
        "{}. Lessons: {}; assessed banks: {}; scenarios: {}; files: {}, of them new or changed: {}.",
        marking.title,
        marking.lessons.len(),
        marking.banks.len(),
        marking.scenarios.len(),
        written.files,
        written.changed
    ));
    super::prove::odds(checked, voice);
    voice.say(format!(
        "Open {} in a browser. To hand it out: {}.",
        start.display(),
        into.join("course.zip").display()
    ));
}
