//! Random questions of every kind, and responses to them: right, partly right, wrong, and such as no page can give.

use super::invent::Dice;
use pitwright::marking::{Decimal, Kind, Question, Way};
use std::collections::BTreeMap;

fn decimal(millionths: i64) -> Decimal {
    Decimal::from_millionths(millionths).expect("kept in range")
}

/// Ids whose order in the alphabet is not that of the file.
fn ids(dice: &mut Dice, from: u32, to: u32) -> Vec<String> {
    let mut ids: Vec<String> = (0..dice.number(from, to)).map(|id| format!("o-{id}")).collect();
    dice.0.shuffle(&mut ids);
    ids
}

/// Some of them, at least `least` and not all.
fn some_of(dice: &mut Dice, ids: &[String], least: u32) -> Vec<String> {
    let mut some = ids.to_vec();
    dice.0.shuffle(&mut some);
    let most = u32::try_from(ids.len()).expect("few") - 1;
    some.truncate(dice.number(least.min(most), most) as usize);
    some
}

pub fn question(dice: &mut Dice, id: &str, competency: &str) -> Question {
    let kind = match dice.number(0, 6) {
        0 => {
            let options = ids(dice, 2, 10);
            let right = vec![dice.of(&options).clone()];
            let partial = dice.one_in(9);
            Kind::Choice {
                options,
                right,
                partial,
            }
        }
        partial @ 1..=2 => {
            let options = ids(dice, 3, 10);
            let right = some_of(dice, &options, 2);
            Kind::Choice {
                options,
                right,
                partial: partial == 2,
            }
        }
        3 => Kind::Matching {
            pairs: ids(dice, 2, 10),
        },
        4 if dice.one_in(2) => Kind::Sequencing {
            steps: ids(dice, 3, 8),
            ways: Vec::new(),
        },
        4 => by_model(dice),
        5 => {
            let spots = ids(dice, 2, 10);
            let right = some_of(dice, &spots, 1);
            Kind::Place { spots, right }
        }
        _ => number(dice),
    };
    Question {
        id: id.to_owned(),
        competency: competency.to_owned(),
        critical: dice.one_in(5),
        kind,
    }
}

/// From whole pins to odd millionths, on both sides of zero and out to the bounds.
fn number(dice: &mut Dice) -> Kind {
    let scale = *dice.of(&[1_000_000, 500_000, 10_000, 1]);
    let size = match dice.number(0, 9) {
        0 => 1_000_000_000_000_000,
        1 => 0,
        _ => i64::from(dice.number(0, 2_000)) * scale,
    };
    let tolerance = *dice.of(&[0, 0, 1, 10_000, 100_000, 500_000, 2_000_000]);
    Kind::Numeric {
        answer: decimal(if dice.one_in(3) { -size } else { size }),
        tolerance: decimal(tolerance),
        unit: "pins".to_owned(),
    }
}

/// What nobody could have meant as a number, and what only looks like one.
const NO_NUMBERS: [&str; 18] = [
    "",
    " ",
    "-",
    ".",
    "1e3",
    "1E3",
    "0x10",
    "+5",
    " 5",
    "5 ",
    "1,5",
    "5.",
    ".5",
    "1.1234567",
    "1000000000.000001",
    "NaN",
    "--1",
    "٣",
];

/// What is no id.
const NO_IDS: [&str; 6] = ["", "nowhere", "O-1", "o-1 ", "[,]", "o-1[.]o-1"];

/// A sequencing that a machine marks: for every set of steps done, each further one leads on or goes wrong. One order at
/// least is right.
fn by_model(dice: &mut Dice) -> Kind {
    let steps = ids(dice, 3, 5);
    let mut sure: Vec<usize> = (0..steps.len()).collect();
    dice.0.shuffle(&mut sure);
    let all = (1usize << steps.len()) - 1;
    let mut sets = vec![0usize];
    let mut ways: Vec<BTreeMap<String, Way>> = Vec::new();
    while ways.len() < sets.len() {
        let done = sets[ways.len()];
        let on_the_way = sure
            .iter()
            .take(done.count_ones() as usize)
            .fold(0, |set, step| set | 1 << step)
            == done;
        let mut node = BTreeMap::new();
        for (step, id) in steps.iter().enumerate().filter(|(step, _)| done & (1 << step) == 0) {
            let after = done | 1 << step;
            let surely = on_the_way && sure[done.count_ones() as usize] == step;
            let way = if !surely && dice.one_in(2) {
                Way::Wrong(format!("{id} goes wrong after {done}"))
            } else if after == all {
                Way::On(0)
            } else {
                let known = sets.iter().position(|set| *set == after);
                let node = known.unwrap_or_else(|| {
                    sets.push(after);
                    sets.len() - 1
                });
                Way::On(u32::try_from(node).expect("few"))
            };
            node.insert(id.clone(), way);
        }
        ways.push(node);
    }
    Kind::Sequencing { steps, ways }
}

/// A right order, found by trying.
fn walked(dice: &mut Dice, ways: &[BTreeMap<String, Way>]) -> Vec<String> {
    loop {
        let (mut at, mut order) = (0, Vec::new());
        loop {
            let node: Vec<(&String, &Way)> = ways[at].iter().collect();
            let (id, way) = dice.of(&node);
            order.push((*id).clone());
            match way {
                Way::On(0) => return order,
                Way::On(next) => at = *next as usize,
                Way::Wrong(_) => break,
            }
        }
    }
}

