//! What somebody who knows nothing earns on one question of each kind: the exact chances against every response marked one by one,
//! against published numbers of permutations, and against a hundred thousand blind answers.

use super::simulation::block;
use pitwright::chance::guess::{self, Marks};
use pitwright::chance::shared_at_least;
use pitwright::marking::{Decimal, FULL, Kind, Question, Xoshiro128};
use pitwright::model::Answer;
use pitwright::score::mark;
use std::collections::BTreeMap;

/// Every way to order some ids.
fn orders(ids: &[String]) -> Vec<Vec<&str>> {
    let mut all: Vec<Vec<&str>> = vec![Vec::new()];
    for id in ids {
        all = all
            .iter()
            .flat_map(|order| {
                (0..=order.len()).map(move |at| {
                    let mut longer = order.clone();
                    longer.insert(at, id.as_str());
                    longer
                })
            })
            .collect();
    }
    all
}

fn paired(lefts: &[String], rights: &[&str]) -> String {
    let sides: Vec<String> = lefts
        .iter()
        .zip(rights)
        .map(|(left, right)| format!("{left}[.]{right}"))
        .collect();
    sides.join("[,]")
}

fn picked(options: &[String], mask: u32) -> String {
    let mut ids: Vec<&str> = (0..32)
        .zip(options)
        .filter(|(at, _)| mask >> at & 1 == 1)
        .map(|(_, id)| id.as_str())
        .collect();
    ids.sort_unstable();
    ids.join("[,]")
}

/// All responses that are equally likely to somebody who knows nothing.
pub fn responses(kind: &Kind, written: &Answer) -> Vec<String> {
    match (kind, written) {
        (
            Kind::Choice {
                options: ids, right, ..
            },
            _,
        ) if right.len() == 1 => ids.clone(),
        (Kind::Place { spots: ids, .. }, _) => ids.clone(),
        (Kind::Choice { options, .. }, _) => (1..1u32 << options.len()).map(|mask| picked(options, mask)).collect(),
        (Kind::Matching { pairs }, _) => orders(pairs).iter().map(|order| paired(pairs, order)).collect(),
        (Kind::Sequencing { steps, .. }, _) => orders(steps).iter().map(|order| order.join("[,]")).collect(),
        (Kind::Numeric { .. }, Answer::Numeric { guess, .. }) => {
            let (from, to, step) = (guess.from.millionths(), guess.to.millionths(), guess.step.millionths());
            let point = |at: i64| Decimal::from_millionths(from + at * step).expect("in range");
            (0..=(to - from) / step).map(|at| point(at).to_string()).collect()
        }
        (Kind::Numeric { .. }, _) => panic!("a number is written as one"),
    }
}

/// The marks that equally likely responses earn, and how often, greatest first.
pub fn marks(question: &Question, responses: &[String]) -> Marks {
    let mut counts: BTreeMap<u32, u32> = BTreeMap::new();
    for response in responses {
        *counts.entry(mark(question, response)).or_default() += 1;
    }
    let all = f64::from(u32::try_from(responses.len()).expect("few"));
    counts
        .into_iter()
        .rev()
        .map(|(parts, count)| (parts, f64::from(count) / all))
        .collect()
}

fn ids(number: u32) -> Vec<String> {
    (0..number).map(|id| format!("o-{id}")).collect()
}

fn question(kind: Kind) -> Question {
    Question {
        id: "q".to_owned(),
        competency: "c".to_owned(),
        critical: false,
        kind,
    }
}

/// A question of every kind and size, with what the library says a blind guesser earns on it.
fn every_kind() -> Vec<(Question, Marks)> {
    let mut all = Vec::new();
    for options in 2..=10 {
        let choice = |keys: u32, partial: bool| Kind::Choice {
            options: ids(options),
            right: ids(keys),
            partial,
        };
        all.push((choice(1, false), guess::one_of(1, options.into(), FULL)));
        for keys in 2..options {
            all.push((choice(keys, false), guess::subset(options, FULL)));
            all.push((choice(keys, true), guess::subset_shared(options, keys, FULL)));
        }
        for right in 1..options {
            let place = Kind::Place {
                spots: ids(options),
                right: ids(right),
            };
            all.push((place, guess::one_of(right.into(), options.into(), FULL)));
        }
    }
    // Nine and ten pairs have up to 3,628,800 orders; the table of rencontres numbers holds them.
    for pairs in 2..=8 {
        all.push((Kind::Matching { pairs: ids(pairs) }, guess::matching(pairs, FULL)));
    }
    for steps in 3..=8 {
        all.push((by_key(steps), guess::order(steps, FULL)));
    }
    all.into_iter().map(|(kind, marks)| (question(kind), marks)).collect()
}

fn by_key(steps: u32) -> Kind {
    Kind::Sequencing {
        steps: ids(steps),
        ways: Vec::new(),
    }
}

/// Any answer that is not a number: its grid is not asked for.
fn unwritten() -> Answer {
    Answer::Sequencing {
        steps: pitwright::model::Keyed::default(),
        model: None,
    }
}

fn same(found: &Marks, wanted: &Marks) -> bool {
    let sure = |marks: &Marks| {
        marks
            .iter()
            .filter(|(_, chance)| *chance > 0.0)
            .copied()
            .collect::<Marks>()
    };
    let (found, wanted) = (sure(found), sure(wanted));
    found.len() == wanted.len()
        && found
            .iter()
            .zip(&wanted)
            .all(|(a, b)| a.0 == b.0 && (a.1 - b.1).abs() < 1e-12)
}

