//! The centre's own facts: named where they exist, filled in where a page needs them.

use super::{Rule, suggest};
use crate::check::prose::pieces;
use crate::diagnostic::{Code, Finding};
use crate::model::{Centre, Course, Filed, Id, Lesson, Sort};
use crate::source::{At, Span};
use std::collections::HashSet;

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

/// A fact that is needed, and the place that needs it.
struct Need<'a> {
    name: String,
    span: Span,
    /// The lesson that prints it whatever its prose says.
    locks_out: Option<&'a Filed<Lesson>>,
}

fn check(course: &Course, findings: &mut Vec<Finding>) {
    let Some(centre) = &course.centre else {
        return;
    };
    // One blank is one fault, however many pages need it: it is reported once, where it stands.
    let mut reported = HashSet::new();
    for need in needs(course) {
        let fact = centre.value.fact(&need.name);
        let (message, help) = match (fact, need.locks_out) {
            (Some(Some(_)), _) => continue,
            (None, None) => {
                // A misspelt name is a fault of each place that has it, unless a hands-on page misses the fact anyhow.
                if !reported.contains(&need.name) {
                    let facts = centre.value.facts();
                    findings.push(Finding::new(
                        &UNKNOWN_FACT,
                        need.span,
                        format!("the centre's file has no fact `{}`", need.name),
                        suggest(
                            &need.name,
                            facts.iter().map(String::as_str),
                            "add it to lessons/centre.yml",
                        ),
                    ));
                }
                continue;
            }
            (None, Some(lesson)) => (
                format!(
                    "`{}` is missing, and the lesson `{}` puts hands into a machine",
                    need.name, lesson.id
                ),
                "add it: what holds in this centre, as a new hand would need to hear it",
            ),
            (Some(None), _) => (
                format!("`{}` is blank, and a page needs it", need.name),
                "fill it in: what holds in this centre, as a new hand would need to hear it",
            ),
        };
        if reported.insert(need.name.clone()) {
            let span = place(&centre.value, &need.name).map_or(Span::top(centre.file), |(start, end)| Span {
                file: centre.file,
                start,
                end,
            });
            findings.push(Finding::new(&BLANK_FACT, span, message, help).also(need.span, "needed here"));
        }
    }
    let mut machines = HashSet::new();
    for lesson in course.lessons.iter().filter(|lesson| lesson.value.locks_out()) {
        let Some(machine) = &lesson.value.front.machine else {
            continue;
        };
        // A machine that is not there has its finding already.
        if course.has(Sort::Machine, machine) && machines.insert(machine.value.as_str()) {
            isolation(centre, lesson, machine, findings);
        }
    }
}

/// Every fact that a page prints; those of pages by which a machine is locked out first.
fn needs(course: &Course) -> Vec<Need<'_>> {
    let mut needs = Vec::new();
    for lesson in course.lessons.iter().filter(|lesson| lesson.value.locks_out()) {
        needs.extend(NEEDED.map(|name| Need {
            name: name.to_owned(),
            span: lesson.span(&lesson.value.front.title),
            locks_out: Some(lesson),
        }));
    }
    let mut named = |name: &str, span: Span| {
        needs.push(Need {
            name: name.to_owned(),
            span,
            locks_out: None,
        });
    };
    for lesson in &course.lessons {
        for link in &lesson.value.body.links {
            if let Some(name) = link.to.strip_prefix("centre:") {
                named(name, link.span);
            }
        }
        for walk_away in lesson.value.walk_aways() {
            named(&format!("call.{}", walk_away.call), lesson.span(&walk_away.call));
        }
    }
    for machine in &course.machines {
        for reason in machine.value.at_once.values() {
            named(&format!("call.{}", reason.call), machine.span(&reason.call));
        }
    }
    for piece in pieces(course) {
        for to in crate::load::markdown::prose(piece.text).links {
            if let Some(name) = to.strip_prefix("centre:") {
                named(name, piece.text.span(piece.file));
            }
        }
    }
    needs
}

/// Where a fact stands in the centre's file: its key, where it has one of its own.
fn place(centre: &Centre, name: &str) -> Option<(u32, u32)> {
    match name.split_once('.') {
        Some(("call", key)) => centre.call.key(key).map(|key| (key.start, key.end)),
        Some(("radio", key)) => centre.radio.key(key).map(|key| (key.start, key.end)),
        _ if name == "lockout-procedure" => Some((centre.lockout_procedure.start, centre.lockout_procedure.end)),
        _ => None,
    }
}

fn isolation(centre: &Filed<Centre>, lesson: &Filed<Lesson>, machine: &Id, findings: &mut Vec<Finding>) {
    let filled = |text: &At<Option<String>>| text.value.as_deref().is_some_and(|text| !text.trim().is_empty());
    let points = centre
        .value
        .isolation
        .get(machine)
        .map(Vec::as_slice)
        .unwrap_or_default();
    let key = centre.value.isolation.key(machine);
    let span = key.map_or(Span::top(centre.file), |key| centre.span(key));
    let message = if points.is_empty() {
        format!("the centre's file names no isolation point for `{machine}`")
    } else if points
        .iter()
        .all(|point| filled(&point.point) && filled(&point.place) && filled(&point.shuts))
    {
        return;
    } else {
        format!("an isolation point of `{machine}` has a blank in it")
    };
    findings.push(
        Finding::new(
            &BLANK_FACT,
            span,
            format!("{message}, and the lesson `{}` puts hands into that machine", lesson.id),
            "write for each point what it is called, where it is and what it shuts",
        )
        .also(lesson.span(&lesson.value.front.title), "needed here"),
    );
}
