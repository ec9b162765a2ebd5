//! Checked course → what its Find page looks through: every word with the pages and pieces that it says something about, and the pieces' texts.

mod pieces;
mod plain;
mod weigh;
mod words;

pub use pieces::{Page, Piece, Sort};
pub use plain::plain;
pub use weigh::{K1, LEVELS, weight};
pub use words::{Stems, words};

use crate::check::Checked;
use crate::source::Sources;
use std::collections::{BTreeMap, BTreeSet, HashMap};

/// What there is to look through.
#[derive(Debug, Clone, PartialEq)]
pub struct Index {
    pub pages: Vec<Page>,
    /// Words of one stem with where they are found, by the alphabet of their first words.
    pub families: Vec<Family>,
    /// Everyday words and phrases, their words with one space between them, and the families of the course that they stand for.
    pub everyday: BTreeMap<String, Vec<usize>>,
}

/// Words that differ only by their endings.
#[derive(Debug, Clone, PartialEq)]
pub struct Family {
    /// As they stand in the course, by the alphabet.
    pub words: Vec<String>,
    /// What it is found in, rising: pages by their place, then pieces by theirs, counted on from the number of pages.
    pub found: Vec<(usize, u8)>,
}

/// Makes the index. `passed_over` are words that say nothing by themselves, such as *the*; `signs_title` is what stands over the signs
/// of a stop.
pub fn index(checked: &Checked, sources: &Sources, passed_over: &str, signs_title: &str) -> Index {
    let passed_over: BTreeSet<String> = words(passed_over).into_iter().collect();
    let stems = Stems::of(&checked.marking().language);
    let pages = pieces::pages(checked, sources, signs_title);
    let mut by_stem: BTreeMap<String, (BTreeSet<String>, BTreeMap<usize, f64>)> = BTreeMap::new();
    let mut known: HashMap<String, String> = HashMap::new();
    for (place, found) in weigh::weighed(&pages).into_iter().enumerate() {
        for (word, weight) in found {
            if passed_over.contains(&word) || weight <= 0.0 {
                continue;
            }
            let stem = known.entry(word).or_insert_with_key(|word| stems.stem(word));
            *by_stem.entry(stem.clone()).or_default().1.entry(place).or_default() += weight;
        }
    }
    for (word, stem) in known {
        if let Some((words, _)) = by_stem.get_mut(&stem) {
            words.insert(word);
        }
    }
    let mut families: Vec<Family> = by_stem
        .into_values()
        .map(|(words, found)| Family {
            words: words.into_iter().collect(),
            found: found
                .into_iter()
                .map(|(place, weight)| (place, weigh::level(weight)))
                .collect(),
        })
        .collect();
    families.sort_by(|one, other| one.words.cmp(&other.words));
    let everyday = everyday(checked, &families, &stems);
    Index {
        pages,
        families,
        everyday,
    }
}

/// Everyday words, and what they are to mean, where no lesson and no entry of the glossary uses it: whoever types them finds nothing by it.
pub fn lead_nowhere<'a>(checked: &'a Checked, sources: &Sources) -> Vec<(&'a str, &'a str)> {
    let all = checked.course().everyday.iter().flat_map(|all| all.value.0.iter());
    let pairs: Vec<(&str, &str)> = all
        .flat_map(|(said, meant)| meant.iter().map(|meant| (said.value.as_str(), meant.value.as_str())))
        .collect();
    if pairs.is_empty() {
        return pairs;
    }
    let stems = Stems::of(&checked.marking().language);
    let index = index(checked, sources, "", "");
    let known: BTreeSet<String> = index
        .families
        .iter()
        .filter_map(|family| Some(stems.stem(family.words.first()?)))
        .collect();
    let is_known = |meant: &str| {
        let words = words(meant);
        !words.is_empty() && words.iter().all(|word| known.contains(&stems.stem(word)))
    };
    pairs.into_iter().filter(|(_, meant)| !is_known(meant)).collect()
}

/// What the course's own list says of words that its lessons do not use. What leads nowhere is left out.
fn everyday(checked: &Checked, families: &[Family], stems: &Stems) -> BTreeMap<String, Vec<usize>> {
    let places: HashMap<String, usize> = families
        .iter()
        .enumerate()
        .filter_map(|(place, family)| Some((stems.stem(family.words.first()?), place)))
        .collect();
    let all = checked.course().everyday.iter().flat_map(|all| all.value.0.iter());
    all.filter_map(|(said, meant)| {
        let meant: BTreeSet<usize> = meant
            .iter()
            .flat_map(|meant| words(&meant.value))
            .filter_map(|word| places.get(&stems.stem(&word)).copied())
            .collect();
        let said = words(&said.value.replace('-', " ")).join(" ");
        (!meant.is_empty() && !said.is_empty()).then(|| (said, meant.into_iter().collect()))
    })
    .collect()
}
