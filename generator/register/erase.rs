//! Erasing a person's names and notes. The chain keeps their digests and still holds.

use super::enter::{NotEntered, make};
use super::personal::Named;
use super::{Change, Entering, Ledger, Register, Store};
use crate::record::{Event, Statement, What, term};
use crate::standing::Day;
use jiff::Timestamp;
use serde::Serialize;

/// What there is to erase of a person.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Erasable {
    /// Names and notes that are kept and can be erased.
    pub details: usize,
    /// Rows of the first form, which hold a note within the chained statement itself: those stay.
    pub chained_notes: Vec<u64>,
}

/// The name of the notes that statements of the first form hold.
const CHAINED: &str = "note";

impl<S: Store> Register<S> {
    /// What there is to erase of a person.
    ///
    /// # Errors
    /// [`super::Error`] if the store cannot be read.
    pub fn erasable(&self, person: &str) -> Result<Erasable, super::Error> {
        let mut chained_notes = Vec::new();
        let chained = format!("\"{}\"", term(CHAINED));
        let mut bad = None;
        super::walked(&self.store, |row| {
            if row.body.contains(&chained) {
                match super::ledger::statement(row) {
                    Ok(statement) if statement.person == person => chained_notes.push(row.seq),
                    Ok(_) => {}
                    Err(why) => bad = bad.take().or(Some(why)),
                }
            }
        })?;
        if let Some(why) = bad {
            return Err(why);
        }
        Ok(Erasable {
            details: Named::read(&self.store)?.of(person).len(),
            chained_notes,
        })
    }

    /// Erases all names and notes of a person, and enters that it was done, in one transaction. Nothing happens, and
    /// nothing is given, where there is none.
    ///
    /// # Errors
    /// [`NotEntered`]; then nothing was erased.
    pub fn erase(
        &mut self,
        person: &str,
        by: &str,
        day: &Day,
        now: Timestamp,
    ) -> Result<Option<Statement>, NotEntered> {
        self.change(now, |store: &S, ledger: &Ledger| {
            let mut change = Change::default();
            let made = erased(store, ledger, (person, by), (day, now), &mut change);
            if made.is_err() {
                change = Change::default();
            }
            Ok((change, made))
        })?
    }
}

fn erased<S: Store>(
    store: &S,
    ledger: &Ledger,
    (person, by): (&str, &str),
    (day, now): (&Day, Timestamp),
    change: &mut Change,
) -> Result<Option<Statement>, NotEntered> {
    let named = Named::read(store)?;
    let digests: Vec<String> = named.of(person).into_iter().cloned().collect();
    let nothing = digests.is_empty();
    let entering = Entering {
        person,
        event: Event {
            by: by.to_owned(),
            what: What::Erased {
                digests: digests.clone(),
            },
            details: None,
        },
        name: None,
        note: None,
        day,
        key: None,
    };
    let made = make(store, ledger, &[entering], now, change)?;
    if nothing {
        *change = Change::default();
        return Ok(None);
    }
    change.erase = digests;
    Ok(made.into_iter().next())
}
