//! How much a word says about a page or a piece: BM25 over fields.
//!
//! Source: S. Robertson and H. Zaragoza, "The Probabilistic Relevance Framework: BM25 and Beyond", Foundations and Trends in Information
//! Retrieval 3(4), 2009: 3.6 for fields, each with its weight and its own `b`; k1 between 1.2 and 2 and b between 0.5 and 0.8 do well.

use super::pieces::{Page, Piece, Sort};
use super::words::words;
use crate::model::Shows;
use std::collections::BTreeMap;

/// How soon more of the same word stops to matter. The page that ranks gets it with the index.
pub const K1: f64 = 1.2;

/// How far a long text is held to say less with each of its words.
const B: f64 = 0.75;

/// A sort of text in which words are looked for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
enum Field {
    Title,
    Signs,
    Heading,
    Body,
    Steps,
    Entry,
}

impl Field {
    const ALL: [Self; 6] = [
        Self::Title,
        Self::Signs,
        Self::Heading,
        Self::Body,
        Self::Steps,
        Self::Entry,
    ];

    /// What one word in it is worth. Mechanics name a stop or tell what they see of it, so titles and signs say most.
    fn weight(self) -> f64 {
        match self {
            Self::Title => 6.0,
            Self::Signs => 3.0,
            Self::Heading => 2.5,
            Self::Body => 1.0,
            Self::Steps => 0.7,
            Self::Entry => 1.5,
        }
    }
}

/// How much a sign that shows so often says of its stop.
fn share(shows: Shows) -> f64 {
    match shows {
        Shows::Always => 1.0,
        Shows::Often => 0.7,
        Shows::Sometimes => 0.4,
        Shows::Never => 0.0,
    }
}

/// A text, its field, and how much it counts.
type Part = (Field, f64, Vec<String>);

fn of_page(page: &Page) -> Vec<Part> {
    let titles = std::iter::once(&page.title).chain(&page.also);
    let mut parts: Vec<Part> = titles.map(|title| (Field::Title, 1.0, words(title))).collect();
    parts.extend(
        page.signs
            .iter()
            .map(|(says, shows)| (Field::Signs, share(*shows), words(says))),
    );
    parts
}

fn of_piece(piece: &Piece) -> Vec<Part> {
    let body = match piece.sort {
        Sort::Section | Sort::Signs => Field::Body,
        Sort::Procedure => Field::Steps,
        Sort::Entry => Field::Entry,
    };
    let mut parts = vec![(body, 1.0, words(&piece.indexed))];
    if matches!(piece.sort, Sort::Section | Sort::Procedure) {
        parts.push((Field::Heading, 1.0, words(&piece.heading)));
    }
    parts
}

/// All that is looked through: first what pages have as a whole, then their pieces, in the order of the pages. Each as its words
/// with what they say, which is more than nothing.
pub fn weighed(pages: &[Page]) -> Vec<BTreeMap<String, f64>> {
    let mut documents: Vec<Vec<Part>> = pages.iter().map(of_page).collect();
    documents.extend(pages.iter().flat_map(|page| &page.pieces).map(of_piece));
    let means: Vec<f64> = Field::ALL
        .iter()
        .map(|field| mean(documents.iter().flat_map(|parts| length(parts, *field))))
        .collect();
    documents
        .into_iter()
        .map(|parts| {
            let mut found: BTreeMap<String, f64> = BTreeMap::new();
            for (field, mean) in Field::ALL.into_iter().zip(&means) {
                let length = length(&parts, field).unwrap_or_default();
                let longer = 1.0 - B + B * length / mean;
                for (_, counts, words) in parts.iter().filter(|(of, _, _)| *of == field) {
                    for word in words {
                        *found.entry(word.clone()).or_default() += field.weight() * counts / longer;
                    }
                }
            }
            found
        })
        .collect()
}

/// How many words of a field a document has; none where it has no such field.
fn length(parts: &[Part], field: Field) -> Option<f64> {
    let lengths: Vec<usize> = parts
        .iter()
        .filter(|(of, _, _)| *of == field)
        .map(|(_, _, words)| words.len())
        .collect();
    (!lengths.is_empty()).then(|| lengths.iter().sum::<usize>() as f64)
}

fn mean(lengths: impl Iterator<Item = f64>) -> f64 {
    let (count, sum) = lengths.fold((0.0, 0.0), |(count, sum), length| (count + 1.0, sum + length));
    if sum > 0.0 { sum / count } else { 1.0 }
}

/// The least weight that has a level of its own, and how much more each further level is.
const LEAST: f64 = 0.2;
const RISE: f64 = 1.6;

/// How many levels of weight there are: one for each capital letter from A to M.
pub const LEVELS: u8 = 13;

/// A weight as a level: close enough to rank by, and a single letter in the index.
pub fn level(weight: f64) -> u8 {
    let level = ((weight / LEAST).ln() / RISE.ln()).round();
    (0..LEVELS - 1)
        .find(|one| level <= f64::from(*one))
        .unwrap_or(LEVELS - 1)
}

/// The weight that a level stands for.
pub fn weight(level: u8) -> f64 {
    LEAST * RISE.powi(i32::from(level))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn levels_are_close_to_what_they_stand_for() {
        for hundredth in 20..4000 {
            let weighed = f64::from(hundredth) / 100.0;
            let off = (weight(level(weighed)) / weighed).ln().abs();
            assert!(off <= RISE.ln() / 2.0 + 1e-9, "{weighed}");
        }
        assert_eq!((level(0.0), level(1e-9), level(1e9)), (0, 0, LEVELS - 1));
    }
}
