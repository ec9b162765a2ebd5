//! What prose may hold: words, emphasis, links. No HTML, and no page within a sentence.

use super::Rule;
use crate::check::prose::pieces;
use crate::diagnostic::{Code, Finding};
use crate::load::markdown::prose;
use crate::model::{Course, TypedBlock};
use crate::source::{At, FileId};

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
    explanation: "A caution without its harm, a question without its why, a title of no words, a walk-away without a case: the key is there and says nothing. Write the text.",
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
    for (file, title) in titles(course) {
        if title.trim().is_empty() {
            findings.push(Finding::new(
                &EMPTY_TEXT,
                title.span(file),
                "this name is empty",
                "write what it is called: pages, records and the register show it",
            ));
        }
    }
    for block in course.lessons.iter().flat_map(|lesson| &lesson.value.body.blocks) {
        if let TypedBlock::WalkAway(walk_away) = &block.block
            && walk_away.when.is_empty()
        {
            findings.push(Finding::new(
                &EMPTY_TEXT,
                block.span,
                "this block says whom to call and never when",
                "list in `when` what makes a mechanic walk away",
            ));
        }
    }
}

/// Everything that names a part of the course to people.
fn titles(course: &Course) -> Vec<(FileId, &At<String>)> {
    let mut titles = Vec::new();
    if let Some(outline) = &course.outline {
        titles.push((outline.file, &outline.value.title));
        titles.extend(outline.value.modules.iter().map(|module| (outline.file, &module.title)));
        titles.extend(outline.value.jobs.values().map(|job| (outline.file, &job.title)));
    }
    titles.extend(course.centre.iter().map(|centre| (centre.file, &centre.value.name)));
    titles.extend(
        course
            .machines
            .iter()
            .map(|machine| (machine.file, &machine.value.title)),
    );
    for machine in &course.machines {
        for cycle in machine.value.cycles.values() {
            titles.extend(
                [Some(&cycle.title), cycle.shaft.as_ref()]
                    .into_iter()
                    .flatten()
                    .map(|text| (machine.file, text)),
            );
            for unit in cycle.units.values() {
                let words = [&unit.called, &unit.rests].into_iter().flatten();
                let words = words.chain(unit.spans.values().map(|doing| &doing.does));
                titles.extend(words.map(|text| (machine.file, text)));
            }
        }
    }
    for lesson in &course.lessons {
        titles.push((lesson.file, &lesson.value.front.title));
        let procedures = lesson.value.procedures();
        titles.extend(procedures.map(|(_, procedure)| (lesson.file, &procedure.title)));
    }
    titles.extend(course.banks.iter().map(|bank| (bank.file, &bank.value.title)));
    titles.extend(
        course
            .scenarios
            .iter()
            .map(|scenario| (scenario.file, &scenario.value.title)),
    );
    titles
}
