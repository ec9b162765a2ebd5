//! Acts and others' acts made ready for millions of states: what is possible is looked up in tables, and what settles at once
//! without a hazard is worked out by masks.

use super::super::condition::{Effect, Test, apply};
use super::super::drill::Drill;
use super::super::fire::Flaw;
use super::super::machine::{Hazards, Machine, Strike};
use super::super::word::State;
use super::Step;
use super::seen::Seen;
use std::ops::{BitAnd, BitOr, Not};

/// A state in no more bytes than it needs.
pub(super) trait Word:
    Copy + Eq + Default + BitAnd<Output = Self> + BitOr<Output = Self> + Not<Output = Self>
{
    /// The bits that fit.
    fn of(state: State) -> Self;
    fn state(self) -> State;
    /// A few bits from somewhere.
    fn part(self, shift: u32, mask: usize) -> usize;
    /// Well mixed, for a table.
    fn mix(self) -> u64;
}

/// An odd number with its bits well spread: the golden ratio's share of 2^64, as in Knuth's multiplicative hashing.
const SPREAD: u64 = 0x9E37_79B9_7F4A_7C15;

fn mixed(word: u64) -> u64 {
    let once = word.wrapping_mul(SPREAD);
    (once ^ (once >> 32)).wrapping_mul(SPREAD)
}

macro_rules! word {
    ($kind:ty, $fold:expr) => {
        impl Word for $kind {
            #[inline]
            fn of(state: State) -> Self {
                // What is cut off is nothing: the width was chosen for the machine.
                state as $kind
            }
            #[inline]
            fn state(self) -> State {
                State::from(self)
            }
            #[inline]
            fn part(self, shift: u32, mask: usize) -> usize {
                (self >> shift) as usize & mask
            }
            #[inline]
            fn mix(self) -> u64 {
                mixed($fold(self))
            }
        }
    };
}

word!(u32, u64::from);
word!(u64, |word| word);
word!(u128, |word: u128| (word as u64)
    ^ ((word >> 64) as u64).wrapping_mul(0xC2B2_AE3D_27D4_EB4F));

/// Variables side by side whose bits are looked up together.
pub(super) struct Group {
    pub shift: u32,
    /// Its bits, moved down.
    pub mask: usize,
    /// Its variables: where each lies in the group, its bits, how many values it has.
    pub variables: Vec<(u32, usize, u64)>,
}

/// At most so many bits stand in one group: its table then stays in the nearest cache.
const GROUP: u32 = 8;

impl Group {
    pub fn of(machine: &Machine) -> Vec<Self> {
        let mut groups: Vec<Self> = Vec::new();
        for variable in machine.variables.iter().filter(|variable| variable.bits > 0) {
            let mask = (1usize << variable.bits) - 1;
            let fits = groups
                .last()
                .is_some_and(|last| variable.shift + variable.bits - last.shift <= GROUP);
            if !fits {
                groups.push(Self {
                    shift: variable.shift,
                    mask: 0,
                    variables: Vec::new(),
                });
            }
            if let Some(group) = groups.last_mut() {
                let at = variable.shift - group.shift;
                group.mask |= mask << at;
                group.variables.push((at, mask, variable.values.len() as u64));
            }
        }
        groups
    }

    /// Its bits in a state.
    fn bits(&self) -> State {
        (self.mask as State) << self.shift
    }
}

/// A condition as one comparison and what is left of it.
struct Watch<W> {
    mask: W,
    value: W,
    rest: Option<Test>,
}

impl<W: Word> Watch<W> {
    fn of(test: &Test) -> Self {
        let (mut mask, mut value) = (0, 0);
        let mut rest = Vec::new();
        let mut first = true;
        for part in parts(test) {
            match part {
                Test::Is { mask: bits, value: due } if first => (mask, value, first) = (*bits, *due, false),
                other => rest.push(other.clone()),
            }
        }
        Self {
            mask: W::of(mask),
            value: W::of(value),
            rest: (!rest.is_empty()).then_some(Test::All(rest)),
        }
    }

    #[inline]
    fn holds(&self, word: W) -> bool {
        word & self.mask == self.value && self.rest.as_ref().is_none_or(|rest| rest.holds(word.state()))
    }
}

