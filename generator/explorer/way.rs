//! The way that par takes: from one start, act by act, with others still.

use super::drill::Drill;
use super::graph::Graph;
use super::rules::Progress;
use super::situation::{Situation, Stop, World, undisturbed};
use std::collections::HashMap;

/// No way is longer; a plan's time falls with every act, so none comes near it.
const MOST: usize = 1000;

/// For each start of a drill the acts of the best plan, as they come where others are still. Empty where there is no plan.
///
/// # Errors
/// [`Stop`].
pub fn par_ways(world: &World, drill: &Drill, graph: &Graph) -> Result<Vec<Vec<usize>>, Stop> {
    let begin = world.begin(drill)?;
    let found = world.look(&begin)?;
    let outgoing = graph.outgoing();
    let mut known: HashMap<(Situation, Progress), Option<usize>> = HashMap::new();
    let mut ways = Vec::with_capacity(begin.len());
    for (state, ..) in &begin {
        let mut real = *state;
        let seen = world.machine.seen(real);
        let here = found.iter().find(|found| found.seen == seen);
        let mut here = here.map(|found| (found.situation.clone(), Progress::default()));
        let mut way = Vec::new();
        while let Some((situation, progress)) = here.take() {
            let key = (situation, progress);
            let act = match known.get(&key) {
                Some(act) => *act,
                None => {
                    let act = next(world, graph, &outgoing, &key.0, key.1)?;
                    known.insert(key.clone(), act);
                    act
                }
            };
            let Some(act) = act.filter(|_| way.len() < MOST) else {
                break;
            };
            way.push(act);
            let judged = world.judge(act, &key.0, key.1)?;
            let done = world.machine.possible(act, real);
            if done {
                real = world.machine.act(act, real)?.state;
            }
            let seen = world.machine.seen(real);
            let progress = if done { judged.progress } else { key.1 };
            here = world
                .look(&judged.after)?
                .into_iter()
                .find(|found| found.done == done && found.seen == seen)
                .map(|found| (found.situation, progress));
        }
        ways.push(way);
    }
    Ok(ways)
}

/// The act with which a best plan goes on from a situation: of several the first that the machine lists, since an author
/// lists them in the order in which they are taught. The graph names acts up to the order of members that are alike; here it
/// is the first instance from which the plan's time can be kept.
fn next(
    world: &World,
    graph: &Graph,
    outgoing: &[Vec<u32>],
    situation: &Situation,
    progress: Progress,
) -> Result<Option<usize>, Stop> {
    let Some(node) = graph.find(situation, progress) else {
        return Ok(None);
    };
    let Some((time, Some(_))) = graph.best(node) else {
        return Ok(None);
    };
    let machine = world.machine;
    let mut named = graph.equally_good(world, node.situation, node.keeping, &outgoing[node.situation as usize]);
    named.sort_unstable();
    let mut ids: Vec<&str> = named.iter().map(|act| machine.actions[*act].id.as_str()).collect();
    ids.dedup();
    for act in ids.into_iter().flat_map(|id| machine.instances(id)) {
        if !world.offered(act, situation) {
            continue;
        }
        let judged = world.judge(act, situation, progress)?;
        if !judged.clean() {
            continue;
        }
        let mut most = Some(0);
        for found in world.look(&judged.after)? {
            if undisturbed(&found.situation).next().is_none() {
                continue;
            }
            let progress = if found.done { judged.progress } else { progress };
            let best = graph.find(&found.situation, progress).and_then(|node| graph.best(node));
            most = most.zip(best).map(|(most, (time, _)): (u32, _)| most.max(time));
        }
        if most.is_some_and(|most| most.saturating_add(machine.actions[act].takes) <= time) {
            return Ok(Some(act));
        }
    }
    Ok(None)
}
