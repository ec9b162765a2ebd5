//! The index of the Find page → scripts: what it ranks by, and apart from that, in parts that it loads as it shows them, the texts.

use super::data::script;
use super::{Output, Press};
use crate::apart::Sign;
use crate::find::{self, Family, Index, Page, Sort};
use crate::source::Sources;
use serde_json::{Value, json};
use std::collections::BTreeSet;

/// About how many bytes of text make a part: a few parts for a course, none of which makes a slow phone wait.
const PART: usize = 60_000;

/// The digits in which gaps are written: every letter that is no level of weight and needs no escape.
const DIGITS: &str = "0123456789abcdefghijklmnopqrstuvwxyzNOPQRSTUVWXYZ!#$%&()*+,-./:;";

/// So many signs are offered to whoever has typed nothing yet.
const OFFERED: usize = 5;

/// A sign that mostly shows at a stop tells of it, in hundredths.
const TELLS: u32 = 50;

/// Signs to begin with: first one that ends all asking, then each time the one that tells of the most stops that none before it tells of.
fn offered(press: &Press<'_>) -> Vec<String> {
    let course = press.checked.course();
    let mut left: Vec<(&str, &Sign)> = press
        .stops
        .iter()
        .flat_map(|stops| stops.signs.iter().map(|sign| (stops.machine.as_str(), sign)))
        .collect();
    let mut told = BTreeSet::new();
    let mut offered = Vec::new();
    while offered.len() < OFFERED && !left.is_empty() {
        let news = |(machine, sign): &(&str, &Sign)| {
            let shows = sign.shows.iter().enumerate().filter(|(_, shows)| **shows >= TELLS);
            let new = shows
                .filter(|(stop, _)| !told.contains(&((*machine).to_owned(), *stop)))
                .count();
            (sign.alarm && offered.is_empty(), new)
        };
        // Of equals the first: signs stand by the alphabet of their ids.
        let best = (0..left.len())
            .rev()
            .max_by_key(|at| news(&left[*at]))
            .unwrap_or_default();
        let (machine, sign) = left.remove(best);
        let shows = sign.shows.iter().enumerate().filter(|(_, shows)| **shows >= TELLS);
        told.extend(shows.map(|(stop, _)| (machine.to_owned(), stop)));
        let says = course
            .machine(machine)
            .and_then(|machine| machine.value.signs.get(&sign.id));
        offered.extend(says.map(|says| find::plain(says, course)));
    }
    offered
}

/// `data/find.js`, and `data/find-N.js` for each part of the texts.
pub fn scripts(press: &Press<'_>, sources: &Sources) -> Output {
    let index = find::index(
        press.checked,
        sources,
        press.word("find_passed_over"),
        press.word("signs_title"),
    );
    let mut output = Output::new();
    let mut firsts = Vec::new();
    for (number, (first, texts)) in parts(&index.pages).into_iter().enumerate() {
        firsts.push(first);
        output.insert(
            format!("data/find-{number}.js"),
            script(&[(format!("findTexts{number}").as_str(), json!(texts))]),
        );
    }
    let weights: Vec<f64> = (0..find::LEVELS)
        .map(|level| (find::weight(level) * 1000.0).round() / 1000.0)
        .collect();
    let pages: Vec<Value> = index.pages.iter().map(page).collect();
    let index = json!({
        "k1": find::K1,
        "weights": weights,
        "digits": DIGITS,
        "pages": pages,
        "parts": firsts,
        "families": families(&index),
        "everyday": index.everyday,
        "offered": offered(press),
    });
    output.insert("data/find.js".to_owned(), script(&[("findIndex", index)]));
    output
}

/// The texts of the pieces, page by page, in parts, each with the place of its first page.
fn parts(pages: &[Page]) -> Vec<(usize, Vec<Vec<&Vec<String>>>)> {
    let mut parts: Vec<(usize, Vec<Vec<&Vec<String>>>)> = Vec::new();
    let mut filled = PART;
    for (place, page) in pages.iter().enumerate() {
        if filled >= PART {
            parts.push((place, Vec::new()));
            filled = 0;
        }
        if let Some((_, part)) = parts.last_mut() {
            let texts: Vec<&Vec<String>> = page.pieces.iter().map(|piece| &piece.passages).collect();
            filled += texts
                .iter()
                .flat_map(|texts| texts.iter().map(String::len))
                .sum::<usize>();
            part.push(texts);
        }
    }
    parts
}

/// A page: address, title, kind, whether hands enter the machine, other ways to write the title, pieces.
fn page(page: &Page) -> Value {
    let pieces = page.pieces.iter().map(|piece| match piece.sort {
        // A procedure is known by a number: how many steps it has.
        Sort::Procedure => json!([piece.heading, piece.passages.len()]),
        Sort::Section | Sort::Signs | Sort::Entry => json!([piece.heading, piece.anchor]),
    });
    let pieces: Vec<Value> = pieces.collect();
    json!([
        page.to,
        page.title,
        page.kind.map(|kind| kind.word()),
        u8::from(page.hands_on),
        page.also,
        pieces
    ])
}

/// A line a family: its words, a tabulator, and where it is found. Each place is how far it lies beyond the one before, in `DIGITS` and
/// left out where that is 1, and a capital for the level of weight.
fn families(index: &Index) -> String {
    let lines: Vec<String> = index.families.iter().map(family).collect();
    lines.join("\n")
}

fn family(family: &Family) -> String {
    let mut line = family.words.join(" ");
    line.push('\t');
    let mut before = None;
    for (place, level) in &family.found {
        let gap = before.map_or(place + 1, |before| place - before);
        if gap > 1 {
            line.push_str(&digits(gap));
        }
        line.push(char::from(b'A' + level));
        before = Some(place);
    }
    line
}

fn digits(mut number: usize) -> String {
    let all = DIGITS.as_bytes();
    let mut digits = Vec::new();
    while number > 0 {
        digits.push(char::from(all[number % all.len()]));
        number /= all.len();
    }
    digits.into_iter().rev().collect()
}
