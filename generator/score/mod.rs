//! Marks: a response and a question's key go in, a number of parts comes out; a whole attempt goes in, a result comes out.
//!
//! The browser's `mark.js` does the same sums; the tests hold the two together.

use crate::marking::{Bank, Choice, Ending, FULL, Kind, Question, Scenario, Way};
use given::Given;
use std::collections::BTreeMap;

mod given;
mod interval;

pub use given::NotGiven;
pub use interval::{Interval, clopper_pearson, wilson};

/// What a response earns, in parts of [`FULL`]. A response that cannot have been given earns nothing.
pub fn mark(question: &Question, response: &str) -> u32 {
    marked(question, response).unwrap_or(0)
}

/// As [`mark`], for a response whose origin is in doubt.
///
/// # Errors
/// [`NotGiven`]: no page can have given it as an answer to this question.
pub fn marked(question: &Question, response: &str) -> Result<u32, NotGiven> {
    let given = given::given(&question.kind, response)?;
    Ok(match (&question.kind, given) {
        (Kind::Choice { right, .. } | Kind::Place { right, .. }, Given::One(id)) => all_or_nothing(holds(right, id)),
        (Kind::Choice { right, partial, .. }, Given::Several(ids)) => {
            let hits = ids.iter().filter(|id| holds(right, id)).count();
            let misses = ids.len() - hits;
            if *partial {
                share(hits.saturating_sub(misses), right.len())
            } else {
                all_or_nothing(hits == right.len() && misses == 0)
            }
        }
        (Kind::Matching { pairs }, Given::Pairs(rights)) => {
            let hits = pairs.iter().zip(&rights).filter(|(left, right)| left == *right).count();
            share(hits, pairs.len())
        }
        (Kind::Sequencing { steps, ways }, Given::Order(ids)) => all_or_nothing(if ways.is_empty() {
            ids.iter().eq(steps)
        } else {
            leads_home(ways, &ids)
        }),
        (Kind::Numeric { answer, tolerance, .. }, Given::Number(number)) => {
            all_or_nothing(answer.within(*tolerance, number))
        }
        // Reading gives each kind its own sort of answer.
        _ => 0,
    })
}

/// Whether an order, walked step by step, ends where all is done and right.
fn leads_home(ways: &[BTreeMap<String, Way>], ids: &[&str]) -> bool {
    let mut at = 0;
    for (place, id) in ids.iter().enumerate() {
        match ways.get(at).and_then(|node| node.get(*id)) {
            Some(Way::On(0)) => return place + 1 == ids.len(),
            Some(Way::On(next)) => at = *next as usize,
            Some(Way::Wrong(_)) | None => return false,
        }
    }
    false
}

fn holds(ids: &[String], id: &str) -> bool {
    ids.iter().any(|one| one == id)
}

fn all_or_nothing(right: bool) -> u32 {
    if right { FULL } else { 0 }
}

/// `hits` of `of` shares of the full mark; whole as long as `of` is at most 10.
fn share(hits: usize, of: usize) -> u32 {
    let count = |number: usize| u32::try_from(number).unwrap_or(u32::MAX);
    match of {
        0 => 0,
        _ => FULL.saturating_mul(count(hits)) / count(of),
    }
}

/// A score in questions or marks as people read it: at most two decimal places, and never rounded up, so that one that falls short does not
/// look as if it did not.
pub fn figure(score: f64) -> String {
    // A sum of shares may come out a hair below what it is.
    format!("{}", (score * 100.0 + 1e-6).floor() / 100.0)
}

/// The result of one form of a bank.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct BankResult {
    /// Sum of all marks, in parts of [`FULL`].
    pub parts: u32,
    /// Questions asked.
    pub asked: u32,
    /// Ids of critical questions that earned less than full marks.
    pub missed_critical: Vec<String>,
    pub passed: bool,
}

/// The result of a form from each question asked and what it earned. A question left unanswered earns 0.
pub fn bank_result(bank: &Bank, marks: &[(&Question, u32)]) -> BankResult {
    let parts: u32 = marks.iter().map(|(_, parts)| parts).sum();
    let asked = u32::try_from(marks.len()).unwrap_or(u32::MAX);
    let missed_critical: Vec<String> = marks
        .iter()
        .filter(|(question, parts)| question.critical && *parts < FULL)
        .map(|(question, _)| question.id.clone())
        .collect();
    let enough = u64::from(parts) * 100 >= u64::from(bank.pass) * u64::from(asked) * u64::from(FULL);
    BankResult {
        parts,
        asked,
        passed: enough && asked > 0 && missed_critical.is_empty(),
        missed_critical,
    }
}

/// The result of one run through a scenario.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ScenarioResult {
    pub marks: u32,
    /// The ending reached, if one was.
    pub ending: Option<Ending>,
    /// The first unsafe choice: scene and choice ids.
    pub first_unsafe: Option<(String, String)>,
    pub passed: bool,
}

/// A response that the scenario does not allow.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct BadTurn {
    /// Counted from 0.
    pub turn: usize,
    /// The scene in which the run stood.
    pub scene: String,
    pub response: String,
}

/// Replays a run: `turns` holds, in order, the scene that the record names and the choice made there.
///
/// # Errors
/// [`BadTurn`]: the record names another scene than the one that the run stands in, or a choice that is not offered there.
pub fn scenario_result(scenario: &Scenario, turns: &[(&str, &str)]) -> Result<ScenarioResult, BadTurn> {
    let mut at = scenario.start.as_str();
    let mut result = ScenarioResult {
        marks: 0,
        ending: None,
        first_unsafe: None,
        passed: false,
    };
    for (turn, (named, response)) in turns.iter().enumerate() {
        let bad = || BadTurn {
            turn,
            scene: at.to_owned(),
            response: (*response).to_owned(),
        };
        if *named != at {
            return Err(bad());
        }
        let choice = choice(scenario, at, response).ok_or_else(bad)?;
        result.marks += choice.marks;
        if choice.hurts && result.first_unsafe.is_none() {
            result.first_unsafe = Some((at.to_owned(), choice.id.clone()));
        }
        at = choice.to.as_str();
    }
    result.ending = scenario.scene(at).and_then(|scene| scene.ends);
    result.passed =
        result.ending == Some(Ending::Safe) && result.first_unsafe.is_none() && result.marks >= scenario.pass;
    Ok(result)
}

fn choice<'a>(scenario: &'a Scenario, scene: &str, id: &str) -> Option<&'a Choice> {
    scenario.scene(scene)?.choices.iter().find(|choice| choice.id == id)
}
