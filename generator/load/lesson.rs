//! Lesson files: front matter, then Markdown whose typed blocks are read one by one.

use super::markdown::{BLOCKS, options, slug, words};
use super::{question, yaml};
use crate::diagnostic::{Code, Finding};
use crate::model::{Block, Body, Filed, FrontMatter, Heading, Lesson, Link, TypedBlock};
use crate::source::{FileId, Span};
use pulldown_cmark::{CodeBlockKind, Event, OffsetIter, Parser, Tag, TagEnd};
use serde::de::DeserializeOwned;
use std::ops::Range;

pub static NO_FRONT_MATTER: Code = Code {
    name: "no-front-matter",
    title: "a lesson without front matter",
    explanation: "A lesson begins with a line `---`, then its keys (title, kind, edition, …), then a second line `---`. Nothing may stand before the first \
        line. Without it the lesson has no title, no place and no edition.",
};

pub static UNCLOSED_FENCE: Code = Code {
    name: "unclosed-fence",
    title: "a fence that is never closed",
    explanation: "A fenced block begins with three backticks or tildes and ends with a line of the same. Where the end is missing, all that follows is \
        swallowed: steps and cautions after it would not be on the page. Add the closing line.",
};

pub static UNKNOWN_BLOCK: Code = Code {
    name: "unknown-block",
    title: "a fence of a type that nothing reads",
    explanation: "A fence with a word after it is a typed block: caution, procedure, ask, walk-away, staging, cycle or drawing. Another word is most often a misspelt one, \
        and the block would be printed as code. Put the word right. A fence without a word is printed as it is.",
};

pub static NESTED_BLOCK: Code = Code {
    name: "nested-block",
    title: "a typed block inside a list or a quotation",
    explanation: "A caution or a procedure is a part of the page in its own right, not of a list item. Move it out to the left margin.",
};

pub fn codes() -> [&'static Code; 4] {
    [&NO_FRONT_MATTER, &UNCLOSED_FENCE, &UNKNOWN_BLOCK, &NESTED_BLOCK]
}

/// Reads a lesson.
pub fn lesson(file: FileId, path: &str, text: &str, findings: &mut Vec<Finding>) -> Option<Filed<Lesson>> {
    let Some((front, body)) = split(text) else {
        findings.push(Finding::new(
            &NO_FRONT_MATTER,
            Span::top(file),
            "the lesson does not begin with front matter between two lines of `---`",
            "begin the file with `---`, then `title: …` and the other keys, then `---`",
        ));
        return None;
    };
    // The body is read even where the front matter fails, so that one run reports both.
    let front = match yaml::read::<FrontMatter>(file, &yaml::canvas(text, front)) {
        Ok(front) => Some(front),
        Err(finding) => {
            findings.push(*finding);
            None
        }
    };
    let body = Scan::new(file, text, body, findings).run();
    front.map(|front| Filed::new(file, path, Lesson { front, body }))
}

/// The bytes of the front matter and of the body.
fn split(text: &str) -> Option<(Range<usize>, Range<usize>)> {
    let mut at = 0;
    let mut lines = text.split_inclusive('\n').map(|line| {
        let start = at;
        at += line.len();
        (start, line)
    });
    let (_, first) = lines.next()?;
    if first.trim_end() != "---" {
        return None;
    }
    let (end, closing) = lines.find(|(_, line)| line.trim_end() == "---")?;
    Some((first.len()..end, end + closing.len()..text.len()))
}

/// One walk over the Markdown.
struct Scan<'a> {
    file: FileId,
    text: &'a str,
    start: usize,
    body: Body,
    findings: &'a mut Vec<Finding>,
    /// Open containers (lists, quotations) around the present place.
    nesting: usize,
}

impl<'a> Scan<'a> {
    fn new(file: FileId, text: &'a str, range: Range<usize>, findings: &'a mut Vec<Finding>) -> Self {
        Self {
            file,
            text,
            start: range.start,
            body: Body {
                range,
                ..Body::default()
            },
            findings,
            nesting: 0,
        }
    }

