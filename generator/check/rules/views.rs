//! What a drill shows of a machine: drawings bound to its state, and the spots at which acts are done.

use super::drawings::{BAD_DRAWING, UNKNOWN_DRAWING, printable};
use super::{Rule, suggest};
use crate::diagnostic::{Code, Finding};
use crate::explore::UNKNOWN_STATE;
use crate::model::{Course, Filed, Inline, Lesson, Shown, View};
use crate::safety;
use crate::source::At;

pub static DRAWING_UNBOUND: Code = Code {
    name: "drawing-unbound",
    title: "a drawing that shows what the machine's state cannot be",
    explanation: "In a drawing that a view of a machine shows, `data-when` says for which values of the machine's state an element shows, as `sweep: guard, up; cup.3: two`; `unseen` stands for \
        a hidden value while it cannot be seen. A name or value that the machine does not have would leave the element hidden for ever, and a trainee would be shown less than there is. Mend the \
        name in the drawing, or add it to the machine's `state`.",
};

pub static PART_NOT_LISTED: Code = Code {
    name: "part-not-listed",
    title: "a drawing names a part that the machine does not have",
    explanation: "Glossary, machine and drawing share the names of parts. In a drawing that a view of a machine or one of its cycles shows, `data-part` names a part of that machine, so that every \
        part that is pointed at can be looked up. Mend the name in the drawing, or list the part under the machine's `parts`.",
};

pub static DRAWING_NOT_SO: Code = Code {
    name: "drawing-not-so",
    title: "a lesson's drawing shows what its stop is not",
    explanation: "In a lesson, `shows` of a `drawing` block says what in a view of the lesson's machine is not at rest. Each name must be one that the drawing follows, with a value of the machine's; and where a \
        procedure of the lesson clears a drill, all that the drawing follows must be as in one start of that drill. Else the page would show a stop that the machine does not have, and whoever looks for it would \
        look for the wrong thing. Take the values from a start of the drill. Where the machine is to be shown at rest, leave `shows` out.",
};

pub const RULE: Rule = Rule {
    codes: &[&DRAWING_UNBOUND, &PART_NOT_LISTED, &DRAWING_NOT_SO],
    check,
};

fn check(course: &Course, findings: &mut Vec<Finding>) {
    for machine in &course.machines {
        let views = machine.value.views.values().map(|view| &view.drawing);
        let cycles = machine.value.cycles.values().filter_map(|cycle| cycle.drawing.as_ref());
        for name in views.chain(cycles) {
            let inline = course.drawing(name).and_then(|drawing| drawing.content.as_ref().ok());
            let parts = inline.into_iter().flat_map(|inline| &inline.parts);
            if let Some(odd) = parts.into_iter().find(|part| machine.value.parts.get(part).is_none()) {
                findings.push(Finding::new(
                    &PART_NOT_LISTED,
                    machine.span(name),
                    format!(
                        "theme/drawings/{}.svg shows `{odd}`, which is no part of this machine",
                        name.value
                    ),
                    suggest(
                        odd,
                        machine.value.parts.keys().map(|key| key.value.as_str()),
                        "list it under `parts`",
                    ),
                ));
            }
        }
        for view in machine.value.views.values() {
            for place in view
                .from
                .iter()
                .filter(|place| machine.value.places.get(place).is_none())
            {
                findings.push(Finding::new(
                    &UNKNOWN_STATE,
                    machine.span(place),
                    format!("`{place}` is no place of this machine"),
                    suggest(
                        place,
                        machine.value.places.keys().map(|key| key.value.as_str()),
                        "list it under `places`",
                    ),
                ));
            }
        }
        for act in machine.value.spots.values().flat_map(|spot| &spot.acts) {
            if machine.value.actions.get(act).is_none() {
                findings.push(Finding::new(
                    &UNKNOWN_STATE,
                    machine.span(act),
                    format!("`{act}` is no action of this machine"),
                    suggest(
                        act,
                        machine.value.actions.keys().map(|key| key.value.as_str()),
                        "write it under `actions`",
                    ),
                ));
            }
        }
    }
}

/// Looks at the drawings of every view. It needs the machines as they can be run, so it is no rule like the others.
pub fn bound(course: &Course, models: &[safety::Model], findings: &mut Vec<Finding>) {
    for model in models {
        for view in model.source.value.views.values() {
            drawn(course, model, view, findings);
        }
    }
}

