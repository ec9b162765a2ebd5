//! All ways through a scenario: a state is a scene, the marks so far, and whether something unsafe was done.
//!
//! Marks are never negative and stand on no loop, so the states are finite and every sum is bounded.

use crate::model::{Ending, Keyed, Scenario, Scene};
use std::collections::{HashMap, VecDeque};

/// Past this many states a scenario is refused rather than walked for ever.
pub const MOST_STATES: usize = 200_000;

/// Where a run stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct State {
    /// Index into the scenario's scenes.
    pub scene: usize,
    pub marks: u32,
    pub hurt: bool,
}

/// What all ways have in common.
#[derive(Debug, Clone, PartialEq)]
pub struct Ways {
    /// Every reachable state and where each of its choices leads, by index; the first is the start.
    pub states: Vec<(State, Vec<usize>)>,
    /// Most marks at any ending.
    pub most: u32,
    /// Fewest marks at any ending.
    pub least: u32,
    /// Fewest choices to any ending.
    pub shortest: usize,
    /// Most choices to any ending; `None` where a way can go round.
    pub longest: Option<usize>,
}

/// Walks a scenario from its start. `None` if a scene that it needs is missing, it never ends, or it is too large.
pub fn ways(scenario: &Scenario) -> Option<Ways> {
    let scenes: Vec<&Scene> = scenario.scenes.values().collect();
    let start = index(&scenario.scenes, &scenario.start)?;
    let first = State {
        scene: start,
        marks: 0,
        hurt: false,
    };
    let mut states = vec![(first, Vec::new())];
    let mut known = HashMap::from([(first, 0)]);
    let mut depth = vec![0];
    let mut queue = VecDeque::from([0]);
    while let Some(at) = queue.pop_front() {
        let (state, _) = states[at];
        let scene = scenes[state.scene];
        if scene.ends.is_some() {
            continue;
        }
        for choice in scene.choices.values() {
            let next = State {
                scene: index(&scenario.scenes, &choice.to)?,
                marks: state.marks.checked_add(choice.marks())?,
                hurt: state.hurt || choice.hurts.is_some(),
            };
            let to = *known.entry(next).or_insert_with(|| {
                states.push((next, Vec::new()));
                depth.push(depth[at] + 1);
                queue.push_back(states.len() - 1);
                states.len() - 1
            });
            states[at].1.push(to);
            if states.len() > MOST_STATES {
                return None;
            }
        }
    }
    let ends = |at: &usize| scenes[states[*at].0.scene].ends.is_some();
    let endings: Vec<usize> = (0..states.len()).filter(ends).collect();
    Some(Ways {
        most: endings.iter().map(|at| states[*at].0.marks).max()?,
        least: endings.iter().map(|at| states[*at].0.marks).min()?,
        shortest: endings.iter().map(|at| depth[*at]).min()?,
        longest: longest(&states),
        states,
    })
}

impl State {
    /// Whether a run that ends here passes.
    pub fn passes(&self, scenario: &Scenario) -> bool {
        let ends = scenario
            .scenes
            .values()
            .nth(self.scene)
            .and_then(|scene| scene.ends.as_ref());
        ends.is_some_and(|ends| ends.value == Ending::Safe) && !self.hurt && self.marks >= scenario.pass.value
    }
}

/// The index of a scene.
pub fn index(scenes: &Keyed<Scene>, id: &str) -> Option<usize> {
    scenes.keys().position(|key| key.value == id)
}

/// The longest way from the start, or `None` where a loop is reachable: a topological walk that must consume every state.
fn longest(states: &[(State, Vec<usize>)]) -> Option<usize> {
    let mut entering = vec![0usize; states.len()];
    for (_, successors) in states {
        for to in successors {
            entering[*to] += 1;
        }
    }
    let mut length = vec![0usize; states.len()];
    let mut ready: Vec<usize> = (0..states.len()).filter(|at| entering[*at] == 0).collect();
    let mut done = 0;
    while let Some(at) = ready.pop() {
        done += 1;
        for to in &states[at].1 {
            length[*to] = length[*to].max(length[at] + 1);
            entering[*to] -= 1;
            if entering[*to] == 0 {
                ready.push(*to);
            }
        }
    }
    (done == states.len()).then(|| length.into_iter().max().unwrap_or(0))
}
