//! The marking file: all that is needed to mark a record again, and nothing else.
//!
//! It is written at compile time, named by the SHA-256 of its canonical JSON (RFC 8785), carried by the course as
//! data, and archived by the register, so that a record made on an older course is marked by the course it was made on.
//! The browser marks from the same file: one truth, two readers.

use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

mod assessment;
mod canonical;
mod decimal;
mod draw;
mod machine;
mod random;
mod runnable;
mod watching;

pub use assessment::{Assessment, Evidence};
pub use canonical::{NotCanonical, canonical, sha256_hex};
pub use decimal::{Decimal, NotADecimal};
pub use draw::{Asked, draw};
pub use machine::{
    Action, BadModel, Drill, Effect, Happening, Hazard, Hidden, LEAVE_IT, Model, Other, Rule, Strike, Test, Variable,
    read, written,
};
pub use random::{BadSeed, Xoshiro128};

/// The number of parts that a fully right answer earns: the least common multiple of 1 to 10, so that every share of
/// up to ten parts is a whole number and sums are exact in Rust and in the browser alike.
pub const FULL: u32 = 2520;

/// The version of the marking format that this build writes. It reads every one from 1 on: format 2 added kinds of questions,
/// format 3 orders that a machine marks, format 4 machines and drills, format 5 which steps need not come up; none changed what
/// was there.
pub const FORMAT: u32 = 5;

/// All that marking and standing need to know of one compiled course.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "camelCase", deny_unknown_fields)]
pub struct Marking {
    /// [`FORMAT`], or an earlier one.
    pub format: u32,
    /// The course's id.
    pub course: String,
    pub title: String,
    /// The address under which every id of the course is made. It need not answer.
    pub home: String,
    /// A language tag (BCP 47).
    pub language: String,
    /// The centre's name.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub centre: Option<String>,
    /// Centre, machines and people are invented.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub demo: bool,
    pub attempts: Attempts,
    pub lessons: Vec<Lesson>,
    pub competencies: Vec<Competency>,
    /// Who may witness: code to name.
    pub trainers: BTreeMap<String, String>,
    /// Who may sign: code to name and role.
    pub signers: BTreeMap<String, Signer>,
    /// The public keys of trainers and signers, by code: Ed25519 as a Multikey (`z6Mk…`).
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    pub keys: BTreeMap<String, String>,
    /// What people are employed as, and what each job needs.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub jobs: Vec<Job>,
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub machines: Vec<Machine>,
    /// Days for which a slip answers for what a person may do.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub slip_days: Option<u32>,
    pub banks: Vec<Bank>,
    pub practice: Vec<Practice>,
    pub scenarios: Vec<Scenario>,
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub drills: Vec<Drill>,
}

/// How often an assessment may be tried, and how long to wait in between.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "camelCase", deny_unknown_fields)]
pub struct Attempts {
    /// Tries before a trainer must release another; at least 1.
    pub tries: u32,
    /// Hours from the end of one try to the beginning of the next.
    pub wait_hours: u32,
}

/// A lesson, as far as a record can name it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Lesson {
    pub id: String,
    pub title: String,
    pub edition: u32,
    pub kind: String,
}

/// What a person must be able to do, and the evidence that shows it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "camelCase", deny_unknown_fields)]
pub struct Competency {
    pub id: String,
    pub says: String,
    /// Lessons to read.
    pub study: Vec<String>,
    pub evidence: Vec<Evidence>,
    pub witnessed: Witnessed,
    /// Months from signing until the competency must be renewed; at least 1.
    pub holds_months: u32,
    /// The role that may sign.
    pub signed_by: String,
    /// What a trainer watches for, step by step.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub sheet: Option<Sheet>,
}

/// The steps that a witnessed performance is held against.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "camelCase", deny_unknown_fields)]
pub struct Sheet {
    /// The lesson whose procedures they are.
    pub lesson: String,
    /// In plain words, without markup.
    pub steps: Vec<String>,
    /// The numbers of those that are done only if something is so, counted from 1.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub conditional: Vec<u32>,
    /// The numbers of those that do not come up when it is staged, or are only told.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub not_staged: Vec<u32>,
}

/// What somebody is employed as.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Job {
    pub id: String,
    pub title: String,
    /// The competencies that the job needs.
    pub competencies: Vec<String>,
}

/// A machine, as far as a record can name it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Machine {
    pub id: String,
    pub title: String,
    /// How it moves, if it is modelled.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub model: Option<Model>,
}

/// How often a performance must have been watched.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Witnessed {
    /// Performances that met the standard.
    pub times: u32,
    /// How many of them on a real call rather than a staged one; at most `times`.
    pub real: u32,
}

/// Somebody who may sign competencies off.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Signer {
    pub name: String,
    pub role: String,
}

/// An assessed bank: its questions' keys and its blueprint.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Bank {
    pub id: String,
    pub title: String,
    pub edition: u32,
    /// Per cent of full marks that pass, 1 to 100.
    pub pass: u32,
    pub draw: Vec<Draw>,
    /// In the order of the source file: drawing depends on it.
    pub questions: Vec<Question>,
}

/// One row of a blueprint.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Draw {
    pub competency: String,
    pub count: u32,
}

