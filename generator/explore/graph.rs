//! All situations of a drill that safe acting can lead to, and the best way through them.

use super::drill::Drill;
use super::machine::Hazards;
use super::rules::Progress;
use super::situation::{Situation, Stop, World, undisturbed};
use std::cmp::Reverse;
use std::collections::{BinaryHeap, HashMap};

/// One situation together with how far the rules are kept.
#[derive(Debug, Clone)]
pub struct Node {
    pub situation: Situation,
    pub progress: Progress,
    /// What can be done here without danger, harm or a broken rule, and changes something.
    pub edges: Vec<Edge>,
    /// Acts offered here that are unsafe.
    pub unsafe_acts: Vec<usize>,
    /// Acts offered here that harm the machine or break a rule, and are not unsafe.
    pub wrong_acts: Vec<usize>,
    /// Acts offered that change nothing, or belong to what is left alone.
    pub idle_acts: Vec<usize>,
    /// Some state in it is reached with others still.
    pub undisturbed: bool,
    /// Cured in all of those states.
    pub cured: bool,
    /// Handed over in all of those states.
    pub handed_over: bool,
    /// Some way of safe acts can still end cured.
    pub curable: bool,
    /// The least time, in seconds, within which some plan surely ends in a pass; none for a trap.
    pub par: Option<u32>,
    /// The act with which such a plan goes on.
    pub best: Option<usize>,
}

/// A safe act, and the situations in which one can then be.
#[derive(Debug, Clone)]
pub struct Edge {
    pub act: usize,
    pub to: Vec<u32>,
}

/// A drill, gone over whole.
#[derive(Debug, Clone)]
pub struct Graph {
    pub nodes: Vec<Node>,
    /// The situations in which a run can begin.
    pub starts: Vec<u32>,
    /// Hazards to a person that some offered act can meet.
    pub danger: Hazards,
    /// Hazards to the machine that some offered act can meet.
    pub harm: Hazards,
}

impl Graph {
    /// Goes over a drill. Its starts must be safe.
    ///
    /// # Errors
    /// [`Stop`].
    pub fn of(world: &World, drill: &Drill) -> Result<Self, Stop> {
        let mut graph = Self {
            nodes: Vec::new(),
            starts: Vec::new(),
            danger: 0,
            harm: 0,
        };
        let mut known: HashMap<(Situation, Progress), u32> = HashMap::new();
        let begin = drill
            .starts
            .iter()
            .map(|state| Ok((world.machine.settle(*state)?.state, true, true)))
            .collect::<Result<Vec<_>, Stop>>()?;
        for found in world.look(&begin)? {
            let index = graph.node(&mut known, drill, found.situation, Progress::default());
            graph.starts.push(index);
        }
        let mut next = 0;
        while next < graph.nodes.len() {
            graph.expand(world, drill, next, &mut known)?;
            next += 1;
        }
        graph.mark_curable();
        graph.plan(world);
        Ok(graph)
    }

    fn node(
        &mut self,
        known: &mut HashMap<(Situation, Progress), u32>,
        drill: &Drill,
        situation: Situation,
        progress: Progress,
    ) -> u32 {
        let fresh = u32::try_from(self.nodes.len()).unwrap_or(u32::MAX);
        let key = (situation, progress);
        if let Some(index) = known.get(&key) {
            return *index;
        }
        let situation = &key.0;
        let is = undisturbed(situation).next().is_some();
        self.nodes.push(Node {
            situation: situation.clone(),
            progress,
            edges: Vec::new(),
            unsafe_acts: Vec::new(),
            wrong_acts: Vec::new(),
            idle_acts: Vec::new(),
            undisturbed: is,
            cured: is && undisturbed(situation).all(|state| drill.cured.holds(state)),
            handed_over: is
                && drill
                    .handed_over
                    .as_ref()
                    .is_some_and(|test| undisturbed(situation).all(|state| test.holds(state))),
            curable: undisturbed(situation).any(|state| drill.cured.holds(state)),
            par: None,
            best: None,
        });
        known.insert(key, fresh);
        fresh
    }

