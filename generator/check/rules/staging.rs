//! What a sheet for staging must say, and what must have one.

use super::Rule;
use crate::diagnostic::{Code, Finding};
use crate::model::{Course, Filed, Kind, Lesson, Staging, Step};

pub static STAGING_NEEDS: Code = Code {
    name: "staging-needs",
    title: "a staging lacks what keeps a set stop from being found by somebody else",
    explanation: "A stop that is set up for practice is a trap for whoever does not know of it. A `staging` block stands once, in a lesson of kind stop, and says \
        who must know (`tell`), what to have ready (`needs`), when not to stage (`not-when`), how the stop is set up (`steps`) and how it is taken back (`undo`). \
        None of the five may be an empty list. A lesson of another kind may have one too, for the exercise of what its procedure teaches. A step of the procedure \
        that does not come up when it is staged, or is only told, says so (`not-staged: true`).",
};

pub static STAGING_MISSING: Code = Code {
    name: "staging-missing",
    title: "something is to be watched staged, and nothing says how it is staged",
    explanation: "A competency that must be watched more often than on real calls (`times` above `real`) is watched staged. Whoever makes that up on the spot forgets \
        whom to tell, and somebody takes it for real or walks into it. Write a `staging` block in the lesson whose steps are watched, or count on real calls alone.",
};

pub const RULE: Rule = Rule {
    codes: &[&STAGING_NEEDS, &STAGING_MISSING],
    check,
};

fn check(course: &Course, findings: &mut Vec<Finding>) {
    for lesson in &course.lessons {
        for (index, (block, staging)) in lesson.value.stagings().enumerate() {
            let mut needs =
                |message: String, help: &str| findings.push(Finding::new(&STAGING_NEEDS, block.span, message, help));
            let kind = lesson.value.front.kind.value;
            if kind != Kind::Stop && lesson.value.procedures().next().is_none() {
                needs(
                    format!(
                        "a lesson of kind {} without a procedure has nothing that could be staged",
                        kind.word()
                    ),
                    "move the block to the lesson whose steps are practised",
                );
            }
            if index > 0 {
                needs(
                    "this lesson says a second time how it is staged".to_owned(),
                    "keep one block, so that there is one sheet",
                );
            }
            for (key, help) in empty(staging) {
                needs(format!("`{key}` is empty"), help);
            }
        }
        out_of_place(lesson, findings);
    }
    missing(course, findings);
}

/// Steps that say they are not staged where nothing is, or within the staging itself.
fn out_of_place(lesson: &Filed<Lesson>, findings: &mut Vec<Finding>) {
    let staged = lesson.value.stagings().next().is_some();
    let unseen = |step: &&Step| step.not_staged;
    let mut say = |step: &Step, message: &str| {
        findings.push(Finding::new(
            &STAGING_NEEDS,
            lesson.span(&step.says),
            message,
            "take `not-staged` away, or write the `staging` block that it is about",
        ));
    };
    if !staged {
        let steps = lesson.value.procedures().flat_map(|(_, one)| &one.steps);
        for step in steps.filter(unseen) {
            say(step, "this step is `not-staged`, and the lesson has no staging");
        }
    }
    for step in lesson
        .value
        .stagings()
        .flat_map(|(_, one)| one.steps.iter().chain(&one.undo))
        .filter(unseen)
    {
        say(step, "a step of the staging itself cannot be `not-staged`");
    }
}

/// Competencies that are watched staged by steps for which there is no staging.
fn missing(course: &Course, findings: &mut Vec<Finding>) {
    let Some(all) = &course.competencies else { return };
    for (id, competency) in all.value.0.iter() {
        let watched = &competency.witnessed;
        if watched.times.value <= watched.real.value {
            continue;
        }
        let Some(lesson) = course.shown_by(&id.value, &competency.study) else {
            continue;
        };
        if lesson.value.stagings().next().is_some() || lesson.value.has_unread() {
            continue;
        }
        findings.push(Finding::new(
            &STAGING_MISSING,
            all.span(&watched.times),
            format!(
                "`{}` is watched {} times, {} of them on real calls, and nothing says how `{}` is staged for the others",
                id.value, watched.times.value, watched.real.value, lesson.id
            ),
            format!("write a `staging` block in {}/{}.md", lesson.folder, lesson.id),
        ));
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
