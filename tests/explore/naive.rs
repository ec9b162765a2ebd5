//! A second explorer: sets of plain values, fixed points, no packing, no sharing with the real one.

pub use super::naive_replay::{Bad, replay};
use super::toy::{Change, Cond, Fire, Toy, Values};
use std::collections::{BTreeMap, BTreeSet, VecDeque};

/// What can be the case, each with whether others were still.
pub type Belief = BTreeMap<Values, bool>;

/// For each rule the places that are still to be done.
pub type Due = Vec<Vec<BTreeSet<usize>>>;

/// A model that no machine can be.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Endless;

pub fn holds(cond: &Cond, values: &Values) -> bool {
    cond.all.iter().all(|(v, allowed)| allowed.contains(&values[*v]))
        && (cond.any.is_empty() || cond.any.iter().any(|(v, allowed)| allowed.contains(&values[*v])))
}

fn changed(does: &[Change], values: &Values) -> Values {
    let mut values = values.clone();
    for change in does {
        if change.when.as_ref().is_none_or(|when| holds(when, &values)) {
            for (variable, value) in &change.set {
                values[*variable] = *value;
            }
        }
    }
    values
}

/// What happened: where it ended and which hazards were met.
type Ran = (Values, BTreeSet<usize>);

pub struct Naive<'t> {
    pub toy: &'t Toy,
}

