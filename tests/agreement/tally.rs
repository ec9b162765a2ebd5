//! Which tries count: the course lets somebody begin what the register will count, releases by a trainer included.

use super::invent::Dice;
use super::page::answers;
use crate::register::made::{Device, End, HOME, SEEDS, course, day, right, wrong};
use jiff::{SignedDuration, Timestamp};
use pitwright::marking::{Evidence, Marking};
use pitwright::record::{Event, Occasion, Statement, What, entered};
use pitwright::slip::slip;
use pitwright::standing::{Markings, person};
use serde_json::{Value, json};
use std::collections::{BTreeMap, BTreeSet};

const HISTORIES: usize = 400;

/// What the page is asked, and what the library makes of it.
struct History {
    asked: Value,
    wanted: Value,
    kinds: BTreeSet<&'static str>,
}

fn history(dice: &mut Dice) -> History {
    let mut kinds = BTreeSet::new();
    let course = course();
    let marking: Marking = serde_json::from_value(course.clone()).expect("the test's course is a marking");
    let hash = marking.hash().expect("it is canonical");
    let mut device = Device::new("TM-1", &course, "2026-02-01T08:00:00Z");
    let (mut values, mut releases) = (Vec::new(), Vec::new());
    for turn in 0..dice.number(1, 9) {
        if dice.one_in(3) {
            let occasion = Occasion {
                id: &format!("00000000-0000-4000-8000-{turn:012}"),
                at: device.clock,
                marking: &marking,
                hash: &hash,
                person: "TM-1",
            };
            let event = Event {
                by: "TR-1".to_owned(),
                what: What::Released {
                    assessment: Evidence::Bank("alone".to_owned()),
                    more: dice.number(1, 2),
                },
                details: None,
            };
            releases.push(entered(&occasion, &event).expect("it is a statement"));
        }
        // In haste, or after the wait; one left now and then, which may be closed days later.
        device.clock += SignedDuration::from_mins(i64::from(*dice.of(&[1, 500, 719, 721, 1500])));
        let end = match dice.number(0, 5) {
            0 => End::Left(1),
            1 => End::Open(1),
            _ => End::Closed,
        };
        let answers = if dice.one_in(3) { right } else { wrong };
        let mut attempt = device.bank(SEEDS[0], answers, end);
        if end == End::Left(1) {
            let late = device.clock + SignedDuration::from_hours(i64::from(dice.number(0, 30)));
            attempt.last_mut().expect("it has an end")["timestamp"] = json!(pitwright::record::stamp(late));
            kinds.insert("left");
        }
        values.extend(attempt);
    }
    let mut statements: Vec<Statement> = values
        .iter()
        .map(|value| Statement::read(value).expect("a device makes statements"))
        .collect();
    statements.extend(releases);
    let markings = Markings {
        known: BTreeMap::from([(hash.clone(), marking)]),
        in_force: vec![(Timestamp::UNIX_EPOCH, hash)],
    };
    let today = day("2026-06-01");
    let now = today.end();
    let stands = person("TM-1", &statements, &markings, &BTreeMap::new(), &today).expect("a course is in force");
    let counted: Vec<&str> = stands
        .attempts
        .iter()
        .filter(|line| line.counts())
        .map(|line| line.registration.as_str())
        .collect();
    let left = stands
        .tries
        .iter()
        .find(|tries| tries.assessment == Evidence::Bank("alone".to_owned()))
        .map_or(2, |tries| tries.left);
    for (kind, is) in [
        ("all counted", counted.len() == stands.attempts.len()),
        ("some not counted", counted.len() < stands.attempts.len()),
        ("none left", left == 0),
        ("more left than at first", left > 2),
    ] {
        if is {
            kinds.insert(kind);
        }
    }
    let released: Vec<Value> = slip("TM-1", &statements, &markings, &today, now)
        .expect("a course is in force")
        .tries
        .iter()
        .map(|released| {
            let at: Timestamp = released.at.parse().expect("it is a time");
            json!({ "more": released.more, "at": at.as_millisecond() })
        })
        .collect();
    if !released.is_empty() {
        kinds.insert("released");
    }
    History {
        asked: json!({
            "kind": "tally", "statements": values, "home": HOME, "item": { "kind": "bank", "id": "alone", "edition": 1 },
            "rule": { "tries": 2, "waitHours": 12 }, "released": released, "now": now.as_millisecond(),
        }),
        wanted: json!({ "counted": counted, "left": left }),
        kinds,
    }
}

#[test]
fn the_course_counts_tries_as_the_register_does() {
    let mut dice = Dice::new(5);
    let histories: Vec<History> = (0..HISTORIES).map(|_| history(&mut dice)).collect();
    let mut often: BTreeMap<&str, usize> = BTreeMap::new();
    for kind in histories.iter().flat_map(|history| &history.kinds) {
        *often.entry(kind).or_default() += 1;
    }
    for kind in [
        "left",
        "released",
        "all counted",
        "some not counted",
        "none left",
        "more left than at first",
    ] {
        let found = often.get(kind).copied().unwrap_or_default();
        assert!(found >= 20, "{kind} came up {found} times, of {often:?}");
    }
    let asked: Vec<Value> = histories.iter().map(|history| history.asked.clone()).collect();
    let made = answers(&asked);
    for (history, made) in histories.iter().zip(&made) {
        assert_eq!(*made, history.wanted, "{}", history.asked);
    }
}
