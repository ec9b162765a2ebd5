//! Looking a register's file over, and holding one register against another, row by row.

use super::chain::Walk;
use super::personal::{Named, names_or_notes};
use super::{Error, Head, ROWS, Sqlite, Store, walked};
use serde::Serialize;
use std::collections::BTreeSet;
use std::path::Path;

/// How many faults of a file are named; a spoilt one has thousands.
const FAULTS: usize = 20;

/// Looks a register over: the file is sound as a database, nothing of the log's guard is gone, the chain holds.
/// Gives all that is wrong in words, and the end of the log.
///
/// # Errors
/// [`Error`] if the file is no register that this program can open. What is wrong within it is no error.
pub(super) fn look_over(store: &Sqlite) -> Result<(Head, Vec<String>), Error> {
    let mut faults = store.faults(FAULTS)?;
    if !faults.is_empty() {
        return Ok((store.head().unwrap_or_default(), faults));
    }
    let guards = store.missing_guards()?;
    faults.extend(
        guards
            .iter()
            .map(|guard| format!("the guard `{guard}` of the log is gone")),
    );
    let mut walk = Walk::new();
    walked(store, |row| {
        if faults.len() < FAULTS {
            faults.extend(walk.step(row).iter().map(ToString::to_string));
        }
    })?;
    if faults.is_empty() {
        let details = Named::read(store)?.faults(&store.details()?);
        faults.extend(details.into_iter().map(|(_, _, says)| says).take(FAULTS));
    }
    Ok((store.head()?, faults))
}

/// Opens a file and looks it over. A file that is spoilt within is told of in words, as one that is whole.
///
/// # Errors
/// As [`look_over`].
pub(super) fn open_and_look(path: &Path) -> Result<(Option<Sqlite>, Head, Vec<String>), Error> {
    let opened = Sqlite::read(path).and_then(|store| {
        let (head, faults) = look_over(&store)?;
        Ok((Some(store), head, faults))
    });
    match opened {
        Err(Error::Store(why)) => Ok((None, Head::default(), vec![why])),
        Err(row @ Error::Row { .. }) => Ok((None, Head::default(), vec![row.to_string()])),
        other => other,
    }
}

/// How a copy stands to the register.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Relation {
    /// The same rows.
    Same,
    /// The register has all rows of the copy, and more since.
    Earlier,
    /// The copy has all rows of the register, and more.
    Later,
    /// From some row on, each goes its own way.
    Parted,
}

/// A copy held against the register.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Comparison {
    pub relation: Relation,
    pub copy_rows: u64,
    pub register_rows: u64,
    /// Rows, from the first on, that are the same in both.
    pub same_rows: u64,
    /// The codes of people whose names or notes the copy holds and which were erased from the register since.
    pub erased_since: Vec<String>,
    /// How many details the copy holds that the register lost without an erasure.
    pub lost_details: usize,
    /// How many details the rows of the copy name that only the register holds.
    pub details_not_copied: usize,
    /// How many statements wait in the register, and not in the copy.
    pub waiting_not_copied: usize,
}

impl Comparison {
    /// What the register has and the copy lacks, in words; nothing if the copy has it all.
    pub fn copy_lacks(&self) -> Vec<String> {
        let mut lacks = Vec::new();
        if self.same_rows < self.register_rows {
            lacks.push(rows(self.register_rows - self.same_rows));
        }
        if self.waiting_not_copied > 0 {
            lacks.push(counted(self.waiting_not_copied as u64, "waiting statement"));
        }
        if self.details_not_copied > 0 {
            lacks.push(names_or_notes(self.details_not_copied));
        }
        lacks
    }

    /// Whether the copy has rows or details that the register lacks.
    pub fn register_lacks(&self) -> bool {
        self.same_rows < self.copy_rows || self.lost_details > 0
    }

    /// In words.
    pub fn says(&self) -> String {
        let (copy, register, same) = (self.copy_rows, self.register_rows, self.same_rows);
        match self.relation {
            Relation::Same => format!("it has the same {} as the register", rows(copy)),
            Relation::Earlier => format!(
                "it is an earlier state of the register: the register has its {} and {} since",
                rows(copy),
                more(register - same)
            ),
            Relation::Later => format!(
                "it is a later state of the register: it has the register's {} and {}",
                rows(register),
                more(copy - same)
            ),
            Relation::Parted => format!(
                "it is not an earlier state of the register: the first {} are the same, and from row {} on the two differ (it has {}, the register {})",
                rows(same),
                same + 1,
                rows(copy),
                rows(register)
            ),
        }
    }
}

