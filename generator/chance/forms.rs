//! The chance that blind answers pass a form, exactly, and the form on which it is greatest.

use std::collections::BTreeMap;

/// One question as a blind guesser meets it.
#[derive(Debug, Clone, PartialEq)]
pub struct Item {
    /// Marks in parts of the full mark, and their chances, which add up to 1.
    pub marks: Vec<(u32, f64)>,
    /// Less than the full mark fails the attempt.
    pub critical: bool,
}

impl Item {
    /// A question that is right with a chance and otherwise earns nothing.
    pub fn right_with(chance: f64, full: u32, critical: bool) -> Self {
        Self {
            marks: vec![(full, chance), (0, 1.0 - chance)],
            critical,
        }
    }
}

/// Questions of which a number is drawn.
#[derive(Debug, Clone, PartialEq)]
pub struct Pool {
    pub count: usize,
    pub items: Vec<Item>,
}

/// The form that a blind guesser would like best.
#[derive(Debug, Clone, PartialEq)]
pub struct WorstForm {
    /// The chance of passing it.
    pub chance: f64,
    /// Whether the chance is exact; else there were too many forms, and it is a bound from above.
    pub exact: bool,
}

/// The chance that blind answers to `items` earn at least `needed` parts and full marks on each critical one.
///
/// The sum of independent marks, convolved; with equal chances it is the binomial distribution.
pub fn blind_form(items: &[&Item], full: u32, needed: u64) -> f64 {
    let mut sums: BTreeMap<u64, f64> = BTreeMap::from([(0, 1.0)]);
    for item in items {
        let mut next = BTreeMap::new();
        for (sum, chance) in &sums {
            for (parts, of) in &item.marks {
                if item.critical && *parts < full {
                    continue;
                }
                *next.entry(sum + u64::from(*parts)).or_insert(0.0) += chance * of;
            }
        }
        sums = next;
    }
    sums.range(needed..).map(|(_, chance)| chance).sum()
}

/// Past this many different forms the bound is given instead of the maximum.
const MOST_FORMS: usize = 20_000;

/// The greatest chance over all forms that can be drawn.
///
/// Questions that look the same to a guesser are interchangeable, so only the number drawn of each sort matters, and only picks
/// that no swap would better. Where even these are too many, every place of the form gets the best chance of its pool and no critical rule: never less than the truth.
pub fn worst_form(pools: &[Pool], full: u32, needed: u64) -> WorstForm {
    let sorts: Vec<Vec<(&Item, usize)>> = pools.iter().map(|pool| sorts(&pool.items)).collect();
    let mut forms: Vec<Vec<&Item>> = vec![Vec::new()];
    for (pool, sorts) in pools.iter().zip(&sorts) {
        let picks = picks(sorts, pool.count);
        if forms.len().saturating_mul(picks.len()) > MOST_FORMS {
            return bound(pools, full, needed);
        }
        forms = forms
            .iter()
            .flat_map(|form| {
                picks.iter().map(move |pick| {
                    let mut longer = form.clone();
                    longer.extend(pick);
                    longer
                })
            })
            .collect();
    }
    WorstForm {
        chance: forms
            .iter()
            .map(|form| blind_form(form, full, needed))
            .fold(0.0, f64::max),
        exact: true,
    }
}

/// The different items of a pool and how many there are of each.
fn sorts(items: &[Item]) -> Vec<(&Item, usize)> {
    let mut sorts: Vec<(&Item, usize)> = Vec::new();
    for item in items {
        match sorts.iter_mut().find(|(known, _)| *known == item) {
            Some((_, number)) => *number += 1,
            None => sorts.push((item, 1)),
        }
    }
    sorts
}

/// Every way to take `count` items, by how many of each sort, less those that a guesser would better by swapping an item.
fn picks<'a>(sorts: &[(&'a Item, usize)], count: usize) -> Vec<Vec<&'a Item>> {
    let mut picks = Vec::new();
    take(sorts, count, &mut vec![0; sorts.len()], 0, &mut picks);
    picks
}

/// Chooses how many to take of sort `at` and of those after it.
fn take<'a>(
    sorts: &[(&'a Item, usize)],
    left: usize,
    taken: &mut Vec<usize>,
    at: usize,
    picks: &mut Vec<Vec<&'a Item>>,
) {
    if at == sorts.len() {
        if left == 0 && !can_be_bettered(sorts, taken) {
            let pick = sorts.iter().zip(taken.iter());
            picks.push(
                pick.flat_map(|((item, _), number)| std::iter::repeat_n(*item, *number))
                    .collect(),
            );
        }
        return;
    }
    for number in 0..=left.min(sorts[at].1) {
        taken[at] = number;
        take(sorts, left - number, taken, at + 1, picks);
    }
    taken[at] = 0;
}

/// Whether an item left out is at least as good for a guesser as one taken. The chance of passing rises with every item, so
/// such a pick need not be looked at: swapping leads to one that is. Of two equally good ones the earlier is taken first.
fn can_be_bettered(sorts: &[(&Item, usize)], taken: &[usize]) -> bool {
    sorts.iter().enumerate().any(|(worse, (item, _))| {
        taken[worse] > 0
            && sorts.iter().enumerate().any(|(better, (other, there))| {
                better != worse
                    && taken[better] < *there
                    && dominates(other, item)
                    && (better < worse || !dominates(item, other))
            })
    })
}

/// Whether `better` earns each mark at least as often as `worse`, and is critical only if that is.
fn dominates(better: &Item, worse: &Item) -> bool {
    let levels = || better.marks.iter().chain(&worse.marks).map(|(parts, _)| *parts);
    (!better.critical || worse.critical) && levels().all(|level| at_least(better, level) >= at_least(worse, level))
}

/// The chance of earning `level` parts or more.
fn at_least(item: &Item, level: u32) -> f64 {
    item.marks
        .iter()
        .filter(|(parts, _)| *parts >= level)
        .map(|(_, chance)| chance)
        .sum()
}

fn bound(pools: &[Pool], full: u32, needed: u64) -> WorstForm {
    let best: Vec<Item> = pools
        .iter()
        .flat_map(|pool| std::iter::repeat_n(best_of(&pool.items), pool.count))
        .collect();
    let items: Vec<&Item> = best.iter().collect();
    WorstForm {
        chance: blind_form(&items, full, needed),
        exact: false,
    }
}

/// An item at least as good for a guesser as each of the pool: for every mark, the greatest chance of earning that or more.
fn best_of(items: &[Item]) -> Item {
    let mut levels: Vec<u32> = items
        .iter()
        .flat_map(|item| item.marks.iter().map(|(parts, _)| *parts))
        .collect();
    levels.sort_unstable_by(|a, b| b.cmp(a));
    levels.dedup();
    let mut given = 0.0;
    let marks = levels
        .into_iter()
        .map(|level| {
            let reach = items.iter().map(|item| at_least(item, level)).fold(given, f64::max);
            let chance = reach - given;
            given = reach;
            (level, chance)
        })
        .collect();
    Item { marks, critical: false }
}
