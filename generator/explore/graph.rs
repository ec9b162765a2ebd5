//! All situations of a drill that safe acting can lead to, and the best way through them.

use super::drill::Drill;
use super::machine::{Hazards, Machine};
use super::rules::Progress;
use super::situation::{Situation, Stop, World};
use super::table::{Facts, Offer, Table};
use std::cmp::Reverse;
use std::collections::{BinaryHeap, HashMap};
use std::rc::Rc;

/// One situation together with how far the rules are kept.
#[derive(Debug, Clone)]
pub struct Node {
    /// The situation's number.
    pub situation: u32,
    pub progress: Progress,
    pub facts: Facts,
    /// Where its edges begin in [`Graph::edges`]; they end where the next node's begin.
    first: u32,
    /// Acts offered here that are unsafe.
    pub unsafe_acts: u16,
    /// Acts offered here that harm the machine or break a rule, and are not unsafe.
    pub wrong_acts: u16,
    /// Some way of safe acts can still end cured.
    pub curable: bool,
    /// The least time, in seconds, within which some plan surely ends in a pass; none for a trap.
    pub par: Option<u32>,
    /// The act with which such a plan goes on.
    pub best: Option<usize>,
}

/// A safe act, and the nodes in which one can then be.
#[derive(Debug, Clone)]
pub struct Edge {
    pub act: u16,
    pub to: Vec<u32>,
}

