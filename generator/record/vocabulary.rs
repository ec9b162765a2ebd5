//! The addresses that statements use: verbs, extensions, and what a statement can be about.
//!
//! The form is xAPI 1.0.3; the verbs under `adlnet.gov` are those of its published vocabulary.

use crate::marking::Evidence;
use std::fmt;

/// Where this project's own terms live. The address need not answer.
pub const TERMS: &str = "https://pitwright.example/xapi/";

/// Where the published verbs live.
pub const VERBS: &str = "http://adlnet.gov/expapi/verbs/";

/// An extension's full name, from its last part.
pub fn term(name: &str) -> String {
    format!("{TERMS}{name}")
}

/// What was done, as the statement's verb says it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Verb {
    Experienced,
    Completed,
    Attempted,
    Answered,
    Passed,
    Failed,
    // The register's own, entered by trainers and managers: see [`super::What`].
    WasWitnessed,
    WasSignedOff,
    WasAssigned,
    WasReleased,
    WasWithdrawn,
    MustRetrain,
    Joined,
    Left,
    WasGivenSlip,
    Voided,
    WasErased,
    Inspected,
}

impl Verb {
    const ALL: [Self; 18] = [
        Self::Experienced,
        Self::Completed,
        Self::Attempted,
        Self::Answered,
        Self::Passed,
        Self::Failed,
        Self::WasWitnessed,
        Self::WasSignedOff,
        Self::WasAssigned,
        Self::WasReleased,
        Self::WasWithdrawn,
        Self::MustRetrain,
        Self::Joined,
        Self::Left,
        Self::WasGivenSlip,
        Self::Voided,
        Self::WasErased,
        Self::Inspected,
    ];

    /// The verb with this address, if a record may hold it.
    pub fn from_iri(iri: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|verb| verb.iri() == iri)
    }

    /// The verb's address.
    pub fn iri(self) -> String {
        let base = match self {
            Self::Experienced | Self::Completed | Self::Attempted | Self::Answered | Self::Passed | Self::Failed => {
                VERBS
            }
            Self::Voided => VERBS,
            _ => TERMS,
        };
        format!("{base}{}", self.last())
    }

    fn last(self) -> &'static str {
        match self {
            Self::Experienced => "experienced",
            Self::Completed => "completed",
            Self::Attempted => "attempted",
            Self::Answered => "answered",
            Self::Passed => "passed",
            Self::Failed => "failed",
            Self::WasWitnessed => "was-witnessed",
            Self::WasSignedOff => "was-signed-off",
            Self::WasAssigned => "was-assigned",
            Self::WasReleased => "was-released",
            Self::WasWithdrawn => "was-withdrawn",
            Self::MustRetrain => "must-retrain",
            Self::Joined => "joined",
            Self::Left => "left",
            Self::WasGivenSlip => "was-given-slip",
            Self::Voided => "voided",
            Self::WasErased => "was-erased",
            Self::Inspected => "inspected",
        }
    }
}

impl fmt::Display for Verb {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.last().replace('-', " "))
    }
}

/// Where in an assessment an answer was given.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct Spot {
    pub of: Evidence,
    /// The id of the question, scene or act.
    pub part: String,
}

impl Spot {
    /// The same part of the same assessment.
    pub fn is(&self, of: &Evidence, part: &str) -> bool {
        self.of == *of && self.part == part
    }
}

impl fmt::Display for Spot {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} {} of {}", self.of.part(), self.part, self.of)
    }
}

/// What a statement is about. Every address is made under the course's home.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub enum Thing {
    Lesson(String),
    /// A practice question of a lesson.
    Ask {
        lesson: String,
        question: String,
    },
    Assessment(Evidence),
    Part(Spot),
    Competency(String),
    Machine(String),
    /// Another statement, by its id.
    Entry(String),
    /// The centre itself.
    Centre,
}

impl Thing {
    /// The thing at this address, if the address lies under `home` and has one of the known shapes.
    pub fn from_iri(home: &str, iri: &str) -> Option<Self> {
        let path = iri
            .strip_prefix(home.trim_end_matches('/'))?
            .strip_prefix('/')?
            .trim_start_matches('/');
        let parts: Vec<&str> = path.split('/').collect();
        if parts.iter().any(|part| part.is_empty()) {
            return None;
        }
        let own = |part: &str| part.to_owned();
        Some(match parts[..] {
            ["lesson", id] => Self::Lesson(own(id)),
            ["lesson", lesson, "ask", question] => Self::Ask {
                lesson: own(lesson),
                question: own(question),
            },
            ["competency", id] => Self::Competency(own(id)),
            ["machine", id] => Self::Machine(own(id)),
            ["centre"] => Self::Centre,
            [sort, id] => Self::Assessment(Evidence::of(sort, id)?),
            [sort, id, kind, part] => {
                let of = Evidence::of(sort, id)?;
                if of.part() != kind {
                    return None;
                }
                Self::Part(Spot { of, part: own(part) })
            }
            _ => return None,
        })
    }

    /// The thing's address under `home`.
    pub fn iri(&self, home: &str) -> String {
        let home = home.trim_end_matches('/');
        match self {
            Self::Lesson(id) => format!("{home}/lesson/{id}"),
            Self::Ask { lesson, question } => format!("{home}/lesson/{lesson}/ask/{question}"),
            Self::Assessment(one) => format!("{home}/{}/{}", one.sort(), one.id()),
            Self::Part(Spot { of, part }) => format!("{home}/{}/{}/{}/{part}", of.sort(), of.id(), of.part()),
            Self::Competency(id) => format!("{home}/competency/{id}"),
            Self::Machine(id) => format!("{home}/machine/{id}"),
            // A statement has an id of its own, wherever it was made.
            Self::Entry(id) => id.clone(),
            Self::Centre => format!("{home}/centre"),
        }
    }
}

impl fmt::Display for Thing {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Lesson(id) => write!(f, "lesson {id}"),
            Self::Ask { lesson, question } => write!(f, "practice question {question} of lesson {lesson}"),
            Self::Assessment(one) => one.fmt(f),
            Self::Part(spot) => spot.fmt(f),
            Self::Competency(id) => write!(f, "competency {id}"),
            Self::Machine(id) => write!(f, "machine {id}"),
            Self::Entry(id) => write!(f, "entry {id}"),
            Self::Centre => f.write_str("the centre"),
        }
    }
}