    fn expand(
        &mut self,
        world: &World,
        drill: &Drill,
        index: usize,
        known: &mut HashMap<(Situation, Progress), u32>,
    ) -> Result<(), Stop> {
        let situation = self.nodes[index].situation.clone();
        let progress = self.nodes[index].progress;
        if self.nodes[index].cured {
            return Ok(());
        }
        for act in 0..world.machine.actions.len() {
            if !world.offered(act, &situation) {
                continue;
            }
            if world.held(act, drill) {
                self.nodes[index].idle_acts.push(act);
                continue;
            }
            let judged = world.judge(act, &situation, progress)?;
            self.danger |= judged.danger;
            self.harm |= judged.harm;
            if judged.danger != 0 {
                self.nodes[index].unsafe_acts.push(act);
                continue;
            }
            if !judged.clean() {
                self.nodes[index].wrong_acts.push(act);
                continue;
            }
            let mut to = Vec::new();
            for found in world.look(&judged.after)? {
                let progress = if found.done { judged.progress } else { progress };
                let next = self.node(known, drill, found.situation, progress);
                if !to.contains(&next) {
                    to.push(next);
                }
            }
            if to == [u32::try_from(index).unwrap_or(u32::MAX)] {
                self.nodes[index].idle_acts.push(act);
            } else {
                self.nodes[index].edges.push(Edge { act, to });
            }
        }
        Ok(())
    }

    /// The edges that lead into each node: from, edge.
    fn incoming(&self) -> Vec<Vec<(u32, usize)>> {
        let mut into = vec![Vec::new(); self.nodes.len()];
        for (from, node) in self.nodes.iter().enumerate() {
            for (edge, leads) in node.edges.iter().enumerate() {
                for to in &leads.to {
                    into[*to as usize].push((u32::try_from(from).unwrap_or(u32::MAX), edge));
                }
            }
        }
        into
    }

    /// A situation is curable if some run of safe acts, with whatever is then seen, ends cured.
    fn mark_curable(&mut self) {
        let incoming = self.incoming();
        let mut waiting: Vec<usize> = (0..self.nodes.len())
            .filter(|index| self.nodes[*index].curable)
            .collect();
        while let Some(index) = waiting.pop() {
            if !self.nodes[index].undisturbed {
                continue;
            }
            for (from, _) in &incoming[index] {
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
        node.cured || (node.handed_over && !node.curable)
    }

    /// The least worst-case time to a pass, from every node.
    ///
    /// Source: D. E. Knuth, "A generalization of Dijkstra's algorithm", Inf. Process. Lett. 6(1), 1977: the time of an
    /// act plus the most of what follows is a superior function, so nodes settle in the order of their times.
    fn plan(&mut self, world: &World) {
        let incoming = self.incoming();
        // For each edge: how many of its outcomes are not settled, and the most time among those that are.
        let mut open: Vec<Vec<(usize, u32)>> = self
            .nodes
            .iter()
            .map(|node| {
                let count = |edge: &Edge| {
                    edge.to
                        .iter()
                        .filter(|to| self.nodes[**to as usize].undisturbed)
                        .count()
                };
                node.edges.iter().map(|edge| (count(edge), 0)).collect()
            })
            .collect();
        let mut queue = BinaryHeap::new();
        for (index, node) in self.nodes.iter().enumerate() {
            if node.undisturbed && self.passes(node) {
                queue.push(Reverse((0u32, index, usize::MAX)));
            }
        }
        while let Some(Reverse((time, index, act))) = queue.pop() {
            let node = &mut self.nodes[index];
            if node.par.is_some() {
                continue;
            }
            node.par = Some(time);
            node.best = (act != usize::MAX).then_some(act);
            for (from, edge) in &incoming[index] {
                let from = *from as usize;
                let (left, most) = &mut open[from][*edge];
                *left = left.saturating_sub(1);
                *most = (*most).max(time);
                if *left == 0 && self.nodes[from].par.is_none() {
                    let act = self.nodes[from].edges[*edge].act;
                    let takes = world.machine.actions[act].takes;
                    queue.push(Reverse((most.saturating_add(takes), from, act)));
                }
            }
        }
    }

    /// The par of the drill: the most over the situations in which it can begin; none if one of them is a trap.
    pub fn par(&self) -> Option<u32> {
        let starts = self.starts.iter().map(|index| &self.nodes[*index as usize]);
        starts
            .filter(|node| node.undisturbed)
            .map(|node| node.par)
            .try_fold(0, |most, par| Some(most.max(par?)))
    }

    /// Situations, reached by safe acts with others still, from which no plan surely ends in a pass.
    pub fn traps(&self) -> impl Iterator<Item = &Node> {
        self.nodes.iter().filter(|node| node.undisturbed && node.par.is_none())
    }
}
