//! The centre's own facts: named where they exist, filled in where a page needs them.

use super::{Rule, suggest};
use crate::check::prose::pieces;
use crate::diagnostic::{Code, Finding};
use crate::model::{Course, Filed, Lesson};
use crate::source::Span;

pub static UNKNOWN_FACT: Code = Code {
    name: "unknown-fact",
    title: "a fact that the centre's file does not have",
    explanation: "`<centre:NAME>` stands for a fact of lessons/centre.yml: `lockout-procedure`, `name`, `call.KEY`, `radio.KEY`. Add the fact there, or mend \
        the name.",
};

pub static BLANK_FACT: Code = Code {
    name: "blank-fact",
    title: "a fact that a page needs is blank",
    explanation: "A page that sends hands into a machine says where that machine is isolated, which written procedure applies and whom to call. With a hole in \
        it, the reader would guess. Every hands-on lesson needs `lockout-procedure`, the isolation points of its machine, and \
        `call.emergency`, `call.trainer` and `call.qualified`; every fact that prose names must be filled in too.",
};

pub const RULE: Rule = Rule {
    codes: &[&UNKNOWN_FACT, &BLANK_FACT],
    check,
};

/// Facts that every hands-on page prints.
const NEEDED: [&str; 4] = ["lockout-procedure", "call.emergency", "call.trainer", "call.qualified"];

fn check(course: &Course, findings: &mut Vec<Finding>) {
    if course.centre.is_none() {
        return;
    }
    for lesson in &course.lessons {
        for link in &lesson.value.body.links {
            fact(course, &link.to, link.span, findings);
        }
        for walk_away in lesson.value.walk_aways() {
            fact(
                course,
                &format!("centre:call.{}", walk_away.call),
                lesson.span(&walk_away.call),
                findings,
            );
        }
        if lesson.value.front.hands_on {
            hands_on(course, lesson, findings);
        }
    }
    for piece in pieces(course) {
        for to in crate::load::markdown::prose(piece.text).links {
            fact(course, &to, piece.text.span(piece.file), findings);
        }
    }
}

fn fact(course: &Course, link: &str, span: Span, findings: &mut Vec<Finding>) {
    let (Some(name), Some(centre)) = (link.strip_prefix("centre:"), &course.centre) else {
        return;
    };
    match centre.value.fact(name) {
        None => {
            let facts = centre.value.facts();
            findings.push(Finding::new(
                &UNKNOWN_FACT,
                span,
                format!("the centre's file has no fact `{name}`"),
                suggest(name, facts.iter().map(String::as_str), "add it to lessons/centre.yml"),
            ));
        }
        Some(None) => findings.push(Finding::new(
            &BLANK_FACT,
            span,
            format!("the fact `{name}` is blank in lessons/centre.yml, and this page needs it"),
            "fill it in: what holds in this centre, as a new hand would need to hear it",
        )),
        Some(Some(_)) => {}
    }
}

fn hands_on(course: &Course, lesson: &Filed<Lesson>, findings: &mut Vec<Finding>) {
    let Some(centre) = &course.centre else {
        return;
    };
    let span = lesson.span(&lesson.value.front.title);
    let mut blank = |what: String| {
        findings.push(
            Finding::new(
                &BLANK_FACT,
                span,
                format!("{what}, and this lesson puts hands into a machine"),
                "fill it in in lessons/centre.yml",
            )
            .also(Span::top(centre.file), "the centre's facts"),
        );
    };
    for name in NEEDED {
        if centre.value.fact(name).flatten().is_none() {
            blank(format!("the centre's `{name}` is missing or blank"));
        }
    }
    let Some(machine) = &lesson.value.front.machine else {
        return;
    };
    let filled = |text: &Option<String>| text.as_deref().is_some_and(|text| !text.trim().is_empty());
    match centre.value.isolation.get(machine).map(Vec::as_slice) {
        None | Some([]) => blank(format!("the centre's file names no isolation point for `{machine}`")),
        Some(points) => {
            for point in points {
                if !(filled(&point.point.value) && filled(&point.place.value) && filled(&point.shuts.value)) {
                    blank(format!("an isolation point of `{machine}` has a blank in it"));
                }
            }
        }
    }
}
