//! What a reader can look up: the parts of the machines and the words of the trade, and where a text first names one.

mod first;

pub use first::{FirstUses, Piece};

use crate::model::{Course, Text};

/// What the glossary says of one thing.
#[derive(Debug, Clone)]
pub struct Entry<'a> {
    /// Where it stands on the glossary's page.
    pub anchor: String,
    /// How it is written.
    pub name: String,
    /// Other ways to write it.
    pub also: Vec<&'a str>,
    pub says: &'a Text,
    /// How it can hurt.
    pub hurts: Option<&'a Text>,
    /// The machine that it is a part of; none for a word of the trade.
    pub machine: Option<&'a str>,
}

impl Entry<'_> {
    /// All ways to write it, in the singular.
    pub fn forms(&self) -> impl Iterator<Item = &str> {
        std::iter::once(self.name.as_str()).chain(self.also.iter().copied())
    }
}

/// All entries of a course, by name.
pub fn entries(course: &Course) -> Vec<Entry<'_>> {
    let parts = course.machines.iter().flat_map(|machine| {
        machine.value.parts.iter().map(|(id, part)| Entry {
            anchor: format!("{}-{}", machine.id, id.value),
            name: id.value.replace('-', " "),
            also: Vec::new(),
            says: &part.says,
            hurts: part.hurts.as_ref(),
            machine: Some(machine.id.as_str()),
        })
    });
    let terms = course.glossary.iter().flat_map(|all| {
        all.value.0.iter().map(|(id, term)| Entry {
            anchor: format!("term-{}", id.value),
            name: id.value.replace('-', " "),
            also: term.also.iter().map(|form| form.value.as_str()).collect(),
            says: &term.says,
            hurts: None,
            machine: None,
        })
    });
    let mut entries: Vec<Entry> = parts.chain(terms).collect();
    entries.sort_by(|one, other| (&one.name, &one.anchor).cmp(&(&other.name, &other.anchor)));
    entries
}
