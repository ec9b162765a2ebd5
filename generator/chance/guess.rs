//! What somebody who knows nothing earns on one question: each mark with its chance, greatest mark first, in parts of the full
//! mark. Numbers of things are at most some tens, so every count below is a whole number that a double holds.

/// Marks and their chances, which add up to 1.
pub type Marks = Vec<(u32, f64)>;

/// One of `of` answers, all equally likely, of which `right` earn the full mark and the rest nothing.
pub fn one_of(right: u64, of: u64, full: u32) -> Marks {
    let chance = whole(right) / whole(of.max(1));
    vec![(full, chance), (0, 1.0 - chance)]
}

/// One of the 2^n − 1 ways to pick at least one of n options, of which `keys` are right: all or nothing.
pub fn subset(options: u32, full: u32) -> Marks {
    let chance = 1.0 / (2f64.powi(exponent(options)) - 1.0);
    vec![(full, chance), (0, 1.0 - chance)]
}

/// As [`subset`], where `hits − misses` of `keys` shares of the mark are earned, and never less than nothing.
///
/// C(k, r)·C(n − k, w) of the picks hold r right and w wrong options.
pub fn subset_shared(options: u32, keys: u32, full: u32) -> Marks {
    let picks = 2f64.powi(exponent(options)) - 1.0;
    let mut ways = vec![0.0; keys as usize + 1];
    for hits in 0..=keys {
        for misses in 0..=options.saturating_sub(keys) {
            if hits + misses > 0 {
                let earned = hits.saturating_sub(misses);
                ways[earned as usize] += choose(keys, hits) * choose(options - keys, misses);
            }
        }
    }
    shares(&ways, picks, full)
}

/// One of the n! ways to put n right sides to n left ones, where each pair put together rightly earns its share.
///
/// The number of permutations with exactly k fixed points is the rencontres number C(n, k)·D(n − k), D being the number of
/// derangements: P. R. de Montmort, "Essay d'analyse sur les jeux de hazard", 1713 (the source is named from memory).
pub fn matching(pairs: u32, full: u32) -> Marks {
    let ways: Vec<f64> = (0..=pairs)
        .map(|fixed| choose(pairs, fixed) * derangements(pairs - fixed))
        .collect();
    shares(&ways, factorial(pairs), full)
}

/// One of the n! orders of n steps, one of them right.
pub fn order(steps: u32, full: u32) -> Marks {
    orders(1, steps, full)
}

/// One of the n! orders of n steps, so many of them right.
pub fn orders(right: u64, steps: u32, full: u32) -> Marks {
    let chance = whole(right) / factorial(steps);
    vec![(full, chance), (0, 1.0 - chance)]
}

/// `ways[k]` of `all` earn k of so many shares as there are.
fn shares(ways: &[f64], all: f64, full: u32) -> Marks {
    let shares = u32::try_from(ways.len().saturating_sub(1).max(1)).unwrap_or(u32::MAX);
    let mut marks: Marks = (0..=shares)
        .zip(ways)
        .filter(|(_, ways)| **ways > 0.0)
        .map(|(share, ways)| (full * share / shares, ways / all))
        .collect();
    marks.reverse();
    marks
}

fn choose(of: u32, taken: u32) -> f64 {
    (0..taken).fold(1.0, |ways, at| ways * f64::from(of - at) / f64::from(at + 1))
}

fn factorial(number: u32) -> f64 {
    (1..=number).map(f64::from).product()
}

/// Permutations that leave nothing in its place: D(0) = 1, D(n) = n·D(n − 1) + (−1)^n.
fn derangements(number: u32) -> f64 {
    (1..=number).fold(1.0, |before, n| {
        let sign = if n % 2 == 0 { 1.0 } else { -1.0 };
        f64::from(n) * before + sign
    })
}

fn exponent(number: u32) -> i32 {
    i32::try_from(number).unwrap_or(i32::MAX)
}

#[expect(clippy::cast_precision_loss, reason = "numbers of answers are far below 2^52")]
fn whole(number: u64) -> f64 {
    number as f64
}
