//! An export held against the register: every alteration is named.

use super::super::compare::look_over;
use super::super::personal::misfit;
use super::super::{Error, Finding, Head, Register, Sqlite, Store, ledger, walked};
use super::earlier::Earlier;
use super::{
    CHAIN, Chain, Collected, DETAILS, Detail, FORMAT, Files, STANDING, STATEMENTS, WAITING, WORDS, collect, export,
    head_of, made_by, own_details, waiting,
};
use crate::marking::canonical;
use crate::record::Details;
use crate::standing::Day;
use jiff::tz::TimeZone;
use serde::Serialize;
use serde_json::Value;
use std::collections::{BTreeMap, BTreeSet};
use std::fmt;

/// What holding an export against the register found.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct ExportCheck {
    pub person: String,
    /// The day of its standing.
    pub on: jiff::civil::Date,
    /// How many rows the register had when it was made, and has now.
    pub rows: u64,
    pub register_rows: u64,
    /// What was altered; nothing if all of it fits.
    pub findings: Vec<Finding>,
    /// What is no alteration, and good to know.
    pub remarks: Vec<String>,
}

/// Why files are no export.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum BadExport {
    Register(Error),
    Unreadable(String),
    Newer(u32),
}

impl From<Error> for BadExport {
    fn from(error: Error) -> Self {
        Self::Register(error)
    }
}

impl fmt::Display for BadExport {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Register(error) => error.fmt(f),
            Self::Unreadable(why) => write!(f, "this is not an export of a register: {why}"),
            Self::Newer(format) => write!(
                f,
                "the export was made by a newer Pitwright (format {format}); check it with that one"
            ),
        }
    }
}

impl std::error::Error for BadExport {}

/// Holds an export against the register it was taken from.
///
/// # Errors
/// [`BadExport`] if the files are no export, or the register cannot be read.
pub fn check_export(store: &Sqlite, files: &Files) -> Result<ExportCheck, BadExport> {
    let chain = read_chain(files)?;
    let present = store.head()?;
    let mut check = Check {
        files,
        chain: &chain,
        findings: Vec::new(),
        remarks: Vec::new(),
    };
    for fault in look_over(store)?.1 {
        check.find(None, None, format!("the register itself does not hold: {fault}"));
    }
    let head = check.head(store, &present)?;
    let named = super::Named::read(store)?;
    let given = check.given_details();
    let mut details = store.details()?;
    // What was erased since is not in the register any more. Its digest is, and vouches for what the export holds.
    for detail in &given {
        let erased_since = named
            .by_digest
            .get(&detail.digest)
            .and_then(|naming| naming.erased)
            .is_some_and(|row| row > head.seq);
        if erased_since
            && let Some(body) = detail.details.as_ref().and_then(|of| of.body().ok())
            && misfit(&detail.digest, &body).is_none()
        {
            details.insert(detail.digest.clone(), body);
            check.remarks.push(format!(
                "details of statement {} were erased from the register since, and the export still holds them",
                detail.statement
            ));
        }
    }
    let earlier = Earlier { store, head, details };
    let collected = collect(&earlier, &chain.person)?;
    let all = check.statements(store, &collected)?;
    check.details(&earlier, &given)?;
    check.waiting(store)?;
    check.rest(earlier)?;
    let since = collect(store, &chain.person)?.statements.len() - all;
    if since > 0 {
        check.remarks.push(format!(
            "{since} statements of {} came into the register since",
            chain.person
        ));
    }
    Ok(ExportCheck {
        person: chain.person.clone(),
        on: chain.on,
        rows: chain.rows,
        register_rows: present.seq,
        findings: check.findings,
        remarks: check.remarks,
    })
}

fn read_chain(files: &Files) -> Result<Chain, BadExport> {
    let bytes = files
        .get(CHAIN)
        .ok_or_else(|| BadExport::Unreadable(format!("there is no {CHAIN} in it")))?;
    let unreadable = |why: serde_json::Error| BadExport::Unreadable(format!("{CHAIN} cannot be read: {why}"));
    let value: Value = serde_json::from_slice(bytes).map_err(unreadable)?;
    match value["format"].as_u64() {
        Some(format) if format > u64::from(FORMAT) => Err(BadExport::Newer(u32::try_from(format).unwrap_or(u32::MAX))),
        _ => serde_json::from_value(value).map_err(unreadable),
    }
}

