//! Disk → the course's files with their text and positions. The only place that reads a course from disk.

use rayon::prelude::*;
use serde::{Deserialize, Deserializer};
use std::fmt;
use std::ops::Range;
use std::path::{Path, PathBuf};
use walkdir::WalkDir;

/// One file of a course folder.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct File {
    /// Path from the course folder, with forward slashes on every system.
    pub path: String,
    pub body: Body,
}

/// What a file holds.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Body {
    /// A source in UTF-8, without a byte-order mark.
    Text(String),
    /// A source that is not UTF-8: how many bytes of it are.
    NotText(usize),
    /// A picture, clip or other file that is copied as it is.
    Media(Vec<u8>),
}

/// The files of one course, sorted by path, so that everything after is independent of the disk's order.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Sources {
    pub files: Vec<File>,
}

/// Index into [`Sources::files`].
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct FileId(pub u32);

/// A place in a source: a file and a range of its bytes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Span {
    pub file: FileId,
    pub start: u32,
    pub end: u32,
}

impl Span {
    /// The very beginning of a file.
    pub const fn top(file: FileId) -> Self {
        Self { file, start: 0, end: 0 }
    }

    pub fn new(file: FileId, range: Range<usize>) -> Self {
        Self {
            file,
            start: small(range.start),
            end: small(range.end),
        }
    }
}

/// Sources beyond 4 GiB do not exist here ([`LARGEST`]); the cast saturates all the same.
fn small(number: usize) -> u32 {
    u32::try_from(number).unwrap_or(u32::MAX)
}

/// A value together with where it stands in its file.
#[derive(Debug, Clone)]
pub struct At<T> {
    pub value: T,
    /// Bytes of the file.
    pub start: u32,
    pub end: u32,
}

impl<T> At<T> {
    /// The same value at a known place.
    pub fn new(value: T, range: Range<usize>) -> Self {
        Self {
            value,
            start: small(range.start),
            end: small(range.end),
        }
    }

    pub fn span(&self, file: FileId) -> Span {
        Span {
            file,
            start: self.start,
            end: self.end,
        }
    }

    pub fn map<U>(self, change: impl FnOnce(T) -> U) -> At<U> {
        At {
            value: change(self.value),
            start: self.start,
            end: self.end,
        }
    }
}

impl<T> std::ops::Deref for At<T> {
    type Target = T;
    fn deref(&self) -> &T {
        &self.value
    }
}

/// Two values are the same wherever they stand.
impl<T: PartialEq> PartialEq for At<T> {
    fn eq(&self, other: &Self) -> bool {
        self.value == other.value
    }
}

impl<T: fmt::Display> fmt::Display for At<T> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.value.fmt(f)
    }
}

impl<'de, T: Deserialize<'de>> Deserialize<'de> for At<T> {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let spanned = serde_yaml::Spanned::<T>::deserialize(deserializer)?;
        let place = spanned.referenced.span();
        let (start, len) = place.byte_offset().zip(place.byte_len()).unwrap_or((0, 0));
        Ok(Self {
            value: spanned.value,
            start: small(usize::try_from(start).unwrap_or(usize::MAX)),
            end: small(usize::try_from(start.saturating_add(len)).unwrap_or(usize::MAX)),
        })
    }
}

/// Line and column of a place, both counted from 1; columns count characters.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Position {
    pub line: usize,
    pub column: usize,
}

impl Sources {
    pub fn file(&self, id: FileId) -> &File {
        &self.files[id.0 as usize]
    }

    /// The text of a source; empty for a file that has none.
    pub fn text(&self, id: FileId) -> &str {
        match &self.file(id).body {
            Body::Text(text) => text,
            Body::NotText(_) | Body::Media(_) => "",
        }
    }

    /// Every file with its id.
    pub fn iter(&self) -> impl Iterator<Item = (FileId, &File)> {
        self.files
            .iter()
            .enumerate()
            .map(|(index, file)| (FileId(small(index)), file))
    }

    /// Where a span begins.
    pub fn position(&self, span: Span) -> Position {
        let text = self.text(span.file);
        let mut start = (span.start as usize).min(text.len());
        while !text.is_char_boundary(start) {
            start -= 1;
        }
        let before = &text[..start];
        let line_start = before.rfind('\n').map_or(0, |newline| newline + 1);
        Position {
            line: before.matches('\n').count() + 1,
            column: before[line_start..].chars().count() + 1,
        }
    }
}

