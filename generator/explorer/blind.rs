//! The chance that somebody who knows nothing, and acts at random, ends well.

use super::drill::Drill;
use super::rules::Progress;
use super::situation::{Situation, Stop, World};
use super::word::State;
use std::collections::{BTreeMap, HashMap};
use std::rc::Rc;

/// A chance, as far as it was worked out: it lies between `least` and `least + left`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Blind {
    /// The chance of the runs that were followed to a pass.
    pub least: f64,
    /// The chance of the runs that had not ended when it was given up.
    pub left: f64,
}

impl Blind {
    /// The most that the chance can be.
    pub fn most(self) -> f64 {
        (self.least + self.left).min(1.0)
    }
}

/// Runs still open with less than this are no longer followed.
const LEFT: f64 = 1e-12;

/// After so many acts the rest is only bounded.
const MOST_ACTS: usize = 20_000;

/// Where a run stands: what is the case, what can be known, how far the rules are kept. Sorted, so that sums come out the
/// same each time.
type Stand = (State, usize, Progress);

struct Walk<'w, 'm> {
    world: &'w World<'m>,
    drill: &'w Drill,
    /// Whether handing over is right in a situation.
    handing_over: &'w dyn Fn(&Situation, Progress) -> bool,
    situations: Vec<Rc<Situation>>,
    known: HashMap<Rc<Situation>, usize>,
    /// Where each stand leads: the chance of a pass at once, and where runs go on.
    next: HashMap<Stand, Rc<Vec<(Stand, f64)>>>,
    passes: HashMap<Stand, f64>,
}

/// Follows random acting: every offered act equally likely, others acting by their odds after each; it ends at a pass, an
/// unsafe act, harm to the machine, or a broken rule.
///
/// # Errors
/// [`Stop`].
pub fn blind(world: &World, drill: &Drill, handing_over: &dyn Fn(&Situation, Progress) -> bool) -> Result<Blind, Stop> {
    let mut walk = Walk {
        world,
        drill,
        handing_over,
        situations: Vec::new(),
        known: HashMap::new(),
        next: HashMap::new(),
        passes: HashMap::new(),
    };
    let mut open: BTreeMap<Stand, f64> = BTreeMap::new();
    let each = 1.0 / drill.starts.len().max(1) as f64;
    let settled = world.begin(drill)?;
    let found = world.look(&settled)?;
    let mut least = 0.0;
    for (state, ..) in &settled {
        let seen = world.machine.seen(*state);
        // The situation in which this start finds itself: the one that shows the same.
        let Some(one) = found.iter().find(|one| one.seen == seen) else {
            continue;
        };
        let index = walk.index(&one.situation);
        let stand = (*state, index, Progress::default());
        if walk.is_pass(stand) {
            least += each;
        } else {
            *open.entry(stand).or_default() += each;
        }
    }
    let mut left = open.values().sum();
    for _ in 0..MOST_ACTS {
        if left < LEFT {
            break;
        }
        let mut after: BTreeMap<Stand, f64> = BTreeMap::new();
        for (stand, mass) in &open {
            walk.follow(*stand)?;
            least += mass * walk.passes[stand];
            for (next, chance) in walk.next[stand].iter() {
                *after.entry(*next).or_default() += mass * chance;
            }
        }
        open = after;
        left = open.values().sum();
    }
    Ok(Blind { least, left })
}

impl Walk<'_, '_> {
    fn index(&mut self, situation: &Situation) -> usize {
        if let Some(index) = self.known.get(situation) {
            return *index;
        }
        let kept = Rc::new(situation.clone());
        self.situations.push(kept.clone());
        self.known.insert(kept, self.situations.len() - 1);
        self.situations.len() - 1
    }

    fn is_pass(&self, (state, situation, progress): Stand) -> bool {
        let handed = self.drill.handed_over.as_ref().is_some_and(|test| test.holds(state));
        self.drill.cured.holds(state) || (handed && (self.handing_over)(&self.situations[situation], progress))
    }

    /// Works out where a stand leads.
    fn follow(&mut self, stand: Stand) -> Result<(), Stop> {
        if self.next.contains_key(&stand) {
            return Ok(());
        }
        let (state, index, progress) = stand;
        let situation = self.situations[index].clone();
        let offered: Vec<usize> = (0..self.world.machine.actions.len())
            .filter(|act| self.world.offered(*act, &situation))
            .collect();
        let mut leads: BTreeMap<Stand, f64> = BTreeMap::new();
        let mut passes = 0.0;
        if !offered.is_empty() {
            let each = 1.0 / offered.len() as f64;
            for act in offered {
                if self.world.held(act, self.drill) {
                    *leads.entry(stand).or_default() += each;
                    continue;
                }
                let judged = self.world.judge(act, &situation, progress)?;
                if !judged.clean() {
                    continue;
                }
                let possible = self.world.machine.possible(act, state);
                let after = if possible {
                    self.world.machine.act(act, state)?.state
                } else {
                    state
                };
                let progress = if possible { judged.progress } else { progress };
                let found = self.world.look(&judged.after)?;
                let place = |walk: &mut Self, state: State| -> Option<Stand> {
                    let seen = walk.world.machine.seen(state);
                    let one = found.iter().find(|one| one.done == possible && one.seen == seen)?;
                    Some((state, walk.index(&one.situation), progress))
                };
                let Some(still) = place(self, after) else {
                    continue;
                };
                if self.is_pass(still) {
                    passes += each;
                    continue;
                }
                for (state, chance) in self.others(after)? {
                    if let Some(next) = place(self, state) {
                        *leads.entry(next).or_default() += each * chance;
                    }
                }
            }
        }
        self.world.spend(leads.len() + 1)?;
        self.passes.insert(stand, passes);
        self.next.insert(stand, Rc::new(leads.into_iter().collect()));
        Ok(())
    }

    /// What others make of a state: each in its turn, with its odds, where it is possible.
    fn others(&self, state: State) -> Result<Vec<(State, f64)>, Stop> {
        let mut states = vec![(state, 1.0)];
        for (index, other) in self.world.machine.others.iter().enumerate() {
            let mut next = Vec::with_capacity(states.len());
            for (state, chance) in states {
                if other.when.holds(state) && other.odds > 0.0 {
                    next.push((self.world.machine.other(index, state)?.state, chance * other.odds));
                    if other.odds < 1.0 {
                        next.push((state, chance * (1.0 - other.odds)));
                    }
                } else {
                    next.push((state, chance));
                }
            }
            states = next;
        }
        Ok(states)
    }
}
