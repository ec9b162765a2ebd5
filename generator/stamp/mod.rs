//! What a compile read and left, by size and time, so that the next can see that nothing changed without opening a file.
//!
//! The system gives every file that is written a time of change, which no program sets at will. It counts in steps of some
//! milliseconds: a file that changed so shortly before it was looked at could change once more within the same step. Such a file
//! is written down as unknown, and then everything is done again.

use crate::bundle::{self, WriteError};
use crate::marking::sha256_hex;
use crate::source;
use rayon::prelude::*;
use std::fmt::Write;
use std::fs::{self, Metadata};
use std::path::{Path, PathBuf};
use std::time::{Duration, SystemTime, UNIX_EPOCH};
use walkdir::WalkDir;

mod seen;

use seen::Seen;

/// The stamp's name, beside the course. Nobody needs to keep it.
const NAME: &str = ".last-compile";

/// The form of the file, and the program that wrote it: another program may make other pages.
const HEAD: &str = concat!("pitwright 1 ", env!("PITWRIGHT_BUILD"));

/// Longer than a step of the system's clock for files.
const STEP: Duration = Duration::from_millis(20);

/// What to say of a course that is there already.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Summary {
    pub course: String,
    pub title: String,
    /// Name of the marking: its hash.
    pub marking: String,
    /// How many files the course has.
    pub files: usize,
}

/// Files by path, as they were seen.
#[derive(Debug, PartialEq, Eq)]
pub struct Looked(Vec<(String, Seen)>);

/// Looks at every source of a course. To be done before they are read: what changes afterwards is then noticed next time.
///
/// `None` if the folder cannot be walked, which reading it will explain.
pub fn look(course: &Path) -> Option<Looked> {
    let paths = source::list(course).ok()?;
    Some(looked(course, &paths, SystemTime::now()))
}

/// Looks at every file that a compile left, but for the marking, which is written anew each time.
fn look_at_output(into: &Path, zip: bool, now: SystemTime) -> Option<Looked> {
    let mut paths = Vec::new();
    if zip {
        paths.extend(["course.zip", "course.html"].map(|name| into.join(name)));
    }
    for entry in WalkDir::new(into.join("course")) {
        let entry = entry.ok()?;
        if !entry.file_type().is_dir() {
            paths.push(entry.into_path());
        }
    }
    Some(looked(into, &paths, now))
}

fn looked(folder: &Path, paths: &[PathBuf], now: SystemTime) -> Looked {
    let settled = now.checked_sub(STEP).unwrap_or(UNIX_EPOCH);
    let mut files: Vec<(String, Seen)> = paths
        .par_iter()
        .map(|path| {
            let seen = fs::symlink_metadata(path).map_or(Seen::UNKNOWN, |data: Metadata| Seen::of(&data, settled));
            (source::relative(folder, path), seen)
        })
        .collect();
    files.par_sort_unstable();
    Looked(files)
}

/// What stands in `into`, if it is the whole work of this very program on this course as it is now, with the zip or without.
pub fn unchanged(course: &Path, into: &Path, zip: bool) -> Option<Summary> {
    let text = fs::read_to_string(into.join(NAME)).ok()?;
    let (summary, sources, output) = read(&text)?;
    let now = SystemTime::now();
    let (now_sources, now_output) = rayon::join(|| look(course), || look_at_output(into, zip, now));
    let same = |before: &[(&str, Seen)], now: Looked| {
        let now = now.0.iter().map(|(path, seen)| (path.as_str(), *seen));
        before.iter().all(|(_, seen)| *seen != Seen::UNKNOWN) && now.eq(before.iter().copied())
    };
    (same(&sources, now_sources?) && same(&output, now_output?)).then_some(summary)
}

/// Writes the stamp of a compile that read these sources and has just written its output.
///
/// # Errors
/// [`WriteError`].
pub fn write(into: &Path, sources: &Looked, summary: &Summary, zip: bool) -> Result<(), WriteError> {
    // What was written within the clock's present step must settle first, or the next look could not trust it.
    std::thread::sleep(STEP);
    let Some(output) = look_at_output(into, zip, SystemTime::now()) else {
        return Ok(());
    };
    let mut text = format!("{HEAD}\n");
    for line in [&summary.course, &summary.title, &summary.marking] {
        // None of them can hold the end of a line; one that did would only make the stamp unreadable.
        let _ = writeln!(text, "{line}");
    }
    let _ = writeln!(text, "{} {} {}", summary.files, sources.0.len(), output.0.len());
    for (path, seen) in sources.0.iter().chain(&output.0) {
        let _ = writeln!(text, "{seen} {path}");
    }
    let _ = writeln!(text, "{}", sha256_hex(text.as_bytes()));
    bundle::replace(text.as_bytes(), &into.join(NAME))
}

type Parts<'a> = (Summary, Vec<(&'a str, Seen)>, Vec<(&'a str, Seen)>);

/// A stamp, if it is whole and of this program.
fn read(text: &str) -> Option<Parts<'_>> {
    let (body, sum) = text.strip_suffix('\n')?.rsplit_once('\n')?;
    if !text.starts_with(HEAD) || sha256_hex(text.get(..=body.len())?.as_bytes()) != sum {
        return None;
    }
    let mut lines = body.lines().skip(1);
    let (course, title, marking) = (lines.next()?, lines.next()?, lines.next()?);
    let mut counts = lines.next()?.split(' ').map(str::parse::<usize>);
    let (files, sources, output) = (counts.next()?.ok()?, counts.next()?.ok()?, counts.next()?.ok()?);
    let all: Option<Vec<(&str, Seen)>> = lines.map(Seen::read).collect();
    let mut all = all?;
    if all.len() != sources + output {
        return None;
    }
    let output = all.split_off(sources);
    let summary = Summary {
        course: course.to_owned(),
        title: title.to_owned(),
        marking: marking.to_owned(),
        files,
    };
    Some((summary, all, output))
}