/// Some order, most often a wrong one, or a right one with a step missing.
fn wandered(dice: &mut Dice, steps: &[String], ways: &[BTreeMap<String, Way>]) -> Vec<String> {
    if dice.one_in(4) {
        let mut order = walked(dice, ways);
        order.pop();
        return order;
    }
    let mut order = steps.to_vec();
    dice.0.shuffle(&mut order);
    order
}

/// A response that earns full marks, or one that does not.
pub fn response(dice: &mut Dice, question: &Question, right: bool) -> String {
    match &question.kind {
        Kind::Choice {
            options, right: key, ..
        } if key.len() == 1 => one(dice, options, key, right),
        Kind::Place { spots, right: key } => one(dice, spots, key, right),
        Kind::Choice {
            options, right: key, ..
        } => several(dice, options, key, right),
        Kind::Matching { pairs } => {
            let order = moved(dice, pairs, right);
            let sides: Vec<String> = pairs.iter().zip(order).map(|(a, b)| format!("{a}[.]{b}")).collect();
            spoilt_unless(dice, right, sides)
        }
        Kind::Sequencing { steps, ways } if !ways.is_empty() => {
            let order = if right {
                walked(dice, ways)
            } else {
                wandered(dice, steps, ways)
            };
            spoilt_unless(dice, right, order)
        }
        Kind::Sequencing { steps, .. } => {
            let order = moved(dice, steps, right);
            spoilt_unless(dice, right, order)
        }
        Kind::Numeric { answer, tolerance, .. } => {
            let (answer, tolerance) = (answer.millionths(), tolerance.millionths());
            let sign = if dice.one_in(2) { 1 } else { -1 };
            let away = match (right, dice.number(0, 3)) {
                (true, 0) => 0,
                (true, 1) => tolerance / 2,
                (true, _) => tolerance,
                (false, 0) => return (*dice.of(&NO_NUMBERS)).to_owned(),
                (false, 1) => tolerance + i64::from(dice.number(1, 5_000_000)),
                (false, _) => tolerance + 1,
            };
            // Past the bound there is no number: then towards zero.
            let given =
                Decimal::from_millionths(answer + sign * away).unwrap_or(decimal(answer - answer.signum() * away));
            written(dice, given)
        }
    }
}

/// One id, of the key or of the others.
fn one(dice: &mut Dice, all: &[String], key: &[String], right: bool) -> String {
    if right {
        return dice.of(key).clone();
    }
    if dice.one_in(6) {
        return (*dice.of(&NO_IDS)).to_owned();
    }
    let others: Vec<&String> = all.iter().filter(|id| !key.contains(id)).collect();
    (*dice.of(&others)).clone()
}

fn several(dice: &mut Dice, options: &[String], key: &[String], right: bool) -> String {
    let mut picked = if right {
        key.to_vec()
    } else {
        match dice.number(0, 3) {
            // Some of the right ones and nothing else, or all of them and a wrong one, or whatever comes.
            0 => some_of(dice, key, 1),
            1 => {
                let others: Vec<&String> = options.iter().filter(|id| !key.contains(id)).collect();
                let other = (*dice.of(&others)).clone();
                key.iter().cloned().chain([other]).collect()
            }
            _ => some_of(dice, options, 1),
        }
    };
    picked.sort();
    spoilt_unless(dice, right, picked)
}

/// The ids in their order, or with some of them moved.
fn moved(dice: &mut Dice, ids: &[String], right: bool) -> Vec<String> {
    let mut order = ids.to_vec();
    match (right, dice.number(0, 3)) {
        (true, _) => {}
        (false, 0) => order.rotate_left(1),
        (false, 1) => order.swap(0, ids.len() - 1),
        (false, _) => dice.0.shuffle(&mut order),
    }
    order
}

/// Parts put together as a page does; where it need not be right, now and then as no page does.
fn spoilt_unless(dice: &mut Dice, right: bool, mut parts: Vec<String>) -> String {
    let last = parts.len() - 1;
    match (right, dice.number(0, 11)) {
        (false, 0) => parts.swap(0, last),
        (false, 1) => parts.push(parts[last].clone()),
        (false, 2) => {
            parts.pop();
        }
        (false, 3) => parts[last] = (*dice.of(&NO_IDS)).to_owned(),
        (false, 4) => return parts.join(*dice.of(&[",", "[.]", "[, ]", "[,][,]"])),
        (false, 5) => parts.push((*dice.of(&NO_IDS)).to_owned()),
        _ => {}
    }
    parts.join("[,]")
}

/// A number as somebody may write it: with needless zeros now and then.
fn written(dice: &mut Dice, number: Decimal) -> String {
    let plain = number.to_string();
    match dice.number(0, 5) {
        0 if number.millionths() == 0 => "-0".to_owned(),
        1 if !plain.contains('.') => format!("{plain}.000000"),
        2 => match plain.strip_prefix('-') {
            Some(size) => format!("-000{size}"),
            None => format!("000{plain}"),
        },
        _ => plain,
    }
}
