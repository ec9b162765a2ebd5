//! A person's attempts, each marked again, and which of them count.

use super::Markings;
use super::evidence::title_and_edition;
use crate::marking::{Evidence, FULL, Marking};
use crate::record::{Deed, Event, Marks, Statement, What, judge};
use crate::score::{Interval, clopper_pearson, wilson};
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
    /// In whole questions for a bank, in marks for a scenario; 1 for a drill that is passed.
    pub marks: f64,
    pub max: f64,
    /// Critical questions missed.
    pub missed_critical: Vec<String>,
    /// The first unsafe choice: scene and choice. Of a drill: the act that ended it and the id of a hazard or rule.
    pub first_unsafe: Option<(String, String)>,
    /// Which try it was since the last pass on this edition; none where it does not count.
    #[serde(rename = "try")]
    pub number: Option<u32>,
    /// Why it does not count.
    pub not_counted: Option<String>,
    /// Where the share of questions that this person gets right may lie, at 95 %; a note that decides nothing. Closed
    /// attempts at a bank only: the marks of a scenario and the acts of a drill are not independent tries.
    pub interval: Option<Bounds>,
    /// The same after Clopper and Pearson, which is never too narrow.
    pub exact: Option<Bounds>,
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
    /// The id of the question, scene or action.
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

    /// The first unsafe choice or act, in words.
    pub fn first_unsafe_says(&self) -> Option<String> {
        let (at, what) = self.first_unsafe.as_ref()?;
        Some(match self.assessment {
            Evidence::Drill(_) => format!("unsafe act {at} ({what})"),
            _ => format!("unsafe choice {what} in scene {at}"),
        })
    }
}

/// An attempt marked again, before it is known whether it counts.
pub(super) struct Sitting {
    pub line: AttemptLine,
    /// When the next try's wait begins. A try that was left is closed only when the course is next opened, which may
    /// be days later; it ended with its last act. None while nothing can be said of it.
    ended: Option<Timestamp>,
}

/// Whether an attempt counts, and as what.
#[derive(Default)]
pub(super) struct Count {
    /// Which try it was since the last pass on this edition.
    pub number: Option<u32>,
    not_counted: Option<String>,
}

/// How the attempts stand at a moment.
pub(super) struct Tally {
    /// One for each sitting.
    pub counts: Vec<Count>,
    series: BTreeMap<(Evidence, u32), Series>,
}

/// How many tries a person has left at an assessment in its present edition.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Tries {
    pub assessment: Evidence,
    pub title: String,
    pub edition: u32,
    /// Counted tries since the last pass.
    pub used: u32,
    /// Tries that trainers have released since the last pass.
    pub released: u32,
    pub left: u32,
}

/// All attempts, sorted by when they were begun. `own` is sorted by time.
pub(super) fn sittings(own: &[&Statement], markings: &Markings) -> Vec<Sitting> {
    let mut grouped: BTreeMap<&str, Vec<&Statement>> = BTreeMap::new();
    for statement in own.iter().filter(|statement| statement.is_of_attempt()) {
        if let Some(registration) = &statement.registration {
            grouped.entry(registration).or_default().push(statement);
        }
    }
    let mut sittings: Vec<Sitting> = grouped
        .into_iter()
        .filter_map(|(registration, parts)| sitting(registration, &parts, markings))
        .collect();
    sittings.sort_by(|a, b| (a.line.begun, &a.line.registration).cmp(&(b.line.begun, &b.line.registration)));
    sittings
}

/// The attempts as the scored record shows them.
pub(super) fn lines(sittings: Vec<Sitting>, tally: &Tally) -> Vec<AttemptLine> {
    let counted = sittings.into_iter().zip(&tally.counts);
    counted
        .map(|(sitting, count)| AttemptLine {
            number: count.number,
            not_counted: sitting.line.not_counted.clone().or_else(|| count.not_counted.clone()),
            ..sitting.line
        })
        .collect()
}

fn sitting(registration: &str, parts: &[&Statement], markings: &Markings) -> Option<Sitting> {
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
        exact: None,
        answers: Vec::new(),
    };
    let Some(outcome) = judged.outcome else {
        let why = judged
            .misfits
            .into_iter()
            .chain(judged.waits)
            .collect::<Vec<_>>()
            .join("; ");
        let line = AttemptLine {
            not_counted: Some(format!("it does not fit together: {why}")),
            ..blank
        };
        return Some(Sitting { line, ended: None });
    };
    let state = match (outcome.closed, outcome.left, outcome.passed) {
        (None, _, _) => State::Open,
        (Some(_), true, _) => State::Left,
        (Some(_), false, true) => State::Passed,
        (Some(_), false, false) => State::Failed,
    };
    let (marks, max) = outcome.marks.raw_and_max();
    let bounds = |interval: Interval| Bounds {
        low: interval.low,
        high: interval.high,
    };
    let (interval, exact, unit) = match outcome.marks {
        Marks::Bank { right, asked, .. } if state != State::Open => (
            Some(bounds(wilson(right, asked))),
            Some(bounds(clopper_pearson(right, asked))),
            FULL,
        ),
        Marks::Bank { .. } => (None, None, FULL),
        Marks::Scenario { .. } | Marks::Drill { .. } => (None, None, 1),
    };
    let answers = outcome.answers.iter().map(|answer| AnswerLine {
        at: answer.at.clone(),
        response: answer.response.clone(),
        earned: f64::from(answer.earned) / f64::from(unit),
    });
    let line = AttemptLine {
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
        exact,
        answers: answers.collect(),
        ..blank
    };
    let ended = if outcome.left {
        Some(outcome.last_act)
    } else {
        outcome.closed
    };
    Some(Sitting { line, ended })
}

