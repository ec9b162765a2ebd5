//! A drawing that stands in a lesson: the machine as the lesson tells of it, drawn at compile time, so that a page needs no script for it.

use super::Press;
use crate::model::{Filed, Lesson, Machine, Shown};
use serde_json::{Value, json};

impl Press<'_> {
    /// What the block's template prints; `None` if the drawing is not there.
    pub fn still(&self, lesson: &Filed<Lesson>, shown: &Shown, root: &str) -> Option<Value> {
        let course = self.checked.course();
        let drawing = course.drawing(&shown.drawing)?.content.as_ref().ok()?;
        let machine = (lesson.value.front.machine.as_ref()).and_then(|id| course.machine(id));
        let view = machine.and_then(|machine| {
            let mut views = machine.value.views.values();
            Some((machine, views.find(|view| view.drawing.value == shown.drawing.value)?))
        });
        let model = view.and_then(|(machine, _)| self.checked.marking().machine(&machine.id)?.model.as_ref());
        let variables = model.map_or(&[][..], |model| &model.variables);
        let value = |name: &str| -> Option<&str> {
            if let Some(value) = shown.shows.get(name) {
                return Some(&value.value);
            }
            // The first value is the one at rest.
            let variable = variables.iter().find(|variable| variable.name == name)?;
            variable.values.first().map(String::as_str)
        };
        let svg = drawing.still(shown.names, value);
        let facts = view.map_or(String::new(), |(machine, _)| facts(&machine.value, shown));
        // Whoever cannot see the drawing is told what it shows now, not only what it always shows.
        let svg = svg.replacen(
            "</desc>",
            &format!(" {}</desc>", escaped(&facts)),
            usize::from(!facts.is_empty()),
        );
        // Looked at from outside, with a mesh before it that no drawing shows.
        let guarded = view.is_some_and(|(machine, view)| {
            let place = view.from.first().and_then(|place| machine.value.places.get(place));
            place.is_some_and(|place| place.inside)
        });
        Some(json!({ "svg": svg, "caption": self.inline(&shown.caption, root), "guarded": guarded }))
    }
}

/// What is not at rest, in the machine's own words.
fn facts(machine: &Machine, shown: &Shown) -> String {
    let told = shown.shows.iter().filter_map(|(name, value)| {
        let (family, number) = name.value.split_once('.').unwrap_or((&name.value, ""));
        let clause = machine
            .tells
            .get(family)?
            .get(&value.value)?
            .value
            .replace("{n}", number);
        let mut letters = clause.chars();
        let first = letters.next()?.to_uppercase();
        Some(format!("{first}{}.", letters.as_str()))
    });
    told.collect::<Vec<_>>().join(" ")
}

fn escaped(text: &str) -> String {
    text.replace('&', "&amp;").replace('<', "&lt;")
}
