//! What a person was asked to study, pass or reach, and whether it is done.

use super::competence::Folded;
use super::employment::{Employment, note};
use super::tries::{AttemptLine, State};
use super::{Day, Markings};
use crate::marking::{Evidence, Marking};
use crate::record::{Deed, Details, Event, Statement, Thing, What};
use jiff::Timestamp;
use jiff::civil::Date;
use serde::Serialize;
use std::collections::BTreeMap;
use std::fmt;

/// Something that can be assigned; in JSON `{"lesson": ID}`, `{"bank": ID}` and so on.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Task {
    Lesson(String),
    Competency(String),
    #[serde(untagged)]
    Assessment(Evidence),
}

/// How far an assignment is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Progress {
    Done,
    Open,
    /// Still open, and the due day is over.
    Overdue,
}

/// Something that a person was asked for.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Assignment {
    /// The statement's id.
    pub id: String,
    pub thing: Task,
    /// The thing's title, or what the competency says.
    pub title: String,
    /// The day on which it was assigned.
    pub on: Date,
    pub by: String,
    /// The last day for it.
    pub due: Option<Date>,
    pub state: Progress,
    /// The day on which it was done.
    pub done_on: Option<Date>,
    pub note: Option<String>,
}

impl Task {
    /// The task that a statement's object is, if it can be assigned.
    pub fn of(thing: &Thing) -> Option<Self> {
        match thing {
            Thing::Lesson(id) => Some(Self::Lesson(id.clone())),
            Thing::Assessment(one) => Some(Self::Assessment(one.clone())),
            Thing::Competency(id) => Some(Self::Competency(id.clone())),
            _ => None,
        }
    }

    /// The same as a statement's object.
    pub fn thing(&self) -> Thing {
        match self {
            Self::Lesson(id) => Thing::Lesson(id.clone()),
            Self::Assessment(one) => Thing::Assessment(one.clone()),
            Self::Competency(id) => Thing::Competency(id.clone()),
        }
    }

    /// Its title on a course, or what the competency says.
    pub fn title<'m>(&self, marking: &'m Marking) -> Option<&'m str> {
        match self {
            Self::Lesson(id) => marking.lesson(id).map(|lesson| lesson.title.as_str()),
            Self::Assessment(one) => marking.assessment(one).map(|known| known.title),
            Self::Competency(id) => marking.competency(id).map(|competency| competency.says.as_str()),
        }
    }

    /// Its edition on a course; a competency has none, nor has what the course does not have.
    fn edition(&self, marking: &Marking) -> Option<u32> {
        match self {
            Self::Lesson(id) => marking.lesson(id).map(|lesson| lesson.edition),
            Self::Assessment(one) => marking.assessment(one).map(|known| known.edition),
            Self::Competency(_) => None,
        }
    }
}

/// Assignments in the order of the course: lessons as the outline has them, then assessments sort by sort, then competencies.
/// The same thing asked for twice stays in the order of time; what the course no longer has comes last.
pub fn in_order<'a>(assignments: &'a [Assignment], marking: &Marking) -> Vec<&'a Assignment> {
    let assessments: Vec<Evidence> = marking.assessments().into_iter().map(|known| known.evidence).collect();
    let place = |task: &Task| {
        let (sort, at) = match task {
            Task::Lesson(id) => (0, marking.lessons.iter().position(|known| known.id == *id)),
            Task::Assessment(one) => (1, assessments.iter().position(|known| known == one)),
            Task::Competency(id) => (2, marking.competencies.iter().position(|known| known.id == *id)),
        };
        (at.is_none(), sort, at)
    };
    let mut sorted: Vec<&Assignment> = assignments.iter().collect();
    sorted.sort_by_key(|one| place(&one.thing));
    sorted
}

impl fmt::Display for Task {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.thing().fmt(f)
    }
}

/// All that the fold of assignments reads.
pub(super) struct Desk<'a> {
    pub own: &'a [&'a Statement],
    pub employment: &'a Employment,
    pub attempts: &'a [AttemptLine],
    pub folded: &'a [Folded],
    pub marking: &'a Marking,
    pub markings: &'a Markings,
    pub details: &'a BTreeMap<String, Details>,
    pub day: &'a Day,
}

/// The assignments in the order in which they were made. What was still to be done when the person left is no longer
/// asked for.
pub(super) fn of(desk: &Desk) -> Vec<Assignment> {
    let assigned = desk.own.iter().filter_map(|statement| match &statement.deed {
        Deed::Entered(
            event @ Event {
                what: What::Assigned { thing, due },
                ..
            },
        ) => Some((*statement, event, Task::of(thing)?, *due)),
        _ => None,
    });
    assigned
        .filter_map(|(statement, event, thing, due)| {
            let done_on = desk.done(&thing, statement).map(|at| desk.day.date_of(at));
            let dropped = desk.employment.left_at.is_some_and(|left| statement.timestamp <= left);
            if dropped && done_on.is_none() {
                return None;
            }
            let state = match (done_on, due) {
                (Some(_), _) => Progress::Done,
                (None, Some(due)) if desk.day.date > due => Progress::Overdue,
                (None, _) => Progress::Open,
            };
            Some(Assignment {
                id: statement.id.clone(),
                title: thing
                    .title(desk.marking)
                    .map_or_else(|| thing.to_string(), str::to_owned),
                thing,
                on: desk.day.date_of(statement.timestamp),
                by: event.by.clone(),
                due,
                state,
                done_on,
                note: note(event, desk.details).map(str::to_owned),
            })
        })
        .collect()
}

impl Desk<'_> {
    /// When it was done, after it was assigned and in no older edition than was in use then. Nothing that comes later
    /// undoes it: it was asked for, and it was done.
    fn done(&self, task: &Task, assigned: &Statement) -> Option<Timestamp> {
        let after = |at: &Timestamp| *at > assigned.timestamp;
        let edition = self.markings.get(&assigned.marking).and_then(|then| task.edition(then));
        let least = edition.unwrap_or(0);
        match task {
            Task::Lesson(id) => {
                let reads = self.own.iter().filter_map(|statement| match &statement.deed {
                    Deed::Read { lesson } if lesson == id => {
                        let read = self.markings.get(&statement.marking)?.lesson(id)?.edition;
                        (read >= least).then_some(statement.timestamp)
                    }
                    _ => None,
                });
                reads.filter(after).min()
            }
            Task::Assessment(wanted) => {
                let passes = self.attempts.iter().filter(|line| {
                    line.state == State::Passed && line.counts() && line.edition >= least && line.assessment == *wanted
                });
                passes.filter_map(|line| line.closed).filter(after).min()
            }
            Task::Competency(id) => {
                let folded = self.folded.iter().find(|folded| folded.competence.id == *id)?;
                folded.signed.iter().copied().filter(after).min()
            }
        }
    }
}