/// A run of tries at one edition of one assessment.
#[derive(Default)]
struct Series {
    /// Counted tries since the last pass.
    tries: u32,
    /// Tries released since the last pass.
    released: u32,
    /// When the last of them ended.
    ended: Option<Timestamp>,
}

impl Series {
    fn release(&mut self, more: u32) {
        self.released = self.released.saturating_add(more);
    }
}

/// Numbers the tries that count, as far as had happened by `until`. What was allowed is read from the course on which
/// the try was made: that is what the person was told. A trainer's release adds to it from then on, for the edition
/// that was in use, until the next pass.
pub(super) fn tally(sittings: &[Sitting], own: &[&Statement], markings: &Markings, until: Option<Timestamp>) -> Tally {
    let by_then = |at: Timestamp| until.is_none_or(|until| at <= until);
    let mut released = own
        .iter()
        .filter(|statement| by_then(statement.timestamp))
        .filter_map(|statement| release(statement, markings))
        .peekable();
    let mut tally = Tally {
        counts: Vec::new(),
        series: BTreeMap::new(),
    };
    for sitting in sittings {
        while let Some((at, key, more)) = released.next_if(|(at, _, _)| *at <= sitting.line.begun) {
            debug_assert!(by_then(at));
            tally.series.entry(key).or_default().release(more);
        }
        let count = if by_then(sitting.line.begun) {
            tally.count(sitting, markings, by_then)
        } else {
            Count::default()
        };
        tally.counts.push(count);
    }
    for (_, key, more) in released {
        tally.series.entry(key).or_default().release(more);
    }
    tally
}

/// When how many tries were released, at which edition of what.
fn release(statement: &Statement, markings: &Markings) -> Option<(Timestamp, (Evidence, u32), u32)> {
    let Deed::Entered(Event {
        what: What::Released { assessment, more },
        ..
    }) = &statement.deed
    else {
        return None;
    };
    let (_, edition) = title_and_edition(markings.get(&statement.marking)?, assessment);
    Some((statement.timestamp, (assessment.clone(), edition), *more))
}

impl Tally {
    fn count(&mut self, sitting: &Sitting, markings: &Markings, by_then: impl Fn(Timestamp) -> bool) -> Count {
        let line = &sitting.line;
        let (Some(ended), Some(marking)) = (sitting.ended, markings.get(&line.marking)) else {
            return Count {
                number: None,
                not_counted: (line.state == State::Open).then(|| "it is still open".to_owned()),
            };
        };
        if !line.closed.is_some_and(by_then) {
            return Count::default();
        }
        let not_counted = |why: String| Count {
            number: None,
            not_counted: Some(why),
        };
        let series = self.series.entry((line.assessment.clone(), line.edition)).or_default();
        let tries = marking.attempts.tries.saturating_add(series.released);
        if series.tries >= tries {
            return not_counted(format!(
                "{tries} {} allowed before a trainer releases another",
                if tries == 1 { "try is" } else { "tries are" }
            ));
        }
        let wait = SignedDuration::from_hours(i64::from(marking.attempts.wait_hours));
        if let Some(ended) = series.ended
            && line.begun.duration_since(ended) < wait
        {
            return not_counted(format!(
                "it was begun less than {} hours after the try before it",
                marking.attempts.wait_hours
            ));
        }
        series.tries += 1;
        let number = Some(series.tries);
        series.ended = Some(ended);
        if line.state == State::Passed {
            *series = Series::default();
        }
        Count {
            number,
            not_counted: None,
        }
    }

    /// How many tries are left at an assessment in the edition that a course teaches.
    pub fn left(&self, wanted: &Evidence, marking: &Marking) -> Tries {
        let (title, edition) = title_and_edition(marking, wanted);
        let series = self.series.get(&(wanted.clone(), edition));
        let (used, released) = series.map_or((0, 0), |series| (series.tries, series.released));
        Tries {
            assessment: wanted.clone(),
            title,
            edition,
            used,
            released,
            left: marking.attempts.tries.saturating_add(released).saturating_sub(used),
        }
    }
}

/// What is left of every assessment that was tried or released since it was last passed.
pub(super) fn left(tally: &Tally, marking: &Marking) -> Vec<Tries> {
    marking
        .assessments()
        .iter()
        .map(|known| tally.left(&known.evidence, marking))
        .filter(|tries| tries.used > 0 || tries.released > 0)
        .collect()
}
