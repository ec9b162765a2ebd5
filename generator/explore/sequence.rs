//! A sequencing that a machine marks, as written → one that can be replayed.

use super::{Desk, UNKNOWN_STATE, state};
use crate::diagnostic::Finding;
use crate::model::{Id, Keyed, Modelled, Text};
use crate::source::FileId;
use pitwright_explorer::{Drill, Machine, State};

/// A sequencing, ready to be replayed.
pub struct Sequence {
    pub start: State,
    pub before: Vec<usize>,
    /// The act of each step, in the order of the file.
    pub acts: Vec<usize>,
}

/// Compiles a sequencing. `None` if anything in it could not be read; then there are findings.
pub fn sequence(
    file: FileId,
    steps: &Keyed<Text>,
    model: &Modelled,
    machine: &Machine,
    drill: &Drill,
    findings: &mut Vec<Finding>,
) -> Option<Sequence> {
    let before = findings.len();
    let mut desk = Desk { file, findings };
    let acts: Vec<usize> = steps.keys().filter_map(|id| act(id, machine, &mut desk)).collect();
    let done: Vec<usize> = model
        .before
        .iter()
        .filter_map(|id| act(id, machine, &mut desk))
        .collect();
    let starts: Vec<State> = match &model.start {
        None => drill.starts.clone(),
        Some(tree) => {
            let wanted = state::mask(tree, &machine.variables, &mut desk);
            drill
                .starts
                .iter()
                .copied()
                .filter(|start| wanted.is_some_and(|(mask, value)| start & mask == value))
                .collect()
        }
    };
    if desk.findings.len() == before && starts.len() != 1 {
        let help = "say in `start` by which values one start of the drill is told from the others";
        let message = format!("{} starts of the drill fit, and one is asked for", starts.len());
        match &model.start {
            Some(tree) => desk.shape(tree, message, help),
            None => desk.shape(&model.drill, message, help),
        }
    }
    (desk.findings.len() == before).then_some(Sequence {
        start: *starts.first()?,
        before: done,
        acts,
    })
}

/// The one act of this name.
fn act(id: &Id, machine: &Machine, desk: &mut Desk) -> Option<usize> {
    let mut acts = machine.instances(&id.value);
    match (acts.next(), acts.next()) {
        (Some(act), None) => Some(act),
        (Some(_), Some(_)) => {
            desk.shape(
                id,
                format!("`{id}` is an act of several numbers"),
                "take an action that has none: an order is told of single acts",
            );
            None
        }
        (None, _) => {
            let mut known: Vec<&str> = machine.actions.iter().map(|action| action.id.as_str()).collect();
            known.dedup();
            desk.unknown(&UNKNOWN_STATE, id.span(desk.file), &id.value, "action", &known);
            None
        }
    }
}
