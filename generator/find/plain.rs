//! Markdown → plain text, with the centre's facts in their places.

use crate::load::markdown::options;
use crate::model::Course;
use pulldown_cmark::{Event, LinkType, Parser, Tag, TagEnd};

/// Gathers the text of events. A fact of the centre (`<centre:NAME>`) reads as its own words.
pub struct Ink<'a> {
    course: &'a Course,
    text: String,
    in_fact: bool,
}

impl<'a> Ink<'a> {
    pub fn new(course: &'a Course) -> Self {
        Self {
            course,
            text: String::new(),
            in_fact: false,
        }
    }

    pub fn take(&mut self, event: &Event<'_>) {
        match event {
            Event::Start(Tag::Link {
                link_type: LinkType::Autolink,
                dest_url,
                ..
            }) => {
                if let Some(name) = dest_url.strip_prefix("centre:") {
                    let centre = self.course.centre.as_ref().map(|centre| &centre.value);
                    // Blank and unknown facts are findings, so a checked course has the words.
                    self.text.push_str(
                        centre
                            .and_then(|centre| centre.fact(name))
                            .flatten()
                            .unwrap_or_default(),
                    );
                    self.in_fact = true;
                }
            }
            Event::End(TagEnd::Link) => self.in_fact = false,
            Event::Text(words) | Event::Code(words) if !self.in_fact => self.text.push_str(words),
            Event::SoftBreak | Event::HardBreak | Event::End(TagEnd::Paragraph) => self.text.push(' '),
            _ => {}
        }
    }

    /// What was gathered, with one space between words, and nothing left.
    pub fn lift(&mut self) -> String {
        let text = std::mem::take(&mut self.text);
        text.split_whitespace().collect::<Vec<_>>().join(" ")
    }
}

/// A text of the sources without its marks.
pub fn plain(text: &str, course: &Course) -> String {
    let mut ink = Ink::new(course);
    for event in Parser::new_ext(text, options()) {
        ink.take(&event);
    }
    ink.lift()
}
