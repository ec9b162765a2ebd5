//! Cautions stand before the steps they guard.

use super::{Rule, suggest};
use crate::diagnostic::{Code, Finding};
use crate::model::{Course, Filed, Id, Lesson, Step};
use std::collections::HashMap;

pub static UNKNOWN_CAUTION: Code = Code {
    name: "unknown-caution",
    title: "a step names a caution that the lesson does not have",
    explanation: "A step's `cautions` are printed right before it, and so they must be `caution` blocks of the same lesson, or, for a step of a staging, one of the staging's own. Put the name right, or write the block.",
};

pub static STEP_WITHOUT_CAUTION: Code = Code {
    name: "step-without-caution",
    title: "a step goes inside with no caution before it",
    explanation: "A step marked `inside` puts hands or body past a guard. The reader must be told, right before it, what can hurt them there, how badly, and how to \
        avoid it. Write a `caution` block in this lesson and name it in the step: `cautions: [ID]`.",
};

pub static CAUTION_CLASH: Code = Code {
    name: "caution-clash",
    title: "two cautions of a lesson have the same id",
    explanation: "A step that names the id could mean either. Rename one.",
};

pub const RULE: Rule = Rule {
    codes: &[&UNKNOWN_CAUTION, &STEP_WITHOUT_CAUTION, &CAUTION_CLASH],
    check,
};

fn check(course: &Course, findings: &mut Vec<Finding>) {
    for lesson in &course.lessons {
        let mut known = HashMap::new();
        for caution in lesson.value.cautions() {
            if let Some(first) = known.insert(caution.id.value.as_str(), &caution.id) {
                findings.push(clash(lesson, &caution.id, first));
            }
        }
        for (block, steps) in lesson.value.step_lists() {
            let mut known = known.clone();
            known.extend(block.own_cautions().iter().map(|own| (own.id.value.as_str(), &own.id)));
            for step in steps {
                guarded(lesson, step, &known, findings);
            }
        }
        for (block, _) in lesson.value.stagings() {
            let mut known = known.clone();
            for own in block.own_cautions() {
                if let Some(first) = known.insert(own.id.value.as_str(), &own.id) {
                    findings.push(clash(lesson, &own.id, first));
                }
            }
        }
    }
}

fn clash(lesson: &Filed<Lesson>, id: &Id, first: &Id) -> Finding {
    Finding::new(
        &CAUTION_CLASH,
        lesson.span(id),
        format!("a second caution is called `{id}`"),
        "rename one of the two",
    )
    .also(lesson.span(first), "the first one")
}

/// Whether a step names cautions that there are, and one at least if it goes inside.
fn guarded(lesson: &Filed<Lesson>, step: &Step, known: &HashMap<&str, &Id>, findings: &mut Vec<Finding>) {
    for caution in step
        .cautions
        .iter()
        // A caution that could not be read has its finding already, and may be the one that is named.
        .filter(|caution| !known.contains_key(caution.value.as_str()) && !lesson.value.has_unread())
    {
        // In the order of the file, whatever order the map has.
        let mut there: Vec<(u32, &str)> = known.iter().map(|(name, id)| (id.start, *name)).collect();
        there.sort_unstable();
        findings.push(Finding::new(
            &UNKNOWN_CAUTION,
            lesson.span(caution),
            format!("this lesson has no caution `{caution}`"),
            suggest(
                caution,
                there.into_iter().map(|(_, name)| name),
                "write a `caution` block with this id",
            ),
        ));
    }
    if step.inside && step.cautions.is_empty() {
        findings.push(Finding::new(
            &STEP_WITHOUT_CAUTION,
            lesson.span(&step.says),
            "this step goes inside the guards, and no caution stands before it",
            "name at least one caution: `cautions: [ID]`",
        ));
    }
}
