//! Options that speak of other options.

use super::Rule;
use crate::check::wording::{is_english, says, words};
use crate::diagnostic::{Code, Finding};
use crate::model::{Answer, Course};

pub static OTHER_OPTIONS: Code = Code {
    name: "other-options",
    title: "an option that speaks of other options",
    explanation: "`All of the above`, `the first two`, `option B`: options are shuffled for each attempt, so above is not above and B is not B. And whoever knows two of three right ones knows that it is all of them, without knowing the third. \
        Say what the option means; where several are right, name several in `right`. The list of phrases is English: in other languages this is not looked for.",
};

const QUANTITY: &[&str] = &["all", "any", "both", "each", "either", "neither", "none", "some", "two"];
const POINTING: &[&str] = &["the", "these", "those", "them"];
const PLACED: &[&str] = &["above", "below", "preceding", "foregoing"];
const NAMED: &[&str] = &["answer", "answers", "option", "options", "choice", "choices"];
const ORDINAL: &[&str] = &[
    "first", "second", "third", "fourth", "last", "next", "previous", "other", "above", "below",
];
const LETTER: &[&str] = &["a", "b", "c", "d", "e", "1", "2", "3", "4", "5"];

/// Phrases, each a list of words that may stand at each place.
const PHRASES: [&[&[&str]]; 6] = [
    &[QUANTITY, &["of"], &["the"], PLACED],
    &[QUANTITY, &["of"], POINTING, NAMED],
    &[
        &["all", "none", "both", "either", "neither"],
        &["of"],
        &["these", "those", "them"],
    ],
    &[QUANTITY, &["the"], PLACED],
    &[ORDINAL, NAMED],
    &[NAMED, LETTER],
];

pub const RULE: Rule = Rule {
    codes: &[&OTHER_OPTIONS],
    check,
};

fn check(course: &Course, findings: &mut Vec<Finding>) {
    if !is_english(course) {
        return;
    }
    for (file, _, question) in course.questions() {
        let Answer::Choice { options, .. } = &question.answer else {
            continue;
        };
        for text in options.values() {
            let words = words(text);
            if PHRASES.iter().any(|phrase| says(&words, phrase)) {
                findings.push(Finding::new(
                    &OTHER_OPTIONS,
                    text.span(file),
                    "this option speaks of other options, which stand in another order in each attempt",
                    "say what it means; where several are right, name several in `right`",
                ));
            }
        }
    }
}