/// A drill, gone over whole. Situations that differ only in the order of a family whose members are alike are one.
pub struct Graph<'w, 'm> {
    table: Table<'w, 'm>,
    pub nodes: Vec<Node>,
    edges: Vec<Edge>,
    known: HashMap<(u32, Progress), u32>,
    /// The nodes in which a run can begin.
    pub starts: Vec<u32>,
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
        let mut graph = Self {
            table: Table::new(world, drill),
            nodes: Vec::new(),
            edges: Vec::new(),
            known: HashMap::new(),
            starts: Vec::new(),
            danger: 0,
            harm: 0,
        };
        let begin = drill
            .starts
            .iter()
            .map(|state| Ok((world.machine.settle(*state)?.state, true, true)))
            .collect::<Result<Vec<_>, Stop>>()?;
        for found in world.look(&begin)? {
            let situation = graph.table.number(found.situation);
            let index = graph.node(situation, Progress::default());
            if !graph.starts.contains(&index) {
                graph.starts.push(index);
            }
        }
        let mut next = 0;
        while next < graph.nodes.len() {
            graph.expand(world, next)?;
            next += 1;
        }
        graph.mark_curable();
        graph.plan(world);
        Ok(graph)
    }

    fn node(&mut self, situation: u32, progress: Progress) -> u32 {
        let fresh = index(self.nodes.len());
        let node = *self.known.entry((situation, progress)).or_insert(fresh);
        if node == fresh {
            let facts = self.table.facts(situation);
            self.nodes.push(Node {
                situation,
                progress,
                facts,
                first: 0,
                unsafe_acts: 0,
                wrong_acts: 0,
                curable: facts.some_cured,
                par: None,
                best: None,
            });
        }
        node
    }

    fn expand(&mut self, world: &World, at: usize) -> Result<(), Stop> {
        self.nodes[at].first = index(self.edges.len());
        let Node {
            situation,
            progress,
            facts,
            ..
        } = self.nodes[at];
        if facts.cured {
            return Ok(());
        }
        world.spend(1)?;
        for offer in self.table.offers(situation)?.iter() {
            if offer.held {
                continue;
            }
            self.danger |= offer.danger;
            self.harm |= offer.harm;
            if offer.danger != 0 {
                self.nodes[at].unsafe_acts += 1;
                continue;
            }
            if offer.harm != 0 || breaks(world.machine, offer, progress) {
                self.nodes[at].wrong_acts += 1;
                continue;
            }
            let after = progress.after(world.machine, &world.machine.actions[offer.act].id);
            let mut to = Vec::with_capacity(offer.to.len());
            for (done, next) in &offer.to {
                let next = self.node(*next, if *done { after } else { progress });
                if !to.contains(&next) {
                    to.push(next);
                }
            }
            // What changes nothing is no way on.
            if to != [index(at)] {
                self.edges.push(Edge {
                    act: u16::try_from(offer.act).unwrap_or(u16::MAX),
                    to,
                });
            }
        }
        Ok(())
    }

    /// What can be done at a node without danger, harm or a broken rule, and changes something.
    pub fn edges(&self, node: usize) -> &[Edge] {
        let first = self.nodes[node].first as usize;
        let next = self
            .nodes
            .get(node + 1)
            .map_or(self.edges.len(), |next| next.first as usize);
        &self.edges[first..next]
    }

    /// All that can be the case at a node.
    pub fn situation(&self, node: &Node) -> &Rc<Situation> {
        self.table.situation(node.situation)
    }

    /// How many situations there are, whatever rules were kept on the way.
    pub fn situations(&self) -> usize {
        self.table.len()
    }

    /// The node of a situation and a progress, if safe acting leads there.
    pub fn find(&self, situation: &Situation, progress: Progress) -> Option<&Node> {
        let situation = self.table.find(situation)?;
        let node = *self.known.get(&(situation, progress))?;
        self.nodes.get(node as usize)
    }

    /// For each node the edges that lead into it: from which node, and which of all edges.
    fn incoming(&self) -> Vec<Vec<(u32, u32)>> {
        let mut incoming = vec![Vec::new(); self.nodes.len()];
        for from in 0..self.nodes.len() {
            let first = self.nodes[from].first;
            for (at, edge) in self.edges(from).iter().enumerate() {
                for to in &edge.to {
                    incoming[*to as usize].push((index(from), first + index(at)));
                }
            }
        }
        incoming
    }

    /// A situation is curable if some run of safe acts, with whatever is then seen, ends cured.
    fn mark_curable(&mut self) {
        let incoming = self.incoming();
        let mut waiting: Vec<usize> = (0..self.nodes.len()).filter(|node| self.nodes[*node].curable).collect();
        while let Some(node) = waiting.pop() {
            if !self.nodes[node].facts.undisturbed {
                continue;
            }
            for (from, _) in &incoming[node] {
                let from = *from as usize;
                if !self.nodes[from].curable {
                    self.nodes[from].curable = true;
                    waiting.push(from);
                }
            }
        }
    }

    /// Whether a run that stands here is a pass.
    pub fn passes(&self, node: &Node) -> bool {
        node.facts.cured || (node.facts.handed_over && !node.curable)
    }

    /// The least worst-case time to a pass, from every node.
    ///
    /// Source: D. E. Knuth, "A generalization of Dijkstra's algorithm", Inf. Process. Lett. 6(1), 1977: the time of an
    /// act plus the most of what follows is a superior function, so nodes settle in the order of their times.
    fn plan(&mut self, world: &World) {
        let incoming = self.incoming();
        // For each edge: how many of its outcomes are not settled, and the most time among those that are.
        let calm = |to: &u32| self.nodes[*to as usize].facts.undisturbed;
        let count = |edge: &Edge| index(edge.to.iter().filter(|to| calm(to)).count());
        let mut open: Vec<(u32, u32)> = self.edges.iter().map(|edge| (count(edge), 0)).collect();
        let mut queue = BinaryHeap::new();
        for (at, node) in self.nodes.iter().enumerate() {
            if node.facts.undisturbed && self.passes(node) {
                queue.push(Reverse((0u32, at, None)));
            }
        }
        while let Some(Reverse((time, at, act))) = queue.pop() {
            let node = &mut self.nodes[at];
            if node.par.is_some() {
                continue;
            }
            (node.par, node.best) = (Some(time), act);
            for (from, edge) in &incoming[at] {
                let from = *from as usize;
                let (left, most) = &mut open[*edge as usize];
                *left = left.saturating_sub(1);
                *most = (*most).max(time);
                if *left == 0 && self.nodes[from].par.is_none() && self.nodes[from].facts.undisturbed {
                    let act = usize::from(self.edges[*edge as usize].act);
                    let takes = world.machine.actions[act].takes;
                    queue.push(Reverse((most.saturating_add(takes), from, Some(act))));
                }
            }
        }
    }

    /// The par of the drill: the most over the situations in which it can begin; none if one of them is a trap.
    pub fn par(&self) -> Option<u32> {
        let starts = self.starts.iter().map(|index| &self.nodes[*index as usize]);
        starts
            .filter(|node| node.facts.undisturbed)
            .map(|node| node.par)
            .try_fold(0, |most, par| Some(most.max(par?)))
    }

    /// Situations, reached by safe acts with others still, from which no plan surely ends in a pass.
    pub fn traps(&self) -> impl Iterator<Item = &Node> {
        self.nodes
            .iter()
            .filter(|node| node.facts.undisturbed && node.par.is_none())
    }
}

fn index(number: usize) -> u32 {
    // The budget ends a drill long before.
    u32::try_from(number).unwrap_or(u32::MAX)
}

/// Whether an act breaks a rule that binds it.
fn breaks(machine: &Machine, offer: &Offer, progress: Progress) -> bool {
    let mut rules = machine.rules.iter().enumerate();
    rules.any(|(index, rule)| (offer.binds >> index) & 1 == 1 && !progress.complete(index, rule))
}
