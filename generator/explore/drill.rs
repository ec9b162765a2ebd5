//! A drill as written → a drill that can be run.

use super::{Desk, Scope, condition, state};
use crate::diagnostic::Finding;
use crate::model::{self, Filed, Tree};
use crate::source::At;
use pitwright_explorer::Drill;
use pitwright_explorer::Machine;
use pitwright_explorer::State;

/// Compiles a drill on a machine. `None` if anything in it could not be read; then there are findings.
pub fn drill(filed: &Filed<model::Drill>, machine: &Machine, findings: &mut Vec<Finding>) -> Option<Drill> {
    let source = &filed.value;
    let before = findings.len();
    let mut desk = Desk {
        file: filed.file,
        findings,
    };
    let scope = Scope::of(&machine.variables);
    let cured = condition::read(&source.cured, &scope, &mut desk);
    let mut optional = |tree: &Option<At<Tree>>| tree.as_ref().map(|tree| condition::read(tree, &scope, &mut desk));
    let (handed_over, beyond) = (optional(&source.handed_over), optional(&source.beyond));
    let mappings: Vec<&At<Tree>> = match &source.start.value {
        Tree::List(list) => list.iter().collect(),
        _ => vec![&source.start],
    };
    let mut starts: Vec<State> = mappings
        .into_iter()
        .flat_map(|tree| state::starts(tree, &machine.variables, machine.rest, &mut desk))
        .collect();
    starts.sort_unstable();
    starts.dedup();
    let mut holds = 0;
    for name in &source.holds {
        let members: Vec<usize> = if scope.is_family(&name.value) {
            scope.family(&name.value).collect()
        } else {
            scope.variable(name, &mut desk).into_iter().collect()
        };
        holds |= members
            .iter()
            .fold(0, |all, index| all | machine.variables[*index].mask());
    }
    let found = desk.findings.len() > before;
    let cured = cured?;
    (!found).then_some(Drill {
        id: filed.id.clone(),
        starts,
        cured,
        // What could not be read was found.
        handed_over: handed_over.flatten(),
        beyond: beyond.flatten(),
        holds,
    })
}
