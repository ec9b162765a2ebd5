//! Checked course → how its lessons read, and where it is thin. Nothing here is wrong; it is what an author looks at next.

mod grade;
mod thin;

pub use grade::{Counts, syllables};

use crate::check::Checked;
use crate::check::{prose, wording};
use crate::find;
use crate::glossary;
use crate::load::markdown::{options, words};
use crate::model::{Course, Filed, Lesson, TypedBlock};
use crate::source::Sources;
use pulldown_cmark::{CodeBlockKind, Event, Parser, Tag, TagEnd};
use serde::Serialize;
use std::collections::BTreeSet;

/// Words a minute of silent reading: M. Brysbaert, "How many words do we read per minute?", J. Mem. Lang. 109, 2019.
pub const WORDS_A_MINUTE: usize = 238;

/// The break that a lesson should fit in, in minutes: common practice, no source.
pub const BREAK: usize = 10;

/// The grade that no lesson should be above.
pub const GRADE: f64 = 8.0;

/// What there is to say of a course in which nothing is wrong.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Survey {
    /// In the order of the outline's files.
    pub lessons: Vec<Reading>,
    /// One sentence each, in a fixed order.
    pub thin: Vec<String>,
}

/// How a lesson reads.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Reading {
    pub lesson: String,
    pub minutes: usize,
    /// `None` where the course is in another language than the grade is made for.
    pub grade: Option<f64>,
    /// The same, with the words of the glossary left out: who learns the trade must learn those.
    pub grade_without_terms: Option<f64>,
}

/// How long a lesson takes to read, in whole minutes, at least 1.
pub fn minutes(lesson: &Lesson) -> usize {
    words_of(lesson).div_ceil(WORDS_A_MINUTE).max(1)
}

/// Words that a reader of the lesson's page reads, each caution once. Nobody studies there how a trainer sets a stop up.
pub fn words_of(lesson: &Lesson) -> usize {
    let blocks = lesson.body.blocks.iter().map(|block| &block.block);
    let read = blocks.filter(|block| !matches!(block, TypedBlock::Staging(_)));
    let texts = read.flat_map(prose::block_texts);
    lesson.body.words + texts.map(|text| words(text.as_str())).sum::<usize>()
}

/// What a question takes besides its words, and what a drawing or a chart does, in seconds: common practice, no source. The
/// pace of whoever studies corrects both.
const ASKED: usize = 20;
const DRAWN: usize = 15;

/// How long so many words, questions and drawings take, in seconds.
pub fn seconds(words: usize, questions: usize, drawings: usize) -> usize {
    (words * 60).div_ceil(WORDS_A_MINUTE) + ASKED * questions + DRAWN * drawings
}

/// Counts the words, sentences and syllables of a text in Markdown.
pub fn counts(text: &str) -> Counts {
    Counts::of(&wording::sentences(text), |_| false)
}

/// Looks over a course.
pub fn survey(checked: &Checked, sources: &Sources) -> Survey {
    let course = checked.course();
    let english = wording::is_english(course);
    let terms = terms(course);
    let pieces = prose::pieces(course);
    let lessons: Vec<Reading> = course
        .lessons
        .iter()
        .map(|lesson| {
            let (mut all, mut without) = (Counts::default(), Counts::default());
            let mut add = |text: &str| {
                let sentences = wording::sentences(text);
                all += Counts::of(&sentences, |_| false);
                without += Counts::of(&sentences, |word| terms.contains(word));
            };
            for text in paragraphs(lesson, sources) {
                add(&text);
            }
            let own = pieces.iter().filter(|piece| piece.lesson == Some(lesson.id.as_str()));
            own.for_each(|piece| add(piece.text.as_str()));
            Reading {
                lesson: lesson.id.clone(),
                minutes: minutes(&lesson.value),
                grade: all.grade().filter(|_| english),
                grade_without_terms: without.grade().filter(|_| english),
            }
        })
        .collect();
    let mut thin = thin::remarks(checked, &lessons);
    thin.extend(
        find::lead_nowhere(checked, sources)
            .into_iter()
            .map(|(said, meant)| format!("lessons/everyday.yml: `{said}` is to mean `{meant}`, which no lesson says")),
    );
    Survey { lessons, thin }
}

/// The words of the glossary, one by one.
fn terms(course: &Course) -> BTreeSet<String> {
    glossary::entries(course)
        .iter()
        .flat_map(|entry| entry.forms().flat_map(wording::words).collect::<Vec<_>>())
        .flat_map(|word| [format!("{word}s"), word])
        .collect()
}

/// The text of a lesson outside its typed blocks, by paragraph, heading, list item and cell. Centre's facts read as one word.
fn paragraphs(lesson: &Filed<Lesson>, sources: &Sources) -> Vec<String> {
    let text = &sources.text(lesson.file)[lesson.value.body.range.clone()];
    let mut all = Vec::new();
    let mut open = String::new();
    let mut fence = false;
    for event in Parser::new_ext(text, options()) {
        match event {
            Event::Start(Tag::CodeBlock(CodeBlockKind::Fenced(_))) => fence = true,
            Event::End(TagEnd::CodeBlock) => fence = false,
            Event::Text(words) | Event::Code(words) if !fence => open.push_str(&words),
            Event::SoftBreak | Event::HardBreak => open.push(' '),
            Event::End(TagEnd::Paragraph | TagEnd::Heading(_) | TagEnd::Item | TagEnd::TableCell)
                if !open.trim().is_empty() =>
            {
                all.push(std::mem::take(&mut open));
            }
            _ => {}
        }
    }
    all
}