    fn span(&self, range: &Range<usize>) -> Span {
        Span::new(self.file, self.start + range.start..self.start + range.end)
    }

    fn run(mut self) -> Body {
        let text = self.text;
        let mut events = Parser::new_ext(&text[self.start..], options()).into_offset_iter();
        while let Some((event, range)) = events.next() {
            match event {
                Event::Start(Tag::Heading { level, id, .. }) => {
                    self.heading(level as u8, id.map(|id| id.into_string()), &range, &mut events)
                }
                Event::Start(Tag::Link { dest_url, .. }) => self.link(dest_url.into_string(), &range, false),
                Event::Start(Tag::Image { dest_url, .. }) => self.link(dest_url.into_string(), &range, true),
                Event::Start(Tag::CodeBlock(CodeBlockKind::Fenced(info))) => self.fence(&info, &range, &mut events),
                Event::Start(Tag::List(_) | Tag::BlockQuote(_) | Tag::FootnoteDefinition(_)) => self.nesting += 1,
                Event::End(TagEnd::List(_) | TagEnd::BlockQuote(_) | TagEnd::FootnoteDefinition) => self.nesting -= 1,
                Event::Html(_) | Event::InlineHtml(_) => {
                    let span = self.span(&range);
                    self.body.html.push(span);
                }
                Event::Text(words_here) | Event::Code(words_here) => self.body.words += words(&words_here),
                _ => {}
            }
        }
        self.body
    }

    /// A heading, to its end: its id needs all of its words.
    fn heading(&mut self, level: u8, id: Option<String>, range: &Range<usize>, events: &mut OffsetIter<'_>) {
        let mut text = String::new();
        for (event, inner) in events.by_ref() {
            match event {
                Event::End(TagEnd::Heading(_)) => break,
                Event::Text(words) | Event::Code(words) => text.push_str(&words),
                Event::Start(Tag::Link { dest_url, .. }) => self.link(dest_url.into_string(), &inner, false),
                Event::Start(Tag::Image { dest_url, .. }) => self.link(dest_url.into_string(), &inner, true),
                Event::InlineHtml(_) => {
                    let span = self.span(&inner);
                    self.body.html.push(span);
                }
                _ => {}
            }
        }
        self.body.words += words(&text);
        let id = id.unwrap_or_else(|| slug(&text));
        let line = self.text[self.start + range.start..].lines().next().map_or(0, str::len);
        let span = self.span(&(range.start..range.start + line));
        self.body.headings.push(Heading { level, id, text, span });
    }

    fn link(&mut self, to: String, range: &Range<usize>, picture: bool) {
        let source = &self.text[self.start + range.start..self.start + range.end];
        let words = bracketed(source).trim().to_owned();
        let span = self.span(range);
        self.body.links.push(Link {
            to,
            words,
            span,
            picture,
        });
    }

    /// A fenced block, to its end.
    fn fence(&mut self, info: &str, range: &Range<usize>, events: &mut OffsetIter<'_>) {
        let mut content: Option<Range<usize>> = None;
        let mut plain_words = 0;
        for (event, inner) in events.by_ref() {
            match event {
                Event::End(TagEnd::CodeBlock) => break,
                Event::Text(text) => {
                    plain_words += words(&text);
                    let start = content.as_ref().map_or(inner.start, |content| content.start);
                    content = Some(start..inner.end);
                }
                _ => {}
            }
        }
        let source = &self.text[self.start + range.start..self.start + range.end];
        let first_line = source.lines().next().map_or(0, str::len);
        let opening = self.span(&(range.start..range.start + first_line));
        let word = info.split_whitespace().next().unwrap_or_default();
        // Of a typed block what is read are its texts, without keys and ids.
        if !BLOCKS.contains(&word) {
            self.body.words += plain_words;
        }
        if !closed(source) || (BLOCKS.contains(&word) && swallows(source)) {
            self.findings.push(Finding::new(
                &UNCLOSED_FENCE,
                opening,
                "this fence is never closed, so all that follows it is swallowed",
                "end the block with a line of the same backticks or tildes",
            ));
            // What it swallowed is not its content, so a second finding about that would mislead.
            self.unread(opening);
            return;
        }
        if word.is_empty() {
            return;
        }
        if !BLOCKS.contains(&word) {
            let help = match yaml::nearest(word, BLOCKS.into_iter()) {
                Some(near) => format!("did you mean `{near}`? The types are {}", BLOCKS.join(", ")),
                None => format!("the types are {}; for plain text leave the word out", BLOCKS.join(", ")),
            };
            self.findings.push(Finding::new(
                &UNKNOWN_BLOCK,
                opening,
                format!("`{word}` is no type of block"),
                help,
            ));
            self.unread(opening);
            return;
        }
        if self.nesting > 0 {
            self.findings.push(Finding::new(
                &NESTED_BLOCK,
                opening,
                format!("a `{word}` block stands inside a list, a quotation or a footnote"),
                "move it out to the left margin",
            ));
            self.unread(opening);
            return;
        }
        let content = content.unwrap_or(range.end..range.end);
        let block = self.typed(word, opening, self.start + content.start..self.start + content.end);
        self.body.blocks.push(Block { span: opening, block });
    }

