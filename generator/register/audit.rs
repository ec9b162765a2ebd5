//! Going over the whole register again: the chain, the markings, every statement, every mark, every signature.

use super::chain::Walk;
use super::personal::Named;
use super::proofs;
use super::{Entry, Error, Head, Kind, ROWS, Store};
use crate::marking::{Marking, canonical, sha256_hex};
use crate::record::{Statement, fits, judge};
use crate::standing::{void_in_vain, voids};
use serde::Serialize;
use std::collections::{BTreeMap, BTreeSet};

/// What an audit found.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Audit {
    pub rows: u64,
    pub statements: usize,
    pub attempts: usize,
    pub markings: usize,
    /// The hash of the last row. Whoever notes it down can later prove that nothing up to it was altered or cut off.
    pub head: String,
    /// The entries that were made in error and voided, in the order of the rows.
    pub voided: Vec<VoidedRow>,
    /// First the chain, then the register as a whole, then the marks, then names and notes, each in the order of the
    /// rows; none if all is well.
    pub findings: Vec<Finding>,
}

/// An entry that counts nowhere.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct VoidedRow {
    pub row: u64,
    pub id: String,
    /// The row that voided it.
    pub by_row: u64,
    pub says: String,
}

/// One thing that does not fit.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Finding {
    /// The row at which it shows; none if it is about the register as a whole.
    pub row: Option<u64>,
    /// The statement or marking in that row.
    pub id: Option<String>,
    pub says: String,
}

/// Audits a register. `noted` is the hash of a last row that somebody noted down earlier. `step` is told, from time to
/// time, how many rows were gone over.
///
/// # Errors
/// [`Error`] if the store cannot be read at all. What is wrong in it is a finding, never an error.
pub fn audit(store: &impl Store, noted: Option<&str>, mut step: impl FnMut(u64)) -> Result<Audit, Error> {
    let mut auditor = Auditor::default();
    let mut walk = Walk::new();
    let mut noted_seen = noted.is_none();
    let mut head = Head {
        seq: 0,
        hash: super::chain::FIRST.to_owned(),
    };
    let mut from = 0;
    let mut rows = 0;
    loop {
        let batch = store.read_from(from, ROWS)?;
        let Some(last) = batch.last() else {
            break;
        };
        from = last.seq + 1;
        head = Head {
            seq: last.seq,
            hash: last.hash.clone(),
        };
        for row in &batch {
            rows += 1;
            for broken in walk.step(row) {
                auditor.find(Some(row), broken.to_string());
            }
            noted_seen |= noted.is_some_and(|noted| noted.eq_ignore_ascii_case(&row.hash));
            auditor.row(row);
        }
        step(rows);
    }
    for guard in store.missing_guards()? {
        auditor.find(
            None,
            format!("the guard `{guard}` of the log is gone: somebody has opened the register with another tool"),
        );
    }
    if !noted_seen {
        auditor.find(
            None,
            "no row has the hash that was noted down: rows were cut off, or the whole log was written anew".to_owned(),
        );
    }
    auditor.marks();
    auditor.details(&store.details()?);
    let voided = auditor.voided();
    Ok(Audit {
        rows,
        statements: auditor.statements.len(),
        attempts: auditor.attempts,
        markings: auditor.markings.len(),
        head: head.hash,
        voided,
        findings: auditor.findings,
    })
}

#[derive(Default)]
struct Auditor {
    findings: Vec<Finding>,
    markings: BTreeMap<String, Marking>,
    statements: Vec<(u64, Statement)>,
    ids: BTreeSet<(String, String)>,
    attempts: usize,
}

impl Auditor {
    fn find(&mut self, row: Option<&Entry>, says: String) {
        self.findings.push(Finding {
            row: row.map(|row| row.seq),
            id: row.map(|row| row.id.clone()),
            says,
        });
    }

    fn row(&mut self, row: &Entry) {
        if row.kind != Kind::InForce.word() && !self.ids.insert((row.kind.clone(), row.id.clone())) {
            self.find(
                Some(row),
                format!("row {}: this {} stands in the log twice", row.seq, row.kind),
            );
        }
        if row.kind == Kind::Statement.word() {
            self.statement(row);
        } else if row.kind == Kind::Marking.word() {
            self.marking(row);
        } else if row.kind != Kind::InForce.word() {
            self.find(
                Some(row),
                format!("row {}: `{}` is not a kind of row", row.seq, row.kind),
            );
        } else if !self.markings.contains_key(&row.id) {
            self.find(
                Some(row),
                format!(
                    "row {}: the marking that came into force is not in the log before it",
                    row.seq
                ),
            );
        }
    }

