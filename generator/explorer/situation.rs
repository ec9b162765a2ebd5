//! What a person can know: the set of states that all they have seen allows.
//!
//! Others may act at any moment. The states reached with others still are marked: what a plan may count on is judged on
//! them, what is dangerous on all.

use super::drill::Drill;
use super::fire::{Flaw, Outcome};
use super::machine::{Hazards, Machine};
use super::word::State;
use std::cell::RefCell;
use std::collections::{BTreeMap, BTreeSet, HashMap};
use std::rc::Rc;

/// States, sorted, each with whether it is reached with others still.
pub type Situation = Vec<(State, bool)>;

/// Why something was not worked out.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Stop {
    /// The model does what no machine can do.
    Flaw(Flaw),
    /// There is more to look at than the budget allows.
    Budget,
}

impl From<Flaw> for Stop {
    fn from(flaw: Flaw) -> Self {
        Self::Flaw(flaw)
    }
}

/// All that others alone can bring about.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Meanwhile {
    /// Every state that can then be, the one it began in among them, sorted.
    pub states: Vec<State>,
    /// Hazards to a person that can be met on the way.
    pub danger: Hazards,
}

/// One state after an act: the state, whether others were still, whether the act was possible there.
pub type After = (State, bool, bool);

/// One of the situations that a person can find after an act.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Found {
    /// Whether the act was possible, which is seen.
    pub done: bool,
    /// What shows: the bits, and which they are.
    pub seen: (State, State),
    pub situation: Situation,
}

/// A machine with what was worked out about it so far.
pub struct World<'m> {
    pub machine: &'m Machine,
    meanwhile: RefCell<HashMap<State, Rc<Meanwhile>>>,
    /// How many states may still be looked at.
    budget: RefCell<u64>,
}

/// How many states are looked at for one drill before it is given up.
pub const BUDGET: u64 = 4_000_000;

impl<'m> World<'m> {
    pub fn new(machine: &'m Machine) -> Self {
        Self::with_budget(machine, BUDGET)
    }

    /// One that gives up after so many states.
    pub fn with_budget(machine: &'m Machine, budget: u64) -> Self {
        Self {
            machine,
            meanwhile: RefCell::default(),
            budget: RefCell::new(budget),
        }
    }

    /// Counts states that were looked at.
    ///
    /// # Errors
    /// [`Stop::Budget`] when there are none left.
    pub fn spend(&self, states: usize) -> Result<(), Stop> {
        let mut budget = self.budget.borrow_mut();
        *budget = budget.checked_sub(states as u64).ok_or(Stop::Budget)?;
        Ok(())
    }

    /// What others alone can make of a state.
    ///
    /// # Errors
    /// [`Stop`].
    pub fn meanwhile(&self, from: State) -> Result<Rc<Meanwhile>, Stop> {
        if let Some(known) = self.meanwhile.borrow().get(&from) {
            return Ok(known.clone());
        }
        let mut seen = BTreeSet::from([from]);
        let mut waiting = vec![from];
        let mut danger = 0;
        while let Some(state) = waiting.pop() {
            self.spend(1)?;
            for (index, other) in self.machine.others.iter().enumerate() {
                if !other.when.holds(state) {
                    continue;
                }
                let Outcome { state: next, met } = self.machine.other(index, state)?;
                if met & self.machine.to_person != 0 {
                    danger |= met & self.machine.to_person;
                } else if seen.insert(next) {
                    waiting.push(next);
                }
            }
        }
        let found = Rc::new(Meanwhile {
            states: seen.into_iter().collect(),
            danger,
        });
        self.meanwhile.borrow_mut().insert(from, found.clone());
        Ok(found)
    }

    /// The states in which a drill begins, as after an act with others still.
    ///
    /// # Errors
    /// [`Stop`].
    pub fn begin(&self, drill: &Drill) -> Result<Vec<After>, Stop> {
        drill
            .starts
            .iter()
            .map(|state| Ok((self.machine.settle(*state)?.state, true, true)))
            .collect()
    }

    /// The situations that a person can find after all these states may be the case: others act, what shows is seen, and
    /// then others may act again.
    ///
    /// # Errors
    /// [`Stop`].
    pub fn look(&self, after: &[After]) -> Result<Vec<Found>, Stop> {
        let mut classes: BTreeMap<(bool, State, State), BTreeMap<State, bool>> = BTreeMap::new();
        for (state, still, done) in after {
            for next in &self.meanwhile(*state)?.states {
                let (seen, mask) = self.machine.seen(*next);
                let marked = classes
                    .entry((*done, mask, seen))
                    .or_default()
                    .entry(*next)
                    .or_default();
                *marked |= *still && next == state;
            }
        }
        let mut situations = Vec::new();
        for ((done, mask, seen), class) in classes {
            let mut whole = class.clone();
            for state in class.keys() {
                for next in &self.meanwhile(*state)?.states {
                    whole.entry(*next).or_default();
                }
            }
            self.spend(whole.len())?;
            situations.push(Found {
                done,
                seen: (seen, mask),
                situation: whole.into_iter().collect(),
            });
        }
        Ok(situations)
    }
}

/// Whether a condition is equally true in all states of a situation, and which.
pub fn known(situation: &Situation, holds: impl Fn(State) -> bool) -> Option<bool> {
    let mut all = situation.iter().map(|(state, _)| holds(*state));
    let first = all.next()?;
    all.all(|one| one == first).then_some(first)
}

/// The states reached with others still.
pub fn undisturbed(situation: &Situation) -> impl Iterator<Item = State> {
    situation.iter().filter(|(_, still)| *still).map(|(state, _)| *state)
}
