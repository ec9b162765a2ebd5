//! Cycles and their drawings fit each other, pose by pose.

use super::{Rule, drawings, suggest};
use crate::diagnostic::{Code, Finding};
use crate::model::{Course, Cycle, Filed, Id, Inline, Machine, UNSEEN};

pub static POSE_NOT_DRAWN: Code = Code {
    name: "pose-not-drawn",
    title: "a pose that the cycle's drawing does not show",
    explanation: "Where a cycle has a drawing that shows a unit in poses, the unit has a pose at rest and in every span, and each of them is named by some `data-when` of the \
        drawing. Else the part would vanish from the drawing in that moment, or stand where it does not. Put the name right, give the span its pose, or draw it.",
};

pub static BINDING_UNKNOWN: Code = Code {
    name: "binding-unknown",
    title: "a drawing waits for a pose that never comes",
    explanation: "`data-when=\"sweep: up, guard; table: low\"` shows an element of a cycle's drawing while the sweep is in one of its two poses and the table is in its one. Each name \
        is a unit of the cycle and each value a pose of that unit in some cycle of the machine with this drawing; a cycle that leaves a unit out needs \
        an element with `unseen` in the unit's list, which shows the part as it then is. Most often a word is misspelt. The place shown is the cycle that names the drawing.",
};

pub const RULE: Rule = Rule {
    codes: &[&POSE_NOT_DRAWN, &BINDING_UNKNOWN],
    check,
};

fn check(course: &Course, findings: &mut Vec<Finding>) {
    for machine in &course.machines {
        for (id, cycle) in machine.value.cycles.iter() {
            let Some(name) = &cycle.drawing else {
                continue;
            };
            if let Some(drawing) = drawings::printable(course, machine.file, name, findings) {
                let one = Drawn {
                    machine,
                    id,
                    cycle,
                    name,
                    drawing,
                };
                one.poses(findings);
                one.bindings(findings);
            }
        }
    }
}

/// A cycle and its drawing.
struct Drawn<'a> {
    machine: &'a Filed<Machine>,
    id: &'a Id,
    cycle: &'a Cycle,
    name: &'a Id,
    drawing: &'a Inline,
}

impl Drawn<'_> {
    fn conditions(&self) -> impl Iterator<Item = (&str, &[String])> {
        let all = self.drawing.bindings.iter().flat_map(|binding| &binding.0);
        all.map(|(unit, values)| (unit.as_str(), values.as_slice()))
    }

    /// Every unit that the drawing shows in poses has one at all times, and the drawing shows it.
    fn poses(&self, findings: &mut Vec<Finding>) {
        let drawing = self.name;
        for (id, unit) in self.cycle.units.iter() {
            let mut shown: Vec<&str> = self
                .conditions()
                .filter(|(unit, _)| *unit == id.value)
                .flat_map(|(_, values)| values.iter().map(String::as_str))
                .collect();
            if shown.is_empty() {
                continue;
            }
            shown.retain(|pose| *pose != UNSEEN);
            shown.sort_unstable();
            shown.dedup();
            let name = unit.name(id);
            let spans = unit.spans.iter().map(|(span, doing)| (span, doing.pose.as_ref()));
            for (place, pose) in std::iter::once((id, unit.pose.as_ref())).chain(spans) {
                let (at, message, help) = match pose {
                    Some(pose) if shown.contains(&pose.value.as_str()) => continue,
                    Some(pose) => (
                        pose,
                        format!("the drawing `{drawing}` does not show the {name} as `{pose}`"),
                        suggest(pose, shown.iter().copied(), "draw it"),
                    ),
                    None => {
                        let when = if place.value == id.value { "at rest" } else { "here" };
                        (
                            place,
                            format!("the drawing `{drawing}` shows the {name} in poses, and it has none {when}"),
                            format!("write `pose: …`; the drawing has {}", shown.join(", ")),
                        )
                    }
                };
                findings.push(Finding::new(&POSE_NOT_DRAWN, self.machine.span(at), message, help));
            }
        }
    }

    /// Every name in the drawing is a unit, and every value a pose.
    fn bindings(&self, findings: &mut Vec<Finding>) {
        let mut told: Vec<(&str, &str)> = Vec::new();
        let mut tell = |unit, value, message, help| {
            if !told.contains(&(unit, value)) {
                told.push((unit, value));
                findings.push(Finding::new(
                    &BINDING_UNKNOWN,
                    self.machine.span(self.name),
                    message,
                    help,
                ));
            }
        };
        let drawing = self.name;
        for (unit, values) in self.conditions() {
            let poses = self.known(unit);
            let here = self.cycle.units.get(unit).is_some();
            let unseen = self
                .conditions()
                .any(|(other, values)| other == unit && values.iter().any(|value| value == UNSEEN));
            if !here && (poses.is_empty() || !unseen) {
                let units = self.cycle.units.keys().map(|unit| unit.value.as_str());
                tell(
                    unit,
                    "",
                    format!(
                        "a `data-when` of the drawing `{drawing}` names `{unit}`, which is no unit of the cycle `{}`",
                        self.id
                    ),
                    suggest(
                        unit,
                        units,
                        "add the unit to the cycle, or `unseen` to a list in the drawing",
                    ),
                );
                continue;
            }
            for value in values
                .iter()
                .filter(|value| *value != UNSEEN && !poses.contains(&value.as_str()))
            {
                tell(
                    unit,
                    value,
                    format!(
                        "a `data-when` of the drawing `{drawing}` names `{unit}: {value}`, and no cycle has that pose"
                    ),
                    suggest(
                        value,
                        poses.iter().copied(),
                        "give a span of the unit this pose, or mend the drawing",
                    ),
                );
            }
        }
    }

    /// Every pose that a unit takes in a cycle of the machine with this drawing.
    fn known(&self, unit: &str) -> Vec<&str> {
        let cycles = self.machine.value.cycles.values();
        let mut poses: Vec<&str> = cycles
            .filter(|cycle| cycle.drawing.as_ref().is_some_and(|name| name == self.name))
            .filter_map(|cycle| cycle.units.get(unit))
            .flat_map(|unit| unit.poses().map(|pose| pose.value.as_str()))
            .collect();
        poses.sort_unstable();
        poses.dedup();
        poses
    }
}
