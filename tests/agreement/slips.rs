//! Slips signed by the library, whole or spoilt: both sides see the same bytes in them and come to the same verdict.

use super::canonical::text;
use super::invent::Dice;
use super::page::answers;
use jiff::Timestamp;
use jiff::civil::Date;
use pitwright::marking::{Evidence, canonical, sha256_hex};
use pitwright::proof::{SecretKey, verify};
use pitwright::record::stamp;
use pitwright::slip::{Asked, FORMAT, Released, Slip, Stands};
use pitwright::standing::{Seen, Standing, Task};
use serde_json::{Value, json};

const SLIPS: usize = 4_000;

fn moment(dice: &mut Dice) -> Timestamp {
    Timestamp::from_millisecond(1_700_000_000_000 + i64::from(dice.0.next_word()) * 50).expect("it is a time")
}

fn day(dice: &mut Dice) -> Date {
    moment(dice).to_zoned_datetime(jiff::tz::TimeZone::UTC).date()
}

fn slip(dice: &mut Dice) -> Slip {
    let id = |dice: &mut Dice| format!("c-{}", dice.number(0, 99));
    Slip {
        format: FORMAT,
        course: "thistlegauge".to_owned(),
        home: "https://thistlegauge.example".to_owned(),
        person: format!("T-{}", dice.number(0, 99)),
        issued: stamp(moment(dice)),
        marking: sha256_hex(&dice.0.next_word().to_be_bytes()),
        standings: (0..dice.number(0, 4))
            .map(|_| {
                let standing = *dice.of(&Standing::ALL);
                Stands {
                    competency: id(dice),
                    standing,
                    may: standing.may(),
                    until: (standing == Standing::Signed).then(|| day(dice)),
                    missing: (0..dice.number(0, 3)).map(|_| text(dice)).collect(),
                    lacks: (0..dice.number(0, 2)).map(|_| Task::Lesson(id(dice))).collect(),
                    watched: Seen {
                        met: dice.number(0, 9),
                        real: dice.number(0, 9),
                        unseen: (0..dice.number(0, 3)).map(|_| dice.number(1, 20)).collect(),
                    },
                    runs_out: dice.one_in(2).then(|| day(dice)),
                }
            })
            .collect(),
        assignments: (0..dice.number(0, 3))
            .map(|_| Asked {
                thing: match dice.number(0, 4) {
                    0 => Task::Lesson(id(dice)),
                    1 => Task::Assessment(Evidence::Bank(id(dice))),
                    2 => Task::Assessment(Evidence::Scenario(id(dice))),
                    3 => Task::Assessment(Evidence::Drill(id(dice))),
                    _ => Task::Competency(id(dice)),
                },
                due: dice.one_in(2).then(|| day(dice)),
                done: dice.one_in(2),
            })
            .collect(),
        tries: (0..dice.number(0, 2))
            .map(|_| Released {
                assessment: dice.of(&[Evidence::Bank, Evidence::Drill])(id(dice)),
                edition: dice.number(1, 9),
                more: dice.number(1, 9),
                at: stamp(moment(dice)),
            })
            .collect(),
    }
}

/// The places of all that is neither a list nor an object.
fn leaves(value: &Value, at: &str, found: &mut Vec<String>) {
    match value {
        Value::Object(fields) => {
            for (key, one) in fields {
                leaves(
                    one,
                    &format!("{at}/{}", key.replace('~', "~0").replace('/', "~1")),
                    found,
                );
            }
        }
        Value::Array(items) => {
            for (place, one) in items.iter().enumerate() {
                leaves(one, &format!("{at}/{place}"), found);
            }
        }
        _ => found.push(at.to_owned()),
    }
}

