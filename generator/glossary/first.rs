//! Where a text first names what stands in the glossary.

use super::{Entry, entries};
use crate::check::wording;
use crate::model::Course;
use std::collections::{HashMap, HashSet};
use std::ops::Range;

/// Before a word that is also a verb or a place ("lift", "home"), one of these shows that a thing is meant.
const BEFORE_A_THING: [&str; 14] = [
    "the", "a", "an", "its", "each", "every", "this", "that", "both", "one", "two", "whose", "no", "which",
];

/// A stretch of a text.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Piece<'t> {
    Plain(&'t str),
    /// The first use of an entry, and where that stands on the glossary's page.
    Term {
        text: &'t str,
        anchor: String,
    },
}

/// Finds the first use of each entry over the texts of one page.
pub struct FirstUses {
    /// By their first word, the longest first.
    forms: HashMap<String, Vec<Form>>,
    done: HashSet<String>,
    english: bool,
}

struct Form {
    words: Vec<String>,
    anchor: String,
}

impl FirstUses {
    /// For a page that tells of a machine, or of none in particular.
    pub fn new(course: &Course, machine: Option<&str>) -> Self {
        let mut forms: HashMap<String, Vec<Form>> = HashMap::new();
        let meant = |entry: &&Entry| machine.is_none() || entry.machine.is_none() || entry.machine == machine;
        for entry in entries(course).iter().filter(meant) {
            for form in entry.forms() {
                let words: Vec<String> = spans(form).map(|span| form[span].to_lowercase()).collect();
                let Some(last) = words.last() else { continue };
                let mut many = words.clone();
                let plural = format!("{last}s");
                if let Some(end) = many.last_mut() {
                    *end = plural;
                }
                for words in [words, many] {
                    let anchor = entry.anchor.clone();
                    forms.entry(words[0].clone()).or_default().push(Form { words, anchor });
                }
            }
        }
        for known in forms.values_mut() {
            known.sort_by_key(|form| std::cmp::Reverse(form.words.len()));
        }
        Self {
            forms,
            done: HashSet::new(),
            english: wording::is_english(course),
        }
    }

    /// Cuts a text at the first uses in it. Pieces and text are the same letters.
    pub fn cut<'t>(&mut self, text: &'t str) -> Vec<Piece<'t>> {
        let words: Vec<Range<usize>> = spans(text).collect();
        let mut pieces = Vec::new();
        let (mut from, mut at) = (0, 0);
        while at < words.len() {
            let Some((anchor, count)) = self.here(text, &words, at) else {
                at += 1;
                continue;
            };
            let found = words[at].start..words[at + count - 1].end;
            if from < found.start {
                pieces.push(Piece::Plain(&text[from..found.start]));
            }
            from = found.end;
            pieces.push(Piece::Term {
                text: &text[found],
                anchor: anchor.clone(),
            });
            self.done.insert(anchor);
            at += count;
        }
        if from < text.len() {
            pieces.push(Piece::Plain(&text[from..]));
        }
        pieces
    }

    /// What is named for the first time at a word, and over how many words.
    fn here(&self, text: &str, words: &[Range<usize>], at: usize) -> Option<(String, usize)> {
        let said = |at: usize| words.get(at).map(|span| text[span.clone()].to_lowercase());
        let form = self.forms.get(&said(at)?)?.iter().find(|form| {
            let same = (form.words.iter().enumerate()).all(|(on, word)| said(at + on).as_ref() == Some(word));
            // Only now is it known that there are as many words.
            same && (1..form.words.len()).all(|on| {
                let between = &text[words[at + on - 1].end..words[at + on].start];
                matches!(between, " " | "-" | "\n")
            })
        })?;
        // The longest form that stands here decides, also where it was named before.
        if self.done.contains(&form.anchor) {
            return None;
        }
        let thing = || {
            let before = at.checked_sub(1).and_then(said);
            before.is_some_and(|before| BEFORE_A_THING.contains(&before.as_str()))
        };
        (form.words.len() > 1 || !self.english || thing()).then(|| (form.anchor.clone(), form.words.len()))
    }
}

/// Where the words of a text stand.
fn spans(text: &str) -> impl Iterator<Item = Range<usize>> {
    let mut rest = 0;
    std::iter::from_fn(move || {
        let start = rest + text[rest..].find(char::is_alphanumeric)?;
        let end = text[start..]
            .find(|letter: char| !letter.is_alphanumeric())
            .map_or(text.len(), |length| start + length);
        rest = end;
        Some(start..end)
    })
}
