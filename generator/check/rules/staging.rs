//! What a sheet for staging a stop must say.

use super::Rule;
use crate::diagnostic::{Code, Finding};
use crate::model::{Course, Kind, Staging};

pub static STAGING_NEEDS: Code = Code {
    name: "staging-needs",
    title: "a staging lacks what keeps a set stop from being found by somebody else",
    explanation: "A stop that is set up for practice is a trap for whoever does not know of it. A `staging` block stands once, in a lesson of kind stop, and says \
        who must know (`tell`), what to have ready (`needs`), when not to stage (`not-when`), how the stop is set up (`steps`) and how it is taken back (`undo`). \
        None of the five may be an empty list.",
};

pub const RULE: Rule = Rule {
    codes: &[&STAGING_NEEDS],
    check,
};

fn check(course: &Course, findings: &mut Vec<Finding>) {
    for lesson in &course.lessons {
        for (index, (block, staging)) in lesson.value.stagings().enumerate() {
            let mut needs =
                |message: String, help: &str| findings.push(Finding::new(&STAGING_NEEDS, block.span, message, help));
            let kind = lesson.value.front.kind.value;
            if kind != Kind::Stop {
                needs(
                    format!("a lesson of kind {} has no stop that could be staged", kind.word()),
                    "move the block to the lesson of the stop",
                );
            }
            if index > 0 {
                needs(
                    "this lesson says a second time how its stop is staged".to_owned(),
                    "keep one block, so that there is one sheet",
                );
            }
            for (key, help) in empty(staging) {
                needs(format!("`{key}` is empty"), help);
            }
        }
    }
}

/// The keys whose lists are empty, and what belongs there.
fn empty(staging: &Staging) -> impl Iterator<Item = (&'static str, &'static str)> {
    let lists = [
        (
            "tell",
            staging.tell.len(),
            "name everyone who could find the stop or start the machine: desk, mechanics, the one who practises",
        ),
        (
            "needs",
            staging.needs.len(),
            "name what must be ready before the first step: a closed lane, locks, tags",
        ),
        (
            "not-when",
            staging.not_when.len(),
            "say when it must be left: bowlers near, a machine that is not sound, nobody to stay beside it",
        ),
        (
            "steps",
            staging.steps.len(),
            "write how the stop is set up, locked out wherever a hand goes in",
        ),
        (
            "undo",
            staging.undo.len(),
            "write how it is taken back: cleared, counted, tags down, people told",
        ),
    ];
    lists
        .into_iter()
        .filter(|(_, count, _)| *count == 0)
        .map(|(key, _, help)| (key, help))
}
