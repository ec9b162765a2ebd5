//! The wall sheet: a lockout lesson's procedure, as large as paper allows, to be read while standing before the machine.

use super::Press;
use crate::model::{Caution, Filed, Kind, Lesson};
use serde_json::{Value, json};

/// As many letters as a wall sheet holds in larger text on one side, measured where a course of the tests lies. A longer one goes on
/// over more sides rather than get smaller than can be read from where one works.
const LARGE: usize = 1_300;

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
    /// A lockout lesson's steps in their order, each caution in full before every step that names it, since the steps hang on several
    /// sides. Those that no step names stand before them all, so that none is lost. Letters go by the order on the sheet.
    pub fn wall(&self, lesson: &Filed<Lesson>, root: &str) -> Value {
        let mut cautions: Vec<&Caution> = lesson.value.cautions().collect();
        let steps = || lesson.value.procedures().flat_map(|(_, procedure)| &procedure.steps);
        let named: Vec<&str> = steps()
            .flat_map(|step| step.cautions.iter().map(|id| id.value.as_str()))
            .collect();
        let first_use = |id: &str| named.iter().position(|named| *named == id);
        // What no step names has no place among them, and sorts before all places.
        cautions.sort_by_key(|caution| first_use(&caution.id.value));
        let unnamed = cautions
            .iter()
            .take_while(|caution| first_use(&caution.id.value).is_none())
            .count();
        let mut procedures = Vec::new();
        let mut first = 1;
        for (_, procedure) in lesson.value.procedures() {
            let steps = self.steps(&procedure.steps, &cautions, first, root);
            first += steps.len();
            let proven = !self.proof(lesson, procedure).is_null();
            procedures.push(json!({ "title": procedure.title.value, "steps": steps, "proven": proven }));
        }
        let others: Vec<Value> = self.lettered(&cautions, root).into_iter().take(unnamed).collect();
        let mut values = self.lesson(lesson, root);
        values["procedures"] = procedures.into();
        values["cautions"] = others.into();
        values["walk_away"] = self.walk_aways(lesson, root).into();
        let parts = ["procedures", "cautions", "before", "walk_away"];
        let letters: usize = parts.into_iter().map(|part| letters(&values[part])).sum();
        values["large"] = (letters <= LARGE).into();
        values["emergency"] = self.call("emergency");
        values
    }
}

/// The letters of all texts in a value that a sheet prints.
fn letters(value: &Value) -> usize {
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
