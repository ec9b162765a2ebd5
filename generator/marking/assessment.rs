//! What can be an assessment: each sort is named here, and nearly nowhere else.

use super::Marking;
use serde::{Deserialize, Serialize};
use std::fmt;

/// An assessment whose latest attempt must have passed.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Evidence {
    Bank(String),
    Scenario(String),
    Drill(String),
}

/// An assessment as a course has it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Assessment<'m> {
    pub evidence: Evidence,
    pub title: &'m str,
    pub edition: u32,
}

impl Evidence {
    /// The sorts of assessment, in the order in which they are listed.
    pub const SORTS: [&'static str; 3] = ["bank", "scenario", "drill"];

    /// The assessment of a sort with an id; none if there is no such sort.
    pub fn of(sort: &str, id: &str) -> Option<Self> {
        let id = id.to_owned();
        Some(match sort {
            "bank" => Self::Bank(id),
            "scenario" => Self::Scenario(id),
            "drill" => Self::Drill(id),
            _ => return None,
        })
    }

    /// One of [`Evidence::SORTS`].
    pub fn sort(&self) -> &'static str {
        match self {
            Self::Bank(_) => "bank",
            Self::Scenario(_) => "scenario",
            Self::Drill(_) => "drill",
        }
    }

    pub fn id(&self) -> &str {
        match self {
            Self::Bank(id) | Self::Scenario(id) | Self::Drill(id) => id,
        }
    }

    /// What one turn of an attempt at it answers.
    pub fn part(&self) -> &'static str {
        match self {
            Self::Bank(_) => "question",
            Self::Scenario(_) => "scene",
            Self::Drill(_) => "act",
        }
    }
}

impl fmt::Display for Evidence {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} {}", self.sort(), self.id())
    }
}

impl Marking {
    /// All assessments of the course, sort by sort.
    pub fn assessments(&self) -> Vec<Assessment<'_>> {
        let banks = self.banks.iter().map(|bank| Assessment {
            evidence: Evidence::Bank(bank.id.clone()),
            title: &bank.title,
            edition: bank.edition,
        });
        let scenarios = self.scenarios.iter().map(|scenario| Assessment {
            evidence: Evidence::Scenario(scenario.id.clone()),
            title: &scenario.title,
            edition: scenario.edition,
        });
        let drills = self.drills.iter().map(|drill| Assessment {
            evidence: Evidence::Drill(drill.id.clone()),
            title: &drill.title,
            edition: drill.edition,
        });
        banks.chain(scenarios).chain(drills).collect()
    }

    /// One assessment, if the course has it.
    pub fn assessment(&self, wanted: &Evidence) -> Option<Assessment<'_>> {
        let (title, edition) = match wanted {
            Evidence::Bank(id) => self.bank(id).map(|bank| (bank.title.as_str(), bank.edition)),
            Evidence::Scenario(id) => self
                .scenario(id)
                .map(|scenario| (scenario.title.as_str(), scenario.edition)),
            Evidence::Drill(id) => self.drill(id).map(|drill| (drill.title.as_str(), drill.edition)),
        }?;
        Some(Assessment {
            evidence: wanted.clone(),
            title,
            edition,
        })
    }
}
