//! How Markdown is read, in one place: CommonMark with tables, footnotes and heading ids.

use pulldown_cmark::{Event, Options, Parser, Tag, TagEnd};

/// The extensions in use.
pub fn options() -> Options {
    Options::ENABLE_TABLES | Options::ENABLE_FOOTNOTES | Options::ENABLE_HEADING_ATTRIBUTES
}

/// The info strings of typed blocks.
pub const BLOCKS: [&str; 7] = [
    "caution",
    "procedure",
    "ask",
    "walk-away",
    "staging",
    "cycle",
    "drawing",
];

/// A heading's id where none is written: its letters and digits in lower case, with hyphens between the words.
pub fn slug(heading: &str) -> String {
    let mut slug = String::new();
    for letter in heading.chars().flat_map(char::to_lowercase) {
        if letter.is_alphanumeric() {
            slug.push(letter);
        } else if !slug.is_empty() && !slug.ends_with('-') {
            slug.push('-');
        }
    }
    slug.trim_end_matches('-').to_owned()
}

/// Words of a text: runs between white space that hold a letter or a digit.
pub fn words(text: &str) -> usize {
    if !text.is_ascii() {
        return text
            .split_whitespace()
            .filter(|word| word.chars().any(char::is_alphanumeric))
            .count();
    }
    // Most texts are of one byte a letter, and this is asked of every one.
    let (mut words, mut counted) = (0, false);
    for byte in text.bytes() {
        if byte.is_ascii_alphanumeric() {
            words += usize::from(!counted);
            counted = true;
        } else if char::from(byte).is_whitespace() {
            counted = false;
        }
    }
    words
}

/// What a piece of prose refers to or brings along.
#[derive(Debug, Default, Clone, PartialEq, Eq)]
pub struct Prose {
    pub links: Vec<String>,
    pub pictures: usize,
    pub html: bool,
    pub blocks: bool,
}

/// Looks through prose that stands in YAML.
pub fn prose(text: &str) -> Prose {
    let mut prose = Prose::default();
    for event in Parser::new_ext(text, options()) {
        match event {
            Event::Start(Tag::Link { dest_url, .. }) => prose.links.push(dest_url.into_string()),
            Event::Start(Tag::Image { .. }) => prose.pictures += 1,
            Event::Html(_) | Event::InlineHtml(_) => prose.html = true,
            Event::Start(Tag::Paragraph) | Event::End(TagEnd::Paragraph) => {}
            Event::Start(
                Tag::Heading { .. } | Tag::CodeBlock(_) | Tag::List(_) | Tag::BlockQuote(_) | Tag::Table(_),
            )
            | Event::Rule => {
                prose.blocks = true;
            }
            _ => {}
        }
    }
    prose
}
