//! `pitwright compile`: sources → the course in `out/`.

use super::{Outcome, Voice};
use crate::check::{self, Checked};
use crate::diagnostic::{self, Finding};
use crate::marking::sha256_hex;
use crate::source::{self, Sources};
use crate::stamp::{self, Summary};
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
    /// Build the pages only, without course.zip and course.html: quicker while writing a large course.
    #[arg(long)]
    no_zip: bool,
}

/// Where a course is built, and what of it.
struct Build {
    into: PathBuf,
    zip: bool,
}

/// Builds the course. What stood in the folder before stays until the new course is whole.
pub fn run(args: &Args, voice: &mut Voice) -> Outcome {
    let wanted = Build {
        into: args.into.clone().unwrap_or_else(|| args.course.join("out")),
        zip: !args.no_zip,
    };
    if let Some(summary) = stamp::unchanged(&args.course, &wanted.into, wanted.zip)
        && wanted.put_in_force(&summary)
    {
        wanted.nothing_changed(&summary, voice);
        return Outcome::Clean;
    }
    // Before the sources are read, so that a change that comes in between is seen as one next time.
    let seen = stamp::look(&args.course);
    let (sources, checked) = match checked(&args.course, voice) {
        Ok(both) => both,
        Err(outcome) => return outcome,
    };
    let built = wanted.build(&sources, &checked).and_then(|written| {
        if let Some(seen) = &seen {
            let summary = summary(&checked, written.files);
            stamp::write(&wanted.into, seen, &summary, wanted.zip).map_err(|error| error.to_string())?;
        }
        Ok(written)
    });
    match built {
        Ok(written) => {
            wanted.report(&checked, written, voice);
            // The program ends here. Giving back a large course piece by piece would only take time.
            std::mem::forget((sources, checked));
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

impl Build {
    fn build(&self, sources: &Sources, checked: &Checked) -> Result<bundle::Written, String> {
        let words = |error: bundle::WriteError| error.to_string();
        let output = render::render(checked, sources).map_err(|error| error.to_string())?;
        let archive = self.zip.then(|| bundle::zip(&output)).transpose().map_err(words)?;
        let marking = checked.marking().bytes().map_err(|error| error.to_string())?;
        let written = bundle::folder(&output, &self.into.join("course")).map_err(words)?;
        std::mem::forget(output);
        match archive {
            Some(archive) => {
                let shell = render::one_file::shell(checked, sources).map_err(|error| error.to_string())?;
                let page = bundle::one_file(&shell, render::one_file::PLACE, &archive);
                bundle::file(&archive, &self.zip_file()).map_err(words)?;
                bundle::file(&page, &self.page_file()).map_err(words)?;
            }
            // Old ones would be of another course.
            None => {
                bundle::remove(&self.zip_file()).map_err(words)?;
                bundle::remove(&self.page_file()).map_err(words)?;
            }
        }
        // The latest marking by its file's time is the one in force, so going back to an older course must make its marking the latest again.
        bundle::replace(&marking, &self.marking_file(checked.marking_hash())).map_err(words)?;
        Ok(written)
    }

    fn zip_file(&self) -> PathBuf {
        self.into.join("course.zip")
    }

    /// The one-file edition.
    fn page_file(&self) -> PathBuf {
        self.into.join("course.html")
    }

    fn marking_file(&self, hash: &str) -> PathBuf {
        self.into.join(format!("marking-{hash}.json"))
    }

    /// Makes the marking of a course that is built already the latest one. False if it is not there whole.
    fn put_in_force(&self, summary: &Summary) -> bool {
        let place = self.marking_file(&summary.marking);
        std::fs::read(&place)
            .is_ok_and(|bytes| sha256_hex(&bytes) == summary.marking && bundle::replace(&bytes, &place).is_ok())
    }

    fn nothing_changed(&self, summary: &Summary, voice: &mut Voice) {
        if voice.json {
            let written = bundle::Written {
                files: summary.files,
                ..bundle::Written::default()
            };
            self.say_json(summary, written, voice);
            return;
        }
        voice.say(format!(
            "{}. Nothing changed since the last compile: all {} files are as it left them.",
            summary.title, summary.files
        ));
        self.where_it_is(voice);
    }

    fn report(&self, checked: &Checked, written: bundle::Written, voice: &mut Voice) {
        if voice.json {
            self.say_json(&summary(checked, written.files), written, voice);
            return;
        }
        let marking = checked.marking();
        voice.say(format!(
            "{}. Lessons: {}; assessed banks: {}; scenarios: {}; drills: {}; files: {}, of them new or changed: {}.",
            marking.title,
            marking.lessons.len(),
            marking.banks.len(),
            marking.scenarios.len(),
            marking.drills.len(),
            written.files,
            written.changed
        ));
        super::prove::odds(checked, voice);
        self.where_it_is(voice);
    }

    fn say_json(&self, summary: &Summary, written: bundle::Written, voice: &mut Voice) {
        voice.say_json(&json!({
            "course": summary.course,
            "marking": summary.marking,
            "open": self.start(),
            "files": written.files, "changed": written.changed, "removed": written.removed,
        }));
    }

    fn start(&self) -> PathBuf {
        self.into.join("course").join("index.html")
    }

    fn where_it_is(&self, voice: &mut Voice) {
        let mut words = format!("Open {} in a browser.", self.start().display());
        if self.zip {
            let (zip, page) = (self.zip_file(), self.page_file());
            words.push_str(&format!(
                " To hand it out: {}, or all in one file, {}.",
                zip.display(),
                page.display()
            ));
        }
        voice.say(words);
    }
}

fn summary(checked: &Checked, files: usize) -> Summary {
    let marking = checked.marking();
    Summary {
        course: marking.course.clone(),
        title: marking.title.clone(),
        marking: checked.marking_hash().to_owned(),
        files,
    }
}
