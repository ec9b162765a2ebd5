//! Why an event was not entered, in words that say what to do.

use super::super::Error;
use crate::standing::Standing;
use jiff::civil::Date;
use std::fmt;

/// Why nothing was entered.
#[derive(Debug, Clone, PartialEq)]
pub enum NotEntered {
    Register(Error),
    NoCourse,
    /// The course of that day does not have what was named.
    NoThing {
        what: String,
        /// What may have been meant.
        hint: Option<String>,
        known: Vec<String>,
    },
    NoPerson {
        code: String,
        /// Who may have been meant.
        hint: Option<String>,
    },
    /// Neither a trainer nor a signer, where either will do.
    NotOfTheCourse {
        code: String,
        known: Vec<String>,
    },
    NotATrainer {
        code: String,
        trainers: Vec<String>,
    },
    NotTheSigner {
        code: String,
        role: String,
        signers: Vec<String>,
    },
    OwnWork,
    OwnRecord,
    /// The person no longer works at the centre.
    HasLeft {
        code: String,
        on: Date,
    },
    /// The day is before the one on which the person joined.
    BeforeJoining {
        code: String,
        on: Date,
        joined: Date,
    },
    NoName,
    NoReason,
    NoReasonToVoid,
    NoReasonOutOfTurn,
    /// A performance of so many days ago, and no word on why it is entered only now.
    LongAgo {
        date: Date,
        days: i32,
    },
    /// Watched on a real call, and the person might not do it at all, by this standing.
    OutOfTurn {
        code: String,
        date: Date,
        competency: String,
        standing: Standing,
        missing: Vec<String>,
    },
    /// Said to be out of turn, and it was not.
    InTurn {
        code: String,
        competency: String,
    },
    StagedOutOfTurn,
    /// No statement in the person's record has this id.
    NoEntry {
        entry: String,
    },
    NotVoidable {
        entry: String,
        about: String,
        why: String,
    },
    NoTries,
    /// An inspector among those who were inspected.
    OwnInspection {
        code: String,
    },
    NobodyIncluded,
    Future {
        date: Date,
        today: Date,
    },
    NotReady {
        standing: Standing,
        date: Date,
        missing: Vec<String>,
        reasons: Vec<String>,
    },
    /// The outline names no public key for the signer.
    NoKey {
        code: String,
    },
    /// All else is in order: the signer's secret key is needed now. Holds the public one (a Multikey).
    KeyNeeded {
        code: String,
        public: String,
    },
    /// It is signed with another key than the one (a Multikey) that the outline names.
    OtherKey {
        code: String,
        public: String,
    },
    Written(String),
}

impl From<Error> for NotEntered {
    fn from(error: Error) -> Self {
        Self::Register(error)
    }
}

