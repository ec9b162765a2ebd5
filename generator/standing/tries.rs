//! A person's attempts, each marked again, and which of them count.

use super::Markings;
use crate::marking::{Evidence, FULL};
use crate::record::{Marks, Outcome, Statement, judge};
use crate::score::wilson;
use jiff::{SignedDuration, Timestamp};
use serde::Serialize;
use std::collections::BTreeMap;

/// How an attempt ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum State {
    Passed,
    Failed,
    /// Left before its end, which is failing it.
    Left,
    /// Begun and not closed; neither a pass nor a fail.
    Open,
    /// What is on record does not fit together.
    Unsound,
}

/// One attempt, as the scored record shows it.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct AttemptLine {
    /// The attempt's id.
    pub registration: String,
    pub assessment: Evidence,
    pub title: String,
    pub edition: u32,
    /// The name of the marking it was made on.
    pub marking: String,
    pub begun: Timestamp,
    pub closed: Option<Timestamp>,
    pub state: State,
    /// In whole questions for a bank, in marks for a scenario.
    pub marks: f64,
    pub max: f64,
    /// Critical questions missed.
    pub missed_critical: Vec<String>,
    /// The first unsafe choice: scene and choice.
    pub first_unsafe: Option<(String, String)>,
    /// Which try it was since the last pass on this edition; none where it does not count.
    #[serde(rename = "try")]
    pub number: Option<u32>,
    /// Why it does not count.
    pub not_counted: Option<String>,
    /// Where the share of questions that this person gets right may lie, at 95 %; a note that decides nothing. Closed
    /// attempts at a bank only: the marks of a scenario are not independent tries.
    pub interval: Option<Bounds>,
    pub answers: Vec<AnswerLine>,
}

/// Two bounds of a share, each from 0 to 1.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Bounds {
    pub low: f64,
    pub high: f64,
}

/// One answer of an attempt.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct AnswerLine {
    /// The question's or scene's id.
    pub at: String,
    pub response: String,
    /// In questions or marks.
    pub earned: f64,
}

impl AttemptLine {
    /// Whether it decides something: closed, and within the allowed tries.
    pub fn counts(&self) -> bool {
        self.number.is_some()
    }
}

/// All attempts, sorted by when they were begun. `own` is sorted by time.
pub(super) fn attempts(own: &[&Statement], markings: &Markings) -> Vec<AttemptLine> {
    let mut grouped: BTreeMap<&str, Vec<&Statement>> = BTreeMap::new();
    for statement in own.iter().filter(|statement| statement.is_of_attempt()) {
        if let Some(registration) = &statement.registration {
            grouped.entry(registration).or_default().push(statement);
        }
    }
    let mut lines: Vec<(AttemptLine, Option<Outcome>)> = grouped
        .into_iter()
        .filter_map(|(registration, parts)| line(registration, &parts, markings))
        .collect();
    lines.sort_by(|(a, _), (b, _)| (a.begun, &a.registration).cmp(&(b.begun, &b.registration)));
    count(&mut lines, markings);
    lines.into_iter().map(|(line, _)| line).collect()
}

fn line(registration: &str, parts: &[&Statement], markings: &Markings) -> Option<(AttemptLine, Option<Outcome>)> {
    let first = parts.first()?;
    let judged = judge(parts, |hash| markings.get(hash));
    let blank = AttemptLine {
        registration: registration.to_owned(),
        assessment: Evidence::Bank(String::new()),
        title: first.about(),
        edition: first.edition.unwrap_or(0),
        marking: first.marking.clone(),
        begun: first.timestamp,
        closed: None,
        state: State::Unsound,
        marks: 0.0,
        max: 0.0,
        missed_critical: Vec::new(),
        first_unsafe: None,
        number: None,
        not_counted: None,
        interval: None,
        answers: Vec::new(),
    };
    let Some(outcome) = judged.outcome else {
        let why = judged
            .misfits
            .into_iter()
            .chain(judged.waits)
            .collect::<Vec<_>>()
            .join("; ");
        return Some((
            AttemptLine {
                not_counted: Some(format!("it does not fit together: {why}")),
                ..blank
            },
            None,
        ));
    };
    let state = match (outcome.closed, outcome.left, outcome.passed) {
        (None, _, _) => State::Open,
        (Some(_), true, _) => State::Left,
        (Some(_), false, true) => State::Passed,
        (Some(_), false, false) => State::Failed,
    };
    let (marks, max) = outcome.marks.raw_and_max();
    let (interval, unit) = match outcome.marks {
        Marks::Bank { right, asked, .. } => (
            (state != State::Open).then(|| {
                let bounds = wilson(right, asked);
                Bounds {
                    low: bounds.low,
                    high: bounds.high,
                }
            }),
            FULL,
        ),
        Marks::Scenario { .. } => (None, 1),
    };
    let answers = outcome.answers.iter().map(|answer| AnswerLine {
        at: answer.at.clone(),
        response: answer.response.clone(),
        earned: f64::from(answer.earned) / f64::from(unit),
    });
    Some((
        AttemptLine {
            assessment: outcome.assessment.clone(),
            title: outcome.title.clone(),
            edition: outcome.edition,
            begun: outcome.begun,
            closed: outcome.closed,
            state,
            marks,
            max,
            missed_critical: outcome.missed_critical.clone(),
            first_unsafe: outcome.first_unsafe.clone(),
            interval,
            answers: answers.collect(),
            ..blank
        },
        Some(outcome),
    ))
}

/// A run of tries at one edition of one assessment.
#[derive(Default)]
struct Series {
    /// Counted tries since the last pass.
    tries: u32,
    /// When the last of them ended.
    ended: Option<Timestamp>,
}

/// Numbers the tries that count. What was allowed is read from the course on which the try was made: that is what the
/// person was told.
fn count(lines: &mut [(AttemptLine, Option<Outcome>)], markings: &Markings) {
    let mut series: BTreeMap<(Evidence, u32), Series> = BTreeMap::new();
    for (line, outcome) in lines {
        let (Some(outcome), Some(marking)) = (outcome, markings.get(&line.marking)) else {
            continue;
        };
        let allowed = marking.attempts;
        let series = series.entry((line.assessment.clone(), line.edition)).or_default();
        let Some(closed) = outcome.closed else {
            line.not_counted = Some("it is still open".to_owned());
            continue;
        };
        if series.tries >= allowed.tries {
            line.not_counted = Some(format!(
                "{} {} allowed before a trainer releases another",
                allowed.tries,
                if allowed.tries == 1 { "try is" } else { "tries are" }
            ));
            continue;
        }
        let wait = SignedDuration::from_hours(i64::from(allowed.wait_hours));
        if let Some(ended) = series.ended
            && line.begun.duration_since(ended) < wait
        {
            line.not_counted = Some(format!(
                "it was begun less than {} hours after the try before it",
                allowed.wait_hours
            ));
            continue;
        }
        series.tries += 1;
        line.number = Some(series.tries);
        // A try that was left is closed only when the course is next opened, which may be days later.
        series.ended = Some(if outcome.left { outcome.last_act } else { closed });
        if outcome.passed {
            *series = Series::default();
        }
    }
}
