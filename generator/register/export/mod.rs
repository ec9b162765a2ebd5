//! All that the register holds of one person, as files in an open form: the same files each time from the same rows.

use super::personal::Named;
use super::{Error, Head, Register, Store, walked};
use crate::record::{Deed, Details, Statement, Verb, What};
use crate::standing::{Day, Person, person, voided_by};
use serde::{Deserialize, Serialize};
use serde_json::Value;
use std::collections::{BTreeMap, BTreeSet};

mod check;
mod earlier;
mod words;

pub use check::{BadExport, ExportCheck, check_export};

/// Path → bytes.
pub type Files = BTreeMap<String, Vec<u8>>;

/// The version of the export's form.
const FORMAT: u32 = 1;

const CHAIN: &str = "chain.json";
const STATEMENTS: &str = "statements.json";
const WAITING: &str = "waiting.json";
const DETAILS: &str = "details.json";
const STANDING: &str = "standing.json";
const WORDS: &str = "what-is-in-this.txt";

/// Where the statements stand in the chain, and of what state of the register all of it was made.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "camelCase", deny_unknown_fields)]
struct Chain {
    /// [`FORMAT`].
    format: u32,
    /// What made it: the program and its version.
    made_by: String,
    course: String,
    home: String,
    person: String,
    /// The day of the standing.
    on: jiff::civil::Date,
    /// The time zone that counts the days; none if the system gave it no name.
    zone: Option<String>,
    /// How many rows the register had, and the hash of the last one.
    rows: u64,
    head: String,
    statements: Vec<Link>,
}

/// A statement's row.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct Link {
    row: u64,
    id: String,
    taken: String,
    hash: String,
}

/// A name or note, and the statement that names it by its digest.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "camelCase", deny_unknown_fields)]
struct Detail {
    statement: String,
    digest: String,
    /// None if it was erased.
    details: Option<Details>,
    /// The row of the statement by which it was erased.
    erased_by: Option<u64>,
}

/// What is gathered from the log for an export.
struct Collected {
    /// The person's own statements, inspections by others that the person was included in, and what voided one of those.
    statements: Vec<(Link, Statement)>,
    /// How many statements about other people name this person as the one who answers for them.
    answers_for: usize,
    /// The bodies of markings, by name.
    markings: BTreeMap<String, String>,
}

/// All that a register holds of one person, with the standing at the end of a day.
///
/// # Errors
/// [`Error`] if the register or a row of it cannot be read, or it holds no course.
pub fn export<S: Store>(register: &Register<S>, code: &str, day: &Day) -> Result<Files, Error> {
    let store = register.store();
    let (_, marking) = register
        .markings()
        .on(day)
        .ok_or_else(|| Error::Store("it holds no course yet".to_owned()))?;
    let collected = collect(store, code)?;
    let all: Vec<Statement> = register.statements()?;
    let details = register.details()?;
    let standing = person(code, &all, register.markings(), &details, day);
    let waiting = waiting(store, code)?;
    let details = own_details(store, code, &details)?;
    let head = store.head()?;
    let chain = Chain {
        format: FORMAT,
        made_by: made_by(),
        course: marking.course.clone(),
        home: marking.home.clone(),
        person: code.to_owned(),
        on: day.date,
        zone: day.zone.iana_name().map(str::to_owned),
        rows: head.seq,
        head: head.hash,
        statements: collected.statements.iter().map(|(link, _)| link.clone()).collect(),
    };
    let mut files = Files::new();
    let named = collected.statements.iter().map(|(_, statement)| &statement.marking);
    let in_force = register.markings().on(day).map(|(hash, _)| hash.to_owned());
    let hashes: BTreeSet<&String> = named.chain(&in_force).collect();
    for hash in hashes {
        if let Some(body) = collected.markings.get(hash) {
            files.insert(marking_file(hash), body.clone().into_bytes());
        }
    }
    let words = words::words(&words::Said {
        chain: &chain,
        title: &marking.title,
        collected: &collected,
        waiting: waiting.len(),
        details: &details,
        standing: standing.as_ref(),
    });
    files.insert(WORDS.to_owned(), words.into_bytes());
    let bodies = collected
        .statements
        .iter()
        .map(|(_, statement)| statement.body.as_str());
    files.insert(STATEMENTS.to_owned(), lines(bodies));
    files.insert(WAITING.to_owned(), lines(waiting.iter().map(String::as_str)));
    files.insert(CHAIN.to_owned(), pretty(&chain)?);
    files.insert(DETAILS.to_owned(), pretty(&details)?);
    files.insert(STANDING.to_owned(), pretty(&standing)?);
    Ok(files)
}