/// Spoils one thing, and says how.
fn spoil(dice: &mut Dice, signed: &mut Value) -> &'static str {
    match dice.number(0, 9) {
        0 => {
            signed["extra"] = json!(true);
            "a field added"
        }
        1 => {
            signed["proof"]["expires"] = json!("2099-01-01T00:00:00Z");
            "a field added to the proof"
        }
        2 => {
            let fields = signed["proof"].as_object_mut().expect("it has one");
            let name = dice.of(&fields.keys().cloned().collect::<Vec<_>>()).clone();
            fields.remove(&name);
            "a field taken from the proof"
        }
        3 => {
            let other = SecretKey::from_seed(&[7; 32]).public().method();
            signed["proof"]["verificationMethod"] = json!(other);
            "another's key"
        }
        _ => {
            let mut places = Vec::new();
            leaves(signed, "", &mut places);
            let place = dice.of(&places).clone();
            let leaf = signed.pointer_mut(&place).expect("it was found there");
            *leaf = match leaf.clone() {
                Value::String(words) => {
                    let mut letters: Vec<char> = words.chars().collect();
                    let at = dice.number(0, u32::try_from(letters.len()).expect("few")) as usize;
                    let new = *dice.of(&['x', 'Y', '1', '0', 'é', ' ', 'Z']);
                    match letters.get_mut(at) {
                        Some(letter) if *letter != new => *letter = new,
                        _ => letters.push(new),
                    }
                    json!(letters.into_iter().collect::<String>())
                }
                Value::Bool(truth) => json!(!truth),
                Value::Number(number) => json!(number.as_u64().expect("slips hold whole numbers") + 1),
                other => panic!("a slip holds no {other}"),
            };
            "a leaf changed"
        }
    }
}

#[test]
fn both_sides_come_to_the_same_verdict_on_every_slip() {
    let mut dice = Dice::new(4);
    let mut asked = Vec::new();
    let mut wanted = Vec::new();
    let (mut good, mut bad) = (0, 0);
    for _ in 0..SLIPS {
        let mut seed = [0; 32];
        seed.fill_with(|| dice.0.next_word().to_be_bytes()[0]);
        let key = SecretKey::from_seed(&seed);
        let mut signed = slip(&mut dice)
            .signed(&key, moment(&mut dice))
            .expect("a slip has a canonical form");
        let how = if dice.one_in(2) {
            "nothing"
        } else {
            spoil(&mut dice, &mut signed)
        };
        // As it goes through a file.
        let mut document: Value = serde_json::from_str(&signed.to_string()).expect("it is JSON");
        let proof = document
            .as_object_mut()
            .and_then(|fields| fields.remove("proof"))
            .expect("it has one");
        let by = verify(&document, &proof).ok().map(|signed| signed.by.multikey());
        if how == "nothing" {
            assert_eq!(by, Some(key.public().multikey()));
            good += 1;
        } else {
            assert_eq!(by, None, "{how}: {signed}");
            bad += 1;
        }
        asked.push(json!({ "kind": "canonical", "text": document.to_string() }));
        asked.push(json!({ "kind": "proof", "document": document, "proof": proof }));
        let bytes = canonical(&document).expect("it is canonical");
        wanted.push(json!([String::from_utf8_lossy(&bytes), sha256_hex(&bytes)]));
        wanted.push(json!(by));
    }
    assert!(good > SLIPS / 3 && bad > SLIPS / 3, "{good} good, {bad} bad");
    let made = answers(&asked);
    for ((case, wanted), made) in asked.iter().zip(&wanted).zip(&made) {
        assert_eq!(made, wanted, "{case}");
    }
}

/// The published document of W3C vc-di-eddsa, in the browser: see `tests/references/eddsa-jcs-2022/SOURCE.md`.
#[test]
fn the_published_proof_holds_in_the_browser() {
    let text = std::fs::read_to_string(crate::ground::root().join("tests/references/eddsa-jcs-2022/signedJCS.json"))
        .expect("the vector is there");
    let mut document: Value = serde_json::from_str(&text).expect("it is JSON");
    let proof = document
        .as_object_mut()
        .and_then(|fields| fields.remove("proof"))
        .expect("it has one");
    let mut longer = document.clone();
    longer["@context"]
        .as_array_mut()
        .expect("a list")
        .push(json!("urn:more"));
    let mut turned = document.clone();
    turned["@context"].as_array_mut().expect("a list").swap(0, 1);
    let mut altered = document.clone();
    altered["name"] = json!("Alumni credential");
    let cases = [
        (document, json!("z6MkrJVnaZkeFzdQyMZu1cgjg7k1pZZ6pvBQ7XJPt4swbTQ2")),
        (longer, json!("z6MkrJVnaZkeFzdQyMZu1cgjg7k1pZZ6pvBQ7XJPt4swbTQ2")),
        (turned, Value::Null),
        (altered, Value::Null),
    ];
    let asked: Vec<Value> = cases
        .iter()
        .map(|(document, _)| json!({ "kind": "proof", "document": document, "proof": proof }))
        .collect();
    let made = answers(&asked);
    for ((document, due), made) in cases.iter().zip(&made) {
        assert_eq!(made, due, "{document}");
        assert_eq!(
            json!(verify(document, &proof).ok().map(|signed| signed.by.multikey())),
            *due
        );
    }
}