    /// Keeps the place of a block that has its finding.
    fn unread(&mut self, span: Span) {
        let block = TypedBlock::Unread;
        self.body.blocks.push(Block { span, block });
    }

    fn typed(&mut self, word: &str, opening: Span, content: Range<usize>) -> TypedBlock {
        let canvas = yaml::canvas(self.text, content);
        match word {
            "caution" => self.read(&canvas).map_or(TypedBlock::Unread, TypedBlock::Caution),
            "procedure" => self.read(&canvas).map_or(TypedBlock::Unread, TypedBlock::Procedure),
            "walk-away" => self.read(&canvas).map_or(TypedBlock::Unread, TypedBlock::WalkAway),
            "staging" => self.read(&canvas).map_or(TypedBlock::Unread, TypedBlock::Staging),
            "cycle" => self.read(&canvas).map_or(TypedBlock::Unread, TypedBlock::Cycle),
            "drawing" => self.read(&canvas).map_or(TypedBlock::Unread, TypedBlock::Drawing),
            _ => question::ask(self.file, &canvas, opening, self.findings).map_or(TypedBlock::Unread, TypedBlock::Ask),
        }
    }

    fn read<T: DeserializeOwned>(&mut self, canvas: &str) -> Option<T> {
        match yaml::read(self.file, canvas) {
            Ok(value) => Some(value),
            Err(finding) => {
                self.findings.push(*finding);
                None
            }
        }
    }
}

/// What stands between the first bracket of a link or picture and its partner.
fn bracketed(source: &str) -> &str {
    let Some(open) = source.find('[') else {
        return "";
    };
    let inner = &source[open + 1..];
    let (mut depth, mut escaped) = (0, false);
    for (at, letter) in inner.char_indices() {
        match letter {
            _ if escaped => escaped = false,
            '\\' => escaped = true,
            '[' => depth += 1,
            ']' if depth == 0 => return &inner[..at],
            ']' => depth -= 1,
            _ => {}
        }
    }
    inner
}

/// Whether a typed block runs into the opening of the next: then its own end is missing, and it ends with the other's.
fn swallows(source: &str) -> bool {
    source.lines().skip(1).any(|line| {
        let line = line.trim_start();
        let info = line.trim_start_matches(['`', '~']);
        line.len() >= info.len() + 3 && BLOCKS.contains(&info.trim())
    })
}

/// Whether a fenced block's source ends with its closing fence: at least as many of the same sign as it began with.
fn closed(source: &str) -> bool {
    let mut lines = source.lines();
    let opening = lines.next().unwrap_or_default().trim_start();
    let Some(sign) = opening.chars().next() else {
        return false;
    };
    let length = opening.chars().take_while(|letter| *letter == sign).count();
    // Inside a quotation the closing line carries the quotation's mark too.
    lines.last().is_some_and(|last| {
        let last = last.trim_start_matches(['>', ' ', '\t']).trim_end();
        last.chars().count() >= length && last.chars().all(|letter| letter == sign)
    })
}
