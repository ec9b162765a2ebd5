//! Entries that were made in error, and count nowhere.

use crate::record::{Deed, Statement, What};
use std::collections::{BTreeMap, BTreeSet};

/// The entries that were voided, by id, each with the statement that voided it.
pub type Voids<'a> = BTreeMap<&'a str, &'a Statement>;

/// What was voided among these statements, which may come in any order. Only what somebody entered in a person's record is, and
/// only from within that same record; where an entry was voided twice, the first time tells.
pub fn voids<'a>(statements: impl Iterator<Item = &'a Statement> + Clone) -> Voids<'a> {
    let mut by: BTreeMap<&str, Vec<&Statement>> = BTreeMap::new();
    for statement in statements.clone() {
        if let Some(entry) = voided_by(statement) {
            by.entry(entry).or_default().push(statement);
        }
    }
    // Nearly always there is nothing to look for.
    if by.is_empty() {
        return Voids::new();
    }
    let mut voids = Voids::new();
    for statement in statements {
        let Some(found) = by.get(statement.id.as_str()) else {
            continue;
        };
        let voidable = matches!(&statement.deed, Deed::Entered(event) if event.what.not_voidable().is_none());
        let own = found.iter().filter(|void| void.person == statement.person);
        if let (true, Some(first)) = (voidable, own.min_by_key(|void| (void.timestamp, &void.id))) {
            voids.insert(&statement.id, first);
        }
    }
    voids
}

/// The id of the entry that a statement voids, if it voids one.
pub fn voided_by(statement: &Statement) -> Option<&str> {
    match &statement.deed {
        Deed::Entered(event) => match &event.what {
            What::Voided { entry } => Some(entry),
            _ => None,
        },
        _ => None,
    }
}

/// Those that void something which is not there to be voided.
pub fn void_in_vain<'a>(statements: impl Iterator<Item = &'a Statement> + Clone) -> Vec<&'a Statement> {
    let voids = voids(statements.clone());
    let met: BTreeSet<&str> = voids.values().map(|void| void.id.as_str()).collect();
    statements
        .filter(|statement| voided_by(statement).is_some() && !met.contains(statement.id.as_str()))
        .collect()
}