/// Why a course folder could not be read at all.
#[derive(Debug)]
pub struct Unreadable {
    pub path: PathBuf,
    pub why: String,
    pub help: String,
}

impl fmt::Display for Unreadable {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}: {}\n  help: {}", self.path.display(), self.why, self.help)
    }
}

impl std::error::Error for Unreadable {}

/// The largest source file in bytes. A lesson is some kilobytes; past this it is surely something else.
pub const LARGEST: u64 = 4 * 1024 * 1024;

/// The place of every file of a course: `lessons/`, `quizzes/` and, where it exists, `theme/`.
///
/// # Errors
/// [`Unreadable`]: the folder is not there, holds no `lessons/` or nothing at all, or the disk refuses.
pub fn list(course: &Path) -> Result<Vec<PathBuf>, Unreadable> {
    if !course.join("lessons").is_dir() {
        return Err(Unreadable {
            path: course.to_owned(),
            why: "there is no folder `lessons` in it, so it is not a course".into(),
            help: "name the folder that holds `lessons/` and `quizzes/`".into(),
        });
    }
    let mut paths = Vec::new();
    for top in ["lessons", "quizzes", "theme"] {
        let root = course.join(top);
        if !root.is_dir() {
            continue;
        }
        for entry in WalkDir::new(&root) {
            let entry = entry.map_err(|error| Unreadable {
                path: root.clone(),
                why: format!("the folder cannot be walked: {error}"),
                help: "check that the folder can be read".into(),
            })?;
            let hidden = entry.file_name().to_string_lossy().starts_with('.');
            if entry.file_type().is_file() && !hidden {
                paths.push(entry.into_path());
            }
        }
    }
    if paths.is_empty() {
        return Err(Unreadable {
            path: course.to_owned(),
            why: "its folders hold no file, so there is no course in it".into(),
            help: "begin with lessons/outline.yml, lessons/centre.yml and lessons/competencies.yml".into(),
        });
    }
    Ok(paths)
}

/// Reads every file of a course.
///
/// # Errors
/// [`Unreadable`], as of [`list`].
pub fn read(course: &Path) -> Result<Sources, Unreadable> {
    let paths = list(course)?;
    let files: Result<Vec<File>, Unreadable> = paths.par_iter().map(|path| read_file(course, path)).collect();
    let mut files = files?;
    files.sort_by(|a, b| a.path.cmp(&b.path));
    Ok(Sources { files })
}

/// A path from a folder, with forward slashes on every system.
pub fn relative(folder: &Path, path: &Path) -> String {
    let parts = path.strip_prefix(folder).unwrap_or(path).components();
    let parts: Vec<_> = parts.map(|part| part.as_os_str().to_string_lossy()).collect();
    parts.join("/")
}

fn read_file(course: &Path, path: &Path) -> Result<File, Unreadable> {
    let unreadable = |why: String, help: &str| Unreadable {
        path: path.to_owned(),
        why,
        help: help.into(),
    };
    let bytes = std::fs::read(path)
        .map_err(|error| unreadable(format!("cannot be read: {error}"), "check that the file can be read"))?;
    let relative = relative(course, path);
    if !is_source(&relative) {
        return Ok(File {
            path: relative,
            body: Body::Media(bytes),
        });
    }
    if bytes.len() as u64 > LARGEST {
        return Err(unreadable(
            format!(
                "is {} MB, more than the {} MB that a source may have",
                bytes.len() / 1_000_000,
                LARGEST / 1_000_000
            ),
            "split it, or move what is not a source elsewhere",
        ));
    }
    let body = match String::from_utf8(bytes) {
        Ok(text) => Body::Text(text.strip_prefix('\u{feff}').map(str::to_owned).unwrap_or(text)),
        Err(error) => Body::NotText(error.utf8_error().valid_up_to()),
    };
    Ok(File { path: relative, body })
}

/// Sources are the YAML and Markdown of `lessons/` and `quizzes/`; the rest is copied or is the theme's.
fn is_source(path: &str) -> bool {
    let yaml_or_markdown = path.ends_with(".yml") || path.ends_with(".md");
    yaml_or_markdown && !path.starts_with("theme/")
}
