//! Backwards from the passes of a drill: what can still be cured, and the best plan from everywhere.

use super::bits::Set;
use super::graph::{Edge, Graph, Plan, index};
use super::situation::World;
use std::collections::{BTreeMap, VecDeque};

impl Graph<'_, '_> {
    /// Those of some nodes of an edge's beginning from which this outcome leads into a set.
    fn leading(&self, edge: &Edge, done: bool, nodes: Set, into: &Set) -> Set {
        if done {
            self.keeping.leading(edge.act, nodes, into)
        } else {
            nodes.and(into)
        }
    }

    /// A situation is curable if some run of safe acts, with whatever is then seen, ends cured.
    pub(super) fn mark_curable(&mut self) {
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
    pub(super) fn plan(&mut self, world: &World) {
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

    /// The acts with which some best plan goes on from a situation, for the way in which the rules are kept.
    pub(super) fn equally_good(&self, world: &World, from: u32, keeping: usize, edges: &[u32]) -> Vec<usize> {
        let best = |situation: u32, keeping: usize| {
            let plans = self.plans[situation as usize].iter();
            plans
                .filter(|plan| plan.nodes.has(keeping))
                .map(|plan| plan.time)
                .next()
        };
        let Some(time) = best(from, keeping) else {
            return Vec::new();
        };
        let lasts = |edge: &Edge| {
            let after = self.keeping.next(edge.act, keeping);
            let ends = edge.to.iter().filter(|(_, to)| self.table.facts(*to).undisturbed);
            let mut most = ends.map(|(done, to)| best(*to, if *done { after } else { keeping }));
            let most = most.try_fold(0, |most, time| Some(most.max(time?)))?;
            Some(most + world.machine.actions[edge.act].takes)
        };
        edges
            .iter()
            .map(|at| &self.edges[*at as usize])
            .filter(|edge| !self.keeping.allow(edge.binds, Set::of(keeping)).is_empty())
            .filter(|edge| lasts(edge).is_some_and(|lasts| lasts <= time))
            .map(|edge| edge.act)
            .collect()
    }

    /// For each situation the edges that lead from it.
    pub(super) fn outgoing(&self) -> Vec<Vec<u32>> {
        let mut outgoing = vec![Vec::new(); self.table.len()];
        for (at, edge) in self.edges.iter().enumerate() {
            outgoing[edge.from as usize].push(index(at));
        }
        outgoing
    }
}
