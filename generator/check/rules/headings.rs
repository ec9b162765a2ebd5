//! Headings that a listener can follow.

use super::Rule;
use crate::diagnostic::{Code, Finding};
use crate::model::Course;
use std::collections::HashMap;

pub static HEADING_LEVEL: Code = Code {
    name: "heading-level",
    title: "a heading skips a level",
    explanation: "The lesson's title is the page's first-level heading. Below it come `##`, then `###`, one level at a time: who listens to the page finds their way by \
        the levels (WCAG 2.2, 1.3.1).",
};

pub static HEADING_CLASH: Code = Code {
    name: "heading-clash",
    title: "two headings of a lesson have the same id",
    explanation: "A link to the id would lead to the first of them only. Word one of them differently, or give it an id of its own: `## Words {#id}`.",
};

pub const RULE: Rule = Rule {
    codes: &[&HEADING_LEVEL, &HEADING_CLASH],
    check,
};

fn check(course: &Course, findings: &mut Vec<Finding>) {
    for lesson in &course.lessons {
        let mut level = 1;
        let mut known = HashMap::new();
        for heading in &lesson.value.body.headings {
            if heading.level == 1 {
                findings.push(Finding::new(
                    &HEADING_LEVEL,
                    heading.span,
                    "a first-level heading stands in the lesson; its title is that already",
                    "begin it with `##`",
                ));
            } else if heading.level > level + 1 {
                findings.push(Finding::new(
                    &HEADING_LEVEL,
                    heading.span,
                    format!(
                        "this heading is of level {} and the one before it of level {level}",
                        heading.level
                    ),
                    format!("begin it with `{}`", "#".repeat(usize::from(level) + 1)),
                ));
            }
            level = heading.level.max(1);
            if let Some(first) = known.insert(heading.id.as_str(), heading.span) {
                findings.push(
                    Finding::new(
                        &HEADING_CLASH,
                        heading.span,
                        format!("a second heading has the id `{}`", heading.id),
                        "word it differently, or write `{#another-id}` after it",
                    )
                    .also(first, "the first one"),
                );
            }
        }
    }
}
