//! Personal details: which statements name them, which were erased, and whether what is kept fits that.

use super::{Entry, Error, Store, ledger, walked};
use crate::marking::sha256_hex;
use crate::record::{Deed, Details, Statement, What, term};
use std::collections::BTreeMap;

/// A statement that names details.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Naming {
    pub row: u64,
    pub id: String,
    pub person: String,
    /// The row of the statement by which they were erased.
    pub erased: Option<u64>,
}

/// What the log says of personal details, by digest.
#[derive(Debug, Clone, Default)]
pub(super) struct Named {
    pub by_digest: BTreeMap<String, Naming>,
    /// What does not fit in the log itself: row, id, in words.
    misfits: Vec<(u64, String, String)>,
}

impl Named {
    /// Reads it from a log.
    pub(super) fn read(store: &impl Store) -> Result<Self, Error> {
        let mut named = Self::default();
        let mut bad = None;
        let (details, digests) = (term("details"), term("digests"));
        walked(store, |row: &Entry| {
            // Reading a statement is slow; nearly all of them name no details.
            if row.body.contains(&details) || row.body.contains(&digests) {
                match ledger::statement(row) {
                    Ok(statement) => named.see(row.seq, &statement),
                    Err(why) => bad = bad.take().or(Some(why)),
                }
            }
        })?;
        bad.map_or(Ok(named), Err)
    }

    /// Takes the next statement of the log into account.
    pub(super) fn see(&mut self, row: u64, statement: &Statement) {
        let Deed::Entered(event) = &statement.deed else {
            return;
        };
        let misfit = |says: String| (row, statement.id.clone(), says);
        if let Some(digest) = &event.details {
            match self.by_digest.get(digest) {
                Some(first) => self.misfits.push(misfit(format!(
                    "row {row}: it names the details that belong to row {}",
                    first.row
                ))),
                None => {
                    self.by_digest.insert(
                        digest.clone(),
                        Naming {
                            row,
                            id: statement.id.clone(),
                            person: statement.person.clone(),
                            erased: None,
                        },
                    );
                }
            }
        }
        if let What::Erased { digests } = &event.what {
            for digest in digests {
                match self.by_digest.get_mut(digest) {
                    Some(naming) if naming.person == statement.person => {
                        naming.erased.get_or_insert(row);
                    }
                    Some(naming) => self.misfits.push(misfit(format!(
                        "row {row}: an erasure for {} names details of {}, from row {}",
                        statement.person, naming.person, naming.row
                    ))),
                    None => self.misfits.push(misfit(format!(
                        "row {row}: an erasure names details {digest}, which no row before it names"
                    ))),
                }
            }
        }
    }

    /// The digests of one person's details that were not erased.
    pub(super) fn of(&self, person: &str) -> Vec<&String> {
        self.by_digest
            .iter()
            .filter(|(_, naming)| naming.person == person && naming.erased.is_none())
            .map(|(digest, _)| digest)
            .collect()
    }

    /// What does not fit between the log and the details that are kept: row, id, in words.
    pub(super) fn faults(&self, kept: &BTreeMap<String, String>) -> Vec<(Option<u64>, Option<String>, String)> {
        let mut faults: Vec<_> = self
            .misfits
            .iter()
            .map(|(row, id, says)| (Some(*row), Some(id.clone()), says.clone()))
            .collect();
        for (digest, naming) in &self.by_digest {
            let row = naming.row;
            let says = match (kept.get(digest), naming.erased) {
                (None, Some(_)) => continue,
                (None, None) => {
                    format!("row {row}: its details are missing, and no erasure says that they were erased")
                }
                (Some(_), Some(erasure)) => {
                    format!("row {row}: its details were erased by row {erasure}, and are there again")
                }
                (Some(body), None) => match misfit(digest, body) {
                    Some(why) => format!("row {row}: its details {why}"),
                    None => continue,
                },
            };
            faults.push((Some(row), Some(naming.id.clone()), says));
        }
        let strays = kept.keys().filter(|digest| !self.by_digest.contains_key(*digest));
        faults.extend(strays.map(|digest| (None, None, format!("details {digest} are kept, and no row names them"))));
        faults.sort();
        faults
    }
}

/// A number of details in words.
pub fn names_or_notes(count: usize) -> String {
    if count == 1 {
        "1 name or note".to_owned()
    } else {
        format!("{count} names or notes")
    }
}

/// Why details are not those that a digest stands for.
pub(super) fn misfit(digest: &str, body: &str) -> Option<String> {
    if sha256_hex(body.as_bytes()) != digest {
        return Some("were changed: they do not have the digest that it names".to_owned());
    }
    serde_json::from_str::<Details>(body)
        .err()
        .map(|why| format!("cannot be read: {why}"))
}
