//! Codes in a hand-in file that are nearly somebody's: typed wrongly on a phone, they would become a person of their own.

use super::{Register, Store};
use crate::record::{HandIn, alike, near};
use serde::Serialize;
use std::collections::BTreeMap;

/// A code that nothing is on record of, and that could be a slip of the thumb.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Stranger {
    pub code: String,
    /// Whose code may have been meant.
    pub near: Vec<String>,
    /// How many statements of the file carry the code.
    pub statements: usize,
}

impl<S: Store> Register<S> {
    /// The codes of a file that are new to the register and nearly the code of somebody who joined, or look like the code of
    /// anybody on record (O for 0, no hyphen). A new hand's code is often one digit from the last one's: where nobody is ever
    /// entered as joining, that says nothing.
    pub fn strangers(&self, hand_in: &HandIn) -> Vec<Stranger> {
        let mut counts: BTreeMap<&str, usize> = BTreeMap::new();
        for (_, read) in &hand_in.statements {
            if let Ok(statement) = read {
                *counts.entry(&statement.person).or_default() += 1;
            }
        }
        let ledger = &self.ledger;
        counts
            .into_iter()
            .filter(|(code, _)| !ledger.people.contains(*code))
            .filter_map(|(code, statements)| {
                let same = ledger.people.iter().filter(|known| alike(known) == alike(code));
                let mut meant: Vec<String> = same.cloned().collect();
                if meant.is_empty() {
                    let joined = ledger.joined.iter().map(String::as_str);
                    meant = near(code, joined).into_iter().map(str::to_owned).collect();
                }
                (!meant.is_empty()).then(|| Stranger {
                    code: code.to_owned(),
                    near: meant,
                    statements,
                })
            })
            .collect()
    }
}