/// The questions that a lesson asks in passing; never counted.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Practice {
    pub lesson: String,
    pub questions: Vec<Question>,
}

/// A question's key.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Question {
    pub id: String,
    pub competency: String,
    /// A miss fails the attempt.
    pub critical: bool,
    #[serde(flatten)]
    pub kind: Kind,
}

/// How a question is answered and marked. The kinds are interaction types of the cmi data model that xAPI 1.0.3 names, and `place`.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(tag = "kind", rename_all = "lowercase")]
pub enum Kind {
    /// One of 2 to 10 options; with several keys, some of them.
    Choice {
        options: Vec<String>,
        right: Vec<String>,
        /// With several keys: a share of the mark for some of them, less one for each wrong one.
        #[serde(default, skip_serializing_if = "is_false")]
        partial: bool,
    },
    /// 2 to 10 pairs, in the order of the file. The right side of a pair has the pair's own id.
    Matching { pairs: Vec<String> },
    /// 3 to 8 steps. Without `ways` their order here is the right one. With them the machine's model marked every order: an
    /// order is walked from the first node on, step by step.
    Sequencing {
        steps: Vec<String>,
        #[serde(default, skip_serializing_if = "Vec::is_empty")]
        ways: Vec<BTreeMap<String, Way>>,
    },
    /// A number in the stated unit, right within the tolerance, edges included.
    Numeric {
        answer: Decimal,
        tolerance: Decimal,
        unit: String,
    },
    /// One of 2 to 10 spots of a drawing; each of `right` is right.
    Place { spots: Vec<String>, right: Vec<String> },
}

/// Where a step leads from a node.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(untagged)]
pub enum Way {
    /// On to the node of this number; 0 where it was the last step and all is right.
    On(u32),
    /// It goes wrong here: what it does, in words.
    Wrong(String),
}

#[expect(clippy::trivially_copy_pass_by_ref, reason = "serde hands over a reference")]
fn is_false(value: &bool) -> bool {
    !value
}

impl Kind {
    /// What is shown in an order drawn for the attempt: options, the right side of pairs, steps, spots. Empty for a number.
    pub fn shown(&self) -> &[String] {
        match self {
            Self::Choice { options, .. } => options,
            Self::Matching { pairs } => pairs,
            Self::Sequencing { steps, .. } => steps,
            Self::Place { spots, .. } => spots,
            Self::Numeric { .. } => &[],
        }
    }
}

/// A branching scenario: its scenes, where each choice leads and what it earns.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Scenario {
    pub id: String,
    pub title: String,
    pub edition: u32,
    pub competencies: Vec<String>,
    pub start: String,
    /// Least marks that pass.
    pub pass: u32,
    /// Most marks that any way earns.
    pub most: u32,
    pub scenes: Vec<Scene>,
}

#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Scene {
    pub id: String,
    pub ends: Option<Ending>,
    pub choices: Vec<Choice>,
}

/// How a scenario can end.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Ending {
    Safe,
    Unsafe,
}

#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Choice {
    pub id: String,
    pub to: String,
    pub marks: u32,
    #[serde(rename = "unsafe")]
    pub hurts: bool,
}

impl Marking {
    pub fn bank(&self, id: &str) -> Option<&Bank> {
        self.banks.iter().find(|bank| bank.id == id)
    }

    pub fn scenario(&self, id: &str) -> Option<&Scenario> {
        self.scenarios.iter().find(|scenario| scenario.id == id)
    }

    pub fn drill(&self, id: &str) -> Option<&Drill> {
        self.drills.iter().find(|drill| drill.id == id)
    }

    pub fn machine(&self, id: &str) -> Option<&Machine> {
        self.machines.iter().find(|machine| machine.id == id)
    }

    pub fn lesson(&self, id: &str) -> Option<&Lesson> {
        self.lessons.iter().find(|lesson| lesson.id == id)
    }

    pub fn competency(&self, id: &str) -> Option<&Competency> {
        self.competencies.iter().find(|competency| competency.id == id)
    }

    /// Whether the outline names this key (a Multikey) for this trainer or signer.
    pub fn names_key(&self, code: &str, multikey: &str) -> bool {
        self.keys.get(code).is_some_and(|named| named == multikey)
    }

    /// The file's bytes: canonical JSON.
    ///
    /// # Errors
    /// If a number in it has no canonical form, which a checked course rules out.
    pub fn bytes(&self) -> Result<Vec<u8>, NotCanonical> {
        canonical(self)
    }

    /// The file's name among all markings: SHA-256 of [`Marking::bytes`], in lower-case hex.
    ///
    /// # Errors
    /// As [`Marking::bytes`].
    pub fn hash(&self) -> Result<String, NotCanonical> {
        Ok(sha256_hex(&self.bytes()?))
    }
}

impl Bank {
    /// How many questions one form asks.
    pub fn count(&self) -> u32 {
        self.draw.iter().map(|row| row.count).sum()
    }

    pub fn question(&self, id: &str) -> Option<&Question> {
        self.questions.iter().find(|question| question.id == id)
    }
}

impl Scenario {
    pub fn scene(&self, id: &str) -> Option<&Scene> {
        self.scenes.iter().find(|scene| scene.id == id)
    }
}
