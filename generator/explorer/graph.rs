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
use std::collections::{BTreeMap, HashMap, VecDeque};
use std::rc::Rc;

/// A situation and how far the rules are kept in it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Node {
    /// The situation's number.
    pub situation: u32,
    /// The number of the way in which the rules are kept.
    keeping: usize,
}

/// With which act to go on from some nodes of a situation, and within which time that surely ends in a pass.
#[derive(Debug, Clone)]
struct Plan {
    time: u32,
    act: Option<usize>,
    nodes: Set,
}

/// A safe act of a situation, and what can follow.
struct Edge {
    from: u32,
    act: usize,
    binds: u8,
    to: Vec<(bool, u32)>,
}

/// A drill, gone over whole. Situations that differ only in the order of a family whose members are alike are one; those
/// that only others could have brought about are known, and not gone on from.
pub struct Graph<'w, 'm> {
    pub(super) table: Table<'w, 'm>,
    pub(super) keeping: Keeping,
    edges: Vec<Edge>,
    /// Which edges lead into a situation.
    incoming: Vec<Vec<u32>>,
    /// For each situation the nodes that safe acting leads to, those still curable, and those with a plan.
    reached: Vec<Set>,
    curable: Vec<Set>,
    settled: Vec<Set>,
    plans: Vec<Vec<Plan>>,
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

    /// Those of some nodes of an edge's beginning from which this outcome leads into a set.
    fn leading(&self, edge: &Edge, done: bool, nodes: Set, into: &Set) -> Set {
        if done {
            self.keeping.leading(edge.act, nodes, into)
        } else {
            nodes.and(into)
        }
    }

    /// A situation is curable if some run of safe acts, with whatever is then seen, ends cured.
    fn mark_curable(&mut self) {
        let mut waiting = VecDeque::new();
        for situation in 0..self.table.len() {
            let facts = self.table.facts(index(situation));
            if facts.some_cured && facts.undisturbed {
                self.curable[situation] = self.reached[situation];
                waiting.push_back((situation, self.reached[situation]));
            }
        }
        while let Some((to, new)) = waiting.pop_front() {
            for at in &self.incoming[to] {
                let edge = &self.edges[*at as usize];
                let from = edge.from as usize;
                let open = self.reached[from].without(&self.curable[from]);
                if open.is_empty() {
                    continue;
                }
                let open = self.keeping.allow(edge.binds, open);
                for (done, _) in edge.to.iter().filter(|(_, next)| *next as usize == to) {
                    let nodes = self.leading(edge, *done, open, &new);
                    let new = self.curable[from].add(&nodes);
                    if !new.is_empty() {
                        waiting.push_back((from, new));
                    }
                }
            }
        }
    }

    /// The least worst-case time to a pass, from every node.
    ///
    /// Source: D. E. Knuth, "A generalization of Dijkstra's algorithm", Inf. Process. Lett. 6(1), 1977: the time of an
    /// act plus the most of what follows is a superior function, so nodes settle in the order of their times.
    fn plan(&mut self, world: &World) {
        let mut queue: BTreeMap<u32, Vec<(u32, Option<usize>, Set)>> = BTreeMap::new();
        for situation in 0..self.table.len() {
            let facts = self.table.facts(index(situation));
            if !facts.undisturbed {
                continue;
            }
            let passes = match (facts.cured, facts.handed_over) {
                (true, _) => self.reached[situation],
                (false, true) => self.reached[situation].without(&self.curable[situation]),
                (false, false) => continue,
            };
            queue.entry(0).or_default().push((index(situation), None, passes));
        }
        while let Some((time, now)) = queue.pop_first() {
            for (situation, act, nodes) in now {
                let nodes = self.settled[situation as usize].add(&nodes);
                if nodes.is_empty() {
                    continue;
                }
                for at in &self.incoming[situation as usize] {
                    let edge = &self.edges[*at as usize];
                    let ready = self.ready(edge, situation, &nodes);
                    if !ready.is_empty() {
                        let takes = world.machine.actions[edge.act].takes;
                        let then = time.saturating_add(takes);
                        queue.entry(then).or_default().push((edge.from, Some(edge.act), ready));
                    }
                }
                self.plans[situation as usize].push(Plan { time, act, nodes });
            }
        }
    }

    /// The nodes at the beginning of an edge all of whose outcomes are settled, one of them just now.
    fn ready(&self, edge: &Edge, just: u32, nodes: &Set) -> Set {
        let from = edge.from as usize;
        let open = self.reached[from].without(&self.settled[from]);
        if open.is_empty() {
            return open;
        }
        let open = self.keeping.allow(edge.binds, open);
        let mut news = Set::default();
        for (done, _) in edge.to.iter().filter(|(_, to)| *to == just) {
            news.add(&self.leading(edge, *done, open, nodes));
        }
        for (done, to) in &edge.to {
            // What only others can bring about is left out of par.
            if edge.to.len() > 1 && self.table.facts(*to).undisturbed {
                news = self.leading(edge, *done, news, &self.settled[*to as usize]);
            }
        }
        news
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

fn index(number: usize) -> u32 {
    // The budget ends a drill long before.
    u32::try_from(number).unwrap_or(u32::MAX)
}