/// The conditions all of which must hold.
fn parts(test: &Test) -> &[Test] {
    match test {
        Test::All(tests) => tests,
        one => std::slice::from_ref(one),
    }
}

/// An act or another's act.
struct Move<'m, W> {
    step: Step,
    /// What of its condition no table knows.
    rest: Option<Test>,
    /// Its one plain effect; else all are applied.
    keeps: W,
    sets: W,
    effects: Option<&'m [Effect]>,
    strikes: &'m [Strike],
    /// Where one of these holds after it, a hazard may be met or a reaction applies, and all is done at length. No others
    /// can begin to hold: it does not touch what they read, and before it no reaction applied.
    watch: Vec<Watch<W>>,
    /// By how much it moves a state's place among all, if that is always the same.
    moves_by: Option<i64>,
}

/// All that can be done in a state: acts in their order, then others.
pub(super) struct Moves<'m, W> {
    machine: &'m Machine,
    moves: Vec<Move<'m, W>>,
    /// How many words a set of moves takes.
    words: usize,
    /// The set of all.
    everything: Vec<u64>,
    groups: Vec<Group>,
    /// For each group and each of its values, the set of moves that the value is not against.
    allowed: Vec<Vec<u64>>,
}

/// Where a move leads.
pub(super) struct Led<W, P> {
    pub word: W,
    /// Where the state is looked for among those that were seen.
    pub place: P,
    /// The index of the state that it leads from.
    pub from: u32,
}

impl<'m, W: Word> Moves<'m, W> {
    /// All acts that leave alone what the drill does, and all that others do. `place` numbers the states, if they are.
    pub fn of(machine: &'m Machine, drill: &Drill, place: Option<&dyn Fn(State) -> i64>) -> Self {
        let groups = Group::of(machine);
        let writes = |does: &[Effect]| does.iter().fold(0, |all, effect| all | effect.writes());
        let acts = machine
            .actions
            .iter()
            .enumerate()
            .filter(|(_, act)| writes(&act.does) & drill.holds == 0)
            .map(|(index, act)| (Step::Act(index), &act.needs, &act.does[..], &act.strikes[..]));
        let others = machine
            .others
            .iter()
            .enumerate()
            .map(|(index, other)| (Step::Other(index), &other.when, &other.does[..], &other.strikes[..]));
        let listed: Vec<_> = acts.chain(others).collect();
        let words = listed.len().div_ceil(64).max(1);
        let mut everything = vec![0; words];
        for at in 0..listed.len() {
            everything[at / 64] |= 1u64 << (at % 64);
        }
        let mut allowed: Vec<Vec<u64>> = groups.iter().map(|group| everything.repeat(group.mask + 1)).collect();
        let watched = || {
            let hazards = machine.hazards.iter().filter_map(|hazard| hazard.when.as_ref());
            hazards.chain(machine.reactions.iter().map(|reaction| &reaction.when))
        };
        let mut moves = Vec::with_capacity(listed.len());
        for (at, (step, needs, does, strikes)) in listed.into_iter().enumerate() {
            let mut rest = Vec::new();
            // What its condition fixes.
            let (mut fixed, mut due) = (0, 0);
            for part in parts(needs) {
                if let Test::Is { mask, value } = part {
                    (fixed, due) = (fixed | mask, due | value);
                }
                let mut whole = true;
                for (group, allowed) in groups.iter().zip(&mut allowed) {
                    let own = match part {
                        Test::Is { mask, value } => Test::Is {
                            mask: mask & group.bits(),
                            value: value & group.bits(),
                        },
                        other if other.reads() & !group.bits() == 0 => other.clone(),
                        _ => continue,
                    };
                    whole = false;
                    for value in 0..=group.mask {
                        if !own.holds((value as State) << group.shift) {
                            allowed[value * words + at / 64] &= !(1 << (at % 64));
                        }
                    }
                }
                if whole {
                    rest.push(part.clone());
                }
            }
            let touched = writes(does);
            let plain = match does {
                [] => Some((0, 0)),
                [one] if one.when == Test::ALWAYS && one.add.is_empty() => Some((one.mask, one.value)),
                _ => None,
            };
            moves.push(Move {
                step,
                rest: (!rest.is_empty()).then_some(Test::All(rest)),
                keeps: W::of(!plain.unwrap_or_default().0),
                sets: W::of(plain.unwrap_or_default().1),
                effects: plain.is_none().then_some(does),
                strikes,
                watch: watched()
                    .filter(|test| test.reads() & touched != 0)
                    .map(Watch::of)
                    .collect(),
                moves_by: match (place, plain) {
                    (Some(place), Some((mask, value))) if fixed & mask == mask => {
                        Some(place(value) - place(due & mask))
                    }
                    _ => None,
                },
            });
        }
        // A group that no condition reads is not looked up.
        let (groups, allowed) = groups
            .into_iter()
            .zip(allowed)
            .filter(|(_, allowed)| allowed.chunks(words).any(|set| set != everything))
            .unzip();
        Self {
            machine,
            moves,
            words,
            everything,
            groups,
            allowed,
        }
    }

