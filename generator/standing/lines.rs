//! What trainers and signers entered about a person, line by line.

use super::Day;
use super::employment::note;
use crate::record::{Deed, Details, Event, Inspection, Statement, What};
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
    inspections: &[&Statement],
    details: &BTreeMap<String, Details>,
    day: &Day,
) -> Vec<EventLine> {
    let entered = own.iter().filter_map(|statement| match &statement.deed {
        Deed::Entered(event) => Some((*statement, event, event.about())),
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
        })
        .collect()
}
