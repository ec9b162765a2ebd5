//! Running text → the same, with the first use of each entry of the glossary leading to it.

use crate::glossary::{FirstUses, Piece};
use crate::model::Course;
use pulldown_cmark::{CowStr, Event, LinkType, Tag, TagEnd};
use std::collections::VecDeque;

/// Events in, events out. Headings, links, and the first row of a table stay as they are: a link there would be in the way. So do
/// typed blocks, which come as HTML: nobody should be led away from a step.
pub struct Linked<'a, I> {
    inner: I,
    uses: FirstUses,
    root: &'a str,
    /// How deep inside what stays as it is.
    apart: usize,
    waiting: VecDeque<Event<'a>>,
}

impl<'a, I> Linked<'a, I> {
    pub fn new(inner: I, course: &Course, machine: Option<&str>, root: &'a str) -> Self {
        Self {
            inner,
            uses: FirstUses::new(course, machine),
            root,
            apart: 0,
            waiting: VecDeque::new(),
        }
    }

    fn text(&mut self, text: &str) {
        for piece in self.uses.cut(text) {
            match piece {
                Piece::Plain(text) => self.waiting.push_back(Event::Text(CowStr::from(text.to_owned()))),
                Piece::Term { text, anchor } => self.waiting.extend([
                    Event::Start(Tag::Link {
                        link_type: LinkType::Inline,
                        dest_url: CowStr::from(format!("{}glossary.html#{anchor}", self.root)),
                        title: CowStr::Borrowed(""),
                        id: CowStr::Borrowed(""),
                    }),
                    Event::Text(CowStr::from(text.to_owned())),
                    Event::End(TagEnd::Link),
                ]),
            }
        }
    }
}

impl<'a, I: Iterator<Item = Event<'a>>> Iterator for Linked<'a, I> {
    type Item = Event<'a>;

    fn next(&mut self) -> Option<Event<'a>> {
        loop {
            if let Some(event) = self.waiting.pop_front() {
                return Some(event);
            }
            let event = self.inner.next()?;
            match &event {
                Event::Start(
                    Tag::Heading { .. } | Tag::Link { .. } | Tag::Image { .. } | Tag::TableHead | Tag::CodeBlock(_),
                ) => {
                    self.apart += 1;
                }
                Event::End(
                    TagEnd::Heading(_) | TagEnd::Link | TagEnd::Image | TagEnd::TableHead | TagEnd::CodeBlock,
                ) => {
                    self.apart = self.apart.saturating_sub(1);
                }
                Event::Text(text) if self.apart == 0 => {
                    self.text(text);
                    continue;
                }
                _ => {}
            }
            return Some(event);
        }
    }
}
