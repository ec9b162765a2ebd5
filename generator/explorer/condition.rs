//! Conditions and effects on packed states.

use super::word::{State, Variable};

/// A condition, ready to be tried on a state.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub enum Test {
    /// These bits are exactly so. With an empty mask it always holds.
    Is {
        mask: State,
        value: State,
    },
    /// The variable has one of a set of values.
    In {
        shift: u32,
        bits: u32,
        set: u64,
    },
    /// Two variables of one list of values have the same.
    Same {
        one: u32,
        other: u32,
        bits: u32,
    },
    All(Vec<Test>),
    Any(Vec<Test>),
}

impl Test {
    /// Holds always.
    pub const ALWAYS: Self = Self::Is { mask: 0, value: 0 };

    pub fn holds(&self, state: State) -> bool {
        match self {
            Self::Is { mask, value } => state & mask == *value,
            Self::In { shift, bits, set } => {
                let index = (state >> shift) & ((1 << bits) - 1);
                (set >> index) & 1 == 1
            }
            Self::Same { one, other, bits } => ((state >> one) ^ (state >> other)) & ((1 << bits) - 1) == 0,
            Self::All(tests) => tests.iter().all(|test| test.holds(state)),
            Self::Any(tests) => tests.iter().any(|test| test.holds(state)),
        }
    }

    /// One of a variable's values.
    pub fn is(variable: &Variable, value: usize) -> Self {
        Self::Is {
            mask: variable.mask(),
            value: variable.word(value),
        }
    }

    /// One of a set of a variable's values, a bit for each.
    pub fn one_of(variable: &Variable, set: u64) -> Self {
        if set.count_ones() == 1 {
            return Self::is(variable, set.trailing_zeros() as usize);
        }
        Self::In {
            shift: variable.shift,
            bits: variable.bits,
            set,
        }
    }

    /// All of them; equalities are merged into one comparison. A contradiction stays one.
    pub fn all(tests: Vec<Self>) -> Self {
        let (mut mask, mut value) = (0, 0);
        let mut rest = Vec::new();
        for test in tests.into_iter().flat_map(|test| match test {
            Self::All(inner) => inner,
            other => vec![other],
        }) {
            match test {
                Self::Is { mask: more, value: due }
                    if (mask & more) == 0 || (value & mask & more) == (due & mask & more) =>
                {
                    mask |= more;
                    value |= due;
                }
                other => rest.push(other),
            }
        }
        let merged = Self::Is { mask, value };
        if rest.is_empty() {
            return merged;
        }
        if mask != 0 {
            rest.insert(0, merged);
        }
        if rest.len() == 1 {
            rest.remove(0)
        } else {
            Self::All(rest)
        }
    }

    /// All bits that it looks at.
    pub fn reads(&self) -> State {
        let bits = |shift: u32, bits: u32| (((1u128) << bits) - 1) << shift;
        match self {
            Self::Is { mask, .. } => *mask,
            Self::In { shift, bits: many, .. } => bits(*shift, *many),
            Self::Same { one, other, bits: many } => bits(*one, *many) | bits(*other, *many),
            Self::All(tests) | Self::Any(tests) => tests.iter().fold(0, |all, test| all | test.reads()),
        }
    }
}

/// What happens to a state.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct Effect {
    /// Only then.
    pub when: Test,
    /// These bits are set.
    pub mask: State,
    pub value: State,
    /// These variables are counted up or down.
    pub add: Vec<Add>,
}

/// Counting a variable up or down.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct Add {
    /// Its index among the variables.
    pub variable: usize,
    pub shift: u32,
    pub bits: u32,
    /// How many values there are.
    pub values: u32,
    pub by: i64,
}

/// A variable would be counted past its first or last value.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct OutOfRange {
    pub variable: usize,
}

impl Effect {
    /// All bits that it may change.
    pub fn writes(&self) -> State {
        self.add
            .iter()
            .fold(self.mask, |all, add| all | (((1u128 << add.bits) - 1) << add.shift))
    }
}

/// Applies effects in order, each seeing the last.
///
/// # Errors
/// [`OutOfRange`]; the state is then as it would be without the count that failed.
pub fn apply(effects: &[Effect], mut state: State) -> (State, Option<OutOfRange>) {
    let mut out = None;
    for effect in effects {
        if !effect.when.holds(state) {
            continue;
        }
        let seen = state;
        state = (state & !effect.mask) | effect.value;
        for add in &effect.add {
            let index = ((seen >> add.shift) & ((1 << add.bits) - 1)) as i64;
            let next = index + add.by;
            if next < 0 || next >= i64::from(add.values) {
                out = out.or(Some(OutOfRange { variable: add.variable }));
                continue;
            }
            let mask = ((1u128 << add.bits) - 1) << add.shift;
            state = (state & !mask) | ((next as State) << add.shift);
        }
    }
    (state, out)
}
