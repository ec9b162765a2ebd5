//! The second explorer replays a procedure.

use super::naive::{Atlas, Belief, Due, Endless, Naive, holds, undisturbed};
use super::toy::{Step, Values};
use std::collections::{BTreeMap, BTreeSet, VecDeque};

/// How a procedure goes wrong, worst first, as the real one ranks it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Bad {
    Hurts,
    BreaksRule,
    HarmsMachine,
    Stuck,
    NotCured,
    HandedOver,
    NotKnown,
    Endless,
}

type Point = (usize, Belief, Due);

/// The worst that a procedure comes to.
pub fn replay(naive: &Naive, atlas: &Atlas, steps: &[Step], strict: bool) -> Result<Option<Bad>, Endless> {
    let begin: Vec<(Values, bool, bool)> = naive.starts()?.into_iter().map(|values| (values, true, true)).collect();
    let mut waiting: VecDeque<Point> = naive
        .look(&begin)?
        .into_iter()
        .map(|(_, belief)| (0, belief, naive.fresh_due()))
        .collect();
    let mut leads: BTreeMap<Point, BTreeSet<Point>> = BTreeMap::new();
    let mut bad = BTreeSet::new();
    while let Some(point) = waiting.pop_front() {
        if leads.contains_key(&point) {
            continue;
        }
        let mut next = BTreeSet::new();
        follow(naive, atlas, steps, strict, &point, &mut next, &mut bad)?;
        waiting.extend(next.iter().cloned());
        leads.insert(point, next);
    }
    // What is left after taking away, again and again, all points that lead nowhere lies on a cycle or leads to one.
    let mut left = leads.clone();
    loop {
        let ended: Vec<Point> = left
            .iter()
            .filter(|(_, to)| to.iter().all(|next| !left.contains_key(next)))
            .map(|(point, _)| point.clone())
            .collect();
        if ended.is_empty() {
            break;
        }
        for point in ended {
            left.remove(&point);
        }
    }
    if !left.is_empty() {
        bad.insert(Bad::Endless);
    }
    Ok(bad.first().copied())
}

fn follow(
    naive: &Naive,
    atlas: &Atlas,
    steps: &[Step],
    strict: bool,
    (place, belief, due): &Point,
    next: &mut BTreeSet<Point>,
    bad: &mut BTreeSet<Bad>,
) -> Result<(), Endless> {
    let toy = naive.toy;
    let Some(step) = steps.get(*place) else {
        let left: Vec<&Values> = undisturbed(belief)
            .filter(|values| !holds(&toy.cured, values))
            .collect();
        if !left.is_empty() {
            let handed = toy
                .handed
                .as_ref()
                .is_some_and(|test| undisturbed(belief).all(|values| holds(test, values)));
            let key = (belief.clone(), due.clone());
            if !handed {
                bad.insert(Bad::NotCured);
            } else if atlas.curable.contains(&key) || !atlas.edges.contains_key(&key) {
                bad.insert(Bad::HandedOver);
            }
        }
        return Ok(());
    };
    for test in [&step.only, &step.repeat].into_iter().flatten() {
        let truths: BTreeSet<bool> = belief.keys().map(|values| holds(test, values)).collect();
        if truths.len() > 1 {
            bad.insert(Bad::NotKnown);
            if !strict {
                next.insert((place + 1, belief.clone(), due.clone()));
            }
            return Ok(());
        }
        if truths.contains(&false) {
            next.insert((place + 1, belief.clone(), due.clone()));
            return Ok(());
        }
    }
    let verdict = naive.judge(step.act, belief, due)?;
    if !verdict.offered {
        // Only others can have made it impossible: that run is over, and safe.
        if undisturbed(belief).next().is_none() {
            return Ok(());
        }
        bad.insert(Bad::Stuck);
        if !strict {
            next.insert((place + 1, belief.clone(), due.clone()));
        }
        return Ok(());
    }
    if verdict.hurts {
        bad.insert(Bad::Hurts);
        return Ok(());
    }
    if verdict.breaks {
        bad.insert(Bad::BreaksRule);
        if strict {
            return Ok(());
        }
    }
    if verdict.harms {
        bad.insert(Bad::HarmsMachine);
        if strict {
            return Ok(());
        }
    }
    if verdict.after.iter().any(|(_, still, done)| *still && !done) {
        bad.insert(Bad::Stuck);
    }
    let going: Vec<(Values, bool, bool)> = verdict
        .after
        .iter()
        .filter(|(_, still, done)| *done || (*still && !strict))
        .cloned()
        .collect();
    for (done, belief) in naive.look(&going)? {
        let due = if done {
            naive.due_after(due, step.act)
        } else {
            due.clone()
        };
        let place = if done && step.repeat.is_some() {
            *place
        } else {
            place + 1
        };
        next.insert((place, belief, due));
    }
    Ok(())
}
