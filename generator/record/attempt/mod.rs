//! Judging an assessed attempt: the statements of one registration are put in order and marked again from the
//! responses themselves; what the record claims is held against that.

use super::statement::{Closing, Deed, Statement};
use crate::marking::{Evidence, Marking};
use jiff::Timestamp;

mod bank;
mod claims;
mod drill;
mod scenario;

pub(super) use claims::answer as answer_claim;

/// What judging an attempt found.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Judged {
    /// Every way in which the attempt does not fit. Empty if it fits as far as it goes.
    pub misfits: Vec<String>,
    /// Why part of it must wait for statements that are not there yet.
    pub waits: Option<String>,
    /// Ids of the statements that fit, in order: the beginning, the answers by turn, the closing.
    /// Empty where there is a misfit.
    pub fitting: Vec<String>,
    /// The attempt as marked; none without a beginning or with a misfit.
    pub outcome: Option<Outcome>,
}

/// An attempt, marked again.
#[derive(Debug, Clone, PartialEq)]
pub struct Outcome {
    pub assessment: Evidence,
    /// The assessment's title on the course on which it was made.
    pub title: String,
    pub edition: u32,
    pub begun: Timestamp,
    /// The last statement before the closing.
    pub last_act: Timestamp,
    /// When it was closed; none while it is open.
    pub closed: Option<Timestamp>,
    /// Left before its end, which is failing it.
    pub left: bool,
    /// Passed by the marks. An attempt that is open or was left has not passed.
    pub passed: bool,
    pub marks: Marks,
    /// Critical questions that earned less than full marks: only once closed, those left unanswered among them.
    pub missed_critical: Vec<String>,
    /// The first unsafe choice of a scenario: scene and choice. Of a drill: the act that ended it and the id of the hazard,
    /// or of the rule that it breaks.
    pub first_unsafe: Option<(String, String)>,
    pub answers: Vec<Answer>,
}

/// What an attempt earned.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Marks {
    /// A bank: the sum in parts of [`crate::marking::FULL`], the questions answered fully right, the questions of the form.
    Bank { parts: u32, right: u32, asked: u32 },
    /// A scenario: marks, the most that any way earns, the least that passes.
    Scenario { marks: u32, most: u32, pass: u32 },
    /// A drill: passed or not, and how many acts were done or tried.
    Drill { passed: bool, acts: u32 },
}

impl Marks {
    /// The score in whole questions or marks, and the most it could be.
    pub fn raw_and_max(self) -> (f64, f64) {
        match self {
            Self::Bank { parts, asked, .. } => (f64::from(parts) / f64::from(crate::marking::FULL), f64::from(asked)),
            Self::Scenario { marks, most, .. } => (f64::from(marks), f64::from(most)),
            Self::Drill { passed, .. } => (f64::from(u8::from(passed)), 1.0),
        }
    }
}

/// One answer of an attempt, marked again.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Answer {
    /// The id of the question, scene or action.
    pub at: String,
    pub response: String,
    /// In parts of [`crate::marking::FULL`] for a question, in marks for a scene. An act of a drill earns nothing by itself.
    pub earned: u32,
}

/// The statements of one attempt, in order.
pub(super) struct Ordered<'a> {
    pub begun: &'a Statement,
    pub assessment: &'a Evidence,
    pub seed: &'a str,
    /// Turns 0, 1, 2 … without a gap.
    pub answers: Vec<&'a Statement>,
    /// Those after a gap.
    pub stray: Vec<&'a Statement>,
    pub closing: Option<(&'a Statement, &'a Closing)>,
}

/// Judges all statements of one registration. `marking` finds a marking by its name.
///
/// An attempt may be open, and its statements may arrive in any order: a missing beginning, a gap between turns or a
/// closing that comes before the answers it seals is waiting, not a misfit.
pub fn judge<'m>(statements: &[&Statement], marking: impl Fn(&str) -> Option<&'m Marking>) -> Judged {
    let ordered = match order(statements) {
        Ok(Some(ordered)) => ordered,
        Ok(None) => {
            return Judged {
                waits: Some("the beginning of its attempt has not been handed in".to_owned()),
                ..Judged::default()
            };
        }
        Err(misfits) => {
            return Judged {
                misfits,
                ..Judged::default()
            };
        }
    };
    let Some(marking) = marking(&ordered.begun.marking) else {
        return Judged {
            waits: Some(format!("the marking {} is not known", ordered.begun.marking)),
            ..Judged::default()
        };
    };
    let mut misfits = one_attempt(&ordered, statements);
    misfits.extend(times(&ordered));
    let marked = match ordered.assessment {
        Evidence::Bank(id) => bank::mark(marking.bank(id), &ordered, &mut misfits),
        Evidence::Scenario(id) => scenario::mark(marking.scenario(id), &ordered, &mut misfits),
        Evidence::Drill(id) => drill::mark(marking, id, &ordered, &mut misfits),
    };
    let Some(marked) = marked else {
        if misfits.is_empty() {
            misfits.push(format!("there is no {} in this course", ordered.assessment));
        }
        return Judged {
            misfits,
            ..Judged::default()
        };
    };
    misfits.extend(editions(statements, marked.edition));
    finish(&ordered, marked, misfits)
}

/// What marking the answers of an attempt gives.
pub(super) struct Marked {
    title: String,
    edition: u32,
    marks: Marks,
    /// By the marks alone, as if it had been closed now.
    passed: bool,
    /// Nothing more can be answered.
    complete: bool,
    /// What is still to be answered, in words.
    lacking: String,
    missed_critical: Vec<String>,
    first_unsafe: Option<(String, String)>,
    answers: Vec<Answer>,
}

