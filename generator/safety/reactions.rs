//! What the machine does by itself: circles without end, and reactions whose order makes a difference.

use super::codes;
use super::models::Model;
use crate::diagnostic::Finding;
use crate::explore::{Graph, State, Stop, What, World};
use std::collections::{BTreeSet, HashSet};

/// Reactions that went round: told from where the circle begins.
pub fn circle(model: &Model, from: State) -> Vec<String> {
    let machine = &model.machine;
    let mut lines = vec![format!("It is so: {}.", machine.differs(from))];
    let mut seen = vec![from];
    let mut state = from;
    while let Some(index) = machine.applying(state).next() {
        lines.push(format!(
            "The machine: {}.",
            machine.reactions[index].says.trim_end_matches('.')
        ));
        match machine.react_with(index, state) {
            Ok(outcome) if !seen.contains(&outcome.state) && seen.len() < 12 => {
                state = outcome.state;
                seen.push(state);
            }
            _ => break,
        }
    }
    lines.push("And so on.".to_owned());
    lines
}

/// Looks, after every act that is possible anywhere in the drill, for two reactions that apply at once and lead elsewhere
/// if the second goes first.
///
/// # Errors
/// [`Stop`].
pub fn order(world: &World, model: &Model, graph: &Graph, findings: &mut Vec<Finding>) -> Result<(), Stop> {
    let machine = world.machine;
    if machine.reactions.len() < 2 {
        return Ok(());
    }
    let states: BTreeSet<State> = graph
        .all_situations()
        .flat_map(|situation| situation.iter().map(|(state, _)| *state))
        .collect();
    // States in which reactions begin, each looked at once.
    let mut begun: HashSet<State> = HashSet::new();
    let mut told: BTreeSet<(usize, usize)> = BTreeSet::new();
    for state in states {
        let acts = (0..machine.actions.len())
            .filter(|act| machine.possible(*act, state))
            .map(What::Act);
        let others = (0..machine.others.len())
            .filter(|other| machine.others[*other].when.holds(state))
            .map(What::Other);
        for what in acts.chain(others) {
            let mut now = machine.at_once(what, state)?;
            // On from what was not met before, as the machine goes on by itself.
            while now.met & machine.to_person == 0 && begun.insert(now.state) {
                differing(world, now.state, &mut told)?;
                let Some(next) = machine.applying(now.state).next() else {
                    break;
                };
                now = machine.at_once(What::Reaction(next), now.state)?;
            }
        }
    }
    for (first, second) in told {
        let reactions = &model.source.value.reactions;
        let (Some(one), Some(other)) = (
            reactions.key(&machine.reactions[first].id),
            reactions.key(&machine.reactions[second].id),
        ) else {
            continue;
        };
        findings.push(
            Finding::new(
                &codes::REACTION_ORDER,
                model.source.span(other),
                format!("`{one}` and `{other}` can apply at once, and which goes first makes a difference"),
                "say in their `when` which one goes first",
            )
            .also(model.source.span(one), "it goes first as written"),
        );
    }
    Ok(())
}

/// The pairs of reactions that apply in this state and settle, or hurt, differently.
fn differing(world: &World, state: State, told: &mut BTreeSet<(usize, usize)>) -> Result<(), Stop> {
    let machine = world.machine;
    let applying: Vec<usize> = machine.applying(state).collect();
    let Some((first, rest)) = applying.split_first() else {
        return Ok(());
    };
    let end = |index: usize| -> Result<(State, u64), Stop> {
        let fired = machine.react_with(index, state)?;
        if fired.met & machine.to_person != 0 {
            return Ok((state, fired.met & machine.to_person));
        }
        let settled = machine.settle(fired.state)?;
        let met = (fired.met | settled.met) & machine.to_person;
        Ok((if met == 0 { settled.state } else { state }, met))
    };
    let due = end(*first)?;
    for other in rest {
        if end(*other)? != due {
            told.insert((*first, *other));
        }
    }
    Ok(())
}