#[test]
fn the_chances_are_those_of_all_responses_marked_one_by_one() {
    for (question, said) in every_kind() {
        let found = marks(&question, &responses(&question.kind, &unwritten()));
        assert!(same(&found, &said), "{question:?}: counted {found:?}, said {said:?}");
        let sum: f64 = said.iter().map(|(_, chance)| chance).sum();
        assert!((sum - 1.0).abs() < 1e-12, "{question:?}: {sum}");
    }
}

/// Permutations of n things with exactly k in their own place, k = 0 … n: the triangle of rencontres numbers, OEIS A008290 (from memory).
/// Its first column, the derangements, is A000166 (from memory).
const RENCONTRES: [(u32, &[u32]); 5] = [
    (2, &[1, 0, 1]),
    (3, &[2, 3, 0, 1]),
    (4, &[9, 8, 6, 0, 1]),
    (5, &[44, 45, 20, 10, 0, 1]),
    (
        10,
        &[
            1_334_961, 1_334_960, 667_485, 222_480, 55_650, 11_088, 1_890, 240, 45, 0, 1,
        ],
    ),
];

#[test]
fn blind_matching_earns_by_the_rencontres_numbers() {
    for (pairs, ways) in RENCONTRES {
        let all: u32 = ways.iter().sum();
        assert_eq!(all, (1..=pairs).product::<u32>(), "a row adds up to {pairs}!");
        let mut wanted: Marks = (0..)
            .zip(ways)
            .map(|(fixed, ways)| (FULL * fixed / pairs, f64::from(*ways) / f64::from(all)))
            .collect();
        wanted.reverse();
        let said = guess::matching(pairs, FULL);
        assert!(same(&said, &wanted), "{pairs} pairs: {said:?}, wanted {wanted:?}");
        // Of n pairs one is right on average, whatever n.
        let mean: f64 = said.iter().map(|(parts, chance)| f64::from(*parts) * chance).sum();
        assert!((mean - f64::from(FULL) / f64::from(pairs)).abs() < 1e-9);
    }
}

/// One blind answer, given as a hand would give it.
fn blind(kind: &Kind, random: &mut Xoshiro128) -> String {
    let mut any = |ids: &[String]| ids[random.below(u32::try_from(ids.len()).expect("few")) as usize].clone();
    match kind {
        Kind::Choice { options, right, .. } if right.len() == 1 => any(options),
        Kind::Place { spots, .. } => any(spots),
        // A coin for each box, thrown anew when none is ticked.
        Kind::Choice { options, .. } => loop {
            let mask = (0..options.len()).fold(0, |mask, at| mask | (random.below(2) << at));
            if mask > 0 {
                return picked(options, mask);
            }
        },
        Kind::Matching { pairs } => {
            let mut rights: Vec<&str> = pairs.iter().map(String::as_str).collect();
            random.shuffle(&mut rights);
            paired(pairs, &rights)
        }
        Kind::Sequencing { steps, .. } => {
            let mut order: Vec<&str> = steps.iter().map(String::as_str).collect();
            random.shuffle(&mut order);
            order.join("[,]")
        }
        Kind::Numeric { .. } => panic!("numbers are guessed on the demo bank's own grids"),
    }
}

#[test]
fn blind_answers_of_every_kind_earn_as_often_as_worked_out() {
    const ANSWERS: u32 = 100_000;
    let kinds = [
        (
            Kind::Choice {
                options: ids(4),
                right: ids(1),
                partial: false,
            },
            guess::one_of(1, 4, FULL),
        ),
        (
            Kind::Choice {
                options: ids(4),
                right: ids(2),
                partial: false,
            },
            guess::subset(4, FULL),
        ),
        (
            Kind::Choice {
                options: ids(6),
                right: ids(3),
                partial: true,
            },
            guess::subset_shared(6, 3, FULL),
        ),
        (Kind::Matching { pairs: ids(5) }, guess::matching(5, FULL)),
        (by_key(4), guess::order(4, FULL)),
        (
            Kind::Place {
                spots: ids(7),
                right: ids(2),
            },
            guess::one_of(2, 7, FULL),
        ),
    ];
    for (number, (kind, said)) in (2000..).zip(kinds) {
        let question = question(kind);
        let mut random = block(number);
        let mut counts: BTreeMap<u32, u32> = BTreeMap::new();
        for _ in 0..ANSWERS {
            *counts
                .entry(mark(&question, &blind(&question.kind, &mut random)))
                .or_default() += 1;
        }
        assert!(counts.keys().all(|parts| said.iter().any(|(known, _)| known == parts)));
        for (parts, chance) in said {
            let error = (chance * (1.0 - chance) / f64::from(ANSWERS)).sqrt();
            let found = f64::from(counts.get(&parts).copied().unwrap_or(0)) / f64::from(ANSWERS);
            assert!(
                (found - chance).abs() <= 4.0 * error,
                "{question:?}: {parts} parts came up with {found}, chance {chance}"
            );
        }
    }
}

type Rows = &'static [(usize, usize)];

/// (rows of a blueprint as questions there and taken, least shared, chance): worked out with whole fractions in another program,
/// as sums of C(k, s)·C(n − k, k − s) / C(n, k).
const SHARED: [(Rows, usize, f64); 5] = [
    (&[(10, 3)], 2, 0.18333333333333332),
    (&[(5, 5)], 5, 1.0),
    (&[(4, 1)], 1, 0.25),
    (&[(52, 5)], 3, 0.004250161603102779),
    (
        &[(14, 3), (17, 4), (9, 2), (9, 2), (9, 2), (9, 2)],
        8,
        0.004196326845957686,
    ),
];

#[test]
fn two_forms_share_as_many_questions_as_two_hands_share_cards() {
    for (rows, least, chance) in SHARED {
        let found = shared_at_least(rows, least);
        assert!(
            (found - chance).abs() < 1e-12,
            "{rows:?}, {least}: {found}, wanted {chance}"
        );
    }
}