impl fmt::Display for NotEntered {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Register(error) => error.fmt(f),
            Self::NoCourse => f.write_str(
                "the register holds no course on that day: run `pitwright compile`, then `pitwright gather`",
            ),
            Self::NoThing {
                what,
                hint: None,
                known,
            } => write!(f, "there is no {what}; the course has {}", list(known)),
            Self::NoThing {
                what,
                hint: Some(hint),
                known,
            } => {
                let stop = if hint.ends_with('?') { "" } else { "." };
                write!(f, "there is no {what}: {hint}{stop} The course has {}", list(known))
            }
            Self::NoPerson { code, hint: None } => write!(
                f,
                "nobody with the code {code} is on record; if that is right, `pitwright join {code}` comes first"
            ),
            Self::NoPerson { code, hint: Some(hint) } => write!(
                f,
                "nobody with the code {code} is on record; {hint} If {code} is right, `pitwright join {code}` comes first"
            ),
            Self::NotOfTheCourse { code, known } => write!(
                f,
                "{code} is neither a trainer nor a signer of this course; those are {}",
                list(known)
            ),
            Self::NotATrainer { code, trainers } => {
                write!(
                    f,
                    "{code} is not a trainer of this course; its trainers are {}",
                    list(trainers)
                )
            }
            Self::NotTheSigner { code, role, signers } => write!(
                f,
                "{code} may not sign this: it is signed by the role {role}, which {} here",
                match signers.as_slice() {
                    [] => "nobody has".to_owned(),
                    [one] => format!("{one} has"),
                    many => format!("{} have", list(many)),
                }
            ),
            Self::OwnWork => f.write_str("nobody witnesses or signs their own work"),
            Self::OwnRecord => f.write_str("nobody enters this for themselves: ask another trainer or signer"),
            Self::HasLeft { code, on } => write!(
                f,
                "{code} left the centre on {on}; if they are back, `pitwright join {code}` comes first"
            ),
            Self::BeforeJoining { code, on, joined } => write!(
                f,
                "{code} joined the centre on {joined}, and {on} is before that: give the right day with --on; if they were here earlier, enter that first with `pitwright join {code} --on` and the day they came"
            ),
            Self::NoName => f.write_str("a person needs a name: give it with --name"),
            Self::NoReason => f.write_str("taking a competency away needs a reason: give it with --note"),
            Self::NoReasonToVoid => f.write_str("voiding an entry needs a reason: give it with --note"),
            Self::NoReasonOutOfTurn => {
                f.write_str("--out-of-turn needs the reason why it was done all the same: give it with --note")
            }
            Self::LongAgo { date, days } => write!(
                f,
                "{date} is {days} days ago: if that is the right day, say with --note how you still know what you saw"
            ),
            Self::OutOfTurn {
                code,
                date,
                competency,
                standing,
                missing,
            } => {
                write!(
                    f,
                    "on {date} {code} might not do {competency} at all on a real call, not even accompanied: the standing is `{standing}`"
                )?;
                for line in missing {
                    write!(f, "\n  still needed: {line}")?;
                }
                write!(
                    f,
                    "\nIf that lies in a record which was not handed in yet, `pitwright gather` comes first. If it was done all the same, say --out-of-turn, and why with --note: it is then on record, and counts for nothing"
                )
            }
            Self::InTurn { code, competency } => write!(
                f,
                "{code} might do {competency} accompanied that day, so this was in its turn: leave --out-of-turn away"
            ),
            Self::StagedOutOfTurn => {
                f.write_str("--out-of-turn is for a real call: what is staged is practice, so leave it away")
            }
            Self::NoEntry { entry } => write!(f, "there is no entry {entry} in this record"),
            Self::NotVoidable { entry, about, why } => write!(f, "{entry} ({about}) cannot be voided: {why}"),
            Self::NoTries => f.write_str("releasing no tries changes nothing: give at least 1 with --more"),
            Self::OwnInspection { code } => write!(
                f,
                "{code} cannot inspect and be included: the inspector is somebody other than those who use the procedure"
            ),
            Self::NobodyIncluded => f.write_str("an inspection names at least one person who was included"),
            Self::Future { date, today } => write!(f, "{date} is in the future; today is {today}"),
            Self::NotReady {
                standing,
                date,
                missing,
                ..
            } => {
                write!(f, "on {date} the standing is `{standing}`, so there is nothing to sign")?;
                for line in missing {
                    write!(f, "\n  still needed: {line}")?;
                }
                Ok(())
            }
            Self::NoKey { code } => write!(
                f,
                "the course names no key for {code}, so nothing that {code} signs could be checked. In this order: `pitwright key {code}` makes one; put the line that it prints into lessons/outline.yml; `pitwright compile`; `pitwright gather`; hand the course out anew"
            ),
            Self::KeyNeeded { code, .. } => write!(f, "the key of {code} is needed to sign this"),
            Self::OtherKey { code, public } => write!(
                f,
                "this is not the key that the course names for {code}, which is {public}; name the right key file with --key, or put the new public key into lessons/outline.yml, then run `pitwright compile` and `pitwright gather`, and hand the course out anew"
            ),
            Self::Written(why) => write!(f, "it cannot be written down: {why}"),
        }
    }
}

impl std::error::Error for NotEntered {}

fn list(items: &[String]) -> String {
    if items.is_empty() {
        "none".to_owned()
    } else {
        items.join(", ")
    }
}
