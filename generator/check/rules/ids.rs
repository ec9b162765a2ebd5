//! Names that are kept for years.

use super::Rule;
use crate::diagnostic::{Code, Finding};
use crate::load::{BAD_ID, is_id};
use crate::model::{Course, Id, TypedBlock};
use crate::source::{FileId, Span};
use std::collections::HashMap;

pub static ASK_CLASH: Code = Code {
    name: "ask-clash",
    title: "two practice questions of a lesson have the same id",
    explanation: "The record names an answer by its question's id. With two of one name nobody can tell which was answered. Rename one.",
};

pub static BAD_CODE: Code = Code {
    name: "bad-code",
    title: "a person's code is not fit to be one",
    explanation: "A code stands for a person in every record: 2 to 16 of A to Z, digits and hyphens, beginning with a letter or a digit, like TR-1. Names belong \
        beside the code, not in it.",
};

pub const RULE: Rule = Rule {
    codes: &[&ASK_CLASH, &BAD_CODE],
    check,
};

/// Whether a text is a person's code: `[A-Z0-9][A-Z0-9-]{1,15}`.
pub fn is_code(text: &str) -> bool {
    (2..=16).contains(&text.len())
        && !text.starts_with('-')
        && text
            .bytes()
            .all(|byte| byte.is_ascii_uppercase() || byte.is_ascii_digit() || byte == b'-')
}

fn check(course: &Course, findings: &mut Vec<Finding>) {
    let mut ids: Vec<(FileId, &Id)> = Vec::new();
    if let Some(outline) = &course.outline {
        ids.push((outline.file, &outline.value.course));
        ids.extend(outline.value.modules.iter().map(|module| (outline.file, &module.id)));
        ids.extend(outline.value.jobs.keys().map(|id| (outline.file, id)));
        let roles = &outline.value.roles;
        for code in roles
            .trainers
            .keys()
            .chain(roles.signers.keys())
            .filter(|code| !is_code(code))
        {
            findings.push(Finding::new(
                &BAD_CODE,
                outline.span(code),
                format!("`{code}` cannot be a person's code"),
                "use 2 to 16 of A to Z, digits and hyphens, like TR-1",
            ));
        }
    }
    if let Some(all) = &course.competencies {
        ids.extend(all.value.0.keys().map(|id| (all.file, id)));
    }
    for machine in &course.machines {
        ids.extend(
            machine
                .value
                .parts
                .keys()
                .chain(machine.value.signs.keys())
                .map(|id| (machine.file, id)),
        );
    }
    for machine in &course.machines {
        for (id, cycle) in machine.value.cycles.iter() {
            ids.push((machine.file, id));
            let names = cycle
                .units
                .values()
                .flat_map(|unit| unit.spans.keys().chain(unit.poses()));
            ids.extend(names.map(|name| (machine.file, name)));
        }
    }
    for lesson in &course.lessons {
        let mut asks: HashMap<&str, Span> = HashMap::new();
        for block in &lesson.value.body.blocks {
            match &block.block {
                TypedBlock::Caution(caution) => ids.push((lesson.file, &caution.id)),
                TypedBlock::Staging(staging) => {
                    ids.extend(staging.cautions.iter().map(|caution| (lesson.file, &caution.id)));
                }
                TypedBlock::Ask(ask) => {
                    ids.push((lesson.file, &ask.id));
                    ids.extend(ask.question.answer.ids().into_iter().map(|id| (lesson.file, id)));
                    let span = lesson.span(&ask.id);
                    if let Some(first) = asks.insert(&ask.id.value, span) {
                        findings.push(
                            Finding::new(
                                &ASK_CLASH,
                                span,
                                format!("a second question is called `{}`", ask.id),
                                "rename one of the two",
                            )
                            .also(first, "the first one"),
                        );
                    }
                }
                _ => {}
            }
        }
    }
    for bank in &course.banks {
        for (id, question) in bank.value.questions.iter() {
            ids.push((bank.file, id));
            ids.extend(question.answer.ids().into_iter().map(|id| (bank.file, id)));
        }
    }
    for scenario in &course.scenarios {
        for (id, scene) in scenario.value.scenes.iter() {
            ids.push((scenario.file, id));
            ids.extend(scene.choices.keys().map(|id| (scenario.file, id)));
        }
    }
    for (file, id) in ids.into_iter().filter(|(_, id)| !is_id(id)) {
        findings.push(Finding::new(
            &BAD_ID,
            id.span(file),
            format!("`{id}` cannot be an id"),
            "use lower-case letters, digits and single hyphens, like extra-pin",
        ));
    }
}
