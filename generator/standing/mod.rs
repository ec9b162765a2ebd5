//! Standing: what a person may do, as a pure function of statements, markings and a day.
//!
//! Nothing here reads a clock, a disk or the order in which a register took things in. Intervals are shown beside
//! results and decide nothing.

use crate::marking::Marking;
use crate::record::Statement;
use jiff::Timestamp;
use jiff::civil::Date;
use jiff::tz::TimeZone;
use serde::Serialize;
use std::collections::{BTreeMap, BTreeSet};
use std::fmt;

mod competence;
mod evidence;
mod performance;
mod signature;
mod tries;

pub use tries::{AnswerLine, AttemptLine, Bounds, State};

/// A day as people at the centre count it.
#[derive(Debug, Clone, PartialEq)]
pub struct Day {
    pub date: Date,
    pub zone: TimeZone,
}

impl Day {
    /// The day of a moment.
    pub fn of(at: Timestamp, zone: TimeZone) -> Self {
        Self {
            date: at.to_zoned_datetime(zone.clone()).date(),
            zone,
        }
    }

    /// The first moment after the day. What is stamped then or later has not happened yet.
    pub fn end(&self) -> Timestamp {
        self.date
            .tomorrow()
            .ok()
            .and_then(|next| next.to_zoned_datetime(self.zone.clone()).ok())
            .map_or(Timestamp::MAX, |next| next.timestamp())
    }

    /// The date of a moment, counted as this day is.
    pub fn date_of(&self, at: Timestamp) -> Date {
        at.to_zoned_datetime(self.zone.clone()).date()
    }
}

/// The markings that a register holds, and which of them was in force when.
#[derive(Debug, Clone, Default)]
pub struct Markings {
    pub known: BTreeMap<String, Marking>,
    /// From when a course was the one in use, and its marking's name; in the order in which they came into force.
    pub in_force: Vec<(Timestamp, String)>,
}

impl Markings {
    /// The marking with this name.
    pub fn get(&self, hash: &str) -> Option<&Marking> {
        self.known.get(hash)
    }

    /// The marking in force on a day, and its name: the last that came into force by its end, else the first.
    pub fn on(&self, day: &Day) -> Option<(&str, &Marking)> {
        let end = day.end();
        let by_then = self.in_force.iter().rev().find(|(since, _)| *since < end);
        let (_, hash) = by_then.or_else(|| self.in_force.first())?;
        self.known
            .get_key_value(hash)
            .map(|(hash, marking)| (hash.as_str(), marking))
    }

    /// The marking that came into force last, and its name.
    pub fn newest(&self) -> Option<(&str, &Marking)> {
        let (_, hash) = self.in_force.last()?;
        self.known
            .get_key_value(hash)
            .map(|(hash, marking)| (hash.as_str(), marking))
    }
}

/// How far a person has come with one competency.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Standing {
    /// Neither reading nor any attempt is on record.
    NothingYet,
    /// Something is, but not all that is to be read and passed.
    Studying,
    /// All is read and passed on what is taught now.
    ReadyToBeWitnessed,
    /// All performances were watched and met.
    ReadyToSign,
    /// Signed off, and the signature holds.
    Signed,
    /// It was signed off once; the signature no longer holds.
    Lapsed,
}

/// What a standing allows.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum May {
    Nothing,
    Accompanied,
    Alone,
}

impl Standing {
    /// What it allows.
    pub fn may(self) -> May {
        match self {
            Self::NothingYet | Self::Studying => May::Nothing,
            Self::ReadyToBeWitnessed | Self::ReadyToSign | Self::Lapsed => May::Accompanied,
            Self::Signed => May::Alone,
        }
    }
}

impl fmt::Display for Standing {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(match self {
            Self::NothingYet => "nothing yet",
            Self::Studying => "studying",
            Self::ReadyToBeWitnessed => "ready to be witnessed",
            Self::ReadyToSign => "ready to sign",
            Self::Signed => "signed",
            Self::Lapsed => "lapsed",
        })
    }
}

impl fmt::Display for May {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(match self {
            Self::Nothing => "nothing",
            Self::Accompanied => "accompanied",
            Self::Alone => "may do alone",
        })
    }
}

/// One person's standing with one competency.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Competence {
    pub id: String,
    pub says: String,
    pub standing: Standing,
    pub may: May,
    /// Why it stands so, one sentence each.
    pub reasons: Vec<String>,
    /// What is still needed for the next standing.
    pub missing: Vec<String>,
    /// The day on which the signature lapses by itself.
    pub lapses: Option<Date>,
    /// Signed, and all that a new signature needs has been done since.
    pub renewable: bool,
}

/// One person's scored record.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Person {
    pub person: String,
    pub competencies: Vec<Competence>,
    pub attempts: Vec<AttemptLine>,
}

impl Person {
    pub fn competence(&self, id: &str) -> Option<&Competence> {
        self.competencies.iter().find(|competence| competence.id == id)
    }
}

/// Everybody's standing at the end of a day, sorted by code; nobody where no course was ever in force.
///
/// Statements may come in any order. Those stamped after the day are left out.
pub fn everybody(statements: &[Statement], markings: &Markings, day: &Day) -> Vec<Person> {
    let end = day.end();
    let people: BTreeSet<&str> = statements
        .iter()
        .filter(|statement| statement.timestamp < end)
        .map(|statement| statement.person.as_str())
        .collect();
    let mut by_person: BTreeMap<&str, Vec<&Statement>> = people.into_iter().map(|code| (code, Vec::new())).collect();
    for statement in statements.iter().filter(|statement| statement.timestamp < end) {
        if let Some(own) = by_person.get_mut(statement.person.as_str()) {
            own.push(statement);
        }
    }
    by_person
        .into_iter()
        .filter_map(|(code, own)| person_of(code, own, markings, day))
        .collect()
}

/// One person's standing at the end of a day; none where no course was ever in force. A person without a statement
/// has nothing yet.
pub fn person(code: &str, statements: &[Statement], markings: &Markings, day: &Day) -> Option<Person> {
    let end = day.end();
    let own = statements
        .iter()
        .filter(|statement| statement.person == code && statement.timestamp < end)
        .collect();
    person_of(code, own, markings, day)
}

fn person_of(code: &str, mut own: Vec<&Statement>, markings: &Markings, day: &Day) -> Option<Person> {
    let (_, marking) = markings.on(day)?;
    own.sort_by(|a, b| (a.timestamp, &a.id).cmp(&(b.timestamp, &b.id)));
    let attempts = tries::attempts(&own, markings);
    let competencies = marking
        .competencies
        .iter()
        .map(|competency| {
            competence::of(&competence::Ground {
                competency,
                marking,
                markings,
                day,
                own: &own,
                attempts: &attempts,
            })
        })
        .collect();
    Some(Person {
        person: code.to_owned(),
        competencies,
        attempts,
    })
}
