//! Variables and how a state of all of them is packed into one word.

/// A state of the machine and the people at it: the values of all variables, side by side.
pub type State = u128;

/// How many bits a state may take.
pub const BITS: u32 = 128;

/// How many values one variable may have: a set of them fits one word.
pub const VALUES: usize = 64;

/// Something that has one of a few values.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Variable {
    /// As conditions name it; a member of a family is `cup.3`.
    pub name: String,
    /// The family and the number within it.
    pub member: Option<(String, i64)>,
    /// In the order of the source; the first is the one at rest.
    pub values: Vec<String>,
    /// For each value a clause that tells of it, as "cup 3 holds two pins"; empty where the machine has none.
    pub tells: Vec<String>,
    /// Whether the values are whole numbers, so that they can be added to and compared.
    pub counts: bool,
    /// For each value, whether it is a place past a guard.
    pub inside: Vec<bool>,
    /// The lowest bit.
    pub shift: u32,
    /// How many bits.
    pub bits: u32,
}

impl Variable {
    /// The bits that it takes.
    pub fn mask(&self) -> State {
        (((1u128) << self.bits) - 1) << self.shift
    }

    /// Its bits when it has the value of this index.
    pub fn word(&self, value: usize) -> State {
        (value as State) << self.shift
    }

    /// The index of its value in a state.
    pub fn index(&self, state: State) -> usize {
        // At most 6 bits are left.
        ((state & self.mask()) >> self.shift) as usize
    }

    /// Its value in a state.
    pub fn value(&self, state: State) -> &str {
        self.values.get(self.index(state)).map_or("", String::as_str)
    }

    pub fn position(&self, value: &str) -> Option<usize> {
        self.values.iter().position(|known| known == value)
    }

    /// What a state is like as far as this variable goes, as a clause.
    pub fn tell(&self, state: State) -> String {
        match self.tells.get(self.index(state)) {
            Some(tells) if !tells.is_empty() => tells.clone(),
            _ => format!("{} is {}", self.says(), self.value(state)),
        }
    }

    /// The name as people say it: `cup.3` is cup 3.
    pub fn says(&self) -> String {
        match &self.member {
            Some((family, number)) => format!("{family} {number}"),
            None => self.name.clone(),
        }
    }
}

/// Gives each variable its bits, in order. The number of bits taken in all.
pub fn pack(variables: &mut [Variable]) -> u32 {
    let mut shift = 0;
    for variable in variables {
        let most = variable.values.len().saturating_sub(1) as u64;
        variable.bits = u64::BITS - most.leading_zeros();
        variable.shift = shift;
        shift += variable.bits;
    }
    shift
}
