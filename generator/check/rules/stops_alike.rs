//! Two stops that look the same.

use super::Rule;
use crate::apart;
use crate::diagnostic::{Code, Finding};
use crate::model::Course;

pub static STOPS_ALIKE: Code = Code {
    name: "stops-alike",
    title: "two stops that nothing tells apart",
    explanation: "Two stops of a machine list the same signs in the same words, so whoever stands before one cannot know that it is not the other, and clears it by the wrong page. \
        Signs that show only behind a guard (`behind-guards`) do not count, since nobody may look there to find out. Give one of them a sign that the other does not have, and say `never` there.",
};

pub const RULE: Rule = Rule {
    codes: &[&STOPS_ALIKE],
    check,
};

fn check(course: &Course, findings: &mut Vec<Finding>) {
    for stops in apart::stops(course) {
        for (one, other) in apart::pairs_alike(&stops) {
            let (one, other) = (&stops.stops[one], &stops.stops[other]);
            let Some(lesson) = course.lesson(other) else { continue };
            findings.push(Finding::new(
                &STOPS_ALIKE,
                lesson.span(&lesson.value.front.title),
                format!("nothing that can be seen tells `{other}` from `{one}`"),
                format!("list a sign of `{other}` that `{one}` never shows, and the other way round"),
            ));
        }
    }
}