fn drawn(course: &Course, model: &safety::Model, view: &View, findings: &mut Vec<Finding>) {
    let (machine, name) = (model.source, &view.drawing);
    let Some(drawing) = course.drawing(name) else {
        findings.push(Finding::new(
            &UNKNOWN_DRAWING,
            machine.span(name),
            format!("there is no drawing `{name}`"),
            suggest(
                name,
                course.drawings.iter().map(|drawing| drawing.name.as_str()),
                "draw it as theme/drawings/NAME.svg",
            ),
        ));
        return;
    };
    let inline = match &drawing.content {
        Ok(inline) => inline,
        Err(why) => {
            findings.push(Finding::new(
                &BAD_DRAWING,
                machine.span(name),
                format!("theme/drawings/{name}.svg cannot stand in a page: {why}"),
                "mend the drawing; `pitwright finding bad-drawing` says what may stand in one",
            ));
            return;
        }
    };
    let variables = &model.machine.variables;
    for (bound, values) in inline.bindings.iter().flat_map(|binding| &binding.0) {
        let Some(variable) = variables.iter().find(|variable| variable.name == *bound) else {
            findings.push(Finding::new(
                &DRAWING_UNBOUND,
                machine.span(name),
                format!("theme/drawings/{name}.svg asks for `{bound}`, which this machine's state does not have"),
                suggest(
                    bound,
                    variables.iter().map(|known| known.name.as_str()),
                    "add it to `state`",
                ),
            ));
            return;
        };
        let hidden = variable.mask() & model.machine.plain == 0;
        let there = |value: &&String| variable.position(value).is_some() || (hidden && *value == "unseen");
        if let Some(odd) = values.iter().find(|value| !there(value)) {
            findings.push(Finding::new(
                &DRAWING_UNBOUND,
                machine.span(name),
                format!("theme/drawings/{name}.svg asks for `{bound}: {odd}`, and it is never so"),
                suggest(odd, variable.values.iter().map(String::as_str), "add it to `state`"),
            ));
            return;
        }
    }
}

/// Looks at the drawings in lessons: each is there, and what it shows can be.
pub fn shown(course: &Course, models: &[safety::Model], findings: &mut Vec<Finding>) {
    for lesson in &course.lessons {
        for shown in lesson.value.drawings() {
            let Some(inline) = printable(course, lesson.file, &shown.drawing, findings) else {
                continue;
            };
            let machine = lesson.value.front.machine.as_ref();
            let model = models.iter().find(|model| {
                let views = &model.source.value.views;
                machine.is_some_and(|id| model.source.id == id.value)
                    && views.values().any(|view| view.drawing.value == shown.drawing.value)
            });
            if let Some((at, why, help)) = not_so(lesson, shown, inline, model) {
                findings.push(Finding::new(&DRAWING_NOT_SO, lesson.span(at), why, help));
            }
        }
    }
}

/// Why a lesson's drawing cannot be as it is told to be: where, what is wrong, and what to do.
fn not_so<'a>(
    lesson: &Filed<Lesson>,
    shown: &'a Shown,
    inline: &Inline,
    model: Option<&safety::Model>,
) -> Option<(&'a At<String>, String, String)> {
    let follows = |name: &str| {
        let mut names = inline.bindings.iter().flat_map(|binding| &binding.0);
        names.any(|(known, _)| known == name)
    };
    let first = shown.shows.keys().next()?;
    let Some(model) = model else {
        return Some((
            first,
            format!(
                "theme/drawings/{}.svg is no view of this lesson's machine",
                shown.drawing
            ),
            "leave `shows` out, or take the drawing of a view".to_owned(),
        ));
    };
    let mut state = model.machine.rest;
    for (name, value) in shown.shows.iter() {
        let variable = model.machine.variable(&name.value).filter(|_| follows(&name.value));
        let Some(variable) = variable else {
            let known = model.machine.variables.iter().map(|one| one.name.as_str());
            return Some((
                name,
                format!("theme/drawings/{}.svg does not show `{name}`", shown.drawing),
                suggest(name, known.filter(|known| follows(known)), "leave it out"),
            ));
        };
        let Some(position) = variable.position(&value.value) else {
            return Some((
                value,
                format!("`{name}` is never `{value}`"),
                suggest(
                    value,
                    variable.values.iter().map(String::as_str),
                    "take one of its values",
                ),
            ));
        };
        state = state & !variable.mask() | variable.word(position);
    }
    let drawn = model
        .machine
        .variables
        .iter()
        .filter(|variable| follows(&variable.name));
    let mask = drawn.fold(0, |all, variable| all | variable.mask());
    let cleared = |stop: &&safety::Stop| stop.written.iter().any(|written| written.lesson.id == lesson.id);
    let mut stops = model.drills.iter().filter(cleared).peekable();
    stops.peek()?;
    let so = stops.any(|stop| stop.drill.starts.iter().any(|start| start & mask == state & mask));
    (!so).then(|| {
        (
            first,
            "no drill that this lesson clears starts so".to_owned(),
            "take all that the drawing shows from one start of the drill".to_owned(),
        )
    })
}
