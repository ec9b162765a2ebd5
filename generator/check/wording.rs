//! Prose as a reader sees it: letters without marks, words, the sentence that asks. Lists of words are English, and apply only where the
//! course is.

use crate::load::markdown::options;
use crate::model::Course;
use pulldown_cmark::{Event, Parser, Tag, TagEnd};

/// Whether the course is written in English.
pub fn is_english(course: &Course) -> bool {
    let language = course
        .outline
        .as_ref()
        .map(|outline| outline.value.language.value.as_str());
    language.is_some_and(|tag| {
        tag.split('-')
            .next()
            .is_some_and(|primary| primary.eq_ignore_ascii_case("en"))
    })
}

/// The letters of a text without its marks, each with whether it is strong (`**so**`).
fn letters(text: &str) -> Vec<(char, bool)> {
    let mut strong = 0;
    let mut letters = Vec::new();
    for event in Parser::new_ext(text, options()) {
        match event {
            Event::Start(Tag::Strong) => strong += 1,
            Event::End(TagEnd::Strong) => strong -= 1,
            Event::Text(words) | Event::Code(words) => letters.extend(words.chars().map(|letter| (letter, strong > 0))),
            Event::SoftBreak | Event::HardBreak | Event::End(TagEnd::Paragraph) => letters.push((' ', false)),
            _ => {}
        }
    }
    letters
}

/// The text without its marks.
pub fn plain(text: &str) -> String {
    let letters: String = letters(text).into_iter().map(|(letter, _)| letter).collect();
    letters.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// A word in lower case, with straight apostrophes.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Word {
    pub text: String,
    /// All of it stands out: `**not**`.
    pub strong: bool,
}

/// The words of one sentence and the sign that ends it: `.`, `?`, `!`, `:`, or none at the end of the text.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Sentence {
    pub words: Vec<Word>,
    pub end: Option<char>,
}

/// The sentences of a text.
pub fn sentences(text: &str) -> Vec<Sentence> {
    let mut sentences = Vec::new();
    let mut words: Vec<Word> = Vec::new();
    let mut word = Word {
        text: String::new(),
        strong: true,
    };
    let letters = letters(text);
    for (at, (letter, strong)) in letters.iter().enumerate() {
        let next = letters.get(at + 1).map(|(next, _)| *next);
        let inside = letter.is_alphanumeric() || (is_joint(*letter) && next.is_some_and(char::is_alphanumeric));
        if inside && !(word.text.is_empty() && is_joint(*letter)) {
            word.text
                .extend(if is_apostrophe(*letter) { '\'' } else { *letter }.to_lowercase());
            word.strong &= strong;
            continue;
        }
        close(&mut word, &mut words);
        let ends = matches!(letter, '.' | '?' | '!' | ':') && next.is_none_or(|next| !next.is_alphanumeric());
        if ends && !words.is_empty() {
            sentences.push(Sentence {
                words: std::mem::take(&mut words),
                end: Some(*letter),
            });
        }
    }
    close(&mut word, &mut words);
    if !words.is_empty() {
        sentences.push(Sentence { words, end: None });
    }
    sentences
}

fn close(word: &mut Word, words: &mut Vec<Word>) {
    if !word.text.is_empty() {
        words.push(word.clone());
    }
    word.text.clear();
    word.strong = true;
}

fn is_apostrophe(letter: char) -> bool {
    matches!(letter, '\'' | '\u{2019}')
}

/// What may stand within a word.
fn is_joint(letter: char) -> bool {
    is_apostrophe(letter) || letter == '-'
}

/// All words of a text.
pub fn words(text: &str) -> Vec<String> {
    let sentences = sentences(text);
    sentences
        .into_iter()
        .flat_map(|sentence| sentence.words)
        .map(|word| word.text)
        .collect()
}

/// Whether some words follow one another in a text; a list at a place stands for any one of its words.
pub fn says(words: &[String], phrase: &[&[&str]]) -> bool {
    words.windows(phrase.len()).any(|window| {
        window
            .iter()
            .zip(phrase)
            .all(|(word, any)| any.contains(&word.as_str()))
    })
}
