//! The wall sheet: a lockout lesson's procedure, as large as paper allows, to be read while standing before the machine.

use super::Press;
use crate::model::{Caution, Filed, Kind, Lesson};
use serde_json::{Value, json};
use std::collections::BTreeSet;

/// The sizes of a wall sheet's text, by its letters: the first two fit on one side, the others on two. Measured where a course of
/// the tests and the demo course lie, reckoned from there by the squares of the sizes. Beyond the last the sheet goes on over more
/// sides rather than get smaller.
const WALL_SIZES: [(usize, &str); 5] = [
    (900, "large"),
    (1_300, "middle"),
    (3_400, "large"),
    (4_600, "middle"),
    (usize::MAX, "small"),
];

impl<'a> Press<'a> {
    /// The lessons that have a wall sheet.
    pub fn walled(&self) -> impl Iterator<Item = &'a Filed<Lesson>> + use<'a> {
        self.checked.course().lessons.iter().filter(|lesson| has_wall(lesson))
    }
}

/// Whether a lesson teaches the lockout itself, step by step.
pub fn has_wall(lesson: &Filed<Lesson>) -> bool {
    let lockout = lesson.value.front.kind.value == Kind::Lockout;
    lockout && lesson.value.locks_out() && lesson.value.procedures().next().is_some()
}

impl Press<'_> {
    /// A lockout lesson's steps in their order, each caution in full before the first step that names it. Those that no step
    /// names stand before them all, so that none is lost.
    pub fn wall(&self, lesson: &Filed<Lesson>, root: &str) -> Value {
        let cautions: Vec<&Caution> = lesson.value.cautions().collect();
        let mut shown: BTreeSet<String> = BTreeSet::new();
        let mut procedures = Vec::new();
        let mut first = 1;
        for (_, procedure) in lesson.value.procedures() {
            let mut steps = self.steps(&procedure.steps, &cautions, first, root);
            first += steps.len();
            for caution in steps
                .iter_mut()
                .filter_map(|step| step["cautions"].as_array_mut())
                .flatten()
            {
                let new = caution["id"].as_str().is_some_and(|id| shown.insert(id.to_owned()));
                caution["new"] = new.into();
            }
            let proven = !self.proof(lesson, procedure).is_null();
            procedures.push(json!({ "title": procedure.title.value, "steps": steps, "proven": proven }));
        }
        let others: Vec<Value> = self
            .lettered(&cautions, root)
            .into_iter()
            .filter(|caution| caution["id"].as_str().is_some_and(|id| !shown.contains(id)))
            .collect();
        let mut values = self.lesson(lesson, root);
        values["procedures"] = procedures.into();
        values["cautions"] = others.into();
        values["walk_away"] = self.walk_aways(lesson, root).into();
        let parts = ["procedures", "cautions", "before", "walk_away"];
        let letters: usize = parts.into_iter().map(|part| letters(&values[part])).sum();
        let size = WALL_SIZES.iter().find(|(most, _)| letters <= *most);
        values["size"] = size.map(|(_, size)| *size).into();
        values
    }
}

/// The letters of all texts in a value that a sheet prints.
pub fn letters(value: &Value) -> usize {
    const PRINTED: [&str; 9] = [
        "title", "says", "hazard", "harm", "avoid", "point", "where", "shuts", "words",
    ];
    match value {
        Value::Array(all) => all.iter().map(letters).sum(),
        Value::Object(all) => all
            .iter()
            .map(|(key, value)| match value {
                Value::String(_) if !PRINTED.contains(&key.as_str()) => 0,
                other => letters(other),
            })
            .sum(),
        Value::String(text) => text.chars().count(),
        _ => 0,
    }
}
