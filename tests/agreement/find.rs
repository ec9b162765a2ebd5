//! Words to look for: a query is taken apart in the page as the course was at its compile.

use super::invent::Dice;
use super::page::answers;
use crate::ground::root;
use pitwright::find::words;
use serde_json::{Value, json};

const TEXTS: usize = 4_000;

/// What can stand in a word, between words, or looks as if it did.
const LETTERS: [char; 24] = [
    'a',
    'Z',
    'q',
    '7',
    ' ',
    '-',
    '-',
    '\'',
    '\u{2019}',
    '.',
    '\n',
    'é',
    'E',
    '\u{301}',
    'ß',
    'İ',
    'Σ',
    'ς',
    '½',
    '²',
    '٣',
    '字',
    '\u{1f3b3}',
    '_',
];

#[test]
fn words_to_look_for_come_out_the_same() {
    let mut dice = Dice::new(7);
    let mut texts: Vec<String> = (0..TEXTS)
        .map(|_| (0..dice.number(0, 14)).map(|_| *dice.of(&LETTERS)).collect())
        .collect();
    for lesson in ["stops/no-cycle.md", "locked-and-tried/lockout.md"] {
        let text = std::fs::read_to_string(root().join("lessons").join(lesson)).expect("a lesson is text");
        texts.extend(text.lines().map(str::to_owned));
    }
    let cases: Vec<Value> = texts
        .iter()
        .map(|text| json!({ "kind": "words", "text": text }))
        .collect();
    let made = answers(&cases);
    let (mut joined, mut several) = (0, 0);
    for (text, made) in texts.iter().zip(made) {
        let wanted = words(text);
        joined += usize::from(text.contains('-') && wanted.len() > 2);
        several += usize::from(wanted.len() > 1);
        assert_eq!(made, json!(wanted), "{text:?}");
    }
    assert!(
        joined > 500 && several > 1_000,
        "{joined} with hyphens, {several} of several words"
    );
}
