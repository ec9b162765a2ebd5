//! Questions that can be answered and marked.

use super::{Rule, suggest};
use crate::diagnostic::{Code, Finding};
use crate::model::{Answer, Course, Id, Question};
use crate::source::FileId;
use std::collections::HashMap;

pub static OPTION_COUNT: Code = Code {
    name: "option-count",
    title: "too few or too many options",
    explanation: "A choice has 2 to 10 options: with one there is nothing to choose, and beyond ten the reader compares words instead of thinking about the machine.",
};

pub static RIGHT_NOT_OFFERED: Code = Code {
    name: "right-not-offered",
    title: "the right answer is not among the options",
    explanation: "`right` names the key of an option. If it is misspelt, every answer would be marked wrong. Write the key of the right option.",
};

pub static SAME_OPTION: Code = Code {
    name: "same-option",
    title: "two options say the same",
    explanation: "Two options with the same words cannot be told apart, and one of them would be marked wrong for nothing. Word one of them differently, or take it out.",
};

pub static BAD_GUESS: Code = Code {
    name: "bad-guess",
    title: "a guess grid that is none",
    explanation: "`guess` is the grid from which somebody who knows nothing is taken to pick: `from` up to `to` in steps of `step`. The step must be above 0, the \
        grid must hold at least two points and the right answer, and `tolerance` must not be negative.",
};

pub const RULE: Rule = Rule {
    codes: &[&OPTION_COUNT, &RIGHT_NOT_OFFERED, &SAME_OPTION, &BAD_GUESS],
    check,
};

fn check(course: &Course, findings: &mut Vec<Finding>) {
    for bank in &course.banks {
        for (id, question) in bank.value.questions.iter() {
            one(bank.file, id, question, findings);
        }
    }
    for lesson in &course.lessons {
        for ask in lesson.value.asks() {
            one(lesson.file, &ask.id, &ask.question, findings);
        }
    }
}

fn one(file: FileId, id: &Id, question: &Question, findings: &mut Vec<Finding>) {
    match &question.answer {
        Answer::Choice { options, right } => {
            if !(2..=10).contains(&options.len()) {
                findings.push(Finding::new(
                    &OPTION_COUNT,
                    id.span(file),
                    format!("the question `{id}` has {} options", options.len()),
                    "offer 2 to 10, each a mistake that hands really make",
                ));
            }
            if options.get(right).is_none() {
                findings.push(Finding::new(
                    &RIGHT_NOT_OFFERED,
                    right.span(file),
                    format!("`{right}` is none of the options"),
                    suggest(
                        right,
                        options
                            .keys()
                            .map(|key| key.value.as_str())
                            .collect::<Vec<_>>()
                            .into_iter(),
                        "add the option",
                    ),
                ));
            }
            let mut known = HashMap::new();
            for text in options.values() {
                let plain = text.split_whitespace().collect::<Vec<_>>().join(" ").to_lowercase();
                if let Some(first) = known.insert(plain, text) {
                    findings.push(
                        Finding::new(
                            &SAME_OPTION,
                            text.span(file),
                            "two options say the same",
                            "word one of them differently, or take it out",
                        )
                        .also(first.span(file), "the first one"),
                    );
                }
            }
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
}
