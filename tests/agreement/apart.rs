//! The page that tells stops apart and the library: the same chances, worths and next sign, and the same end.

use super::Strata;
use super::invent::Dice;
use super::page::answers;
use crate::ground::{self, root};
use pitwright::apart::{self, Answer, LEAST_WORTH, Look, STANDS_OUT, Sign, Stops, look};
use pitwright::{load, source};
use serde_json::{Value, json};
use std::path::Path;

/// Walks, each of up to twenty answers.
const WALKS: usize = 4_000;

/// The numbers of the words, and odd ones.
const CHANCES: [u32; 9] = [98, 70, 30, 2, 5, 50, 1, 99, 37];

/// A small machine. Few chances, and signs that are like others, so that ties come up.
fn invented(dice: &mut Dice) -> Stops {
    let many = dice.number(2, 8);
    let few = dice.number(2, 9) as usize;
    let mut signs: Vec<Sign> = (0..dice.number(1, 12))
        .map(|at| Sign {
            id: format!("g-{at:02}"),
            alarm: dice.one_in(12),
            shows: (0..many).map(|_| *dice.of(&CHANCES[..few])).collect(),
        })
        .collect();
    if signs.len() > 1 && dice.one_in(3) {
        let last = signs.len() - 1;
        signs[last].shows = signs[0].shows.clone();
    }
    Stops {
        machine: "m".to_owned(),
        stops: (0..many).map(|at| format!("s-{at}")).collect(),
        signs,
    }
}

/// The demo's own machines.
pub fn demo() -> Vec<Stops> {
    stops_in(&root())
}

fn stops_in(folder: &Path) -> Vec<Stops> {
    let sources = source::read(folder).expect("the course can be read");
    let (course, findings) = load::load(&sources);
    assert!(findings.is_empty(), "{findings:?}");
    apart::stops(&course)
}

fn word(answer: Option<Answer>) -> Option<&'static str> {
    answer.map(|answer| match answer {
        Answer::Yes => "yes",
        Answer::No => "no",
        Answer::CannotSee => "unseen",
    })
}

fn said(look: &Look) -> Value {
    json!({
        "likely": look.likely, "order": look.order, "worth": look.worth,
        "next": look.next.ok(), "end": look.next.err().map(|end| end.word()),
    })
}

/// Answers in the order in which they are asked for, now and then out of turn, and each thing that was then to be seen.
fn walk(stops: &Stops, dice: &mut Dice, strata: &mut Strata) -> (Value, Vec<Value>) {
    let mut answers: Vec<Option<Answer>> = vec![None; stops.signs.len()];
    let (mut asked, mut wanted) = (Vec::new(), Vec::new());
    for _ in 0..dice.number(1, 20) {
        let now = look(stops, &answers);
        asked.push(json!(answers.iter().map(|answer| word(*answer)).collect::<Vec<_>>()));
        wanted.push(said(&now));
        strata.count(now.next.map_or_else(|end| end.word(), |_| "asks"));
        let any = dice.number(0, u32::try_from(stops.signs.len()).expect("few") - 1) as usize;
        let at = match now.next {
            Ok(sign) if !dice.one_in(5) => sign,
            _ => any,
        };
        answers[at] = *dice.of(&[
            Some(Answer::Yes),
            Some(Answer::No),
            Some(Answer::No),
            Some(Answer::CannotSee),
            None,
        ]);
        let best = now.worth.iter().max();
        if now.worth.iter().filter(|worth| Some(*worth) == best).count() > 1 {
            strata.count("a tie");
        }
    }
    let signs: Vec<Value> = stops
        .signs
        .iter()
        .map(|sign| json!({ "id": sign.id, "alarm": sign.alarm, "shows": sign.shows }))
        .collect();
    let case = json!({
        "kind": "apart", "answers": asked,
        "stops": { "stops": stops.stops, "signs": signs, "standsOut": STANDS_OUT, "leastWorth": LEAST_WORTH },
    });
    (case, wanted)
}

#[test]
fn what_to_look_for_next_comes_out_the_same() {
    let demo = demo();
    let mut dice = Dice::new(15);
    let mut strata = Strata::default();
    let (asked, wanted): (Vec<Value>, Vec<Vec<Value>>) = (0..WALKS)
        .map(|turn| {
            let stops = if turn % 2 == 0 {
                demo[turn / 2 % demo.len()].clone()
            } else {
                invented(&mut dice)
            };
            walk(&stops, &mut dice, &mut strata)
        })
        .unzip();
    let made = answers(&asked);
    for ((case, made), wanted) in asked.iter().zip(&made).zip(wanted) {
        assert_eq!(*made, json!(wanted), "{case}");
    }
    strata.all_often(["asks", "at-once", "stands-out", "nothing-tells", "a tie"].map(str::to_owned));
}