fn order<'a>(statements: &[&'a Statement]) -> Result<Option<Ordered<'a>>, Vec<String>> {
    let mut misfits = Vec::new();
    let mut begun = None;
    let mut closing = None;
    let mut answers: Vec<(u32, &Statement)> = Vec::new();
    for statement in statements {
        let twice = match &statement.deed {
            Deed::Begun { assessment, seed } => begun.replace((*statement, assessment, seed.as_str())).is_some(),
            Deed::Closed(closed) => closing.replace((*statement, closed)).is_some(),
            Deed::Answered { turn, .. } => {
                answers.push((*turn, statement));
                false
            }
            _ => false,
        };
        if twice {
            misfits.push(format!(
                "the attempt says twice, with different ids, that the person {}",
                statement.about()
            ));
        }
    }
    answers.sort_by(|a, b| (a.0, &a.1.id).cmp(&(b.0, &b.1.id)));
    for pair in answers.windows(2) {
        if pair[0].0 == pair[1].0 {
            misfits.push(format!("turn {} is answered twice", pair[0].0));
        }
    }
    if !misfits.is_empty() {
        return Err(misfits);
    }
    let Some((begun, assessment, seed)) = begun else {
        return Ok(None);
    };
    let whole = answers
        .iter()
        .zip(0..)
        .take_while(|((turn, _), due)| turn == due)
        .count();
    let mut answers: Vec<&Statement> = answers.into_iter().map(|(_, statement)| statement).collect();
    let stray = answers.split_off(whole);
    Ok(Some(Ordered {
        begun,
        assessment,
        seed,
        answers,
        stray,
        closing,
    }))
}

fn one_attempt(ordered: &Ordered, statements: &[&Statement]) -> Vec<String> {
    let begun = ordered.begun;
    let mut misfits = Vec::new();
    for statement in statements {
        if statement.person != begun.person {
            misfits.push(format!(
                "{}: the attempt was begun by {}, this names {}",
                statement.about(),
                begun.person,
                statement.person
            ));
        }
        if statement.home != begun.home || statement.marking != begun.marking {
            misfits.push(format!(
                "{}: it names another course than the attempt's beginning",
                statement.about()
            ));
        }
    }
    if let Some((_, closing)) = ordered.closing
        && closing.assessment != *ordered.assessment
    {
        misfits.push(format!(
            "the attempt was begun at {} and closed at {}",
            ordered.assessment, closing.assessment
        ));
    }
    misfits
}

fn times(ordered: &Ordered) -> Option<String> {
    let all = std::iter::once(ordered.begun).chain(ordered.answers.iter().copied());
    let mut all: Vec<&Statement> = all.collect();
    if ordered.stray.is_empty() {
        all.extend(ordered.closing.map(|(statement, _)| statement));
    }
    all.windows(2)
        .find(|pair| pair[1].timestamp < pair[0].timestamp)
        .map(|pair| {
            format!(
                "{}: it is stamped {}, before what came before it ({})",
                pair[1].about(),
                pair[1].timestamp,
                pair[0].timestamp
            )
        })
}

fn editions(statements: &[&Statement], edition: u32) -> Vec<String> {
    statements
        .iter()
        .filter_map(|statement| {
            let claimed = statement.edition?;
            (claimed != edition).then(|| {
                format!(
                    "{}: it says edition {claimed}; on the course it was made on, this is edition {edition}",
                    statement.about()
                )
            })
        })
        .collect()
}

fn finish(ordered: &Ordered, marked: Marked, mut misfits: Vec<String>) -> Judged {
    let mut waits = None;
    let mut closed = None;
    if !ordered.stray.is_empty() {
        waits = Some(format!(
            "turn {} of its attempt has not been handed in",
            ordered.answers.len()
        ));
    } else if let Some((statement, closing)) = ordered.closing {
        let fits = claims::seal(ordered, closing);
        if !marked.complete && (!closing.left || !fits) {
            waits = Some(if closing.left {
                "the seal does not fit what has been handed in: part of this attempt is in another file, or something in it was changed after it was closed".to_owned()
            } else {
                format!("the attempt is closed, but {}", marked.lacking)
            });
        } else {
            if !fits {
                misfits.push(
                    "the seal does not fit: something in this attempt was changed after it was closed".to_owned(),
                );
            }
            misfits.extend(claims::closing(closing, &marked));
            closed = Some((statement, closing));
        }
    }
    if !misfits.is_empty() {
        return Judged {
            misfits,
            ..Judged::default()
        };
    }
    let parts = std::iter::once(ordered.begun).chain(ordered.answers.iter().copied());
    let last_act = parts
        .clone()
        .map(|part| part.timestamp)
        .max()
        .unwrap_or(ordered.begun.timestamp);
    let fitting = parts.chain(closed.map(|(statement, _)| statement));
    let left = closed.is_some_and(|(_, closing)| closing.left);
    Judged {
        fitting: fitting.map(|part| part.id.clone()).collect(),
        waits,
        misfits,
        outcome: Some(Outcome {
            assessment: ordered.assessment.clone(),
            title: marked.title,
            edition: marked.edition,
            begun: ordered.begun.timestamp,
            last_act,
            closed: closed.map(|(statement, _)| statement.timestamp),
            left,
            passed: closed.is_some() && !left && marked.passed,
            marks: marked.marks,
            missed_critical: if closed.is_some() {
                marked.missed_critical
            } else {
                Vec::new()
            },
            first_unsafe: marked.first_unsafe,
            answers: marked.answers,
        }),
    }
}
