//! Fixtures: `tests/sources/CODE.yml` says how to spoil the good course of `tests/sources/base`, and where that is found.

use crate::ground;
use pitwright::diagnostic::Finding;
use pitwright::source::Sources;
use pitwright::{check, source};
use serde::Deserialize;
use std::fs;
use std::path::{Path, PathBuf};
use tempfile::TempDir;

/// What a fixture file says.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Fixture {
    pub failing: Failing,
    pub passing: Change,
    /// More ways to the same code.
    #[serde(default)]
    pub further: Vec<Failing>,
}

/// A change that is found.
#[derive(Debug, Clone, Deserialize)]
pub struct Failing {
    #[serde(flatten)]
    pub change: Change,
    /// `file:line:column`.
    pub at: String,
    /// Findings that cannot but follow, `code@file:line:column`.
    #[serde(default)]
    pub also: Vec<String>,
}

/// A change to the good course.
#[derive(Debug, Clone, Default, Deserialize)]
pub struct Change {
    #[serde(default)]
    edits: Vec<Edit>,
    #[serde(default)]
    write: Vec<Write>,
    #[serde(default)]
    bytes: Vec<Bytes>,
    #[serde(default)]
    delete: Vec<String>,
    #[serde(default)]
    repeat: Option<Repeat>,
}

/// Words of a file that are replaced; they must stand in it exactly once.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
struct Edit {
    file: String,
    replace: String,
    with: String,
}

#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
struct Write {
    path: String,
    text: String,
}

/// A file that cannot be written as text here.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
struct Bytes {
    path: String,
    hex: String,
}

/// A long file: `head`, then `text` for n = 1 … `times` (with `{n}` and `{next}` filled in), then `tail` (with `{last}`).
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
struct Repeat {
    path: String,
    head: String,
    text: String,
    times: usize,
    tail: String,
}

/// The folder of the fixtures.
pub fn folder() -> PathBuf {
    ground::root().join("tests/sources")
}

/// A copy of the good course.
pub fn base() -> TempDir {
    let copy = tempfile::tempdir().expect("a temporary folder can be made");
    ground::copy(&folder().join("base"), copy.path());
    copy
}

/// All fixtures with the codes that their files are named after, sorted.
pub fn all() -> Vec<(String, Fixture)> {
    let mut all: Vec<(String, Fixture)> = fs::read_dir(folder())
        .expect("the fixtures are in the repository")
        .map(|entry| entry.expect("the folder can be read").path())
        .filter(|path| path.is_file())
        .map(|path| {
            let name = path.file_stem().expect("a file has a name").to_string_lossy();
            let text = fs::read_to_string(&path).expect("fixtures are text");
            let fixture = serde_yaml::from_str(&text).unwrap_or_else(|error| panic!("{}: {error}", path.display()));
            (name.into_owned(), fixture)
        })
        .collect();
    all.sort_by(|a, b| a.0.cmp(&b.0));
    all
}

impl Change {
    /// A change of words only.
    pub fn edit(file: &str, replace: &str, with: &str) -> Self {
        Self {
            edits: vec![Edit {
                file: file.into(),
                replace: replace.into(),
                with: with.into(),
            }],
            ..Self::default()
        }
    }

    /// Changes a course.
    pub fn apply(&self, course: &Path) {
        let put = |path: &str, bytes: &[u8]| {
            let place = course.join(path);
            fs::create_dir_all(place.parent().expect("a file lies in a folder")).expect("the copy can be written");
            fs::write(place, bytes).expect("the copy can be written");
        };
        for Edit { file, replace, with } in &self.edits {
            let text = fs::read_to_string(course.join(file)).unwrap_or_else(|error| panic!("{file}: {error}"));
            let times = text.matches(replace.as_str()).count();
            assert_eq!(times, 1, "{file}: {replace:?} stands in it {times} times, not once");
            put(file, text.replacen(replace, with, 1).as_bytes());
        }
        for Write { path, text } in &self.write {
            put(path, text.as_bytes());
        }
        for Bytes { path, hex } in &self.bytes {
            let bytes = hex.as_bytes().chunks(2).map(|pair| {
                let pair = std::str::from_utf8(pair).expect("hex digits are text");
                u8::from_str_radix(pair, 16).expect("two hex digits a byte")
            });
            put(path, &bytes.collect::<Vec<u8>>());
        }
        for path in &self.delete {
            fs::remove_file(course.join(path)).unwrap_or_else(|error| panic!("{path}: {error}"));
        }
        if let Some(repeat) = &self.repeat {
            let mut text = repeat.head.clone();
            for n in 1..=repeat.times {
                let one = repeat.text.replace("{n}", &n.to_string());
                text.push_str(&one.replace("{next}", &(n + 1).to_string()));
            }
            text.push_str(&repeat.tail.replace("{last}", &(repeat.times + 1).to_string()));
            put(&repeat.path, text.as_bytes());
        }
    }

    /// A copy of the good course, changed.
    pub fn course(&self) -> TempDir {
        let course = base();
        self.apply(course.path());
        course
    }
}

/// What the library finds in a course.
pub fn found(course: &Path) -> (Sources, Vec<Finding>) {
    let sources = source::read(course).unwrap_or_else(|error| panic!("{error}"));
    let findings = check::check(&sources).err().unwrap_or_default();
    (sources, findings)
}

/// `code@file:line:column` of each finding, sorted.
pub fn places(sources: &Sources, findings: &[Finding]) -> Vec<String> {
    let mut places: Vec<String> = findings
        .iter()
        .map(|finding| {
            let position = sources.position(finding.span);
            let file = &sources.file(finding.span.file).path;
            format!("{}@{file}:{}:{}", finding.code.name, position.line, position.column)
        })
        .collect();
    places.sort();
    places
}
