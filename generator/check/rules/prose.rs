//! What prose may hold: words, emphasis, links. No HTML, and no page within a sentence.

use super::Rule;
use crate::check::prose::pieces;
use crate::diagnostic::{Code, Finding};
use crate::load::markdown::prose;
use crate::model::Course;

pub static RAW_HTML: Code = Code {
    name: "raw-html",
    title: "HTML in a text",
    explanation: "HTML in a lesson could bring scripts, styles and requests that the course promises not to make, and most often it is a `<` that was meant as one: \
        write `&lt;` for it, or put the word in backticks.",
};

pub static BLOCK_IN_PROSE: Code = Code {
    name: "block-in-prose",
    title: "a list, heading or picture in a single sentence",
    explanation: "A step, a caution's field, a question's stem or option is a sentence or two: emphasis, code and links may stand in it, but no heading, list, table or \
        picture. Those belong in the lesson's body (or, for a scenario, in a scene's `says`).",
};

pub static EMPTY_TEXT: Code = Code {
    name: "empty-text",
    title: "a text with nothing in it",
    explanation: "A caution without its harm, a question without its why: the key is there and says nothing. Write the text.",
};

pub const RULE: Rule = Rule {
    codes: &[&RAW_HTML, &BLOCK_IN_PROSE, &EMPTY_TEXT],
    check,
};

fn check(course: &Course, findings: &mut Vec<Finding>) {
    let html = |span| {
        Finding::new(
            &RAW_HTML,
            span,
            "HTML stands in this text",
            "write `&lt;` for the sign, or put it in backticks",
        )
    };
    for lesson in &course.lessons {
        findings.extend(lesson.value.body.html.iter().map(|span| html(*span)));
    }
    for piece in pieces(course) {
        let span = piece.text.span(piece.file);
        let found = prose(piece.text);
        if found.html {
            findings.push(html(span));
        }
        if found.pictures > 0 || (found.blocks && !piece.blocks) {
            findings.push(Finding::new(
                &BLOCK_IN_PROSE,
                span,
                "a heading, list, table, code block or picture stands in a text that is one or two sentences",
                "write sentences; put the rest into the lesson's body",
            ));
        }
        if piece.text.trim().is_empty() {
            findings.push(Finding::new(
                &EMPTY_TEXT,
                span,
                "this text is empty",
                "write it, or delete the key if it may be left out",
            ));
        }
    }
}
