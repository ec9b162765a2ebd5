//! What a lesson must bring along when it sends hands into a machine.

use super::Rule;
use crate::diagnostic::{Code, Finding};
use crate::model::{Course, Filed, Kind, Lesson, Step};
use std::collections::HashSet;

pub static HANDS_ON_NEEDS: Code = Code {
    name: "hands-on-needs",
    title: "a hands-on lesson lacks what keeps hands safe",
    explanation: "Where hands enter the machine, the lesson needs a machine (so that its isolation points can be printed), a written procedure with `inside: true` at \
        each step past a guard, at least one caution, and the lockout lesson among those to know first (`after`), directly or through others. \
        A step marked `inside` makes a lesson hands-on. Add what the message names. If no hand goes past a guard, take `hands-on: true` out.",
};

pub const RULE: Rule = Rule {
    codes: &[&HANDS_ON_NEEDS],
    check,
};

fn check(course: &Course, findings: &mut Vec<Finding>) {
    for lesson in &course.lessons {
        let front = &lesson.value.front;
        let title = lesson.span(&front.title);
        let mut needs = |message: &str, help: &str| findings.push(Finding::new(&HANDS_ON_NEEDS, title, message, help));
        let goes_inside = |steps: &[Step]| steps.iter().any(|step| step.inside);
        let inside = lesson
            .value
            .procedures()
            .any(|(_, procedure)| goes_inside(&procedure.steps));
        if !front.hands_on {
            if lesson.value.step_lists().any(|(_, steps)| goes_inside(steps)) {
                needs(
                    "a step of this lesson goes inside the guards, but the lesson is not marked hands-on",
                    "add `hands-on: true`",
                );
            }
            continue;
        }
        if front.machine.is_none() {
            needs("a hands-on lesson must name its machine", "add `machine: NAME`");
        }
        // A block that could not be read has its finding already, and may be the one that is needed.
        let unread = lesson.value.has_unread();
        if !inside && !unread {
            needs(
                "a hands-on lesson must have a written procedure in which the steps past a guard are marked",
                "add a `procedure` block, and `inside: true` to each step that puts hands or body past a guard",
            );
        }
        if lesson.value.cautions().next().is_none() && !unread {
            needs(
                "a hands-on lesson must have a caution",
                "add a `caution` block before the procedure",
            );
        }
        if front.kind.value != Kind::Lockout && !reaches_lockout(course, lesson) {
            needs(
                "the lockout lesson is not among the lessons to know first",
                "add it to `after`, here or in a lesson that is named there",
            );
        }
    }
}

fn reaches_lockout(course: &Course, from: &Filed<Lesson>) -> bool {
    let mut seen = HashSet::new();
    let mut open = vec![from];
    while let Some(lesson) = open.pop() {
        if lesson.value.front.kind.value == Kind::Lockout {
            return true;
        }
        for after in &lesson.value.front.after {
            if seen.insert(after.value.as_str()) {
                let Some(next) = course.lesson(after) else {
                    // Unread or misspelt, it has its finding already, and may be the lockout lesson.
                    return true;
                };
                open.push(next);
            }
        }
    }
    false
}
