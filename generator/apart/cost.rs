//! What asking costs: how many questions this way of asking takes, against the fewest that could do, and the bound from entropy.

use super::look::{chances, look_from, seen};
use super::{Answer, End, Sign, Stops, TELLS, look};
use std::collections::HashMap;

/// How good asking is on one machine.
#[derive(Debug, Clone, PartialEq)]
pub struct Cost {
    /// Mean number of questions where each sign shows just as it does for the most part, over all stops.
    pub mean: f64,
    /// For how many stops the right one is then the first.
    pub right: usize,
    /// The fewest that can be asked on average to tell apart, by those same answers, all that they can tell apart. `None` for
    /// more stops than [`MOST_STOPS`].
    pub optimum: Option<f64>,
    /// log₂ of the number of stops: no way of asking yes or no can do with fewer, if it tells all apart.
    pub bound: f64,
    /// Mean number of questions, and the chance that the right stop is first, where signs show by the course's own chances. `None`
    /// where there are more ways to go than [`MOST_WAYS`].
    pub by_chance: Option<(f64, f64)>,
}

/// The most stops over whose sets the optimum is looked for.
pub const MOST_STOPS: usize = 20;

/// The most turns of all ways of answering that are followed.
pub const MOST_WAYS: usize = 60_000;

/// The answer that is to be expected at a stop, if a sign shows with this chance: yes where it shows more often than not. So *always*
/// and *often* are a yes, *sometimes* and *never* a no, and so is what a stop does not list.
fn expected(hundredths: u32) -> bool {
    hundredths >= 50
}

/// Works out what asking costs on a machine.
pub fn cost(stops: &Stops) -> Cost {
    let many = stops.stops.len();
    let runs: Vec<(usize, bool)> = (0..many).map(|stop| run(stops, stop)).collect();
    let asked: usize = runs.iter().map(|(asked, _)| asked).sum();
    Cost {
        mean: asked as f64 / many as f64,
        right: runs.iter().filter(|(_, right)| *right).count(),
        optimum: optimum(stops),
        bound: (many as f64).log2(),
        by_chance: by_chance(stops),
    }
}

/// Asks about one stop, each answer being the one to be expected: how many questions, and whether that led to it.
fn run(stops: &Stops, stop: usize) -> (usize, bool) {
    let mut answers = vec![None; stops.signs.len()];
    let mut asked = 0;
    loop {
        let now = look(stops, &answers);
        match now.next {
            Ok(sign) => {
                asked += 1;
                answers[sign] = Some(if expected(stops.signs[sign].shows[stop]) {
                    Answer::Yes
                } else {
                    Answer::No
                });
            }
            // Whoever is sent away from the machine is sent right, whichever stop it is.
            Err(End::AtOnce) => return (asked, true),
            Err(_) => return (asked, now.order.first() == Some(&stop)),
        }
    }
}

/// The least mean number of questions by the answers to be expected, by dynamic programming over the sets of stops that can be left.
fn optimum(stops: &Stops) -> Option<f64> {
    let many = stops.stops.len();
    if many > MOST_STOPS {
        return None;
    }
    let mut splits: Vec<(u32, bool)> = stops
        .signs
        .iter()
        .map(|sign| {
            let yes = (0..many).filter(|stop| expected(sign.shows[*stop]));
            (yes.map(|stop| 1 << stop).sum(), sign.alarm)
        })
        .collect();
    splits.sort_unstable();
    splits.dedup();
    let all = if many == 0 { 0 } else { u32::MAX >> (32 - many) };
    let total = least(all, &splits, &mut HashMap::new());
    Some(f64::from(total) / many as f64)
}

/// The least number of questions, summed over the stops of a set.
fn least(set: u32, splits: &[(u32, bool)], known: &mut HashMap<u32, u32>) -> u32 {
    if set.count_ones() < 2 {
        return 0;
    }
    if let Some(least) = known.get(&set) {
        return *least;
    }
    let mut best: Option<u32> = None;
    for (split, alarm) in splits {
        let (yes, no) = (set & split, set & !split);
        if yes == 0 || no == 0 {
            continue;
        }
        // A yes to an alarm ends asking.
        let after_yes = if *alarm { 0 } else { least(yes, splits, known) };
        let sum = set.count_ones() + after_yes + least(no, splits, known);
        best = Some(best.map_or(sum, |best| best.min(sum)));
    }
    // What no sign splits is asked about no further.
    let best = best.unwrap_or(0);
    known.insert(set, best);
    best
}

/// Follows every way that answers can go, each with its chance.
fn by_chance(stops: &Stops) -> Option<(f64, f64)> {
    let mut ways = Ways {
        stops,
        left: MOST_WAYS,
        asked: 0.0,
        right: 0.0,
    };
    ways.follow(&mut vec![None; stops.signs.len()], 1.0)?;
    Some((ways.asked, ways.right))
}

