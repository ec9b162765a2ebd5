//! Course → `Checked`, or all that is wrong with it.

use crate::diagnostic::{self, Code, Finding};
use crate::marking::Marking;
use crate::model::Course;
use crate::safety::{self, Memory, Proofs};
use crate::source::Sources;
use rayon::prelude::*;

mod marking;
mod odds;
mod picks;
pub(crate) mod prose;
mod rules;
mod walk;
pub(crate) mod wording;

pub use odds::{BankOdds, ScenarioOdds};
pub use walk::Ways;

/// A course in which nothing was found. Later stages take only this, and only [`check`] makes it.
#[derive(Debug)]
pub struct Checked {
    course: Course,
    marking: Marking,
    marking_hash: String,
    odds: Odds,
    proofs: Proofs,
}

/// What a blind guesser could do, per assessment, in the order of the course.
#[derive(Debug, Default)]
pub struct Odds {
    pub banks: Vec<BankOdds>,
    pub scenarios: Vec<ScenarioOdds>,
}

impl Checked {
    pub fn course(&self) -> &Course {
        &self.course
    }

    pub fn marking(&self) -> &Marking {
        &self.marking
    }

    /// SHA-256 of the marking's canonical JSON, lower-case hex.
    pub fn marking_hash(&self) -> &str {
        &self.marking_hash
    }

    pub fn odds(&self) -> &Odds {
        &self.odds
    }

    /// What was shown of machines, drills and procedures.
    pub fn proofs(&self) -> &Proofs {
        &self.proofs
    }
}

/// Every code that can be found, from loading and from checking, sorted by name.
pub fn codes() -> Vec<&'static Code> {
    let mut codes = crate::load::codes();
    codes.extend(crate::explore::codes());
    codes.extend(safety::codes());
    codes.extend(rules::RULES.iter().flat_map(|rule| rule.codes));
    codes.sort_by_key(|code| code.name);
    codes
}

/// Loads and checks the sources of a course.
///
/// # Errors
/// All findings of the run, sorted by place.
pub fn check(sources: &Sources) -> Result<Checked, Vec<Finding>> {
    check_again(sources, &Memory::default())
}

/// The same, for whoever checks a course again and again while it is written.
///
/// # Errors
/// All findings of the run, sorted by place.
pub fn check_again(sources: &Sources, memory: &Memory) -> Result<Checked, Vec<Finding>> {
    let (course, mut findings) = crate::load::load(sources);
    findings.par_extend(rules::RULES.par_iter().flat_map_iter(|rule| {
        let mut found = Vec::new();
        (rule.check)(&course, &mut found);
        found
    }));
    let models = safety::models(&course, &mut findings);
    rules::views::bound(&course, &models, &mut findings);
    rules::views::shown(&course, &models, &mut findings);
    let asked = safety::asked(&models, &course, &mut findings);
    // Nothing is replayed on sources with findings: every proof would be of something else.
    let proofs = if findings.is_empty() {
        safety::prove(&models, &asked, memory, &mut findings)
    } else {
        Proofs::default()
    };
    if findings.is_empty() {
        // The rules have seen all that the marking is made from; what it still refuses is a number that JSON cannot hold.
        match marking::marking(&course, &models, &proofs) {
            Some((marking, marking_hash)) => {
                let odds = odds::odds(&marking, &course, &proofs);
                rules::bank::proven(&course, &odds, &mut findings);
                if !findings.is_empty() {
                    return Err(findings);
                }
                return Ok(Checked {
                    course,
                    marking,
                    marking_hash,
                    odds,
                    proofs,
                });
            }
            None => findings.extend(rules::incomplete(sources)),
        }
    }
    diagnostic::sort(&mut findings);
    Err(findings)
}
