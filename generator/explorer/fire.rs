//! How the machine moves: an act, then reactions one by one until none applies, with hazards looked for after each.

use super::condition::{Effect, OutOfRange, apply};
use super::machine::{Hazards, Machine, Strike};
use super::word::State;

/// What an act, or what somebody else did, comes to.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Outcome {
    /// Where it settled, or where somebody was hurt.
    pub state: State,
    /// Hazards met on the way.
    pub met: Hazards,
}

/// One firing, for a story.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Firing {
    pub what: What,
    pub after: State,
    pub met: Hazards,
}

/// What fired: its index among the machine's actions, reactions or others.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum What {
    Act(usize),
    Reaction(usize),
    Other(usize),
}

/// What a model does that no machine can do.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Flaw {
    /// An effect counts a variable past its range.
    Range { what: What, out: OutOfRange },
    /// Reactions set each other off for ever, from this state on.
    Loop { from: State },
}

/// More reactions than this after one act are taken to be endless.
const MOST_FIRINGS: usize = 4096;

impl Machine {
    /// Whether an act is physically possible.
    pub fn possible(&self, act: usize, state: State) -> bool {
        self.actions[act].needs.holds(state)
    }

    /// An act that is possible, and all that the machine then does by itself. Ends at once where a person is hurt.
    ///
    /// # Errors
    /// [`Flaw`] if the model does what no machine can do.
    pub fn act(&self, act: usize, state: State) -> Result<Outcome, Flaw> {
        self.run(What::Act(act), state, &mut |_| {})
    }

    /// What somebody else did, and all that the machine then does by itself.
    ///
    /// # Errors
    /// As [`Machine::act`].
    pub fn other(&self, other: usize, state: State) -> Result<Outcome, Flaw> {
        self.run(What::Other(other), state, &mut |_| {})
    }

    /// What the machine does by itself from a state that nobody has settled.
    ///
    /// # Errors
    /// As [`Machine::act`].
    pub fn settle(&self, state: State) -> Result<Outcome, Flaw> {
        let met = self.standing(state);
        if met & self.to_person != 0 {
            return Ok(Outcome { state, met });
        }
        let settled = self.react(Outcome { state, met }, &mut |_| {})?;
        Ok(settled)
    }

    /// What happens at once, before the machine does anything by itself.
    ///
    /// # Errors
    /// As [`Machine::act`].
    pub fn at_once(&self, what: What, state: State) -> Result<Outcome, Flaw> {
        let (does, strikes) = self.parts(what);
        self.one(what, does, strikes, state, &mut |_| {})
    }

    /// As [`Machine::act`] and [`Machine::other`], with every firing on the way.
    ///
    /// # Errors
    /// As [`Machine::act`].
    pub fn firings(&self, what: What, state: State) -> Result<Vec<Firing>, Flaw> {
        let mut firings = Vec::new();
        self.run(what, state, &mut |firing| firings.push(firing))?;
        Ok(firings)
    }

    fn run(&self, what: What, state: State, tell: &mut impl FnMut(Firing)) -> Result<Outcome, Flaw> {
        let (does, strikes) = self.parts(what);
        let outcome = self.one(what, does, strikes, state, tell)?;
        if outcome.met & self.to_person != 0 {
            return Ok(outcome);
        }
        self.react(outcome, tell)
    }

    fn parts(&self, what: What) -> (&[Effect], &[Strike]) {
        match what {
            What::Act(index) => (&self.actions[index].does, &self.actions[index].strikes),
            What::Reaction(index) => (&self.reactions[index].does, &self.reactions[index].strikes),
            What::Other(index) => (&self.others[index].does, &self.others[index].strikes),
        }
    }

    fn react(&self, mut outcome: Outcome, tell: &mut impl FnMut(Firing)) -> Result<Outcome, Flaw> {
        let from = outcome.state;
        for _ in 0..MOST_FIRINGS {
            let next = self
                .reactions
                .iter()
                .position(|reaction| reaction.when.holds(outcome.state));
            let Some(index) = next else {
                return Ok(outcome);
            };
            let reaction = &self.reactions[index];
            let fired = self.one(
                What::Reaction(index),
                &reaction.does,
                &reaction.strikes,
                outcome.state,
                tell,
            )?;
            let still = fired.state == outcome.state;
            outcome.state = fired.state;
            outcome.met |= fired.met;
            if outcome.met & self.to_person != 0 {
                return Ok(outcome);
            }
            if still {
                // It applies again and changes nothing: without end.
                return Err(Flaw::Loop { from });
            }
        }
        Err(Flaw::Loop { from })
    }

    /// One firing: strikes before its effects, hazards after them.
    fn one(
        &self,
        what: What,
        does: &[Effect],
        strikes: &[Strike],
        state: State,
        tell: &mut impl FnMut(Firing),
    ) -> Result<Outcome, Flaw> {
        let mut met = 0;
        for strike in strikes {
            if strike.when.holds(state) {
                met |= strike.hazard;
            }
        }
        let (after, out) = apply(does, state);
        if let Some(out) = out {
            return Err(Flaw::Range { what, out });
        }
        // A hazard that stood before was met before: only what begins is met now.
        met |= self.standing(after) & !self.standing(state);
        tell(Firing { what, after, met });
        Ok(Outcome { state: after, met })
    }

    /// The hazards whose condition holds in a state.
    pub fn standing(&self, state: State) -> Hazards {
        let mut met = 0;
        for (index, hazard) in self.hazards.iter().enumerate() {
            if hazard.when.as_ref().is_some_and(|when| when.holds(state)) {
                met |= 1 << index;
            }
        }
        met
    }

    /// The reactions that apply in a state.
    pub fn applying(&self, state: State) -> impl Iterator<Item = usize> {
        self.reactions
            .iter()
            .enumerate()
            .filter(move |(_, reaction)| reaction.when.holds(state))
            .map(|(index, _)| index)
    }

    /// One reaction alone.
    ///
    /// # Errors
    /// As [`Machine::act`].
    pub fn react_with(&self, index: usize, state: State) -> Result<Outcome, Flaw> {
        let reaction = &self.reactions[index];
        self.one(
            What::Reaction(index),
            &reaction.does,
            &reaction.strikes,
            state,
            &mut |_| {},
        )
    }
}
