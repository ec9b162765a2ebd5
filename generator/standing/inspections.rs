//! The periodic inspections of each machine's energy control procedure.
//!
//! Source: 29 CFR 1910.147(c)(6): at least annually, by an authorized employee other than those using the procedure;
//! certified with the machine, the date, the employees included and the inspector.

use super::lines::inspection;
use super::{Day, Markings, voids};
use crate::record::Statement;
use jiff::ToSpan;
use jiff::civil::Date;
use serde::Serialize;

/// The longest time from one inspection to the next, in months.
const AT_MOST: i64 = 12;

/// How a machine stands with its inspections.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct MachineInspections {
    /// The machine's id.
    pub machine: String,
    pub title: String,
    /// Every inspection that counts, in the order of time.
    pub done: Vec<Inspected>,
    /// The last day for the next: twelve months after the last one; after the machine came on record, if there was none.
    pub next_due: Date,
    pub overdue: bool,
}

/// One inspection.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Inspected {
    /// The statement's id.
    pub id: String,
    pub date: Date,
    /// The inspector's code.
    pub by: String,
    /// The codes of those included.
    pub included: Vec<String>,
    /// Nothing deviated from the procedure.
    pub clean: bool,
}

impl MachineInspections {
    pub fn last(&self) -> Option<&Inspected> {
        self.done.last()
    }
}

/// The inspections of every machine of the course in force on a day, as of its end; nothing where no course was ever
/// in force. One without anybody included, or with the inspector among them, is none, nor is one that was voided.
pub fn inspections(statements: &[Statement], markings: &Markings, day: &Day) -> Vec<MachineInspections> {
    let Some((_, marking)) = markings.on(day) else {
        return Vec::new();
    };
    let end = day.end();
    let past = statements.iter().filter(|statement| statement.timestamp < end);
    let voids = voids(past.clone());
    let mut all: Vec<_> = past
        .filter(|statement| !voids.contains_key(statement.id.as_str()))
        .filter_map(|statement| Some((statement, inspection(statement)?)))
        .filter(|(_, (event, seen))| !seen.included.is_empty() && !seen.included.contains(&event.by))
        .collect();
    all.sort_by(|(a, _), (b, _)| (a.timestamp, &a.id).cmp(&(b.timestamp, &b.id)));
    marking
        .machines
        .iter()
        .map(|machine| {
            let own = all.iter().filter(|(_, (_, seen))| seen.machine == machine.id);
            let done: Vec<Inspected> = own
                .map(|(statement, (event, seen))| Inspected {
                    id: statement.id.clone(),
                    date: day.date_of(statement.timestamp),
                    by: event.by.clone(),
                    included: seen.included.clone(),
                    clean: seen.clean,
                })
                .collect();
            let from = match done.last() {
                Some(last) => last.date,
                None => since(&machine.id, markings, day),
            };
            let next_due = from.saturating_add(AT_MOST.months());
            MachineInspections {
                machine: machine.id.clone(),
                title: machine.title.clone(),
                done,
                next_due,
                overdue: day.date > next_due,
            }
        })
        .collect()
}

/// The day from which on a course with this machine was in force; the day itself if none was by then.
fn since(machine: &str, markings: &Markings, day: &Day) -> Date {
    let mut in_force = markings.in_force.iter();
    let first = in_force.find(|(_, hash)| {
        markings
            .get(hash)
            .is_some_and(|marking| marking.machines.iter().any(|known| known.id == machine))
    });
    first.map_or(day.date, |(at, _)| day.date_of(*at)).min(day.date)
}