impl Naive<'_> {
    fn person(&self, met: &BTreeSet<usize>) -> bool {
        met.iter().any(|hazard| self.toy.hazards[*hazard].1)
    }

    fn one(&self, fire: &Fire, values: &Values) -> Ran {
        let mut met: BTreeSet<usize> = fire
            .strikes
            .iter()
            .filter(|(when, _)| holds(when, values))
            .map(|(_, hazard)| *hazard)
            .collect();
        let after = changed(&fire.does, values);
        for (index, (when, _)) in self.toy.hazards.iter().enumerate() {
            if let Some(when) = when
                && holds(when, &after)
                && !holds(when, values)
            {
                met.insert(index);
            }
        }
        (after, met)
    }

    fn react(&self, (mut values, mut met): Ran) -> Result<Ran, Endless> {
        let mut seen = BTreeSet::new();
        while !self.person(&met) {
            let Some(reaction) = self
                .toy
                .reactions
                .iter()
                .find(|reaction| holds(&reaction.when, &values))
            else {
                break;
            };
            if !seen.insert(values.clone()) {
                return Err(Endless);
            }
            let (after, more) = self.one(reaction, &values);
            values = after;
            met.extend(more);
        }
        Ok((values, met))
    }

    pub fn run(&self, fire: &Fire, values: &Values) -> Result<Ran, Endless> {
        self.react(self.one(fire, values))
    }

    /// The starts, settled; an error text if one is hurtful as it stands.
    pub fn starts(&self) -> Result<Vec<Values>, Endless> {
        let mut starts = vec![vec![0; self.toy.sizes.len()]];
        for (variable, values) in &self.toy.starts {
            starts = starts
                .iter()
                .flat_map(|start| {
                    values.iter().map(move |value| {
                        let mut start = start.clone();
                        start[*variable] = *value;
                        start
                    })
                })
                .collect();
        }
        starts.sort();
        starts.dedup();
        starts
            .into_iter()
            .map(|start| {
                let standing = self
                    .toy
                    .hazards
                    .iter()
                    .enumerate()
                    .filter(|(_, (when, _))| when.as_ref().is_some_and(|when| holds(when, &start)))
                    .map(|(index, _)| index)
                    .collect();
                Ok(self.react((start, standing))?.0)
            })
            .collect()
    }

    /// All that others alone can make of it, and whether somebody can be hurt on the way.
    pub fn meanwhile(&self, from: &Values) -> Result<(BTreeSet<Values>, bool), Endless> {
        let mut all = BTreeSet::from([from.clone()]);
        let mut danger = false;
        loop {
            let mut fresh = Vec::new();
            for values in &all {
                for other in &self.toy.others {
                    if holds(&other.when, values) {
                        let (after, met) = self.run(other, values)?;
                        if self.person(&met) {
                            danger = true;
                        } else if !all.contains(&after) {
                            fresh.push(after);
                        }
                    }
                }
            }
            if fresh.is_empty() {
                return Ok((all, danger));
            }
            all.extend(fresh);
        }
    }

    fn sees(&self, values: &Values) -> Vec<Option<usize>> {
        (0..values.len())
            .map(|variable| {
                let hidden = self.toy.hidden.iter().find(|(hidden, _)| *hidden == variable);
                match hidden {
                    None => Some(values[variable]),
                    Some((_, until)) => until
                        .as_ref()
                        .is_some_and(|until| holds(until, values))
                        .then_some(values[variable]),
                }
            })
            .collect()
    }

    /// The beliefs after a look: whether the act was possible, and what can then be the case.
    pub fn look(&self, after: &[(Values, bool, bool)]) -> Result<BTreeSet<(bool, Belief)>, Endless> {
        let mut classes: BTreeMap<(bool, Vec<Option<usize>>), Belief> = BTreeMap::new();
        for (values, still, done) in after {
            for next in self.meanwhile(values)?.0 {
                let class = classes.entry((*done, self.sees(&next))).or_default();
                let undisturbed = *still && next == *values;
                let known = class.entry(next).or_insert(false);
                *known = *known || undisturbed;
            }
        }
        let mut found = BTreeSet::new();
        for ((done, _), class) in classes {
            let mut whole = class.clone();
            for values in class.keys() {
                for next in self.meanwhile(values)?.0 {
                    whole.entry(next).or_insert(false);
                }
            }
            found.insert((done, whole));
        }
        Ok(found)
    }

    pub fn fresh_due(&self) -> Due {
        self.toy
            .rules
            .iter()
            .map(|rule| rule.order.iter().map(|place| place.iter().copied().collect()).collect())
            .collect()
    }

    pub fn due_after(&self, due: &Due, act: usize) -> Due {
        let mut due = due.clone();
        for (index, rule) in self.toy.rules.iter().enumerate() {
            if rule.again_after.contains(&act) {
                due[index] = self.fresh_due()[index].clone();
            } else if let Some(place) = due[index].first_mut() {
                place.remove(&act);
                if place.is_empty() {
                    due[index].remove(0);
                }
            }
        }
        due
    }

    /// What an act in a belief is.
    pub fn judge(&self, act: usize, belief: &Belief, due: &Due) -> Result<Verdict, Endless> {
        let fire = &self.toy.actions[act];
        let mut verdict = Verdict::default();
        for (values, still) in belief {
            if !holds(&fire.when, values) {
                verdict.after.push((values.clone(), *still, false));
                continue;
            }
            verdict.offered = true;
            let (after, met) = self.run(fire, values)?;
            verdict.hurts |= self.person(&met) || self.meanwhile(&after)?.1;
            verdict.harms |= met.iter().any(|hazard| !self.toy.hazards[*hazard].1);
            for (index, rule) in self.toy.rules.iter().enumerate() {
                verdict.breaks |= !holds(&rule.when, values) && holds(&rule.when, &after) && !due[index].is_empty();
            }
            verdict.after.push((after, *still, true));
        }
        Ok(verdict)
    }
}

#[derive(Debug, Clone, Default)]
pub struct Verdict {
    pub offered: bool,
    pub hurts: bool,
    pub harms: bool,
    pub breaks: bool,
    pub after: Vec<(Values, bool, bool)>,
}

/// All that the real explorer's graph is compared by.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Map {
    pub nodes: usize,
    pub unsafe_acts: usize,
    pub wrong_acts: usize,
    pub curable: usize,
    pub traps: usize,
    pub par: Option<u32>,
}

type Key = (Belief, Due);

pub struct Atlas {
    pub edges: BTreeMap<Key, Vec<(usize, BTreeSet<Key>)>>,
    pub curable: BTreeSet<Key>,
    pub map: Map,
}

pub fn undisturbed(belief: &Belief) -> impl Iterator<Item = &Values> {
    belief.iter().filter(|(_, still)| **still).map(|(values, _)| values)
}

