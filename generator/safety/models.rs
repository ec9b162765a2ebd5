//! Machines, drills and procedures of a course, ready to be run.

use super::codes;
use crate::diagnostic::Finding;
use crate::explore::{self, Drill, Machine, Procedure};
use crate::model::{self, Course, Filed, Lesson};
use crate::source::FileId;

/// A machine with a state, its drills, and what is taught on them.
pub struct Model<'c> {
    pub source: &'c Filed<model::Machine>,
    pub machine: Machine,
    pub drills: Vec<Stop<'c>>,
}

/// A drill and the procedures that must clear it.
pub struct Stop<'c> {
    pub source: &'c Filed<model::Drill>,
    pub drill: Drill,
    pub written: Vec<Written<'c>>,
}

/// A procedure of a lesson.
pub struct Written<'c> {
    pub lesson: &'c Filed<Lesson>,
    /// Which of the lesson's procedures.
    pub place: usize,
    pub source: &'c model::Procedure,
    pub procedure: Procedure,
}

/// Makes all machines, drills and procedures ready. What cannot be read has its finding.
pub fn models<'c>(course: &'c Course, findings: &mut Vec<Finding>) -> Vec<Model<'c>> {
    for drill in &course.drills {
        let id = &drill.value.machine;
        if course.machine(id).is_some_and(|machine| machine.value.state.is_empty()) {
            findings.push(Finding::new(
                &codes::MACHINE_WITHOUT_STATE,
                drill.span(id),
                format!("the machine `{id}` has no state, so nothing can happen in this drill"),
                "give the machine a `state`, or name another machine",
            ));
        }
    }
    let mut models: Vec<Model> = course
        .machines
        .iter()
        .filter_map(|source| {
            let machine = explore::machine(source, findings)?;
            let drills = course
                .drills
                .iter()
                .filter(|drill| drill.value.machine.value == source.id)
                .filter_map(|source| {
                    Some(Stop {
                        source,
                        drill: explore::drill(source, &machine, findings)?,
                        written: Vec::new(),
                    })
                })
                .collect();
            Some(Model {
                source,
                machine,
                drills,
            })
        })
        .collect();
    for lesson in &course.lessons {
        for (place, (_, source)) in lesson.value.procedures().enumerate() {
            written(lesson, place, source, &mut models, findings);
        }
    }
    models
}

fn written<'c>(
    lesson: &'c Filed<Lesson>,
    place: usize,
    source: &'c model::Procedure,
    models: &mut [Model<'c>],
    findings: &mut Vec<Finding>,
) {
    let front = &lesson.value.front;
    let own = |model: &Model| front.machine.as_ref().is_some_and(|id| id.value == model.source.id);
    let Some(clears) = &source.clears else {
        if front.hands_on && models.iter().any(own) && source.steps.iter().any(|step| step.inside) {
            findings.push(Finding::new(
                &codes::NOT_PROVEN,
                lesson.span(&source.title),
                "this procedure goes inside a machine that has a model, and names no drill",
                "add `clears: DRILL`, and `do: ACTION` to its steps",
            ));
        }
        return;
    };
    for model in models.iter_mut() {
        let is_own = own(model);
        let Some(stop) = model.drills.iter_mut().find(|stop| stop.source.id == clears.value) else {
            continue;
        };
        if !is_own {
            findings.push(Finding::new(
                &codes::MACHINE_ELSEWHERE,
                lesson.span(clears),
                format!(
                    "the drill `{clears}` is on the machine `{}`, which is not the lesson's",
                    model.source.id
                ),
                "name a drill of the lesson's machine, or the drill's machine in the lesson",
            ));
        }
        uncovered(lesson.file, source, findings);
        if let Some(procedure) = explore::procedure(lesson.file, source, &model.machine, findings) {
            stop.written.push(Written {
                lesson,
                place,
                source,
                procedure,
            });
        }
        return;
    }
}

/// Steps that go inside and that the replay would know nothing of.
fn uncovered(file: FileId, source: &model::Procedure, findings: &mut Vec<Finding>) {
    for step in source.steps.iter().filter(|step| step.inside && step.acts.is_none()) {
        findings.push(Finding::new(
            &codes::INSIDE_WITHOUT_ACT,
            step.says.span(file),
            "this step goes inside and has no `do`",
            "name the action of the machine: `do: ACTION`",
        ));
    }
}
