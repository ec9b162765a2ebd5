//! When somebody worked at the centre, under which name and in which job.

use super::{Day, ERASED};
use crate::record::{Deed, Details, Event, Statement, What};
use jiff::Timestamp;
use jiff::civil::Date;
use std::collections::BTreeMap;

/// What is on record about somebody's time at the centre.
#[derive(Default)]
pub(super) struct Employment {
    pub name: Option<String>,
    pub job: Option<String>,
    pub joined: Option<Date>,
    pub left: Option<Date>,
    /// The moment of the last leaving.
    pub left_at: Option<Timestamp>,
    /// Every return: when the person left and when they came back, in order.
    pub returns: Vec<(Timestamp, Timestamp)>,
}

/// Folds joining and leaving. Joining again without having left corrects the name and the job; it is no return.
pub(super) fn of(own: &[&Statement], details: &BTreeMap<String, Details>, day: &Day) -> Employment {
    let mut found = Employment::default();
    let mut gone: Option<Timestamp> = None;
    for statement in own {
        let Deed::Entered(event) = &statement.deed else {
            continue;
        };
        match &event.what {
            What::Joined { job } => {
                let date = day.date_of(statement.timestamp);
                if let Some(left) = gone.take() {
                    found.returns.push((left, statement.timestamp));
                    found.joined = Some(date);
                }
                found.joined = found.joined.or(Some(date));
                found.left = None;
                found.job.clone_from(job);
                found.name = name(event, details).or(found.name);
            }
            // Leaving twice is leaving once.
            What::Left if gone.is_none() => {
                gone = Some(statement.timestamp);
                found.left = Some(day.date_of(statement.timestamp));
                found.left_at = gone;
            }
            _ => {}
        }
    }
    found
}

fn name(event: &Event, details: &BTreeMap<String, Details>) -> Option<String> {
    let digest = event.details.as_ref()?;
    match details.get(digest) {
        None => Some(ERASED.to_owned()),
        Some(details) => details.name.clone(),
    }
}

/// The note that belongs to an event; [`ERASED`] if its details were erased.
pub(super) fn note<'a>(event: &Event, details: &'a BTreeMap<String, Details>) -> Option<&'a str> {
    let digest = event.details.as_ref()?;
    match details.get(digest) {
        None => Some(ERASED),
        Some(details) => details.note.as_deref(),
    }
}
