//! Families whose members are all alike: which of ten cups holds the extra pin makes no difference to what can happen.
//!
//! If swapping any two neighbours of a family leaves the whole machine and the drill as they are, so does every other
//! order of its members, and situations that differ only in that are gone over once. Source of the idea: E. A. Emerson,
//! A. P. Sistla, "Symmetry and model checking", Formal Methods in System Design 9, 1996.

use super::condition::{Add, Effect, Test};
use super::drill::Drill;
use super::machine::{Action, Happening, Machine, Strike};
use super::situation::Situation;
use super::word::{State, Variable};
use std::collections::BTreeMap;

/// The families that can be put into any order: each a list of members, and a member the variables with its number.
#[derive(Debug, Clone, Default)]
pub struct Symmetry {
    groups: Vec<Vec<Vec<Field>>>,
    /// All bits of them.
    bits: State,
}

/// How families were turned: for each, which member came to each place. Empty where nothing can be turned.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Turned(Vec<Vec<usize>>);

/// A state with the members of a family in another order.
fn put(group: &[Vec<Field>], order: &[usize], old: State) -> State {
    let mut state = old;
    for (column, from) in group.iter().zip(order) {
        for (field, from) in column.iter().zip(&group[*from]) {
            state = field.set(state, from.get(old));
        }
    }
    state
}

/// Where a variable lies.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
struct Field {
    shift: u32,
    bits: u32,
}

impl Field {
    fn of(variable: &Variable) -> Self {
        Self {
            shift: variable.shift,
            bits: variable.bits,
        }
    }

    fn mask(self) -> State {
        ((1u128 << self.bits) - 1) << self.shift
    }

    fn get(self, state: State) -> State {
        (state & self.mask()) >> self.shift
    }

    fn set(self, state: State, value: State) -> State {
        (state & !self.mask()) | (value << self.shift)
    }
}

impl Symmetry {
    /// Finds the families of a machine that are alike, for a drill.
    pub fn of(machine: &Machine, drill: &Drill) -> Self {
        // Families over the same numbers belong together: an action may touch cup n and lever n.
        let mut families: BTreeMap<Vec<i64>, Vec<Vec<Field>>> = BTreeMap::new();
        let mut by_name: BTreeMap<&str, Vec<(i64, Field)>> = BTreeMap::new();
        for variable in &machine.variables {
            if let Some((family, number)) = &variable.member {
                by_name.entry(family).or_default().push((*number, Field::of(variable)));
            }
        }
        for members in by_name.values() {
            let numbers: Vec<i64> = members.iter().map(|(number, _)| *number).collect();
            let columns = families
                .entry(numbers)
                .or_insert_with(|| vec![Vec::new(); members.len()]);
            for (column, (_, field)) in columns.iter_mut().zip(members) {
                column.push(*field);
            }
        }
        let mut symmetry = Self::default();
        for group in families.into_values().filter(|group| group.len() > 1) {
            if group.windows(2).all(|pair| alike(machine, drill, &pair[0], &pair[1])) {
                for column in &group {
                    symmetry.bits |= column.iter().fold(0, |all, field| all | field.mask());
                }
                symmetry.groups.push(group);
            }
        }
        symmetry
    }

    /// The situation with the members of each family in one order that its own content fixes, and how they were turned.
    #[must_use]
    pub fn canonical(&self, situation: Situation) -> (Situation, Turned) {
        if self.groups.is_empty() {
            return (situation, Turned::default());
        }
        let mut turned = Turned::default();
        let mut rows = situation;
        // First by what no order changes.
        rows.sort_by_key(|(state, still)| (state & !self.bits, !still, *state));
        for group in &self.groups {
            let mut order: Vec<(Vec<State>, usize)> = group
                .iter()
                .enumerate()
                .map(|(at, column)| {
                    let values = rows
                        .iter()
                        .flat_map(|(state, _)| column.iter().map(move |field| field.get(*state)));
                    (values.collect(), at)
                })
                .collect();
            order.sort();
            let order: Vec<usize> = order.into_iter().map(|(_, at)| at).collect();
            for (state, _) in &mut rows {
                *state = put(group, &order, *state);
            }
            turned.0.push(order);
        }
        rows.sort_unstable();
        (rows, turned)
    }

    /// A state turned as its situation was.
    pub fn turn(&self, state: State, turned: &Turned) -> State {
        let groups = self.groups.iter().zip(&turned.0);
        groups.fold(state, |state, (group, order)| put(group, order, state))
    }
}