struct Ways<'a> {
    stops: &'a Stops,
    left: usize,
    asked: f64,
    right: f64,
}

impl Ways<'_> {
    /// Everything that can follow these answers, which come up with this chance. `None` where that is too much.
    fn follow(&mut self, answers: &mut Vec<Option<Answer>>, share: f64) -> Option<()> {
        self.left = self.left.checked_sub(1)?;
        let chances = chances(self.stops, answers);
        let now = look_from(self.stops, answers, &chances);
        match now.next {
            Ok(sign) => {
                self.asked += share;
                let yes = seen(&chances, &self.stops.signs[sign].shows);
                for (answer, chance) in [(Answer::Yes, yes), (Answer::No, 1.0 - yes)] {
                    answers[sign] = Some(answer);
                    self.follow(answers, share * chance)?;
                }
                answers[sign] = None;
            }
            Err(End::AtOnce) => self.right += share,
            Err(_) => self.right += share * now.order.first().map_or(0.0, |first| chances[*first]),
        }
        Some(())
    }
}

/// Two stops, by their places, and how well the signs tell them apart.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Pair {
    pub stops: (usize, usize),
    /// The sign whose chances lie furthest from each other, and how far, in hundredths.
    pub best: Option<(usize, u32)>,
}

fn best(signs: &[Sign], one: usize, other: usize) -> Option<(usize, u32)> {
    let far = |sign: &Sign| sign.shows[one].abs_diff(sign.shows[other]);
    let signs = signs.iter().map(far).enumerate().filter(|(_, far)| *far > 0);
    signs.max_by_key(|(sign, far)| (*far, usize::MAX - sign))
}

/// The pairs of stops that no sign tells apart: there is none whose chances lie [`TELLS`] hundredths from each other.
pub fn pairs(stops: &Stops) -> Vec<Pair> {
    let many = stops.stops.len();
    let all = (0..many).flat_map(|one| (one + 1..many).map(move |other| (one, other)));
    all.map(|(one, other)| Pair {
        stops: (one, other),
        best: best(&stops.signs, one, other),
    })
    .filter(|pair| pair.best.is_none_or(|(_, far)| far < TELLS))
    .collect()
}

/// Those pairs for which nothing at all is different.
pub fn pairs_alike(stops: &Stops) -> Vec<(usize, usize)> {
    let alike = pairs(stops).into_iter().filter(|pair| pair.best.is_none());
    alike.map(|pair| pair.stops).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Stops and signs from rows of hundredths, one row a sign.
    fn made(rows: &[&[u32]]) -> Stops {
        Stops {
            machine: "m".to_owned(),
            stops: (0..rows[0].len()).map(|stop| format!("s-{stop}")).collect(),
            signs: rows
                .iter()
                .enumerate()
                .map(|(at, shows)| Sign {
                    id: format!("g-{at}"),
                    alarm: false,
                    shows: shows.to_vec(),
                })
                .collect(),
        }
    }

    #[test]
    fn four_stops_and_two_halves_take_two_questions() {
        let stops = made(&[&[98, 98, 2, 2], &[98, 2, 98, 2]]);
        let cost = cost(&stops);
        assert_eq!(
            (cost.mean, cost.optimum, cost.bound, cost.right),
            (2.0, Some(2.0), 2.0, 4)
        );
        assert_eq!(pairs(&stops), Vec::new());
    }

    /// One sign a stop: asked one by one, the last two by one question: (1 + 2 + 3 + 3) / 4.
    #[test]
    fn signs_of_one_stop_each_are_asked_one_by_one() {
        let stops = made(&[&[98, 2, 2, 2], &[2, 98, 2, 2], &[2, 2, 98, 2], &[2, 2, 2, 98]]);
        assert_eq!(cost(&stops).optimum, Some(2.25));
    }

    #[test]
    fn what_shows_alike_is_told_of() {
        let stops = made(&[&[98, 98, 30], &[2, 2, 2]]);
        let found: Vec<_> = pairs(&stops).into_iter().map(|pair| (pair.stops, pair.best)).collect();
        assert_eq!(found, [((0, 1), None)]);
        assert_eq!(pairs_alike(&stops), [(0, 1)]);
        // Often and sometimes are two words, and too near to tell by.
        let near = pairs(&made(&[&[70, 30]]));
        assert_eq!(near[0].best, Some((0, 40)));
    }

    /// Nothing is asked that is not worth it, and of two that no sign tells apart neither stands out.
    #[test]
    fn asking_ends() {
        let stops = made(&[&[50, 50]]);
        let now = look(&stops, &[None]);
        assert_eq!((now.likely, now.next), (vec![500_000, 500_000], Err(End::NothingTells)));
        assert_eq!(cost(&stops).by_chance, Some((0.0, 0.5)));
    }
}
