//! All ways in which the orders of a machine's rules can be half kept, numbered, and how each act moves them on.

use super::bits::{MOST, Set};
use super::drill::Drill;
use super::rules::Progress;
use super::situation::{Stop, World};
use std::collections::HashMap;

/// The numbered ways.
pub struct Keeping {
    ways: Vec<Progress>,
    numbers: HashMap<Progress, u16>,
    /// For each act, where each way goes; none if the act moves no rule on.
    moves: Vec<Option<Vec<u16>>>,
    /// For each rule, the ways in which it is kept whole.
    whole: Vec<Set>,
}

impl Keeping {
    /// Finds every way that acts on a drill can lead to, whatever the machine allows.
    ///
    /// # Errors
    /// [`Stop::Budget`].
    pub fn of(world: &World, drill: &Drill) -> Result<Self, Stop> {
        let machine = world.machine;
        let mut names: Vec<&str> = machine.actions.iter().map(|action| action.id.as_str()).collect();
        names.dedup();
        // Nothing comes of acts on what the drill leaves alone.
        let open: Vec<bool> = names
            .iter()
            .map(|name| machine.instances(name).any(|act| !world.held(act, drill)))
            .collect();
        let mut ways = vec![Progress::default()];
        let mut numbers = HashMap::from([(Progress::default(), 0u16)]);
        let mut by_name: Vec<Vec<u16>> = vec![Vec::new(); names.len()];
        let mut next = 0;
        while next < ways.len() {
            for ((name, open), moves) in names.iter().zip(&open).zip(&mut by_name) {
                let after = if *open {
                    ways[next].after(machine, name)
                } else {
                    ways[next]
                };
                let fresh = u16::try_from(ways.len()).map_err(|_| Stop::Budget)?;
                let number = *numbers.entry(after).or_insert(fresh);
                if number == fresh {
                    if ways.len() >= MOST {
                        return Err(Stop::Budget);
                    }
                    ways.push(after);
                }
                moves.push(number);
            }
            next += 1;
        }
        let still = |moves: &[u16]| moves.iter().enumerate().all(|(from, to)| from == usize::from(*to));
        let mut moves = Vec::with_capacity(machine.actions.len());
        let mut at = 0;
        for action in &machine.actions {
            // The names are in the order of the actions, each once.
            while names[at] != action.id {
                at += 1;
            }
            moves.push((!still(&by_name[at])).then(|| by_name[at].clone()));
        }
        let whole = machine
            .rules
            .iter()
            .enumerate()
            .map(|(index, rule)| {
                let mut set = Set::default();
                for (number, way) in ways.iter().enumerate() {
                    if way.complete(index, rule) {
                        set.put(number);
                    }
                }
                set
            })
            .collect();
        Ok(Self {
            ways,
            numbers,
            moves,
            whole,
        })
    }

    pub fn number(&self, progress: Progress) -> Option<usize> {
        self.numbers.get(&progress).map(|number| usize::from(*number))
    }

    pub fn way(&self, number: usize) -> Progress {
        self.ways[number]
    }

    /// Those of a set of ways in which none of these rules is broken: a bit for each rule that binds.
    pub fn allow(&self, binds: u8, set: Set) -> Set {
        let bound = self
            .whole
            .iter()
            .enumerate()
            .filter(|(index, _)| (binds >> index) & 1 == 1);
        bound.fold(set, |set, (_, whole)| set.and(whole))
    }

    /// Where one way goes with an act.
    pub fn next(&self, act: usize, way: usize) -> usize {
        self.moves[act].as_ref().map_or(way, |moves| usize::from(moves[way]))
    }

    /// Where a set of ways goes with an act.
    pub fn after(&self, act: usize, set: Set) -> Set {
        let Some(moves) = &self.moves[act] else {
            return set;
        };
        let mut after = Set::default();
        for number in set.each() {
            after.put(usize::from(moves[number]));
        }
        after
    }

    /// Those of a set of ways that an act leads into another set.
    pub fn leading(&self, act: usize, set: Set, into: &Set) -> Set {
        let Some(moves) = &self.moves[act] else {
            return set.and(into);
        };
        let mut kept = Set::default();
        for number in set.each().filter(|number| into.has(usize::from(moves[*number]))) {
            kept.put(number);
        }
        kept
    }
}
