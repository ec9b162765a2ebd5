//! Canonical JSON of anything: the two writers give the same bytes.

use super::invent::Dice;
use super::page::answers;
use pitwright::marking::{canonical, sha256_hex};
use serde_json::{Map, Number, Value, json};

const VALUES: usize = 3_000;

/// Characters that a writer of JSON can get wrong: escapes, ends of lines, past the basic plane, either side of the surrogates.
const LETTERS: [char; 22] = [
    'a',
    'Z',
    '0',
    ' ',
    '"',
    '\\',
    '/',
    '\u{0}',
    '\u{8}',
    '\t',
    '\n',
    '\r',
    '\u{1f}',
    '\u{7f}',
    '\u{80}',
    'é',
    '€',
    '\u{2028}',
    '\u{d7ff}',
    '\u{fb33}',
    '\u{ffff}',
    '\u{1f3b3}',
];

pub fn text(dice: &mut Dice) -> String {
    (0..dice.number(0, 6)).map(|_| *dice.of(&LETTERS)).collect()
}

fn number(dice: &mut Dice) -> Value {
    const EXACT: u64 = (1 << 53) - 1;
    match dice.number(0, 7) {
        0 => json!(dice.number(0, 3000)),
        1 => json!(-i64::from(dice.number(0, 3000))),
        2 => json!(EXACT - u64::from(dice.number(0, 2))),
        3 => json!(-i64::try_from(EXACT).expect("it fits")),
        4 => json!(f64::from(dice.number(0, 2520)) / 2520.0),
        // Any double at all.
        _ => loop {
            let bits = u64::from(dice.0.next_word()) << 32 | u64::from(dice.0.next_word());
            let double = f64::from_bits(bits);
            if double.is_finite() {
                break Number::from_f64(double).map_or(Value::Null, Value::Number);
            }
        },
    }
}

fn value(dice: &mut Dice, depth: u32) -> Value {
    match dice.number(0, if depth == 0 { 4 } else { 7 }) {
        0 => Value::Null,
        1 => json!(dice.one_in(2)),
        2 => json!(text(dice)),
        3 | 4 => number(dice),
        5 => (0..dice.number(0, 4)).map(|_| value(dice, depth - 1)).collect(),
        _ => Value::Object(
            (0..dice.number(0, 5))
                .map(|_| (text(dice), value(dice, depth - 1)))
                .collect::<Map<_, _>>(),
        ),
    }
}

#[test]
fn values_have_one_canonical_form() {
    let mut dice = Dice::new(3);
    let values: Vec<Value> = (0..VALUES).map(|_| value(&mut dice, 3)).collect();
    let asked: Vec<Value> = values
        .iter()
        .map(|value| json!({ "kind": "canonical", "text": value.to_string() }))
        .collect();
    let made = answers(&asked);
    for (value, made) in values.iter().zip(&made) {
        let bytes = canonical(value).expect("no whole number here is past 2^53");
        assert_eq!(
            *made,
            json!([String::from_utf8_lossy(&bytes), sha256_hex(&bytes)]),
            "{value}"
        );
    }
}
