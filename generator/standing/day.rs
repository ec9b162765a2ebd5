//! A day, and which course was in force on it.

use crate::marking::Marking;
use jiff::Timestamp;
use jiff::civil::Date;
use jiff::tz::TimeZone;
use std::collections::BTreeMap;

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
