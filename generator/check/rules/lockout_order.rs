//! The order that the law fixes for applying and releasing lockout.
//!
//! Source: 29 CFR 1910.147(d), "the established procedures for the application of lockout or tagout devices shall cover the
//! following elements and actions and shall be done in the following sequence", and (e). The numbers of (e) are not the order in
//! time: people are clear (e)(2)(i) before the device comes off (e)(3), and are told (e)(2)(ii) after that and before the start.

use super::Rule;
use crate::diagnostic::{Code, Finding};
use crate::model::{Block, Course, Filed, Lesson, Step, TypedBlock};

pub static LOCKOUT_ORDER: Code = Code {
    name: "lockout-order",
    title: "the steps are not in the order that the law fixes",
    explanation: "29 CFR 1910.147 fixes the order: (d)(1) prepare, (d)(2) shut down, (d)(3) isolate, (d)(4) lock, (d)(5) stored energy, (d)(6) verify, and \
        only then hands inside; afterwards (e)(1) inspect the machine, (e)(2)(i) people clear, (e)(3) the lock off by whoever put it on, (e)(2)(ii) tell the people \
        affected, and only then start. `law` says which paragraph a step fulfils. A procedure with steps inside must have them all, in this order, and so must each list of a staging.",
};

pub static UNKNOWN_PARAGRAPH: Code = Code {
    name: "unknown-paragraph",
    title: "a paragraph of the law that a step cannot fulfil",
    explanation: "`law` names a paragraph of 29 CFR 1910.147 that fixes a step: (d)(1) to (d)(6), (e)(1), (e)(2)(i), (e)(2)(ii), (e)(3). Sub-paragraphs and \
        others belong in the text of the lesson.",
};

pub const RULE: Rule = Rule {
    codes: &[&LOCKOUT_ORDER, &UNKNOWN_PARAGRAPH],
    check,
};

/// Paragraphs that must be done before the first hand goes in, in this order.
pub const APPLY: [&str; 6] = ["(d)(1)", "(d)(2)", "(d)(3)", "(d)(4)", "(d)(5)", "(d)(6)"];

/// Paragraphs that must be done after the last hand is out, in this order.
pub const RELEASE: [&str; 4] = ["(e)(1)", "(e)(2)(i)", "(e)(3)", "(e)(2)(ii)"];

/// What each paragraph is about, in a few words.
pub fn about(paragraph: &str) -> &'static str {
    match paragraph {
        "(d)(1)" => "prepare",
        "(d)(2)" => "shut down",
        "(d)(3)" => "isolate",
        "(d)(4)" => "lock",
        "(d)(5)" => "stored energy",
        "(d)(6)" => "verify",
        "(e)(1)" => "inspect the machine",
        "(e)(2)(i)" => "people clear",
        "(e)(3)" => "lock off by its owner",
        "(e)(2)(ii)" => "tell the people affected",
        _ => "no paragraph of this sequence",
    }
}

fn check(course: &Course, findings: &mut Vec<Finding>) {
    for lesson in &course.lessons {
        for (block, steps) in lesson.value.step_lists() {
            for law in steps.iter().flat_map(|step| &step.law) {
                if !APPLY.contains(&law.value.as_str()) && !RELEASE.contains(&law.value.as_str()) {
                    findings.push(Finding::new(
                        &UNKNOWN_PARAGRAPH,
                        lesson.span(law),
                        format!("`{law}` is no paragraph that a step can fulfil here"),
                        format!("write one of {}, {}", APPLY.join(", "), RELEASE.join(", ")),
                    ));
                }
            }
            order(lesson, block, steps, findings);
        }
    }
}

fn order(lesson: &Filed<Lesson>, block: &Block, steps: &[Step], findings: &mut Vec<Finding>) {
    let within = match block.block {
        TypedBlock::Staging(_) => "in this staging",
        _ => "in this procedure",
    };
    // The first place of each paragraph of a list, as (step, position within the step).
    let place = |paragraph: &str| {
        steps.iter().enumerate().find_map(|(step, value)| {
            value
                .law
                .iter()
                .position(|law| law.value == paragraph)
                .map(|within| (step, within))
        })
    };
    let named = |paragraph: &str| format!("{paragraph} ({})", about(paragraph));
    for list in [APPLY.as_slice(), RELEASE.as_slice()] {
        let there: Vec<(&str, (usize, usize))> = list
            .iter()
            .filter_map(|paragraph| place(paragraph).map(|place| (*paragraph, place)))
            .collect();
        for pair in there.windows(2) {
            let ((first, first_at), (second, second_at)) = (pair[0], pair[1]);
            if second_at < first_at {
                let law = &steps[second_at.0].law[second_at.1];
                findings.push(Finding::new(
                    &LOCKOUT_ORDER,
                    lesson.span(law),
                    format!(
                        "{} stands before {}, and the law has them the other way round",
                        named(second),
                        named(first)
                    ),
                    "put the steps into the order of 29 CFR 1910.147(d) and (e)",
                ));
            }
        }
    }
    let inside = || steps.iter().enumerate().filter(|(_, step)| step.inside);
    let (Some((first, first_step)), Some((last, last_step))) = (inside().next(), inside().next_back()) else {
        return;
    };
    for paragraph in APPLY {
        match place(paragraph) {
            Some((step, _)) if step < first => {}
            found => {
                let message = match found {
                    None => format!(
                        "hands go inside here, and no step before it fulfils {}",
                        named(paragraph)
                    ),
                    Some((step, _)) => format!(
                        "hands go inside here, and {} comes only in step {}",
                        named(paragraph),
                        step + 1
                    ),
                };
                findings.push(
                    Finding::new(
                        &LOCKOUT_ORDER,
                        lesson.span(&first_step.says),
                        message,
                        "isolate, lock and try before any hand goes in",
                    )
                    .also(block.span, within),
                );
            }
        }
    }
    for paragraph in RELEASE {
        match place(paragraph) {
            Some((step, _)) if step > last => {}
            found => {
                let message = match found {
                    None => format!("after this last step inside, no step fulfils {}", named(paragraph)),
                    Some((step, _)) => format!(
                        "hands are still inside here, and {} stands in step {} already",
                        named(paragraph),
                        step + 1
                    ),
                };
                findings.push(
                    Finding::new(
                        &LOCKOUT_ORDER,
                        lesson.span(&last_step.says),
                        message,
                        "inspect, get people clear, take your own lock off, tell the people affected, then start",
                    )
                    .also(block.span, within),
                );
            }
        }
    }
}
