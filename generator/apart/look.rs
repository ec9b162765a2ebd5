//! Answers → how likely each stop is, and what to look for next.

use super::{Answer, LEAST_WORTH, STANDS_OUT, Stops};

/// Where asking stands.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Look {
    /// How likely each stop is, in millionths, in the order of [`Stops::stops`].
    pub likely: Vec<u32>,
    /// The stops from the likeliest down; of equals the first by id is first.
    pub order: Vec<usize>,
    /// What each sign would tell, in millionths of a bit; 0 for one that has its answer.
    pub worth: Vec<u32>,
    /// The sign to look for next, or why there is none.
    pub next: Result<usize, End>,
}

/// Why nothing more is asked.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum End {
    /// Something is seen that nobody looks into any further.
    AtOnce,
    /// One stop is likely enough.
    StandsOut,
    /// No sign left would tell much.
    NothingTells,
}

impl End {
    /// Its name in the page.
    pub fn word(self) -> &'static str {
        match self {
            Self::AtOnce => "at-once",
            Self::StandsOut => "stands-out",
            Self::NothingTells => "nothing-tells",
        }
    }
}

/// 1 / ln 2.
const LOG2_E: f64 = std::f64::consts::LOG2_E;

/// Terms of the series for the logarithm: what is left out is below 10⁻¹³.
const TERMS: u32 = 14;

/// The logarithm to base 2 of a number above 0 and up to 1, by basic operations alone, which every machine rounds alike.
///
/// With x = m · 2ᵉ, 1 ≤ m < 2 and y = (m − 1)/(m + 1): ln m = 2 (y + y³/3 + y⁵/5 + …).
pub fn log2(x: f64) -> f64 {
    let (mut m, mut e) = (x, 0.0);
    while m < 1.0 {
        m *= 2.0;
        e -= 1.0;
    }
    let y = (m - 1.0) / (m + 1.0);
    let square = y * y;
    let mut sum = 0.0;
    for term in (0..TERMS).rev() {
        sum = sum * square + 1.0 / f64::from(2 * term + 1);
    }
    e + 2.0 * y * sum * LOG2_E
}

/// The entropy, in bits, of something that has this chance.
pub fn entropy(chance: f64) -> f64 {
    if chance <= 0.0 || chance >= 1.0 {
        return 0.0;
    }
    let other = 1.0 - chance;
    0.0 - (chance * log2(chance) + other * log2(other))
}

/// A number from 0 up as whole millionths.
fn millionths(number: f64) -> u32 {
    (number * 1e6 + 0.5).floor().max(0.0) as u32
}

/// How likely each stop is by Bayes' rule, all being equally likely before anything is seen, and signs showing independently of each
/// other. The order in which answers were given does not count.
pub(super) fn chances(stops: &Stops, answers: &[Option<Answer>]) -> Vec<f64> {
    let many = stops.stops.len();
    let mut chances = vec![1.0 / many as f64; many];
    for (sign, answer) in stops.signs.iter().zip(answers) {
        let yes = match answer {
            Some(Answer::Yes) => true,
            Some(Answer::No) => false,
            Some(Answer::CannotSee) | None => continue,
        };
        let mut sum = 0.0;
        for (chance, shows) in chances.iter_mut().zip(&sign.shows) {
            let hundredths = if yes { *shows } else { 100 - shows };
            *chance *= f64::from(hundredths) / 100.0;
            sum += *chance;
        }
        for chance in &mut chances {
            *chance /= sum;
        }
    }
    chances
}

/// The chance that a sign is seen.
pub(super) fn seen(chances: &[f64], shows: &[u32]) -> f64 {
    let mut seen = 0.0;
    for (chance, shows) in chances.iter().zip(shows) {
        seen += chance * (f64::from(*shows) / 100.0);
    }
    seen
}

/// What one sign tells of the stops on average: the mutual information of its answer and the stop, in bits.
fn worth(chances: &[f64], shows: &[u32]) -> f64 {
    let mut left = 0.0;
    for (chance, shows) in chances.iter().zip(shows) {
        left += chance * entropy(f64::from(*shows) / 100.0);
    }
    entropy(seen(chances, shows)) - left
}

/// Where asking stands after these answers, one for each sign that has one.
pub fn look(stops: &Stops, answers: &[Option<Answer>]) -> Look {
    look_from(stops, answers, &chances(stops, answers))
}

pub(super) fn look_from(stops: &Stops, answers: &[Option<Answer>], chances: &[f64]) -> Look {
    let likely: Vec<u32> = chances.iter().copied().map(millionths).collect();
    let mut order: Vec<usize> = (0..likely.len()).collect();
    order.sort_by_key(|stop| (u32::MAX - likely[*stop], *stop));
    let worth: Vec<u32> = stops
        .signs
        .iter()
        .zip(answers)
        .map(|(sign, answer)| answer.map_or_else(|| millionths(worth(chances, &sign.shows)), |_| 0))
        .collect();
    let alarm = stops
        .signs
        .iter()
        .zip(answers)
        .any(|(sign, answer)| sign.alarm && *answer == Some(Answer::Yes));
    // Of equals the first by id.
    let best = (0..worth.len()).rev().max_by_key(|sign| worth[*sign]);
    let next = if alarm {
        Err(End::AtOnce)
    } else if order.first().is_some_and(|first| likely[*first] >= STANDS_OUT) {
        Err(End::StandsOut)
    } else {
        best.filter(|sign| worth[*sign] >= LEAST_WORTH).ok_or(End::NothingTells)
    };
    Look {
        likely,
        order,
        worth,
        next,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_logarithm_is_one() {
        for step in 1..=10_000_u32 {
            let x = f64::from(step) / 10_000.0;
            assert!((log2(x) - x.log2()).abs() < 1e-12, "{x}: {} {}", log2(x), x.log2());
        }
        assert_eq!(log2(1.0), 0.0);
        assert_eq!(log2(0.25), -2.0);
    }

    #[test]
    fn entropies_known_by_heart() {
        assert_eq!(entropy(0.5), 1.0);
        assert_eq!((entropy(0.0), entropy(1.0)), (0.0, 0.0));
        // ¼ · 2 + ¾ · (2 − log₂ 3)
        assert!((entropy(0.25) - 0.811_278_124_459_132_9).abs() < 1e-12);
    }
}