pub fn atlas(naive: &Naive) -> Result<Atlas, Endless> {
    let toy = naive.toy;
    let begin: Vec<(Values, bool, bool)> = naive.starts()?.into_iter().map(|values| (values, true, true)).collect();
    let first: Vec<Key> = naive
        .look(&begin)?
        .into_iter()
        .map(|(_, belief)| (belief, naive.fresh_due()))
        .collect();
    let cured = |belief: &Belief| {
        undisturbed(belief).next().is_some() && undisturbed(belief).all(|values| holds(&toy.cured, values))
    };
    let mut edges: BTreeMap<Key, Vec<(usize, BTreeSet<Key>)>> = BTreeMap::new();
    let (mut unsafe_acts, mut wrong_acts) = (0, 0);
    let mut waiting: VecDeque<Key> = first.iter().cloned().collect();
    while let Some(key) = waiting.pop_front() {
        if edges.contains_key(&key) {
            continue;
        }
        let mut own = Vec::new();
        // What only others can have brought about is not gone on from.
        if !cured(&key.0) && undisturbed(&key.0).next().is_some() {
            for act in 0..toy.actions.len() {
                let verdict = naive.judge(act, &key.0, &key.1)?;
                if !verdict.offered {
                    continue;
                }
                if verdict.hurts {
                    unsafe_acts += 1;
                } else if verdict.harms || verdict.breaks {
                    wrong_acts += 1;
                } else {
                    let done_due = naive.due_after(&key.1, act);
                    let to: BTreeSet<Key> = naive
                        .look(&verdict.after)?
                        .into_iter()
                        .map(|(done, belief)| (belief, if done { done_due.clone() } else { key.1.clone() }))
                        .collect();
                    waiting.extend(to.iter().cloned());
                    own.push((act, to));
                }
            }
        }
        edges.insert(key, own);
    }
    // Curable: some run ends cured in some undisturbed state.
    let mut curable: BTreeSet<Key> = edges
        .keys()
        .filter(|key| undisturbed(&key.0).any(|values| holds(&toy.cured, values)))
        .cloned()
        .collect();
    loop {
        let more: Vec<Key> = edges
            .iter()
            .filter(|(key, own)| {
                !curable.contains(*key)
                    && own.iter().any(|(_, to)| {
                        to.iter()
                            .any(|next| curable.contains(next) && undisturbed(&next.0).next().is_some())
                    })
            })
            .map(|(key, _)| key.clone())
            .collect();
        if more.is_empty() {
            break;
        }
        curable.extend(more);
    }
    let passes = |key: &Key| {
        let handed = toy
            .handed
            .as_ref()
            .is_some_and(|test| undisturbed(&key.0).all(|values| holds(test, values)));
        undisturbed(&key.0).next().is_some() && (cured(&key.0) || (handed && !curable.contains(key)))
    };
    // Par by repeated improvement.
    let mut par: BTreeMap<&Key, u32> = edges.keys().filter(|key| passes(key)).map(|key| (key, 0)).collect();
    loop {
        let mut better = Vec::new();
        for (key, own) in &edges {
            for (act, to) in own {
                let live: Vec<&Key> = to.iter().filter(|next| undisturbed(&next.0).next().is_some()).collect();
                let most = live
                    .iter()
                    .map(|next| par.get(*next).copied())
                    .try_fold(0, |most, one| Some(most.max(one?)));
                if let Some(most) = most
                    && undisturbed(&key.0).next().is_some()
                {
                    let time = most + toy.actions[*act].takes;
                    if par.get(key).is_none_or(|known| time < *known) {
                        better.push((key, time));
                    }
                }
            }
        }
        if better.is_empty() {
            break;
        }
        for (key, time) in better {
            let known = par.entry(key).or_insert(time);
            *known = (*known).min(time);
        }
    }
    let traps = edges
        .keys()
        .filter(|key| undisturbed(&key.0).next().is_some() && !par.contains_key(key))
        .count();
    let whole = first
        .iter()
        .filter(|key| undisturbed(&key.0).next().is_some())
        .map(|key| par.get(key).copied())
        .try_fold(0, |most: u32, one| Some(most.max(one?)));
    let map = Map {
        nodes: edges.len(),
        unsafe_acts,
        wrong_acts,
        curable: curable.len(),
        traps,
        par: whole,
    };
    Ok(Atlas { edges, curable, map })
}
