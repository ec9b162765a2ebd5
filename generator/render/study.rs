//! What the plan for a break reads: how long each piece takes, what must be known first, and which questions come again.

use super::Press;
use super::data;
use crate::check::prose;
use crate::load::markdown::words;
use crate::model::{Course, Lesson, Question, TypedBlock};
use crate::source::FileId;
use crate::survey::{seconds, words_of};
use serde_json::{Map, Value, json};
use std::collections::HashMap;

/// `data/study.js`. Seconds are those of a reader at the published speed; the page takes the person's own pace into account.
pub fn script(press: &Press<'_>) -> Vec<u8> {
    data::script(&[("study", value(press))])
}

/// What it holds.
pub fn value(press: &Press<'_>) -> Value {
    let course = press.checked.course();
    let mut prose_words: HashMap<FileId, usize> = HashMap::new();
    for piece in prose::pieces(course) {
        *prose_words.entry(piece.file).or_default() += words(piece.text.as_str());
    }
    let words_in = |file: FileId| prose_words.get(&file).copied().unwrap_or_default();
    let lessons: Map<String, Value> = course
        .lessons
        .iter()
        .map(|lesson| {
            let asks: Vec<&str> = lesson.value.asks().map(|ask| ask.id.as_str()).collect();
            let after: Vec<&str> = lesson.value.front.after.iter().map(|id| id.as_str()).collect();
            let takes = lesson_seconds(&lesson.value);
            (
                lesson.id.clone(),
                json!({ "seconds": takes, "asks": asks, "after": after }),
            )
        })
        .collect();
    let banks: Map<String, Value> = course
        .banks
        .iter()
        .map(|bank| {
            let all = bank.value.questions.values().count().max(1);
            let form = bank
                .value
                .draw
                .values()
                .map(|count| count.value as usize)
                .sum::<usize>();
            let drawings = bank.value.questions.values().map(drawn).sum::<usize>() * form / all;
            let takes = seconds(words_in(bank.file) * form / all, form, drawings);
            let asks: Map<String, Value> = (bank.value.questions.iter())
                .map(|(id, question)| {
                    (
                        id.to_string(),
                        json!([question.competency.value, u8::from(question.critical)]),
                    )
                })
                .collect();
            (bank.id.clone(), json!({ "seconds": takes, "asks": asks }))
        })
        .collect();
    // A way through a call reads about half of it: of each scene's choices one is taken, and scenes are left out.
    let scenarios: Map<String, Value> = course
        .scenarios
        .iter()
        .map(|scenario| {
            let scenes = scenario.value.scenes.values().count();
            let takes = seconds(words_in(scenario.file) / 2, scenes / 2, 0);
            (scenario.id.clone(), json!({ "seconds": takes }))
        })
        .collect();
    let drills: Map<String, Value> = (course.drills.iter())
        .map(|drill| (drill.id.clone(), json!({ "seconds": drill_seconds(course, &drill.id) })))
        .collect();
    json!({
        "boxes": boxes(course),
        "lessons": lessons, "banks": banks, "scenarios": scenarios, "drills": drills,
    })
}

/// After how many days the questions of each box come again.
pub fn boxes(course: &Course) -> Vec<u32> {
    let outline = course.outline.iter();
    let days = outline.flat_map(|outline| &outline.value.review.after_days);
    days.map(|days| days.value).collect()
}

/// A lesson with its questions, charts and drawings, in seconds.
pub fn lesson_seconds(lesson: &Lesson) -> usize {
    let blocks = lesson.body.blocks.iter();
    let charts = blocks
        .filter(|block| matches!(block.block, TypedBlock::Cycle(_) | TypedBlock::Drawing(_)))
        .count();
    let drawings = charts + lesson.asks().map(|ask| drawn(&ask.question)).sum::<usize>();
    seconds(words_of(lesson), lesson.asks().count(), drawings)
}

fn drawn(question: &Question) -> usize {
    usize::from(question.drawing.is_some())
}

/// A run through a drill, in seconds: a minute to look about, and for each step of its procedure the time to find the act.
/// Common practice, no source.
fn drill_seconds(course: &Course, drill: &str) -> usize {
    const LOOKING: usize = 60;
    const STEP: usize = 10;
    const STEPS_UNKNOWN: usize = 20;
    let steps = course
        .lessons
        .iter()
        .flat_map(|lesson| lesson.value.procedures())
        .find(|(_, procedure)| procedure.clears.as_ref().is_some_and(|id| id.as_str() == drill))
        .map_or(STEPS_UNKNOWN, |(_, procedure)| procedure.steps.len());
    LOOKING + STEP * steps
}