fn made_by() -> String {
    format!("pitwright {}", env!("CARGO_PKG_VERSION"))
}

fn marking_file(hash: &str) -> String {
    format!("markings/marking-{hash}.json")
}

fn collect(store: &impl Store, code: &str) -> Result<Collected, Error> {
    let mut collected = Collected {
        statements: Vec::new(),
        answers_for: 0,
        markings: BTreeMap::new(),
    };
    let mut bad = None;
    let (quoted, voiding) = (format!("\"{code}\""), Verb::Voided.iri());
    let mut included = BTreeSet::new();
    walked(store, |row| {
        if row.kind == super::Kind::Marking.word() {
            collected.markings.insert(row.id.clone(), row.body.clone());
        }
        // A statement that names the person nowhere need not be read.
        if row.kind != super::Kind::Statement.word() || !(row.body.contains(&quoted) || row.body.contains(&voiding)) {
            return;
        }
        match super::ledger::statement(row) {
            Err(why) => bad = bad.take().or(Some(why)),
            Ok(statement)
                if statement.person == code
                    || includes(&statement, code)
                    || voided_by(&statement).is_some_and(|entry| included.contains(entry)) =>
            {
                included.insert(statement.id.clone());
                let link = Link {
                    row: row.seq,
                    id: row.id.clone(),
                    taken: row.taken.clone(),
                    hash: row.hash.clone(),
                };
                collected.statements.push((link, statement));
            }
            Ok(statement) => {
                let by = matches!(&statement.deed, Deed::Entered(event) if event.by == code);
                collected.answers_for += usize::from(by);
            }
        }
    })?;
    bad.map_or(Ok(collected), Err)
}

/// Whether it is an inspection that included the person.
fn includes(statement: &Statement, code: &str) -> bool {
    match &statement.deed {
        Deed::Entered(event) => match &event.what {
            What::Inspected(inspection) => inspection.included.iter().any(|included| included == code),
            _ => false,
        },
        _ => false,
    }
}

/// The bodies of a person's statements that wait outside the log.
fn waiting(store: &impl Store, code: &str) -> Result<Vec<String>, Error> {
    let held = store.held()?;
    let own = |body: &str| {
        serde_json::from_str::<Value>(body).is_ok_and(|value| value["actor"]["account"]["name"].as_str() == Some(code))
    };
    Ok(held
        .into_iter()
        .map(|held| held.body)
        .filter(|body| own(body))
        .collect())
}

/// Whether the register holds anything of a person, be it only what waits.
///
/// # Errors
/// [`Error`] if the store cannot be read.
pub fn holds_of<S: Store>(register: &Register<S>, code: &str) -> Result<bool, Error> {
    Ok(register.ledger().people.contains(code) || !waiting(register.store(), code)?.is_empty())
}

fn own_details(store: &impl Store, code: &str, kept: &BTreeMap<String, Details>) -> Result<Vec<Detail>, Error> {
    let named = Named::read(store)?;
    let mut own: Vec<(u64, Detail)> = named
        .by_digest
        .iter()
        .filter(|(_, naming)| naming.person == code)
        .map(|(digest, naming)| {
            let detail = Detail {
                statement: naming.id.clone(),
                digest: digest.clone(),
                details: kept.get(digest).cloned(),
                erased_by: naming.erased,
            };
            (naming.row, detail)
        })
        .collect();
    own.sort_by_key(|(row, _)| *row);
    Ok(own.into_iter().map(|(_, detail)| detail).collect())
}

/// A JSON array with one item a line.
fn lines<'a>(bodies: impl Iterator<Item = &'a str>) -> Vec<u8> {
    let bodies: Vec<&str> = bodies.collect();
    if bodies.is_empty() {
        return b"[]\n".to_vec();
    }
    format!("[\n{}\n]\n", bodies.join(",\n")).into_bytes()
}

fn pretty(value: &impl Serialize) -> Result<Vec<u8>, Error> {
    let mut text = serde_json::to_string_pretty(value).map_err(|why| Error::Store(why.to_string()))?;
    text.push('\n');
    Ok(text.into_bytes())
}

/// What is said of a standing in words.
fn standings(person: Option<&Person>) -> &[crate::standing::Competence] {
    person.map_or(&[], |person| &person.competencies)
}

/// The end of the log as an export names it.
fn head_of(chain: &Chain) -> Head {
    Head {
        seq: chain.rows,
        hash: chain.head.clone(),
    }
}
