//! Stems that ask nothing.

use super::Rule;
use crate::check::wording::{is_english, plain, sentences};
use crate::diagnostic::{Code, Finding};
use crate::model::Course;

pub static ASKS_NOTHING: Code = Code {
    name: "asks-nothing",
    title: "a stem that asks nothing",
    explanation: "`The ball exit.` and four options: the reader has to guess what is asked before thinking about the answer. A stem has a question mark, a blank (`___`), a colon at its end, or a sentence that begins with what \
        to do: choose, name, put, match, count, say and the like. The list of such words is English: in other languages this is not looked for.",
};

/// Words with which an instruction begins.
const INSTRUCTION: [&str; 32] = [
    "arrange", "choose", "complete", "count", "decide", "enter", "fill", "find", "give", "list", "look", "mark",
    "match", "name", "number", "order", "pair", "pick", "place", "point", "put", "say", "select", "set", "show",
    "sort", "state", "tap", "tell", "tick", "type", "write",
];

pub const RULE: Rule = Rule {
    codes: &[&ASKS_NOTHING],
    check,
};

fn check(course: &Course, findings: &mut Vec<Finding>) {
    if !is_english(course) {
        return;
    }
    for (file, _, question) in course.questions() {
        let text = plain(&question.stem);
        let mut sentences = sentences(&question.stem).into_iter();
        let told = sentences.any(|sentence| {
            let first = sentence.words.first();
            first.is_some_and(|word| INSTRUCTION.contains(&word.text.as_str()))
        });
        // An empty stem has its own finding.
        if !text.is_empty() && !text.contains('?') && !text.contains("__") && !text.ends_with(':') && !told {
            findings.push(Finding::new(
                &ASKS_NOTHING,
                question.stem.span(file),
                "this stem asks nothing and tells nobody what to do",
                "end it with a question, a blank or a colon, or say what to do",
            ));
        }
    }
}
