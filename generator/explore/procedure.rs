//! A procedure as written → one that can be replayed.

use super::{Desk, Scope, UNKNOWN_STATE, condition};
use crate::diagnostic::Finding;
use crate::model::{self, Tree};
use crate::source::{At, FileId};
use pitwright_explorer::{Machine, Procedure, Step, Test};

/// Compiles the steps of a procedure. A written step may be several acts; each becomes a step of its own under the same
/// number. `None` if anything in it could not be read; then there are findings.
pub fn procedure(
    file: FileId,
    source: &model::Procedure,
    machine: &Machine,
    findings: &mut Vec<Finding>,
) -> Option<Procedure> {
    let before = findings.len();
    let mut desk = Desk { file, findings };
    let scope = Scope::of(&machine.variables);
    let mut procedure = Procedure::default();
    for (index, step) in source.steps.iter().enumerate() {
        let number = index + 1;
        let whole = |tree: &Option<At<Tree>>, desk: &mut Desk| {
            tree.as_ref()
                .map(|tree| condition::read(tree, &scope, desk).unwrap_or(Test::ALWAYS))
        };
        let only = whole(&step.only, &mut desk);
        let repeat = whole(&step.repeat, &mut desk);
        let listed: Vec<&At<Tree>> = match step.acts.as_ref() {
            None => Vec::new(),
            Some(tree) => match &tree.value {
                Tree::List(list) => list.iter().collect(),
                _ => vec![tree],
            },
        };
        if listed.len() > 1
            && let Some(tree) = &step.repeat
        {
            desk.shape(
                tree,
                "a step of several acts cannot be repeated as a whole",
                "give the `while` to the act that is repeated: { act: NAME, while: … }",
            );
        }
        let last = listed.len().saturating_sub(1);
        if listed.is_empty() {
            procedure.steps.push(Step {
                number,
                says: step.says.value.clone(),
                acts: Vec::new(),
                repeat,
                only,
                ends: step.ends,
            });
            continue;
        }
        for (place, tree) in listed.into_iter().enumerate() {
            let Some((acts, own_only, own_repeat)) = one(tree, machine, &scope, &mut desk) else {
                continue;
            };
            procedure.steps.push(Step {
                number,
                says: said(machine, &acts),
                acts,
                repeat: own_repeat.or_else(|| repeat.clone()),
                only: match (own_only, only.clone()) {
                    (Some(own), Some(whole)) => Some(Test::all(vec![whole, own])),
                    (own, whole) => own.or(whole),
                },
                ends: step.ends && place == last,
            });
        }
    }
    (desk.findings.len() == before).then_some(procedure)
}

/// The machine's words for an act; of several instances no number is named.
fn said(machine: &Machine, acts: &[usize]) -> String {
    let Some(action) = acts.first().map(|act| &machine.actions[*act]) else {
        return String::new();
    };
    match action.index {
        Some(index) if acts.len() > 1 => action.says.replace(&format!(" {index}"), " …"),
        _ => action.says.clone(),
    }
}

/// One act of a step: a name, or `{ act: NAME, if: …, while: … }`. At least one instance is named.
fn one(
    tree: &At<Tree>,
    machine: &Machine,
    scope: &Scope,
    desk: &mut Desk,
) -> Option<(Vec<usize>, Option<Test>, Option<Test>)> {
    match &tree.value {
        Tree::Word(name) => Some((instances(name, tree, machine, desk)?, None, None)),
        Tree::Map(map) => {
            let (mut acts, mut only, mut repeat) = (None, None, None);
            let before = desk.findings.len();
            for (key, value) in map.iter() {
                match (key.value.as_str(), &value.value) {
                    ("act", Tree::Word(name)) => acts = instances(name, value, machine, desk),
                    ("if", _) => only = Some(condition::read(value, scope, desk)?),
                    ("while", _) => repeat = Some(condition::read(value, scope, desk)?),
                    _ => desk.shape(
                        key,
                        format!("`{}` does not belong to an act", key.value),
                        "write { act: NAME, if: CONDITION, while: CONDITION }; the two conditions may be left out",
                    ),
                }
            }
            if map.get("act").is_none() && desk.findings.len() == before {
                desk.shape(tree, "no act is named", "write { act: NAME, if: CONDITION }");
            }
            Some((acts?, only, repeat))
        }
        Tree::List(_) => {
            desk.shape(tree, "a list inside a list", "write the acts one after another");
            None
        }
    }
}

/// The acts that a name means: all instances of an action, or the one whose number stands after a dot.
fn instances(name: &str, at: &At<Tree>, machine: &Machine, desk: &mut Desk) -> Option<Vec<usize>> {
    let (id, index) = match name.split_once('.') {
        Some((id, index)) => (id, index.parse::<i64>().ok()),
        None => (name, None),
    };
    let acts: Vec<usize> = machine
        .instances(id)
        .filter(|act| index.is_none() || machine.actions[*act].index == index)
        .collect();
    if acts.is_empty() || (index.is_none() && name.contains('.')) {
        let mut known: Vec<&str> = machine.actions.iter().map(|action| action.id.as_str()).collect();
        known.dedup();
        desk.unknown(&UNKNOWN_STATE, at.span(desk.file), name, "action", &known);
        return None;
    }
    Some(acts)
}
