//! Labels to stick on: a code that leads to what the course says of a part, or of a stop.

use super::Press;
use super::cards::is_stop_of;
use crate::glossary;
use crate::model::{Filed, Machine};
use serde_json::{Value, json};

/// Width of a code's module on a label, which is read from a step away, in hundredths of a millimetre.
const ON_LABEL: usize = 50;

impl Press<'_> {
    /// A label for each part that the glossary explains, machine by machine, and for each lesson on a stop.
    pub fn labels(&self) -> Value {
        let course = self.checked.course();
        let entries = glossary::entries(course);
        let group = |machine: &Filed<Machine>| -> Option<Value> {
            let of = |entry: &&glossary::Entry| entry.machine == Some(machine.id.as_str());
            let parts = entries.iter().filter(of).map(|entry| {
                json!({ "title": entry.name, "code": self.code(&format!("glossary.html#{}", entry.anchor), ON_LABEL) })
            });
            let stops = course
                .lessons
                .iter()
                .filter(|lesson| is_stop_of(lesson, &machine.id))
                .map(|lesson| {
                    let code = self.code(&format!("lesson/{}.html", lesson.id), ON_LABEL);
                    json!({ "title": lesson.value.front.title.value, "code": code })
                });
            let labels: Vec<Value> = parts.chain(stops).collect();
            (!labels.is_empty()).then(|| json!({ "title": machine.value.title.value, "labels": labels }))
        };
        json!({ "groups": course.machines.iter().filter_map(group).collect::<Vec<_>>() })
    }
}
