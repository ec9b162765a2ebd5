//! A machine, ready to be run: names looked up, conditions and effects on packed states.

use super::condition::{Effect, Test};
use super::word::{State, Variable};

/// How many hazards, and how many rules, a machine may have.
pub const HAZARDS: usize = 64;
pub const RULES: usize = 8;

/// A set of hazards, a bit for each.
pub type Hazards = u64;

/// A machine and the people at it.
#[derive(Debug, Clone)]
pub struct Machine {
    pub id: String,
    pub variables: Vec<Variable>,
    /// Bits that are always seen.
    pub plain: State,
    /// Bits that are seen only while a condition holds.
    pub hidden: Vec<(State, Test)>,
    pub hazards: Vec<Hazard>,
    /// Which hazards are to a person.
    pub to_person: Hazards,
    pub actions: Vec<Action>,
    pub reactions: Vec<Happening>,
    pub others: Vec<Happening>,
    pub rules: Vec<Rule>,
    /// All variables at their first value.
    pub rest: State,
}

/// A hazard.
#[derive(Debug, Clone)]
pub struct Hazard {
    pub id: String,
    /// None if only strikes name it.
    pub when: Option<Test>,
    pub harm: String,
    pub source: Option<String>,
}

/// One possible act: an action, for one value of its index if it has one.
#[derive(Debug, Clone)]
pub struct Action {
    /// The action's name.
    pub id: String,
    /// The index: `take-pin` of cup 3.
    pub index: Option<i64>,
    pub says: String,
    /// Where it is done.
    pub at: Test,
    /// Where it is done, and what is physically needed.
    pub needs: Test,
    pub does: Vec<Effect>,
    pub strikes: Vec<Strike>,
    /// In seconds.
    pub takes: u32,
}

/// A reaction of the machine, or what somebody else may do.
#[derive(Debug, Clone)]
pub struct Happening {
    pub id: String,
    pub says: String,
    pub when: Test,
    pub does: Vec<Effect>,
    pub strikes: Vec<Strike>,
    /// How likely after each act of a run; others only.
    pub odds: f64,
}

/// A hazard of the moment.
#[derive(Debug, Clone)]
pub struct Strike {
    pub when: Test,
    /// Its bit.
    pub hazard: Hazards,
}

/// An order that the law or the centre fixes.
#[derive(Debug, Clone)]
pub struct Rule {
    pub id: String,
    pub says: Option<String>,
    pub when: Test,
    /// One place after another; a place holds the names of the actions that must be done there, in any order.
    pub order: Vec<Vec<String>>,
    pub again_after: Vec<String>,
    pub source: String,
}

impl Action {
    /// Its name with its index.
    pub fn name(&self) -> String {
        match self.index {
            Some(index) => format!("{} {index}", self.id),
            None => self.id.clone(),
        }
    }

    /// Its name as one word, as records write it: `take-pin.3`.
    pub fn word(&self) -> String {
        match self.index {
            Some(index) => format!("{}.{index}", self.id),
            None => self.id.clone(),
        }
    }
}

impl Machine {
    /// What can be seen in a state: the bits that show, and which they are.
    pub fn seen(&self, state: State) -> (State, State) {
        let mut mask = self.plain;
        for (bits, until) in &self.hidden {
            if until.holds(state) {
                mask |= bits;
            }
        }
        (state & mask, mask)
    }

    /// The instances of an action.
    pub fn instances(&self, id: &str) -> impl Iterator<Item = usize> {
        self.actions
            .iter()
            .enumerate()
            .filter_map(move |(index, action)| (action.id == id).then_some(index))
    }

    pub fn variable(&self, name: &str) -> Option<&Variable> {
        self.variables.iter().find(|variable| variable.name == name)
    }

    /// The first hazard of a set, as listed.
    pub fn first(&self, hazards: Hazards) -> Option<&Hazard> {
        self.hazards.get(hazards.trailing_zeros() as usize)
    }

    /// The bits that nobody ever sees.
    fn never_seen(&self) -> State {
        !self.hidden.iter().fold(self.plain, |all, (bits, _)| all | bits)
    }

    /// Whether something differs from rest that nobody can ever see.
    pub fn amiss(&self, state: State) -> bool {
        (state ^ self.rest) & self.never_seen() != 0
    }

    /// What nobody can see and differs from rest, in words; empty if there is nothing.
    pub fn unseen(&self, state: State) -> String {
        let never = self.never_seen();
        let words: Vec<String> = self
            .variables
            .iter()
            .filter(|variable| variable.mask() & never == variable.mask())
            .filter(|variable| variable.index(state) != variable.index(self.rest))
            .map(|variable| variable.tell(state))
            .collect();
        words.join("; ")
    }

    /// The values that differ from rest, in words: `cup 3 is two, label is wrong`.
    pub fn differs(&self, state: State) -> String {
        let words: Vec<String> = self
            .variables
            .iter()
            .filter(|variable| variable.index(state) != variable.index(self.rest))
            .map(|variable| variable.tell(state))
            .collect();
        if words.is_empty() {
            "all at rest".to_owned()
        } else {
            words.join("; ")
        }
    }
}
