//! What tells the stops of a machine apart: how likely each is by what was seen, which sign to look for next, and what asking costs.
//!
//! The course's page does the same by `theme/script/apart.js`. Both go over stops and signs in the order of their ids, with nothing
//! but the four basic operations on doubles, and decide by whole millionths: so they agree to the last pick.

mod cost;
mod look;

pub use cost::{Cost, MOST_STOPS, MOST_WAYS, Pair, cost, pairs, pairs_alike};
pub use look::{End, Look, entropy, log2, look};

use crate::model::{Course, Kind, Shows};

/// A stop stands out, and asking ends, once it is as likely as this, in millionths.
pub const STANDS_OUT: u32 = 750_000;

/// Asking ends where no sign left is worth as much as this, in millionths of a bit.
pub const LEAST_WORTH: u32 = 30_000;

/// A sign tells two stops apart if the chances that it shows lie as far from each other as this, in hundredths.
pub const TELLS: u32 = 50;

/// The stops of one machine and the signs that can be asked about.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Stops {
    /// The machine.
    pub machine: String,
    /// Lessons, by id.
    pub stops: Vec<String>,
    /// By id.
    pub signs: Vec<Sign>,
}

/// A sign that can be seen from outside the guards.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Sign {
    pub id: String,
    /// Whoever sees it asks no further: the machine's `at-once` says what to do.
    pub alarm: bool,
    /// The chance that it shows, in hundredths, from 1 to 99, for each stop.
    pub shows: Vec<u32>,
}

/// What somebody says of a sign.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Answer {
    Yes,
    No,
    /// It tells nothing, and is not asked again.
    CannotSee,
}

/// The chance that the course gives a word of a stop's `signs`, or its silence, in hundredths.
pub fn hundredths(course: &Course, shows: Option<Shows>) -> u32 {
    let given = course.outline.as_ref().map(|outline| outline.value.shows.clone());
    let shares = given.unwrap_or_default();
    let share = match shows {
        Some(Shows::Always) => shares.always.value,
        Some(Shows::Often) => shares.often.value,
        Some(Shows::Sometimes) => shares.sometimes.value,
        Some(Shows::Never) => shares.never.value,
        None => shares.not_listed.value,
    };
    // A checked course has whole per cents from 1 to 99; in one that is being checked nothing may come to nought.
    (share.0 * 100.0).round().clamp(1.0, 99.0) as u32
}

/// The stops of every machine that has two or more with signs, in the order of the machines.
pub fn stops(course: &Course) -> Vec<Stops> {
    let of = |machine: &str| stops_of(course, machine).filter(|one| one.stops.len() > 1 && !one.signs.is_empty());
    course.machines.iter().filter_map(|machine| of(&machine.id)).collect()
}

/// The stops of one machine: those lessons on a stop that list signs.
fn stops_of(course: &Course, id: &str) -> Option<Stops> {
    let machine = course.machine(id)?;
    let mut lessons: Vec<_> = course
        .lessons
        .iter()
        .filter(|lesson| {
            let front = &lesson.value.front;
            let here = front.machine.as_ref().is_some_and(|named| named.value == id);
            here && front.kind.value == Kind::Stop && !front.signs.is_empty()
        })
        .collect();
    lessons.sort_by(|one, other| one.id.cmp(&other.id));
    let behind = |sign: &str| machine.value.behind_guards.iter().any(|one| one.value == sign);
    let alarm = |sign: &str| {
        let mut reasons = machine.value.at_once.values();
        reasons.any(|reason| reason.signs.iter().any(|one| one.value == sign))
    };
    let mut signs: Vec<Sign> = machine
        .value
        .signs
        .keys()
        .map(|key| key.value.as_str())
        .filter(|sign| !behind(sign))
        .filter(|sign| {
            let mut fronts = lessons.iter().map(|lesson| &lesson.value.front);
            fronts.any(|front| front.signs.get(sign).is_some())
        })
        .map(|sign| Sign {
            id: sign.to_owned(),
            alarm: alarm(sign),
            shows: lessons
                .iter()
                .map(|lesson| hundredths(course, lesson.value.front.signs.get(sign).map(|shows| shows.value)))
                .collect(),
        })
        .collect();
    signs.sort_by(|one, other| one.id.cmp(&other.id));
    Some(Stops {
        machine: id.to_owned(),
        stops: lessons.iter().map(|lesson| lesson.id.clone()).collect(),
        signs,
    })
}