#[test]
fn the_demo_asks_little_more_than_the_fewest() {
    for stops in demo() {
        let cost = apart::cost(&stops);
        let optimum = cost.optimum.expect("few stops");
        assert!(optimum >= cost.bound, "{cost:?}");
        assert!(cost.mean <= 1.15 * optimum, "{cost:?}");
        assert_eq!(cost.right, stops.stops.len(), "{cost:?}");
        let (_, right) = cost.by_chance.expect("not too many ways");
        assert!(right > 0.8, "{cost:?}");
        assert_eq!(apart::pairs(&stops), Vec::new());
    }
}

/// Every tree of questions over the stops that are left, tried out without memory or masks.
fn fewest(stops: &Stops, left: &[usize]) -> usize {
    if left.len() < 2 {
        return 0;
    }
    let split = |sign: &Sign| -> (Vec<usize>, Vec<usize>) { left.iter().partition(|stop| sign.shows[**stop] >= 50) };
    let cost = stops.signs.iter().filter_map(|sign| {
        let (yes, no) = split(sign);
        let after = |part: &[usize], ends: bool| if ends { 0 } else { fewest(stops, part) };
        (!yes.is_empty() && !no.is_empty()).then(|| left.len() + after(&yes, sign.alarm) + after(&no, false))
    });
    cost.min().unwrap_or(0)
}

/// On small machines of words only: the optimum is what trying everything gives, and the ratio of asking to it is told.
#[test]
fn the_optimum_is_the_optimum() {
    let mut dice = Dice::new(16);
    let mut ratios: Vec<f64> = Vec::new();
    let (mut found, mut all) = (0, 0);
    for _ in 0..300 {
        let mut stops = invented(&mut dice);
        stops.signs.truncate(7);
        for sign in &mut stops.signs {
            sign.shows = sign.shows.iter().map(|_| *dice.of(&[98, 98, 70, 30, 2, 2])).collect();
        }
        let cost = apart::cost(&stops);
        let many = stops.stops.len();
        let left: Vec<usize> = (0..many).collect();
        let optimum = cost.optimum.expect("few stops");
        let tried = fewest(&stops, &left) as f64 / many as f64;
        assert!((optimum - tried).abs() < 1e-9, "{optimum} {tried} {stops:?}");
        found += cost.right;
        all += many;
        if optimum > 0.0 {
            ratios.push(cost.mean / optimum);
        }
    }
    ratios.sort_by(f64::total_cmp);
    let mean = ratios.iter().sum::<f64>() / ratios.len() as f64;
    println!(
        "{} machines: asking takes {mean:.3} of the fewest on average, {:.3} in the middle, {:.3} at nine tenths, {:.3} at most; {found} of {all} stops first",
        ratios.len(),
        ratios[ratios.len() / 2],
        ratios[ratios.len() * 9 / 10],
        ratios[ratios.len() - 1],
    );
    assert!(ratios.len() > 250);
}

/// What can only be seen past a guard is in no question, whatever the stops list.
#[test]
fn what_shows_behind_a_guard_is_never_asked_about() {
    let folder = ground::demo();
    let place = folder.path().join("lessons/machines/marrowbell.yml");
    let machine = std::fs::read_to_string(&place).expect("it is there");
    assert!(machine.contains("\nat-once:\n"), "the demo says what to do at once");
    let ids = |stops: &[Stops]| -> Vec<String> { stops[0].signs.iter().map(|sign| sign.id.clone()).collect() };
    let before = ids(&stops_in(folder.path()));
    let machine = machine.replace(
        "\nat-once:\n",
        "\nbehind-guards: [pin-past-door, cups-doubled]\nat-once:\n",
    );
    std::fs::write(&place, machine).expect("it can be written");
    let after = ids(&stops_in(folder.path()));
    let gone: Vec<&String> = before.iter().filter(|sign| !after.contains(sign)).collect();
    assert_eq!(gone, ["cups-doubled", "pin-past-door"]);
    assert_eq!(after.len() + 2, before.len());
}

/// Bayes' rule by counting: of ten thousand of each stop, so many show this and do not show that.
#[test]
fn chances_are_what_counting_gives() {
    let stops = Stops {
        machine: "m".to_owned(),
        stops: ["a", "b"].map(str::to_owned).to_vec(),
        signs: [[70, 2], [30, 98]]
            .into_iter()
            .enumerate()
            .map(|(at, shows)| Sign {
                id: format!("g-{at}"),
                alarm: false,
                shows: shows.to_vec(),
            })
            .collect(),
    };
    // a: 10,000 · 0.7 · 0.7 = 4900; b: 10,000 · 0.02 · 0.02 = 4.
    let now = look(&stops, &[Some(Answer::Yes), Some(Answer::No)]);
    assert_eq!(now.likely, [999_184, 816]);
    assert_eq!(now.next, Err(apart::End::StandsOut));
    // Before any answer the two tell equally much, one being the other turned round: the first by id is asked.
    let now = look(&stops, &[None, None]);
    assert_eq!((now.worth[0], now.next), (now.worth[1], Ok(0)));
    // What cannot be seen changes nothing, and is not asked again.
    let now = look(&stops, &[Some(Answer::CannotSee), None]);
    assert_eq!((now.likely, now.worth[0], now.next), (vec![500_000, 500_000], 0, Ok(1)));
}
