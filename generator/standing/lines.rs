//! What trainers and signers entered about a person, line by line.

use super::employment::note;
use super::{Day, Voids, voided_by};
use crate::record::{Deed, Details, Event, Inspection, Statement, What, entry_name};
use jiff::civil::Date;
use serde::Serialize;
use std::collections::BTreeMap;

/// One event, as the scored record shows it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct EventLine {
    /// The statement's id.
    pub id: String,
    pub date: Date,
    /// What happened to the person: a sentence without its subject.
    pub what: String,
    /// Whoever answers for it.
    pub by: String,
    /// What was noted; [`super::ERASED`] if it was erased.
    pub note: Option<String>,
    /// That it was an error, and counts nowhere.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub voided: Option<Voided>,
}

/// That an entry was voided.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Voided {
    pub date: Date,
    /// Whoever answers for that.
    pub by: String,
    /// Why; [`super::ERASED`] if it was erased.
    pub because: Option<String>,
}

impl EventLine {
    /// The first letters of its id, by which a command names it.
    pub fn name(&self) -> &str {
        entry_name(&self.id)
    }
}

/// The inspection that a statement certifies, if it is one.
pub(super) fn inspection(statement: &Statement) -> Option<(&Event, &Inspection)> {
    match &statement.deed {
        Deed::Entered(event) => match &event.what {
            What::Inspected(inspection) => Some((event, inspection)),
            _ => None,
        },
        _ => None,
    }
}

pub(super) fn is_inspection(statement: &Statement) -> bool {
    inspection(statement).is_some()
}

/// The events in a person's own record, and the inspections that included the person, in the order of time.
pub(super) fn of(
    code: &str,
    own: &[&Statement],
    (inspections, voids): (&[&Statement], &Voids),
    details: &BTreeMap<String, Details>,
    day: &Day,
) -> Vec<EventLine> {
    let entered = own.iter().filter_map(|statement| match &statement.deed {
        Deed::Entered(event) => {
            let of = voided_by(statement).and_then(|entry| about(own, entry));
            let what = of.map_or_else(|| event.about(), |of| format!("{} (it said: {of})", event.about()));
            Some((*statement, event, what))
        }
        _ => None,
    });
    let included = inspections.iter().filter_map(|statement| {
        let (event, seen) = inspection(statement)?;
        let there = seen.included.iter().any(|one| one == code);
        let what = format!(
            "was included in the inspection of machine {} by {}",
            seen.machine, event.by
        );
        there.then_some((*statement, event, what))
    });
    let mut all: Vec<_> = entered.chain(included).collect();
    all.sort_by(|(a, ..), (b, ..)| (a.timestamp, &a.id).cmp(&(b.timestamp, &b.id)));
    all.into_iter()
        .map(|(statement, event, what)| EventLine {
            id: statement.id.clone(),
            date: day.date_of(statement.timestamp),
            what,
            by: event.by.clone(),
            note: note(event, details).map(str::to_owned),
            voided: voids.get(statement.id.as_str()).and_then(|void| {
                let Deed::Entered(event) = &void.deed else {
                    return None;
                };
                Some(Voided {
                    date: day.date_of(void.timestamp),
                    by: event.by.clone(),
                    because: note(event, details).map(str::to_owned),
                })
            }),
        })
        .collect()
}

/// What an entry of the same record said.
fn about(own: &[&Statement], entry: &str) -> Option<String> {
    let mut own = own.iter();
    own.find(|statement| statement.id == entry)
        .map(|statement| statement.about())
}
