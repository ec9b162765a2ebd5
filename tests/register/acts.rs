//! What can happen in an invented life: as an act, and as the plain fact that the naive fold reads.

use super::drilled::drilled;
use super::made::course;
use jiff::Timestamp;
use serde_json::{Value, json};

/// What can be raised to the next edition.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Taught {
    Lesson,
    Bank,
    Scenario,
    Drill,
}

impl Taught {
    /// What is passed or failed.
    pub const ASSESSED: [Self; 3] = [Self::Bank, Self::Scenario, Self::Drill];
}

/// How an attempt goes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Way {
    Pass,
    Fail,
    /// Left; the course is opened again, and the fail put on record, so many hours later.
    Left(i64),
    Open,
}

/// How a performance goes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Seen {
    Met,
    Prompted,
    NotMet,
}

/// One act. Where `old` stands, it happens on the copy of the course before the present one.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Act {
    Open,
    Read {
        old: bool,
    },
    Try {
        at: Taught,
        way: Way,
        old: bool,
    },
    Watch {
        seen: Seen,
        real: bool,
        by_trainer: bool,
    },
    /// Met, but for some steps that did not come up; one bit a step.
    Partly {
        real: bool,
        unseen: u8,
    },
    /// On a real call of somebody who might not do it at all.
    OutOfTurn {
        seen: Seen,
    },
    /// The last thing that was entered, and can be, is voided.
    Void,
    Sign {
        by_manager: bool,
    },
    Withdraw,
    Retrain,
    Join,
    Leave,
    Release {
        at: Taught,
        more: u32,
    },
    Assign,
    Inspect,
    GiveSlip,
    Erase,
    Raise(Taught),
    /// From now on a signature holds for so many months.
    Hold(u32),
}

/// What happened, for the naive fold.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Fact {
    pub at: Timestamp,
    /// From when on it counts as never entered.
    pub voided: Option<Timestamp>,
    pub what: Happened,
}

#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Happened {
    Opened,
    Read {
        edition: u32,
    },
    Tried(Tried),
    Watched {
        seen: Seen,
        real: bool,
        by_trainer: bool,
        lesson: u32,
        /// One bit a step.
        unseen: u8,
        out_of_turn: bool,
    },
    Signed {
        by_manager: bool,
        course: Variant,
    },
    Withdrawn,
    Retraining,
    Joined,
    Left,
    Released {
        at: Taught,
        edition: u32,
        more: u32,
    },
    Course(Variant),
    Nothing,
}

/// An attempt. The fact's time is that of its beginning.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Tried {
    pub at: Taught,
    pub edition: u32,
    pub closed: Option<Timestamp>,
    /// When its last answer was given.
    pub last_act: Timestamp,
    pub passed: bool,
    pub left: bool,
}

/// A course: its editions, and how long a signature holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Variant {
    pub lesson: u32,
    pub bank: u32,
    pub scenario: u32,
    pub drill: u32,
    pub holds: u32,
}

/// The steps by which the competency is watched; the last is done only if something is so.
pub const STEPS: [&str; 4] = [
    "Say where you go in.",
    "Handle off, lock on.",
    "Try it.",
    "It moved? Come out and call.",
];

impl Variant {
    pub const FIRST: Self = Self {
        lesson: 1,
        bank: 1,
        scenario: 1,
        drill: 1,
        holds: 1,
    };

    pub fn edition(&self, at: Taught) -> u32 {
        match at {
            Taught::Lesson => self.lesson,
            Taught::Bank => self.bank,
            Taught::Scenario => self.scenario,
            Taught::Drill => self.drill,
        }
    }

    pub fn raised(mut self, at: Taught) -> Self {
        match at {
            Taught::Lesson => self.lesson += 1,
            Taught::Bank => self.bank += 1,
            Taught::Scenario => self.scenario += 1,
            Taught::Drill => self.drill += 1,
        }
        self
    }

    pub fn course(&self) -> Value {
        let mut course = course();
        course["lessons"][0]["edition"] = json!(self.lesson);
        course["banks"][0]["edition"] = json!(self.bank);
        course["scenarios"][0]["edition"] = json!(self.scenario);
        course["competencies"][0]["holdsMonths"] = json!(self.holds);
        course["competencies"][0]["sheet"] = json!({"lesson": "lockout", "steps": STEPS, "conditional": [4]});
        course["machines"] = json!([{"id": "marrow", "title": "Marrow"}]);
        let mut course = drilled(course);
        course["drills"][0]["edition"] = json!(self.drill);
        course
    }
}