/// A number of rows in words.
pub fn rows(count: u64) -> String {
    counted(count, "row")
}

fn counted(count: u64, what: &str) -> String {
    if count == 1 {
        format!("1 {what}")
    } else {
        format!("{count} {what}s")
    }
}

fn more(count: u64) -> String {
    format!("{count} more")
}

/// Holds a copy against the register. Rows are compared whole, so that it does not matter whether either chain holds.
///
/// # Errors
/// [`Error`] if one of them cannot be read.
pub fn compare(copy: &impl Store, register: &impl Store) -> Result<Comparison, Error> {
    let (copy_rows, register_rows) = (copy.head()?.seq, register.head()?.seq);
    let same_rows = same_rows(copy, register)?;
    let relation = match (same_rows == copy_rows, same_rows == register_rows) {
        (true, true) => Relation::Same,
        (true, false) => Relation::Earlier,
        (false, true) => Relation::Later,
        (false, false) => Relation::Parted,
    };
    let (in_copy, in_register) = (copy.details()?, register.details()?);
    let (copy_names, register_names) = (Named::read(copy)?, Named::read(register)?);
    let common = |names: &Named, digest: &String| {
        names
            .by_digest
            .get(digest)
            .is_some_and(|naming| naming.row <= same_rows)
    };
    let mut erased_since = BTreeSet::new();
    let mut lost_details = 0;
    for digest in in_copy.keys().filter(|digest| !in_register.contains_key(*digest)) {
        match register_names.by_digest.get(digest) {
            Some(naming) if naming.erased.is_some() => {
                erased_since.insert(naming.person.clone());
            }
            _ => lost_details += usize::from(common(&copy_names, digest)),
        }
    }
    let details_not_copied = in_register
        .keys()
        .filter(|digest| !in_copy.contains_key(*digest) && common(&register_names, digest))
        .filter(|digest| {
            copy_names
                .by_digest
                .get(*digest)
                .is_some_and(|naming| naming.erased.is_none())
        })
        .count();
    let waiting: BTreeSet<(String, String)> = copy.held()?.into_iter().map(|held| (held.id, held.batch)).collect();
    let waiting_not_copied = register
        .held()?
        .into_iter()
        .filter(|held| !waiting.contains(&(held.id.clone(), held.batch.clone())))
        .count();
    Ok(Comparison {
        relation,
        copy_rows,
        register_rows,
        same_rows,
        erased_since: erased_since.into_iter().collect(),
        lost_details,
        details_not_copied,
        waiting_not_copied,
    })
}

fn same_rows(one: &impl Store, other: &impl Store) -> Result<u64, Error> {
    let mut same = 0;
    loop {
        let (a, b) = (one.read_from(same + 1, ROWS)?, other.read_from(same + 1, ROWS)?);
        let alike = a.iter().zip(&b).take_while(|(a, b)| a == b && a.seq > same).count();
        same += alike as u64;
        if alike < ROWS {
            return Ok(same);
        }
    }
}

/// What a look at a backup found.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Checkup {
    pub rows: u64,
    /// The hash of its last row.
    pub head: String,
    /// What is wrong within it; nothing if it is a whole register.
    pub faults: Vec<String>,
    /// How it stands to the register; none if there is no register to hold it against, or it is not whole.
    pub comparison: Option<Comparison>,
}

impl Checkup {
    /// A whole register and an earlier state of the one in use.
    pub fn clean(&self) -> bool {
        let fits = |comparison: &Comparison| !comparison.register_lacks() && comparison.details_not_copied == 0;
        self.faults.is_empty() && self.comparison.as_ref().is_none_or(fits)
    }
}

/// Looks a backup over and holds it against the register, if there is one.
///
/// # Errors
/// [`Error`] if the file is no register at all, is not there, or the register cannot be read.
pub fn check(file: &Path, register: Option<&Sqlite>) -> Result<Checkup, Error> {
    let (store, head, faults) = open_and_look(file)?;
    let comparison = match (&store, register) {
        (Some(copy), Some(register)) if faults.is_empty() => Some(compare(copy, register)?),
        _ => None,
    };
    Ok(Checkup {
        rows: head.seq,
        head: head.hash,
        faults,
        comparison,
    })
}
