//! All situations of a drill that safe acting can lead to, and the best way through them.
//!
//! A node is a situation together with how far the rules are kept. Situations are gone over once each; the ways in which
//! the rules can be kept are laid over them as sets of bits, so that a node is one bit and never stands by itself.

use super::bits::Set;
use super::drill::Drill;
use super::keeping::Keeping;
use super::machine::Hazards;
use super::rules::Progress;
use super::situation::{Situation, Stop, World};
use super::table::{Facts, Table};
use std::collections::{HashMap, VecDeque};
use std::rc::Rc;

/// A situation and how far the rules are kept in it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Node {
    /// The situation's number.
    pub situation: u32,
    /// The number of the way in which the rules are kept.
    pub(super) keeping: usize,
}

/// With which act to go on from some nodes of a situation, and within which time that surely ends in a pass.
#[derive(Debug, Clone)]
pub(super) struct Plan {
    pub time: u32,
    pub act: Option<usize>,
    pub nodes: Set,
}

/// A safe act of a situation, and what can follow.
pub(super) struct Edge {
    pub from: u32,
    pub act: usize,
    pub binds: u8,
    pub to: Vec<(bool, u32)>,
}

/// A drill, gone over whole. Situations that differ only in the order of a family whose members are alike are one; those
/// that only others could have brought about are known, and not gone on from.
pub struct Graph<'w, 'm> {
    pub(super) table: Table<'w, 'm>,
    pub(super) keeping: Keeping,
    pub(super) edges: Vec<Edge>,
    /// Which edges lead into a situation.
    pub(super) incoming: Vec<Vec<u32>>,
    /// For each situation the nodes that safe acting leads to, those still curable, and those with a plan.
    pub(super) reached: Vec<Set>,
    pub(super) curable: Vec<Set>,
    pub(super) settled: Vec<Set>,
    pub(super) plans: Vec<Vec<Plan>>,
    starts: Vec<Node>,
    /// How many acts the machine has.
    acts: usize,
    /// Hazards to a person that some offered act can meet.
    pub danger: Hazards,
    /// Hazards to the machine that some offered act can meet.
    pub harm: Hazards,
}

impl<'w, 'm> Graph<'w, 'm> {
    /// Goes over a drill. Its starts must be safe.
    ///
    /// # Errors
    /// [`Stop`].
    pub fn of(world: &'w World<'m>, drill: &'w Drill) -> Result<Self, Stop> {
        let keeping = Keeping::of(world, drill)?;
        let mut graph = Self {
            table: Table::new(world, drill),
            edges: Vec::new(),
            incoming: Vec::new(),
            reached: Vec::new(),
            curable: Vec::new(),
            settled: Vec::new(),
            keeping,
            plans: Vec::new(),
            starts: Vec::new(),
            acts: world.machine.actions.len(),
            danger: 0,
            harm: 0,
        };
        graph.explore(world, drill)?;
        graph.mark_curable();
        graph.plan(world);
        Ok(graph)
    }

    fn explore(&mut self, world: &World, drill: &Drill) -> Result<(), Stop> {
        let mut waiting = VecDeque::new();
        // What reached a situation and was not yet taken on from there.
        let mut fresh: Vec<Set> = Vec::new();
        for found in world.look(&world.begin(drill)?)? {
            let (situation, _) = self.table.number(found.situation);
            self.reached.resize(self.table.len(), Set::default());
            fresh.resize(self.table.len(), Set::default());
            if !self.reached[situation as usize].add(&Set::of(0)).is_empty() {
                fresh[situation as usize].put(0);
                waiting.push_back(situation);
                self.starts.push(Node { situation, keeping: 0 });
            }
        }
        // Where the edges of each situation that was gone over stand.
        let mut gone: HashMap<u32, std::ops::Range<usize>> = HashMap::new();
        while let Some(situation) = waiting.pop_front() {
            let facts = self.table.facts(situation);
            let news = std::mem::take(&mut fresh[situation as usize]);
            if facts.cured || !facts.undisturbed || news.is_empty() {
                continue;
            }
            world.spend(1)?;
            let edges = match gone.get(&situation) {
                Some(edges) => edges.clone(),
                None => {
                    let first = self.edges.len();
                    self.expand(situation)?;
                    gone.insert(situation, first..self.edges.len());
                    first..self.edges.len()
                }
            };
            self.reached.resize(self.table.len(), Set::default());
            fresh.resize(self.table.len(), Set::default());
            for edge in &self.edges[edges] {
                let still = self.keeping.allow(edge.binds, news);
                if still.is_empty() {
                    continue;
                }
                let after = self.keeping.after(edge.act, still);
                for (done, to) in &edge.to {
                    let to = *to as usize;
                    let new = self.reached[to].add(if *done { &after } else { &still });
                    if !new.is_empty() {
                        if fresh[to].is_empty() {
                            waiting.push_back(index(to));
                        }
                        fresh[to].add(&new);
                    }
                }
            }
        }
        self.incoming = vec![Vec::new(); self.table.len()];
        for (at, edge) in self.edges.iter().enumerate() {
            for (_, to) in &edge.to {
                let known = &mut self.incoming[*to as usize];
                if known.last() != Some(&index(at)) {
                    known.push(index(at));
                }
            }
        }
        self.curable = vec![Set::default(); self.table.len()];
        self.settled = vec![Set::default(); self.table.len()];
        self.plans = vec![Vec::new(); self.table.len()];
        Ok(())
    }

