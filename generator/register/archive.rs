//! Markings: taken in once, named by their content, and which of them is in force.
//!
//! A marking file that is given to mark older records must not become the course in use. So the course's own current
//! marking comes into force; any other only if there is none yet, or if it is plainly newer: no edition lower, one
//! higher.

use super::{Change, Error, Fresh, Kind, Ledger, Register, Store};
use crate::marking::{FORMAT, Marking, canonical, sha256_hex};
use jiff::Timestamp;
use serde::Serialize;
use serde_json::{Value, json};
use std::fmt;
use std::path::Path;

/// A marking file as it was given.
#[derive(Debug, Clone, PartialEq)]
pub struct GivenMarking {
    /// Where it came from, for people.
    pub from: String,
    pub hash: String,
    /// Canonical JSON.
    pub body: String,
    pub marking: Marking,
    /// It is the course in use.
    pub current: bool,
}

/// Why a file is not a marking.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct BadMarking(pub String);

impl fmt::Display for BadMarking {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

impl std::error::Error for BadMarking {}

/// The largest marking file that is read, in bytes.
const LARGEST: u64 = 64_000_000;

impl GivenMarking {
    /// Reads a marking file. Where the file is named after a hash, the content must have that hash.
    ///
    /// # Errors
    /// [`BadMarking`] in words.
    pub fn read(path: &Path, current: bool) -> Result<Self, BadMarking> {
        let from = path.display().to_string();
        let size = std::fs::metadata(path).map_err(|why| BadMarking(format!("{from}: {why}")))?;
        if size.len() > LARGEST {
            return Err(BadMarking(format!("{from}: far too large for a marking file")));
        }
        let bytes = std::fs::read(path).map_err(|why| BadMarking(format!("{from}: {why}")))?;
        let given = Self::from_bytes(&bytes, &from, current)?;
        let named = path
            .file_stem()
            .and_then(|stem| stem.to_str())
            .and_then(|stem| stem.strip_prefix("marking-"));
        match named {
            Some(named) if named.len() == 64 && !named.eq_ignore_ascii_case(&given.hash) => Err(BadMarking(format!(
                "{from}: it was changed after it was made: its content is {}, not what its name says",
                given.hash
            ))),
            _ => Ok(given),
        }
    }

    /// Reads a marking file's bytes.
    ///
    /// # Errors
    /// [`BadMarking`] in words.
    pub fn from_bytes(bytes: &[u8], from: &str, current: bool) -> Result<Self, BadMarking> {
        let not = |why: &dyn fmt::Display| BadMarking(format!("{from}: this is not a marking file: {why}"));
        let value: Value = serde_json::from_slice(bytes).map_err(|why| not(&why))?;
        match value.get("format").and_then(Value::as_u64) {
            Some(format) if format > u64::from(FORMAT) => {
                return Err(BadMarking(format!(
                    "{from}: it was made by a newer Pitwright (format {format}); use that one"
                )));
            }
            Some(_) => {}
            None => return Err(not(&"it has no format number")),
        }
        let body = canonical(&value).map_err(|why| not(&why))?;
        let marking: Marking = serde_json::from_value(value).map_err(|why| not(&why))?;
        Ok(Self {
            from: from.to_owned(),
            hash: sha256_hex(&body),
            body: String::from_utf8(body).map_err(|why| not(&why))?,
            marking,
            current,
        })
    }
}

/// What became of a marking file.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Archived {
    pub from: String,
    pub hash: String,
    pub title: String,
    /// It was not in the register before.
    pub new: bool,
    /// With this it became the course in use.
    pub came_into_force: bool,
    /// Why it was not taken.
    pub refused: Option<String>,
    /// What people should know about it.
    pub warning: Option<String>,
}

impl<S: Store> Register<S> {
    /// Takes markings in. Those that are known already change nothing.
    ///
    /// # Errors
    /// [`Error`] if the register cannot be read or written; then nothing was taken.
    pub fn archive(&mut self, given: &[GivenMarking], now: Timestamp) -> Result<Vec<Archived>, Error> {
        self.change(now, |_, ledger| Ok(sort(ledger, given)))
    }
}

fn sort(ledger: &Ledger, given: &[GivenMarking]) -> (Change, Vec<Archived>) {
    let mut change = Change::default();
    let mut known = ledger.markings.known.clone();
    let mut newest = ledger.markings.in_force.last().map(|(_, hash)| hash.clone());
    // The course in use goes first, so that the others are held against it.
    let mut order: Vec<&GivenMarking> = given.iter().collect();
    order.sort_by_key(|given| !given.current);
    let one_is_in_use = given.iter().any(|given| given.current);
    let mut told = Vec::new();
    for given in order {
        let mut line = Archived {
            from: given.from.clone(),
            hash: given.hash.clone(),
            title: given.marking.title.clone(),
            new: false,
            came_into_force: false,
            refused: None,
            warning: None,
        };
        let of = newest.as_ref().and_then(|hash| known.get(hash));
        if let Some(other) = of
            && (other.course != given.marking.course || other.home != given.marking.home)
        {
            line.refused = Some(format!(
                "it is of course {} at {}; this register is of course {} at {}",
                given.marking.course, given.marking.home, other.course, other.home
            ));
            told.push(line);
            continue;
        }
        let lower = of.and_then(|newest| lower_edition(newest, &given.marking));
        let comes = match (&newest, of) {
            (Some(newest), _) if *newest == given.hash => false,
            (_, Some(_)) if given.current => true,
            // What lies beside the course in use is of an earlier one, whatever its editions.
            (_, Some(_)) if one_is_in_use => false,
            (_, Some(newest)) => lower.is_none() && lower_edition(&given.marking, newest).is_some(),
            _ => true,
        };
        if comes && let Some(lower) = lower {
            line.warning = Some(format!("an edition went down: {lower}"));
        }
        line.new = !known.contains_key(&given.hash);
        if line.new {
            known.insert(given.hash.clone(), given.marking.clone());
            change.append.push(Fresh {
                kind: Kind::Marking,
                id: given.hash.clone(),
                body: given.body.clone(),
            });
        }
        if comes {
            newest = Some(given.hash.clone());
            line.came_into_force = true;
            change.append.push(Fresh {
                kind: Kind::InForce,
                id: given.hash.clone(),
                body: json!({ "marking": given.hash }).to_string(),
            });
        }
        told.push(line);
    }
    (change, told)
}

/// The first thing whose edition is lower in `new` than in `old`.
fn lower_edition(old: &Marking, new: &Marking) -> Option<String> {
    let lower = |what: &str, title: &str, old: u32, new: Option<u32>| {
        new.filter(|new| *new < old)
            .map(|new| format!("{what} “{title}” from {old} to {new}"))
    };
    let lessons = old.lessons.iter().filter_map(|was| {
        lower(
            "lesson",
            &was.title,
            was.edition,
            new.lesson(&was.id).map(|is| is.edition),
        )
    });
    let assessments = old.assessments().into_iter().filter_map(|was| {
        let is = new.assessment(&was.evidence).map(|is| is.edition);
        lower(was.evidence.sort(), was.title, was.edition, is)
    });
    lessons.chain(assessments).next()
}