    fn statement(&mut self, row: &Entry) {
        let read = serde_json::from_str(&row.body)
            .map_err(|why| why.to_string())
            .and_then(|value| Statement::read(&value).map_err(|why| why.why));
        match read {
            Err(why) => self.find(
                Some(row),
                format!("row {}: the statement cannot be read: {why}", row.seq),
            ),
            Ok(statement) => {
                if statement.body != row.body {
                    self.find(
                        Some(row),
                        format!("row {}: the statement is not canonical JSON", row.seq),
                    );
                }
                if statement.id != row.id {
                    self.find(
                        Some(row),
                        format!(
                            "row {}: the row names another id than its statement, {}",
                            row.seq, statement.id
                        ),
                    );
                }
                self.statements.push((row.seq, statement));
            }
        }
    }

    fn marking(&mut self, row: &Entry) {
        if sha256_hex(row.body.as_bytes()) != row.id {
            self.find(
                Some(row),
                format!(
                    "row {}: the marking was changed: its content is not what it is named after",
                    row.seq
                ),
            );
        }
        let value = serde_json::from_str::<serde_json::Value>(&row.body);
        let plain = value
            .as_ref()
            .is_ok_and(|value| canonical(value).is_ok_and(|body| body == row.body.as_bytes()));
        if !plain {
            self.find(Some(row), format!("row {}: the marking is not canonical JSON", row.seq));
        }
        match value.and_then(serde_json::from_value::<Marking>) {
            Ok(marking) => {
                self.markings.insert(row.id.clone(), marking);
            }
            Err(why) => self.find(Some(row), format!("row {}: the marking cannot be read: {why}", row.seq)),
        }
    }

    /// Marks everything again.
    fn marks(&mut self) {
        let before = self.findings.len();
        let statements = std::mem::take(&mut self.statements);
        let mut attempts: BTreeMap<&str, Vec<&(u64, Statement)>> = BTreeMap::new();
        for pair in &statements {
            let (seq, statement) = pair;
            match &statement.registration {
                Some(registration) if statement.is_of_attempt() => attempts.entry(registration).or_default().push(pair),
                _ => {
                    let says = match self.markings.get(&statement.marking) {
                        Some(marking) => fits(statement, marking),
                        None => vec!["the register does not hold the marking it was made on".to_owned()],
                    };
                    for why in says {
                        self.misfit(*seq, statement, &format!("row {seq}: {}: {why}", statement.about()));
                    }
                }
            }
        }
        self.attempts = attempts.len();
        for (registration, parts) in attempts {
            let own: Vec<&Statement> = parts.iter().map(|(_, statement)| statement).collect();
            let judged = judge(&own, |hash| self.markings.get(hash));
            let (seq, first) = parts[0];
            for why in judged.misfits.into_iter().chain(judged.waits) {
                let says = format!("attempt {registration} of {}, from row {seq}: {why}", first.person);
                self.misfit(*seq, first, &says);
            }
        }
        for (place, why) in proofs::unproven(&statements, &self.markings) {
            let (seq, statement) = &statements[place];
            self.misfit(*seq, statement, &format!("row {seq}: {}: {why}", statement.about()));
        }
        self.findings[before..].sort();
        self.statements = statements;
    }

    /// What was voided. A statement that voids what is not there to be voided is a finding.
    fn voided(&mut self) -> Vec<VoidedRow> {
        let statements = std::mem::take(&mut self.statements);
        let all = || statements.iter().map(|(_, statement)| statement);
        let voids = voids(all());
        let rows: BTreeMap<&str, u64> = statements.iter().map(|(seq, one)| (one.id.as_str(), *seq)).collect();
        for statement in void_in_vain(all()) {
            let seq = rows.get(statement.id.as_str()).copied().unwrap_or_default();
            let says = format!(
                "row {seq}: {}: there is no such entry in this record that could be, or it was voided before",
                statement.about()
            );
            self.misfit(seq, statement, &says);
        }
        let voided = statements.iter().filter_map(|(row, statement)| {
            let void = voids.get(statement.id.as_str())?;
            let by_row = rows.get(void.id.as_str()).copied()?;
            Some(VoidedRow {
                row: *row,
                id: statement.id.clone(),
                by_row,
                says: format!(
                    "row {row}, voided by row {by_row}: {} {}",
                    statement.person,
                    statement.about()
                ),
            })
        });
        let voided = voided.collect();
        self.statements = statements;
        voided
    }

    /// Holds the names and notes that are kept against the statements that name them.
    fn details(&mut self, kept: &BTreeMap<String, String>) {
        let mut named = Named::default();
        for (seq, statement) in &self.statements {
            named.see(*seq, statement);
        }
        let faults = named.faults(kept).into_iter();
        self.findings
            .extend(faults.map(|(row, id, says)| Finding { row, id, says }));
    }

    fn misfit(&mut self, seq: u64, statement: &Statement, says: &str) {
        self.findings.push(Finding {
            row: Some(seq),
            id: Some(statement.id.clone()),
            says: says.to_owned(),
        });
    }
}
