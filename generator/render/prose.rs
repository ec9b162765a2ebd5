//! Prose → HTML: links into the course, facts of the centre in their places, nothing from outside.

use crate::load::markdown::options;
use crate::model::{Centre, Course};
use pulldown_cmark::{CowStr, Event, LinkType, Parser, Tag, TagEnd, html};

/// Turns a link of the sources into one of the pages.
pub fn address(to: &str, root: &str) -> String {
    let Some((scheme, rest)) = to.split_once(':') else {
        return to.to_owned();
    };
    let (id, anchor) = rest
        .split_once('#')
        .map_or((rest, String::new()), |(id, anchor)| (id, format!("#{anchor}")));
    format!("{root}{scheme}/{id}.html{anchor}")
}

/// Replaces what only the sources know: facts by their words, addresses by those of the pages. Events in, events out.
pub struct Resolve<'a, I> {
    inner: I,
    centre: Option<&'a Centre>,
    root: &'a str,
    /// Inside a fact's link, whose own words are left out.
    in_fact: bool,
}

impl<'a, I> Resolve<'a, I> {
    pub fn new(inner: I, course: &'a Course, root: &'a str) -> Self {
        Self {
            inner,
            centre: course.centre.as_ref().map(|centre| &centre.value),
            root,
            in_fact: false,
        }
    }
}

impl<'a, I: Iterator<Item = Event<'a>>> Iterator for Resolve<'a, I> {
    type Item = Event<'a>;

    fn next(&mut self) -> Option<Event<'a>> {
        loop {
            let event = self.inner.next()?;
            if self.in_fact {
                if matches!(event, Event::End(TagEnd::Link)) {
                    self.in_fact = false;
                }
                continue;
            }
            return Some(match event {
                Event::Start(Tag::Link {
                    link_type,
                    dest_url,
                    title,
                    id,
                }) => {
                    if let Some(name) = dest_url.strip_prefix("centre:") {
                        // Blank and unknown facts are findings, so a checked course has the words.
                        let words = self
                            .centre
                            .and_then(|centre| centre.fact(name))
                            .flatten()
                            .unwrap_or_default()
                            .to_owned();
                        self.in_fact = true;
                        return Some(Event::Text(CowStr::from(words)));
                    }
                    Event::Start(Tag::Link {
                        // An autolink's own text stays as it is written.
                        link_type: if link_type == LinkType::Email {
                            LinkType::Inline
                        } else {
                            link_type
                        },
                        dest_url: CowStr::from(address(&dest_url, self.root)),
                        title,
                        id,
                    })
                }
                other => other,
            });
        }
    }
}

/// A sentence or two, without the paragraph around it.
pub fn inline(text: &str, course: &Course, root: &str) -> String {
    let mut paragraphs = 0;
    let events = Resolve::new(Parser::new_ext(text, options()), course, root).filter_map(|event| match event {
        Event::Start(Tag::Paragraph) => {
            paragraphs += 1;
            (paragraphs > 1).then_some(Event::HardBreak)
        }
        Event::End(TagEnd::Paragraph) => None,
        other => Some(other),
    });
    written(events).trim().to_owned()
}

/// Events as HTML. What has no end tag is written by the library as XHTML writes it; HTML has no slash there. A drawing keeps its own.
pub fn written<'a>(events: impl Iterator<Item = Event<'a>>) -> String {
    let mut out = String::new();
    html::push_html(&mut out, events);
    let mut html = String::with_capacity(out.len());
    let mut pieces = out.split(" />").peekable();
    while let Some(piece) = pieces.next() {
        html.push_str(piece);
        if pieces.peek().is_some() {
            let tag = piece.rfind('<').map_or("", |at| &piece[at..]);
            let void = ["<br", "<hr", "<img "].iter().any(|name| tag.starts_with(name));
            html.push_str(if void { ">" } else { " />" });
        }
    }
    html
}

/// Full CommonMark.
pub fn full(text: &str, course: &Course, root: &str) -> String {
    written(Resolve::new(Parser::new_ext(text, options()), course, root))
}