/// Whether machine and drill stay as they are when two members change places.
fn alike(machine: &Machine, drill: &Drill, one: &[Field], two: &[Field]) -> bool {
    if one.iter().zip(two).any(|(one, two)| one.bits != two.bits) {
        return false;
    }
    let swap = |state: State| {
        one.iter().zip(two).fold(state, |state, (one, two)| {
            let (a, b) = (one.get(state), two.get(state));
            one.set(two.set(state, a), b)
        })
    };
    let turn = Turn { swap: &swap, one, two };
    let actions = |turned: bool| {
        let mut all: Vec<_> = machine
            .actions
            .iter()
            .map(|action| turn.action(action, turned))
            .collect();
        all.sort();
        all
    };
    let same = |test: &Test| turn.test(test, true) == turn.test(test, false);
    actions(false) == actions(true)
        && machine
            .hazards
            .iter()
            .all(|hazard| hazard.when.as_ref().is_none_or(same))
        && machine
            .reactions
            .iter()
            .chain(&machine.others)
            .all(|one| turn.happening(one, true) == turn.happening(one, false))
        && machine.rules.iter().all(|rule| same(&rule.when))
        && machine
            .hidden
            .iter()
            .all(|(bits, until)| swap(*bits) == *bits && same(until))
        && swap(machine.plain) == machine.plain
        && swap(machine.rest) == machine.rest
        && same(&drill.cured)
        && drill.handed_over.as_ref().is_none_or(same)
        && drill.beyond.as_ref().is_none_or(same)
        && swap(drill.holds) == drill.holds
}

/// Turning tests and effects over.
struct Turn<'a> {
    swap: &'a dyn Fn(State) -> State,
    one: &'a [Field],
    two: &'a [Field],
}

/// An action in a form that can be compared: its name, then all that it does.
type Form = (String, Test, Vec<Effect>, Vec<(Test, u64)>, u32);

impl Turn<'_> {
    fn shift(&self, shift: u32) -> u32 {
        for (one, two) in self.one.iter().zip(self.two) {
            if shift == one.shift {
                return two.shift;
            }
            if shift == two.shift {
                return one.shift;
            }
        }
        shift
    }

    fn test(&self, test: &Test, turned: bool) -> Test {
        let each = |tests: &[Test]| {
            let mut tests: Vec<Test> = tests.iter().map(|test| self.test(test, turned)).collect();
            tests.sort();
            tests
        };
        match test {
            Test::Is { mask, value } if turned => Test::Is {
                mask: (self.swap)(*mask),
                value: (self.swap)(*value),
            },
            Test::In { shift, bits, set } if turned => Test::In {
                shift: self.shift(*shift),
                bits: *bits,
                set: *set,
            },
            Test::Same { one, other, bits } => {
                let (one, other) = if turned {
                    (self.shift(*one), self.shift(*other))
                } else {
                    (*one, *other)
                };
                Test::Same {
                    one: one.min(other),
                    other: one.max(other),
                    bits: *bits,
                }
            }
            Test::All(tests) => Test::All(each(tests)),
            Test::Any(tests) => Test::Any(each(tests)),
            plain => plain.clone(),
        }
    }

    fn effects(&self, effects: &[Effect], turned: bool) -> Vec<Effect> {
        effects
            .iter()
            .map(|effect| {
                let mut add: Vec<Add> = effect
                    .add
                    .iter()
                    .map(|add| Add {
                        // Which variable it is follows from where it lies.
                        variable: 0,
                        shift: if turned { self.shift(add.shift) } else { add.shift },
                        ..add.clone()
                    })
                    .collect();
                add.sort();
                Effect {
                    when: self.test(&effect.when, turned),
                    mask: if turned { (self.swap)(effect.mask) } else { effect.mask },
                    value: if turned {
                        (self.swap)(effect.value)
                    } else {
                        effect.value
                    },
                    add,
                }
            })
            .collect()
    }

    fn strikes(&self, strikes: &[Strike], turned: bool) -> Vec<(Test, u64)> {
        let mut strikes: Vec<(Test, u64)> = strikes
            .iter()
            .map(|strike| (self.test(&strike.when, turned), strike.hazard))
            .collect();
        strikes.sort();
        strikes
    }

    fn action(&self, action: &Action, turned: bool) -> Form {
        (
            action.id.clone(),
            self.test(&action.needs, turned),
            self.effects(&action.does, turned),
            self.strikes(&action.strikes, turned),
            action.takes,
        )
    }

    fn happening(&self, one: &Happening, turned: bool) -> Form {
        (
            one.id.clone(),
            self.test(&one.when, turned),
            self.effects(&one.does, turned),
            self.strikes(&one.strikes, turned),
            0,
        )
    }
}