    /// Follows all that is possible in a settled state, in order. Tells where each leads that hurts nobody, and what was met.
    /// How many were possible. `from` is the state's index.
    ///
    /// # Errors
    /// [`Flaw`].
    #[inline]
    pub fn follow<S: Seen<W>>(
        &self,
        word: W,
        from: u32,
        seen: &S,
        led: &mut Vec<Led<W, S::Place>>,
        mut met: impl FnMut(Step, Hazards),
    ) -> Result<u64, Flaw> {
        let here = seen.place(word);
        let mut many = 0;
        for part in 0..self.words {
            let mut set = self.everything[part];
            for (group, allowed) in self.groups.iter().zip(&self.allowed) {
                set &= allowed[word.part(group.shift, group.mask) * self.words + part];
            }
            while set != 0 {
                let at = part * 64 + set.trailing_zeros() as usize;
                set &= set - 1;
                let one = &self.moves[at];
                if one.rest.as_ref().is_some_and(|rest| !rest.holds(word.state())) {
                    continue;
                }
                many += 1;
                let after = match one.effects {
                    None => Some((word & one.keeps) | one.sets),
                    Some(effects) => match apply(effects, word.state()) {
                        (state, None) => Some(W::of(state)),
                        // Its flaw is named at length.
                        (_, Some(_)) => None,
                    },
                };
                if let Some(after) = after
                    && !one.strikes.iter().any(|strike| strike.when.holds(word.state()))
                    && !one.watch.iter().any(|watch| watch.holds(after))
                {
                    let place = match one.moves_by {
                        Some(by) => seen.moved(here, by),
                        None => seen.place(after),
                    };
                    led.push(Led {
                        word: after,
                        place,
                        from,
                    });
                    continue;
                }
                let outcome = self.at_length(one.step, word.state())?;
                if outcome.met != 0 {
                    met(one.step, outcome.met);
                }
                if outcome.met & self.machine.to_person == 0 {
                    let word = W::of(outcome.state);
                    led.push(Led {
                        word,
                        place: seen.place(word),
                        from,
                    });
                }
            }
        }
        Ok(many)
    }

    fn at_length(&self, step: Step, state: State) -> Result<super::super::fire::Outcome, Flaw> {
        match step {
            Step::Other(other) => self.machine.other(other, state),
            Step::Act(act) => self.machine.act(act, state),
            Step::Start(_) => self.machine.settle(state),
        }
    }

    /// The first step that leads from one state to another.
    ///
    /// # Errors
    /// [`Flaw`].
    pub fn between(&self, from: W, to: W) -> Result<Option<Step>, Flaw> {
        for one in &self.moves {
            let possible = match one.step {
                Step::Act(act) => self.machine.possible(act, from.state()),
                Step::Other(other) => self.machine.others[other].when.holds(from.state()),
                Step::Start(_) => false,
            };
            if possible {
                let outcome = self.at_length(one.step, from.state())?;
                if outcome.met & self.machine.to_person == 0 && outcome.state == to.state() {
                    return Ok(Some(one.step));
                }
            }
        }
        Ok(None)
    }
}
