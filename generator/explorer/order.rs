//! Which orders of some acts are right: all that are safe, keep the rules, and end cured.

use super::drill::Drill;
use super::judge::Judged;
use super::rules::Progress;
use super::situation::{Situation, Stop, World};
use super::story::Told;
use super::word::State;
use std::collections::HashMap;

/// All orders of some acts, as a graph whose ways are the orders.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Orders {
    /// For each node, what each act that is still to be done leads to, by its place in the list. Node 0 is the beginning.
    pub nodes: Vec<Vec<(usize, Next)>>,
    /// How many whole orders are right.
    pub right: u64,
}

/// What doing an act next comes to.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Next {
    /// It is right so far; the node that follows.
    On(usize),
    /// All is done and cured.
    Cured,
    /// Here it goes wrong.
    Wrong(Wrong),
}

/// How an order goes wrong.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Wrong {
    /// Somebody can be hurt: the hazard, and how it comes about, from a state that the person cannot tell from the real one.
    Hurts(usize, Vec<Told>),
    /// The rule is broken.
    BreaksRule(usize),
    /// The machine is harmed.
    HarmsMachine(usize),
    /// It cannot be done yet.
    NotPossible,
    /// All is done, and the stop is not cured.
    NotCured,
}

/// At most so many acts are ordered: 2^8 sets of them.
pub const MOST_ACTS: usize = 8;

type Point = (u16, State, Situation, Progress);

/// What is then the case with others still, and what the person can know of it.
fn gone_on(world: &World, act: usize, real: State, judged: &Judged) -> Result<Option<(State, Situation)>, Stop> {
    let after = world.machine.act(act, real)?.state;
    let seen = world.machine.seen(after);
    let found = world
        .look(&judged.after)?
        .into_iter()
        .find(|found| found.done && found.seen == seen);
    Ok(found.map(|found| (after, found.situation)))
}

/// Looks at every order of the acts from one start, with others still, after some acts that were done before; each act is
/// judged by all that the person may believe on this drill. No node at all means that what was done before cannot be done,
/// or is wrong itself.
///
/// # Errors
/// [`Stop`].
pub fn orders(world: &World, drill: &Drill, start: State, before: &[usize], acts: &[usize]) -> Result<Orders, Stop> {
    let settled = world.begin(drill)?;
    let real = world.machine.settle(start)?.state;
    let seen = world.machine.seen(real);
    let situation = world
        .look(&settled)?
        .into_iter()
        .find(|found| found.seen == seen)
        .map(|found| found.situation);
    let mut orders = Orders {
        nodes: Vec::new(),
        right: 0,
    };
    let Some(mut situation) = situation else {
        return Ok(orders);
    };
    let (mut real, mut progress) = (real, Progress::default());
    for act in before {
        let judged = world.judge(*act, &situation, progress)?;
        if !world.machine.possible(*act, real) || !judged.clean() {
            return Ok(orders);
        }
        let Some(gone) = gone_on(world, *act, real, &judged)? else {
            return Ok(orders);
        };
        (real, situation) = gone;
        progress = judged.progress;
    }
    let mut points: Vec<Point> = vec![(0, real, situation, progress)];
    let mut known: HashMap<Point, usize> = HashMap::from([(points[0].clone(), 0)]);
    while orders.nodes.len() < points.len() {
        let (done, real, situation, progress) = points[orders.nodes.len()].clone();
        let mut leads = Vec::new();
        for (place, act) in acts.iter().enumerate() {
            if (done >> place) & 1 == 1 {
                continue;
            }
            let done = done | (1 << place);
            let next = if !world.machine.possible(*act, real) {
                Next::Wrong(Wrong::NotPossible)
            } else {
                let judged = world.judge(*act, &situation, progress)?;
                if let Some(from) = judged.danger_from {
                    let mut lines = vec![Told::Start(from)];
                    let met = world.how_it_hurts(done.count_ones() as usize, *act, from, &mut lines)?;
                    Next::Wrong(Wrong::Hurts(met.trailing_zeros() as usize, lines))
                } else if let Some((rule, _)) = judged.broken {
                    Next::Wrong(Wrong::BreaksRule(rule))
                } else if judged.harm != 0 {
                    Next::Wrong(Wrong::HarmsMachine(judged.harm.trailing_zeros() as usize))
                } else {
                    match gone_on(world, *act, real, &judged)? {
                        None => Next::Wrong(Wrong::NotPossible),
                        Some((after, _)) if done.count_ones() as usize == acts.len() => {
                            if drill.cured.holds(after) {
                                Next::Cured
                            } else {
                                Next::Wrong(Wrong::NotCured)
                            }
                        }
                        Some((after, situation)) => {
                            let point = (done, after, situation, judged.progress);
                            let node = *known.entry(point.clone()).or_insert_with(|| {
                                points.push(point);
                                points.len() - 1
                            });
                            Next::On(node)
                        }
                    }
                }
            };
            leads.push((place, next));
        }
        orders.nodes.push(leads);
    }
    // Every node leads only to later ones: it has more acts done.
    let mut ways = vec![0u64; orders.nodes.len()];
    for node in (0..orders.nodes.len()).rev() {
        ways[node] = orders.nodes[node]
            .iter()
            .map(|(_, next)| match next {
                Next::On(to) => ways[*to],
                Next::Cured => 1,
                Next::Wrong(_) => 0,
            })
            .sum();
    }
    orders.right = ways.first().copied().unwrap_or(0);
    Ok(orders)
}
