//! What a drill shows of a machine: drawings bound to its state, and the spots at which acts are done.

use super::drawings::{BAD_DRAWING, UNKNOWN_DRAWING};
use super::{Rule, suggest};
use crate::diagnostic::{Code, Finding};
use crate::explore::UNKNOWN_STATE;
use crate::model::{Course, View};
use crate::safety;

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

pub const RULE: Rule = Rule {
    codes: &[&DRAWING_UNBOUND, &PART_NOT_LISTED],
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
