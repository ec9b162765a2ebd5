//! Questions that can be answered and marked.

use super::outline::LISTED_TWICE;
use super::{Rule, suggest};
use crate::check::wording::plain;
use crate::diagnostic::{Code, Finding};
use crate::model::{Answer, Course, Id, Question, Text};
use crate::source::FileId;
use std::collections::HashMap;
use std::ops::RangeInclusive;

pub static OPTION_COUNT: Code = Code {
    name: "option-count",
    title: "too few or too many things to answer with",
    explanation: "A choice has 2 to 10 options, a matching 2 to 10 pairs, a place 2 to 10 spots: with one there is nothing to choose, and beyond ten the reader compares words instead of \
        thinking about the machine. A sequencing has 3 to 8 steps: two are a coin thrown, and more than eight are a memory test.",
};

pub static RIGHT_NOT_OFFERED: Code = Code {
    name: "right-not-offered",
    title: "the right answer is not among the options",
    explanation: "`right` names the key of an option or spot, or several of them. If it is misspelt, or names none, every answer would be marked wrong. Write the key of the right one.",
};

pub static NOTHING_WRONG: Code = Code {
    name: "nothing-wrong",
    title: "every answer is right",
    explanation: "`right` names all that is offered. Then there is nothing to tell apart: whoever takes any spot, or ticks everything, is right. Add an option that is wrong, one that hands really go for, or take \
        one out of `right`.",
};

pub static SAME_OPTION: Code = Code {
    name: "same-option",
    title: "two options say the same",
    explanation: "Two options, steps, spots or sides of a pair with the same words cannot be told apart, and one of them would be marked wrong for nothing. Word one of them differently, or take it out.",
};

pub static BAD_GUESS: Code = Code {
    name: "bad-guess",
    title: "a guess grid that is none",
    explanation: "`guess` is the grid from which somebody who knows nothing is taken to pick: `from` up to `to` in steps of `step`. The step must be above 0, the \
        grid must hold at least two points and the right answer, and `tolerance` must not be negative.",
};

pub const RULE: Rule = Rule {
    codes: &[
        &OPTION_COUNT,
        &RIGHT_NOT_OFFERED,
        &NOTHING_WRONG,
        &SAME_OPTION,
        &BAD_GUESS,
    ],
    check,
};

fn check(course: &Course, findings: &mut Vec<Finding>) {
    for (file, id, question) in course.questions() {
        one(file, id, question, findings);
    }
}

/// Whether a question can be answered and marked, so that its odds mean something.
pub fn sound(file: FileId, id: &Id, question: &Question) -> bool {
    let mut findings = Vec::new();
    one(file, id, question, &mut findings);
    findings.is_empty()
}

fn one(file: FileId, id: &Id, question: &Question, findings: &mut Vec<Finding>) {
    match &question.answer {
        Answer::Choice { options, right, .. } => {
            counted(file, id, options.len(), "options", 2..=10, findings);
            named(file, id, &question.answer, right, findings);
        }
        Answer::Matching { pairs } => counted(file, id, pairs.len(), "pairs", 2..=10, findings),
        Answer::Sequencing { steps, .. } => counted(file, id, steps.len(), "steps", 3..=8, findings),
        Answer::Place { spots, right } => {
            counted(file, id, spots.len(), "spots", 2..=10, findings);
            named(file, id, &question.answer, right, findings);
        }
        Answer::Numeric {
            answer,
            tolerance,
            guess,
            ..
        } => {
            let right = guess.right(answer.value, tolerance.value);
            if tolerance.value.millionths() < 0 || guess.points() < 2 || right == 0 {
                findings.push(Finding::new(
                    &BAD_GUESS,
                    guess.span(file),
                    format!(
                        "the grid has {} points, of which {right} would be right",
                        guess.points()
                    ),
                    "write from, to and step so that the right answer is one of several points",
                ));
            }
        }
    }
    for column in question.answer.columns() {
        told_apart(file, &column, findings);
    }
}

fn counted(
    file: FileId,
    id: &Id,
    number: usize,
    what: &str,
    range: RangeInclusive<usize>,
    findings: &mut Vec<Finding>,
) {
    if !range.contains(&number) {
        findings.push(Finding::new(
            &OPTION_COUNT,
            id.span(file),
            format!("the question `{id}` has {number} {what}"),
            format!(
                "write {} to {}, each a mistake that hands really make",
                range.start(),
                range.end()
            ),
        ));
    }
}

/// What `right` names is there, once, and is not all that is there.
fn named(file: FileId, id: &Id, answer: &Answer, right: &[Id], findings: &mut Vec<Finding>) {
    let offered: Vec<&str> = answer.ids().iter().map(|id| id.value.as_str()).collect();
    if right.is_empty() {
        findings.push(Finding::new(
            &RIGHT_NOT_OFFERED,
            id.span(file),
            format!("the question `{id}` names nothing as right"),
            "write the key of the right one in `right`",
        ));
    }
    let before = findings.len();
    for (at, key) in right.iter().enumerate() {
        if !offered.contains(&key.value.as_str()) {
            findings.push(Finding::new(
                &RIGHT_NOT_OFFERED,
                key.span(file),
                format!("`{key}` is none of those offered"),
                suggest(key, offered.iter().copied(), "add it"),
            ));
        }
        if let Some(first) = right[..at].iter().find(|first| *first == key) {
            findings.push(
                Finding::new(
                    &LISTED_TWICE,
                    key.span(file),
                    format!("`{key}` stands in `right` a second time"),
                    "take one of the two out",
                )
                .also(first.span(file), "the first one"),
            );
        }
    }
    if findings.len() == before && offered.len() > 1 && right.len() == offered.len() {
        findings.push(Finding::new(
            &NOTHING_WRONG,
            id.span(file),
            format!("every answer to the question `{id}` is right"),
            "add one that is wrong, or take one out of `right`",
        ));
    }
}

fn told_apart(file: FileId, texts: &[&Text], findings: &mut Vec<Finding>) {
    let mut known = HashMap::new();
    for text in texts {
        let plain = plain(text).to_lowercase();
        if let Some(first) = known.insert(plain, text) {
            findings.push(
                Finding::new(
                    &SAME_OPTION,
                    text.span(file),
                    "two of those that are offered say the same",
                    "word one of them differently, or take it out",
                )
                .also(first.span(file), "the first one"),
            );
        }
    }
}