    fn expand(&mut self, situation: u32) -> Result<(), Stop> {
        for offer in self.table.offers(situation)?.iter() {
            self.danger |= offer.danger;
            self.harm |= offer.harm;
            // What changes nothing is no way on.
            if offer.clean() && offer.to != [(false, situation)] {
                self.edges.push(Edge {
                    from: situation,
                    act: offer.act,
                    binds: offer.binds,
                    to: offer.to.clone(),
                });
            }
        }
        Ok(())
    }

    /// The nodes in which a run can begin.
    pub fn starts(&self) -> &[Node] {
        &self.starts
    }

    /// All nodes that safe acting leads to.
    pub fn nodes(&self) -> impl Iterator<Item = Node> {
        (0..self.reached.len()).flat_map(|situation| {
            self.reached[situation].each().map(move |keeping| Node {
                situation: index(situation),
                keeping,
            })
        })
    }

    /// How many nodes there are.
    pub fn len(&self) -> usize {
        (0..self.reached.len())
            .map(|situation| self.reached[situation].count())
            .sum()
    }

    pub fn is_empty(&self) -> bool {
        self.len() == 0
    }

    /// How many situations there are, whatever rules were kept on the way.
    pub fn situations(&self) -> usize {
        self.table.len()
    }

    /// All that can be the case at a node.
    pub fn situation(&self, node: Node) -> &Rc<Situation> {
        self.table.situation(node.situation)
    }

    pub fn facts(&self, node: Node) -> Facts {
        self.table.facts(node.situation)
    }

    /// How far the rules are kept at a node.
    pub fn progress(&self, node: Node) -> Progress {
        self.keeping.way(node.keeping)
    }

    /// The node of a situation and a progress, if safe acting leads there.
    pub fn find(&self, situation: &Situation, progress: Progress) -> Option<Node> {
        let situation = self.table.find(situation)?;
        let keeping = self.keeping.number(progress)?;
        let known = self.reached[situation as usize].has(keeping);
        known.then_some(Node { situation, keeping })
    }

    /// Whether handing over is right in a situation, by its number and that of the way in which the rules are kept.
    pub(super) fn hands_over(&self, situation: u32, keeping: usize) -> bool {
        let situation = situation as usize;
        let known = self.reached.get(situation).is_some_and(|nodes| nodes.has(keeping));
        known && !self.curable[situation].has(keeping)
    }

    /// Some way of safe acts can still end cured.
    pub fn curable(&self, node: Node) -> bool {
        self.curable[node.situation as usize].has(node.keeping)
    }

    /// How many acts offered at a node are unsafe, and how many harm the machine or break a rule and are not unsafe.
    pub fn wrong(&self, node: Node) -> (usize, usize) {
        let (mut danger, mut wrong) = (0, 0);
        for offer in self.table.known_offers(node.situation) {
            let allowed = self.keeping.allow(offer.binds, Set::of(node.keeping));
            if offer.danger != 0 {
                danger += 1;
            } else if offer.harm != 0 || allowed.is_empty() {
                wrong += 1;
            }
        }
        (danger, wrong)
    }

    /// For each act, whether it is offered anywhere and not left alone by the drill.
    pub fn offered(&self) -> Vec<bool> {
        let mut offered = vec![false; self.acts];
        for situation in 0..self.reached.len() {
            for offer in self.table.known_offers(index(situation)) {
                offered[offer.act] |= !offer.held;
            }
        }
        offered
    }

    /// Every situation that was gone over.
    pub fn all_situations(&self) -> impl Iterator<Item = &Rc<Situation>> {
        (0..self.table.len()).map(|number| self.table.situation(index(number)))
    }

    /// Whether a run that stands here is a pass.
    pub fn passes(&self, node: Node) -> bool {
        let facts = self.facts(node);
        facts.cured || (facts.handed_over && !self.curable(node))
    }

    /// A node at which it is handed over and the drill's `beyond` is not what was found: whether it can still be cured there.
    pub fn misjudged(&self) -> Option<(Node, bool)> {
        self.nodes()
            .filter(|node| self.facts(*node).handed_over && !self.facts(*node).cured)
            .map(|node| (node, self.curable(node)))
            .find(|(node, curable)| self.facts(*node).beyond == *curable)
    }

    /// The least time, in seconds, within which some plan surely ends in a pass from here, and the act with which such a
    /// plan goes on; none for a trap.
    pub fn best(&self, node: Node) -> Option<(u32, Option<usize>)> {
        self.plans[node.situation as usize]
            .iter()
            .find(|plan| plan.nodes.has(node.keeping))
            .map(|plan| (plan.time, plan.act))
    }

    /// The par of the drill: the most over the situations in which it can begin; none if one of them is a trap.
    pub fn par(&self) -> Option<u32> {
        self.starts
            .iter()
            .filter(|node| self.facts(**node).undisturbed)
            .map(|node| self.best(*node).map(|(time, _)| time))
            .try_fold(0, |most, par| Some(most.max(par?)))
    }

    /// Situations, reached by safe acts with others still, from which no plan surely ends in a pass.
    pub fn traps(&self) -> impl Iterator<Item = Node> {
        (0..self.reached.len())
            .filter(|situation| self.table.facts(index(*situation)).undisturbed)
            .flat_map(|situation| {
                let open = self.reached[situation].without(&self.settled[situation]);
                open.each().map(move |keeping| Node {
                    situation: index(situation),
                    keeping,
                })
            })
    }
}

pub(super) fn index(number: usize) -> u32 {
    // The budget ends a drill long before.
    u32::try_from(number).unwrap_or(u32::MAX)
}
