//! Banks and scenarios, as written.

use super::{Id, Keyed, Question, Text};
use crate::source::At;
use serde::Deserialize;

/// `quizzes/banks/NAME.yml`.
#[derive(Debug, Clone)]
pub struct Bank {
    pub title: At<String>,
    pub edition: At<u32>,
    /// Per cent of full marks that pass; whole.
    pub pass: At<u32>,
    /// Questions per competency.
    pub draw: Keyed<At<u32>>,
    pub questions: Keyed<Question>,
}

/// `quizzes/scenarios/NAME.yml`: a graph of scenes.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct Scenario {
    pub title: At<String>,
    pub edition: At<u32>,
    #[serde(default)]
    pub competencies: Vec<Id>,
    pub start: Id,
    /// Least marks that pass.
    pub pass: At<u32>,
    pub scenes: Keyed<Scene>,
}

#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct Scene {
    /// Full CommonMark.
    pub says: Text,
    #[serde(default)]
    pub ends: Option<At<Ending>>,
    #[serde(default)]
    pub choices: Keyed<Choice>,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Ending {
    Safe,
    Unsafe,
}

#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct Choice {
    pub says: Text,
    pub to: Id,
    #[serde(default)]
    pub marks: Option<At<u32>>,
    /// Shown afterwards.
    pub because: Text,
    #[serde(default, rename = "unsafe")]
    pub hurts: Option<Harm>,
}

#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct Harm {
    pub harm: Text,
    pub severity: At<Severity>,
}

/// The four severity categories of MIL-STD-882E, Table I, worst first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Severity {
    Catastrophic,
    Critical,
    Marginal,
    Negligible,
}

impl Severity {
    pub fn word(self) -> &'static str {
        match self {
            Self::Catastrophic => "catastrophic",
            Self::Critical => "critical",
            Self::Marginal => "marginal",
            Self::Negligible => "negligible",
        }
    }
}

impl Choice {
    /// What the choice earns; 0 where nothing is written.
    pub fn marks(&self) -> u32 {
        self.marks.as_ref().map_or(0, |marks| marks.value)
    }
}
