//! Every state that anybody can bring about: counted, with the shortest way to each hazard and to a cure.

use super::drill::Drill;
use super::machine::{Hazards, Machine};
use super::situation::Stop;
use super::story::Line;
use super::word::State;
use std::collections::HashMap;
use std::collections::hash_map::Entry;

/// What there is to be reached.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Reach {
    /// States in which nobody is hurt.
    pub states: usize,
    /// Acts and others' acts that were tried and possible.
    pub transitions: u64,
    /// All hazards that can be met.
    pub met: Hazards,
    /// For each hazard, the shortest way in, if there is one.
    pub ways: Vec<Option<Vec<Step>>>,
    /// The shortest way to a cure, if there is one.
    pub cure: Option<Vec<Step>>,
}

/// One step of a way.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Step {
    Start(State),
    Act(usize),
    Other(usize),
}

/// How many states are looked at before it is given up.
pub const MOST: usize = 50_000_000;

/// Goes over all states that acts, reactions and others can lead to from the starts of a drill.
///
/// # Errors
/// [`Stop`]: the model has a flaw, or there are more than `most` states.
pub fn reach(machine: &Machine, drill: &Drill, most: usize) -> Result<Reach, Stop> {
    let mut states: Vec<State> = Vec::new();
    // Where each came from: the state's index and the step, packed; the starts name themselves.
    let mut from: Vec<(u32, u32)> = Vec::new();
    let mut known: HashMap<State, u32> = HashMap::new();
    let mut reach = Reach {
        states: 0,
        transitions: 0,
        met: 0,
        ways: vec![None; machine.hazards.len()],
        cure: None,
    };
    let writes = |act: usize| {
        machine.actions[act]
            .does
            .iter()
            .fold(0, |all, effect| all | effect.writes())
    };
    let acts: Vec<usize> = (0..machine.actions.len())
        .filter(|act| writes(*act) & drill.holds == 0)
        .collect();
    for start in &drill.starts {
        let settled = machine.settle(*start)?;
        if settled.met & machine.to_person != 0 {
            continue;
        }
        if let Entry::Vacant(free) = known.entry(settled.state) {
            free.insert(index(states.len()));
            states.push(settled.state);
            from.push((u32::MAX, 0));
        }
    }
    let mut next = 0;
    while next < states.len() {
        let state = states[next];
        if reach.cure.is_none() && drill.cured.holds(state) {
            reach.cure = Some(way(&states, &from, next, None));
        }
        let steps = acts
            .iter()
            .filter(|act| machine.possible(**act, state))
            .map(|act| Step::Act(*act))
            .chain(
                (0..machine.others.len())
                    .filter(|other| machine.others[*other].when.holds(state))
                    .map(Step::Other),
            );
        for step in steps {
            reach.transitions += 1;
            let (outcome, code) = match step {
                Step::Act(act) => (machine.act(act, state)?, index(act) * 2),
                Step::Other(other) => (machine.other(other, state)?, index(other) * 2 + 1),
                Step::Start(_) => continue,
            };
            let fresh = outcome.met & !reach.met;
            if fresh != 0 {
                for (hazard, known) in reach.ways.iter_mut().enumerate() {
                    if (fresh >> hazard) & 1 == 1 {
                        *known = Some(way(&states, &from, next, Some(step)));
                    }
                }
                reach.met |= fresh;
            }
            if outcome.met & machine.to_person == 0 && !known.contains_key(&outcome.state) {
                if states.len() >= most {
                    return Err(Stop::Budget);
                }
                known.insert(outcome.state, index(states.len()));
                states.push(outcome.state);
                from.push((index(next), code));
            }
        }
        next += 1;
    }
    reach.states = states.len();
    Ok(reach)
}

fn index(number: usize) -> u32 {
    // More than [`MOST`] states are never kept.
    u32::try_from(number).unwrap_or(u32::MAX)
}

fn way(states: &[State], from: &[(u32, u32)], end: usize, last: Option<Step>) -> Vec<Step> {
    let mut steps: Vec<Step> = last.into_iter().collect();
    let mut at = end;
    loop {
        let (before, code) = from[at];
        if before == u32::MAX {
            steps.push(Step::Start(states[at]));
            break;
        }
        let number = (code / 2) as usize;
        steps.push(if code % 2 == 0 {
            Step::Act(number)
        } else {
            Step::Other(number)
        });
        at = before as usize;
    }
    steps.reverse();
    steps
}

impl Machine {
    /// A way as a story, with all that the machine does on it. Acts are numbered from 1.
    ///
    /// # Errors
    /// [`Stop`].
    pub fn told(&self, way: &[Step]) -> Result<Vec<Line>, Stop> {
        let world = super::situation::World::new(self);
        let mut lines = Vec::new();
        let mut state = self.rest;
        let mut number = 0;
        for step in way {
            match step {
                Step::Start(start) => {
                    state = *start;
                    lines.push(Line::Start(state));
                }
                Step::Act(act) => {
                    number += 1;
                    lines.push(Line::Step { number, act: *act });
                    state = world.tell(super::fire::What::Act(*act), state, &mut lines)?;
                }
                Step::Other(other) => {
                    lines.push(Line::Other(*other));
                    state = world.tell(super::fire::What::Other(*other), state, &mut lines)?;
                }
            }
        }
        Ok(lines)
    }
}