struct Check<'a> {
    files: &'a Files,
    chain: &'a Chain,
    findings: Vec<Finding>,
    remarks: Vec<String>,
}

impl Check<'_> {
    fn find(&mut self, row: Option<u64>, id: Option<&str>, says: String) {
        self.findings.push(Finding {
            row,
            id: id.map(str::to_owned),
            says,
        });
    }

    /// The end of the log when the export was made, as far as the register bears it out.
    fn head(&mut self, store: &impl Store, present: &Head) -> Result<Head, Error> {
        let claimed = head_of(self.chain);
        let row = store.read_from(claimed.seq, 1)?;
        match row.first().filter(|row| row.seq == claimed.seq) {
            Some(row) if row.hash == claimed.hash => Ok(claimed),
            Some(row) => {
                let says = format!(
                    "the export names another hash for row {} than the register has: it was taken from another register, or one of the two was altered",
                    row.seq
                );
                self.find(Some(row.seq), None, says);
                Ok(Head {
                    seq: row.seq,
                    hash: row.hash.clone(),
                })
            }
            None if claimed.seq == 0 => Ok(claimed),
            None => {
                let says = format!(
                    "the export was taken from {} rows, and the register has {}: it was taken from another register, or one of the two was altered",
                    claimed.seq, present.seq
                );
                self.find(None, None, says);
                Ok(present.clone())
            }
        }
    }

    /// The items of a JSON array in the export.
    fn items(&mut self, name: &str) -> Option<Vec<Value>> {
        let bytes = self.files.get(name)?;
        match serde_json::from_slice(bytes) {
            Ok(items) => Some(items),
            Err(why) => {
                self.find(None, None, format!("{name} cannot be read: {why}"));
                None
            }
        }
    }

    /// Holds the statements against those of the register. Gives how many there should be.
    fn statements(&mut self, store: &impl Store, collected: &Collected) -> Result<usize, Error> {
        let due: BTreeMap<&str, (usize, &super::Link, &crate::record::Statement)> = collected
            .statements
            .iter()
            .enumerate()
            .map(|(place, (link, statement))| (link.id.as_str(), (place, link, statement)))
            .collect();
        let Some(items) = self.items(STATEMENTS) else {
            return Ok(due.len());
        };
        let strange = whose(store, &items)?;
        let mut seen: BTreeSet<String> = BTreeSet::new();
        let mut last = None;
        for (number, item) in items.iter().enumerate() {
            let id = &id_of(item);
            let Some((place, link, statement)) = due.get(id.as_str()) else {
                let says = match strange.get(id) {
                    Some((row, person)) => format!(
                        "statement {id}, number {} in {STATEMENTS}, was added: in the register it is {person}'s, row {row}",
                        number + 1
                    ),
                    None => format!(
                        "statement {id}, number {} in {STATEMENTS}, was added: the register has none of this id",
                        number + 1
                    ),
                };
                self.find(None, Some(id), says);
                continue;
            };
            let about = statement.about();
            if !seen.insert(id.clone()) {
                self.find(
                    Some(link.row),
                    Some(id),
                    format!("statement {id} ({about}) is there twice"),
                );
                continue;
            }
            if canonical(item).ok().as_deref() != Some(statement.body.as_bytes()) {
                let says = format!("statement {id} was changed; in the register, row {}: {about}", link.row);
                self.find(Some(link.row), Some(id), says);
            }
            if last.is_some_and(|last| last > *place) {
                let says = format!("statement {id} ({about}) stands in another place than in the register");
                self.find(Some(link.row), Some(id), says);
            }
            last = last.max(Some(*place));
        }
        for (link, statement) in collected.statements.iter().filter(|(link, _)| !seen.contains(&link.id)) {
            let says = format!(
                "statement {} was taken out; in the register, row {}: {}",
                link.id,
                link.row,
                statement.about()
            );
            self.find(Some(link.row), Some(&link.id), says);
        }
        Ok(due.len())
    }

    fn given_details(&mut self) -> Vec<Detail> {
        let items = self.items(DETAILS).unwrap_or_default();
        let mut given = Vec::new();
        for item in items {
            match serde_json::from_value(item) {
                Ok(detail) => given.push(detail),
                Err(why) => self.find(None, None, format!("an entry of {DETAILS} cannot be read: {why}")),
            }
        }
        given
    }

    fn details(&mut self, earlier: &impl Store, given: &[Detail]) -> Result<(), Error> {
        let mut kept: BTreeMap<String, Details> = BTreeMap::new();
        for (digest, body) in earlier.details()? {
            if let Ok(details) = serde_json::from_str(&body) {
                kept.insert(digest, details);
            }
        }
        let due = own_details(earlier, &self.chain.person, &kept)?;
        for detail in &due {
            let of = format!("the details of statement {}", detail.statement);
            match given.iter().find(|given| given.digest == detail.digest) {
                None => self.find(None, Some(&detail.statement), format!("{of} were taken out")),
                Some(given) if given != detail => {
                    self.find(None, Some(&detail.statement), format!("{of} were changed"));
                }
                Some(_) => {}
            }
        }
        for added in given
            .iter()
            .filter(|given| due.iter().all(|due| due.digest != given.digest))
        {
            let says = format!(
                "details with the digest {} were added: no statement of {} names them",
                added.digest, self.chain.person
            );
            self.find(None, None, says);
        }
        Ok(())
    }

    /// What waited then may wait still, or be in the log by now. What was refused since cannot be told from what was added.
    fn waiting(&mut self, store: &impl Store) -> Result<(), Error> {
        let Some(items) = self.items(WAITING) else {
            return Ok(());
        };
        if items.is_empty() {
            return Ok(());
        }
        let mut known: BTreeSet<String> = waiting(store, &self.chain.person)?.into_iter().collect();
        let own = collect(store, &self.chain.person)?;
        known.extend(own.statements.into_iter().map(|(_, statement)| statement.body));
        for item in &items {
            let body = canonical(item).ok().and_then(|body| String::from_utf8(body).ok());
            if body.is_none_or(|body| !known.contains(&body)) {
                let id = &id_of(item);
                let says = format!(
                    "statement {id} in {WAITING} is not in the register: it was changed or added, or the register refused it since"
                );
                self.find(None, Some(id), says);
            }
        }
        Ok(())
    }

    /// Makes the export anew from the register's rows of that time, and compares file by file.
    fn rest<S: Store>(&mut self, earlier: Earlier<S>) -> Result<(), Error> {
        let zone = self.chain.zone.as_deref().map(TimeZone::get);
        let day = Day {
            date: self.chain.on,
            zone: match zone {
                Some(Ok(zone)) => zone,
                _ => TimeZone::system(),
            },
        };
        let told = !self.findings.is_empty();
        let same_program = self.chain.made_by == made_by();
        let due = export(&Register::open(earlier)?, &self.chain.person, &day)?;
        let names: BTreeSet<&String> = due.keys().chain(self.files.keys()).collect();
        for name in names {
            match (self.files.get(name), due.get(name)) {
                // What waited then is not known any more; it was held against the register before.
                (Some(_), Some(_)) if name == WAITING => {}
                (Some(given), Some(due)) if given == due => {}
                (Some(_), Some(_)) if !same_program && (name == STANDING || name == WORDS) => {
                    self.remarks.push(format!(
                        "{name} is not what this program writes; the export was made by {}, which may word it otherwise",
                        self.chain.made_by
                    ));
                }
                // The words tell how much waited.
                (Some(given), Some(due)) if name == WORDS && without_waiting(given) == without_waiting(due) => {}
                // Named above, statement by statement.
                (Some(_), Some(_)) if told && (name == STATEMENTS || name == DETAILS) => {}
                (Some(_), Some(_)) => self.find(None, None, format!("{name} was changed")),
                (Some(_), None) => self.find(None, None, format!("{name} was added")),
                (None, _) => self.find(None, None, format!("{name} was taken out")),
            }
        }
        Ok(())
    }
}

fn without_waiting(words: &[u8]) -> String {
    let text = String::from_utf8_lossy(words);
    let lines = text.lines().filter(|line| !line.starts_with(WAITING));
    lines.collect::<Vec<_>>().join("\n")
}

/// A statement's id as the register has it.
fn id_of(item: &Value) -> String {
    item["id"].as_str().unwrap_or_default().to_ascii_lowercase()
}

/// Whose statements these are in the register, by id: row and person.
fn whose(store: &impl Store, items: &[Value]) -> Result<BTreeMap<String, (u64, String)>, Error> {
    let ids: BTreeSet<String> = items.iter().map(id_of).collect();
    let mut whose = BTreeMap::new();
    walked(store, |row| {
        if ids.contains(&row.id)
            && let Ok(statement) = ledger::statement(row)
        {
            whose.insert(row.id.clone(), (row.seq, statement.person));
        }
    })?;
    Ok(whose)
}
