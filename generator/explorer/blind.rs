//! The chance that somebody who knows nothing, and acts at random, ends well.

use super::bits::Set;
use super::drill::Drill;
use super::graph::Graph;
use super::run::{AMISS_ONE_IN, apart};
use super::situation::{Stop, World};
use super::word::State;
use std::cmp::{Ordering, Reverse};
use std::collections::{BTreeMap, BinaryHeap, HashMap};
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

/// Runs still open with less than this chance in all are no longer followed.
const LEFT: f64 = 1e-3;

/// So many moments are gone over at most; the rest is only bounded.
const MOST: usize = 50_000;

/// Where a run stands: what is the case, the number of what can be known, and of how far the rules are kept.
type Stand = (State, u32, usize);

/// What one act at random comes to.
struct Leads {
    /// The chance of a pass at once.
    passes: f64,
    /// Where runs go on, and with which chance.
    to: Vec<(Stand, f64)>,
    /// The chance of standing there still.
    still: f64,
}

/// How much of all runs stands somewhere; the most first, and the order of the stands where it is the same.
struct Mass(f64, Reverse<Stand>);

impl PartialEq for Mass {
    fn eq(&self, other: &Self) -> bool {
        self.cmp(other) == Ordering::Equal
    }
}

impl PartialOrd for Mass {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl Eq for Mass {}

impl Ord for Mass {
    fn cmp(&self, other: &Self) -> Ordering {
        self.0.total_cmp(&other.0).then_with(|| self.1.cmp(&other.1))
    }
}

struct Walk<'g, 'w, 'm> {
    world: &'w World<'m>,
    drill: &'w Drill,
    graph: &'g mut Graph<'w, 'm>,
    /// Where each stand leads.
    known: HashMap<Stand, Rc<Leads>>,
}

/// Follows random acting: every offered act equally likely, others acting by their odds after each; it ends at a pass, an
/// unsafe act, harm to the machine, or a broken rule.
///
/// # Errors
/// [`Stop`].
pub fn blind<'w, 'm>(world: &'w World<'m>, drill: &'w Drill, graph: &mut Graph<'w, 'm>) -> Result<Blind, Stop> {
    let mut walk = Walk {
        world,
        drill,
        graph,
        known: HashMap::new(),
    };
    let mut open: BTreeMap<Stand, f64> = BTreeMap::new();
    let begin = world.begin(drill)?;
    let (plain, amiss) = apart(world.machine, drill);
    let rare = match (plain.is_empty(), amiss.is_empty()) {
        (false, false) => 1.0 / f64::from(AMISS_ONE_IN),
        (true, _) => 1.0,
        (_, true) => 0.0,
    };
    let found = world.look(&begin)?;
    let mut least = 0.0;
    for (start, (state, ..)) in begin.iter().enumerate() {
        let each = if amiss.contains(&start) {
            rare / amiss.len() as f64
        } else {
            (1.0 - rare) / plain.len() as f64
        };
        let seen = world.machine.seen(*state);
        // The situation in which this start finds itself: the one that shows the same.
        let Some(one) = found.iter().find(|one| one.seen == seen) else {
            continue;
        };
        let (situation, turned) = walk.graph.table.number(one.situation.clone());
        let stand = (walk.graph.table.turn(*state, &turned), situation, 0);
        if walk.is_pass(stand) {
            least += each;
        } else {
            *open.entry(stand).or_default() += each;
        }
    }
    // Where most of the runs stand is gone over first, until what is left hardly counts.
    let mut left: f64 = open.values().sum();
    let mut heap: BinaryHeap<Mass> = open.iter().map(|(stand, mass)| Mass(*mass, Reverse(*stand))).collect();
    let mut gone = 0;
    while left >= LEFT && gone < MOST {
        let Some(Mass(noted, Reverse(stand))) = heap.pop() else {
            break;
        };
        let mass = open.get(&stand).copied().unwrap_or(0.0);
        // More has come to it since; it stands in the heap once more.
        if mass != noted || mass == 0.0 {
            continue;
        }
        gone += 1;
        open.remove(&stand);
        let leads = walk.follow(stand)?;
        // All turns on the spot at once: the sum of a geometric series.
        let turns = if leads.still < 1.0 {
            mass / (1.0 - leads.still)
        } else {
            0.0
        };
        least += turns * leads.passes;
        for (next, chance) in &leads.to {
            let more = open.entry(*next).or_default();
            *more += turns * chance;
            heap.push(Mass(*more, Reverse(*next)));
        }
        if gone % 1000 == 0 {
            // Summed anew, so that no rounding gathers.
            left = open.values().sum();
        } else {
            left += turns * leads.to.iter().map(|(_, chance)| chance).sum::<f64>() - mass;
        }
    }
    let left = open.values().sum();
    Ok(Blind { least, left })
}

impl Walk<'_, '_, '_> {
    fn is_pass(&self, (state, situation, keeping): Stand) -> bool {
        let handed = self.drill.handed_over.as_ref().is_some_and(|test| test.holds(state));
        self.drill.cured.holds(state) || (handed && self.graph.hands_over(situation, keeping))
    }

    /// Works out where a stand leads.
    fn follow(&mut self, stand: Stand) -> Result<Rc<Leads>, Stop> {
        if let Some(known) = self.known.get(&stand) {
            return Ok(known.clone());
        }
        let (state, situation, keeping) = stand;
        let offers = self.graph.table.offers(situation)?;
        let each = 1.0 / offers.len().max(1) as f64;
        let mut leads: BTreeMap<Stand, f64> = BTreeMap::new();
        let mut passes = 0.0;
        for offer in offers.iter() {
            if offer.held {
                *leads.entry(stand).or_default() += each;
                continue;
            }
            if !offer.clean() || self.graph.keeping.allow(offer.binds, Set::of(keeping)).is_empty() {
                continue;
            }
            let possible = self.world.machine.possible(offer.act, state);
            let (after, keeping) = if possible {
                let after = self.world.machine.act(offer.act, state)?.state;
                (after, self.graph.keeping.next(offer.act, keeping))
            } else {
                (state, keeping)
            };
            let table = &self.graph.table;
            let place = |state: State| -> Option<Stand> {
                let seen = self.world.machine.seen(state);
                let shows = offer
                    .shows
                    .iter()
                    .find(|shows| shows.done == possible && shows.seen == seen)?;
                Some((table.turn(state, &shows.turned), shows.situation, keeping))
            };
            let Some(still) = place(after) else {
                continue;
            };
            if self.is_pass(still) {
                passes += each;
                continue;
            }
            for (state, chance) in self.others(after)? {
                if let Some(next) = place(state) {
                    *leads.entry(next).or_default() += each * chance;
                }
            }
        }
        self.world.spend(leads.len() + 1)?;
        let still = leads.remove(&stand).unwrap_or(0.0);
        let leads = Rc::new(Leads {
            passes,
            to: leads.into_iter().collect(),
            still,
        });
        self.known.insert(stand, leads.clone());
        Ok(leads)
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
