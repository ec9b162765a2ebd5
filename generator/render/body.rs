//! A lesson's Markdown → HTML, with its typed blocks filled in where they stand.

use super::Press;
use super::prose::{Resolve, written};
use super::terms::Linked;
use crate::load::markdown::{BLOCKS, options};
use crate::model::{Filed, Lesson, TypedBlock};
use crate::theme::ThemeError;
use pulldown_cmark::{CodeBlockKind, CowStr, Event, Parser, Tag, TagEnd};
use serde_json::{Value, json};

/// The body of a lesson's page. `text` is the lesson's whole source.
///
/// # Errors
/// [`ThemeError`] from a block's template.
pub fn body(
    press: &Press<'_>,
    lesson: &Filed<Lesson>,
    text: &str,
    root: &str,
    page: &Value,
) -> Result<String, ThemeError> {
    filled(press, lesson, text, root, |typed| {
        block(press, lesson, typed, root, page)
    })
}

/// The same with its typed blocks left out.
///
/// # Errors
/// None comes of prose.
pub fn prose(press: &Press<'_>, lesson: &Filed<Lesson>, text: &str, root: &str) -> Result<String, ThemeError> {
    filled(press, lesson, text, root, |_| Ok(String::new()))
}

fn filled(
    press: &Press<'_>,
    lesson: &Filed<Lesson>,
    text: &str,
    root: &str,
    shown: impl Fn(&TypedBlock) -> Result<String, ThemeError>,
) -> Result<String, ThemeError> {
    let course = press.checked.course();
    let source = &text[lesson.value.body.range.clone()];
    let mut blocks = lesson.value.body.blocks.iter();
    let mut headings = lesson.value.body.headings.iter();
    let mut parser = Parser::new_ext(source, options());
    let mut events: Vec<Event<'_>> = Vec::new();
    while let Some(event) = parser.next() {
        match event {
            Event::Start(Tag::CodeBlock(CodeBlockKind::Fenced(info))) if is_block(&info) => {
                for inner in parser.by_ref() {
                    if matches!(inner, Event::End(TagEnd::CodeBlock)) {
                        break;
                    }
                }
                if let Some(block) = blocks.next() {
                    events.push(Event::Html(CowStr::from(shown(&block.block)?)));
                }
            }
            Event::Start(Tag::Heading {
                level,
                id,
                classes,
                attrs,
            }) => {
                let known = headings.next().map(|heading| CowStr::from(heading.id.clone()));
                events.push(Event::Start(Tag::Heading {
                    level,
                    id: known.or(id),
                    classes,
                    attrs,
                }));
            }
            Event::Start(Tag::Image {
                link_type,
                dest_url,
                title,
                id,
            }) => {
                let path = lesson.beside(&dest_url).unwrap_or_default();
                let path = path.strip_prefix("lessons/").unwrap_or(&path);
                events.push(Event::Start(Tag::Image {
                    link_type,
                    dest_url: CowStr::from(format!("{root}media/{path}")),
                    title,
                    id,
                }));
            }
            // A wide table scrolls by itself, not the page.
            Event::Start(Tag::Table(columns)) => {
                events.push(Event::Html(CowStr::from(
                    "<div class=\"table-wrap\" role=\"group\" tabindex=\"0\">",
                )));
                events.push(Event::Start(Tag::Table(columns)));
            }
            Event::End(TagEnd::Table) => {
                events.push(Event::End(TagEnd::Table));
                events.push(Event::Html(CowStr::from("</div>\n")));
            }
            other => events.push(other),
        }
    }
    let machine = lesson.value.front.machine.as_ref().map(|id| id.value.as_str());
    let linked = Linked::new(Resolve::new(events.into_iter(), course, root), course, machine, root);
    Ok(written(linked))
}

fn is_block(info: &str) -> bool {
    info.split_whitespace()
        .next()
        .is_some_and(|word| BLOCKS.contains(&word))
}

/// A typed block as it stands in a page.
///
/// # Errors
/// [`ThemeError`] from its template.
pub fn block(
    press: &Press<'_>,
    lesson: &Filed<Lesson>,
    block: &TypedBlock,
    root: &str,
    page: &Value,
) -> Result<String, ThemeError> {
    let (template, values) = match block {
        TypedBlock::Caution(caution) => (
            "blocks/caution.html",
            json!({ "caution": press.caution_block(lesson, caution, root) }),
        ),
        TypedBlock::Procedure(procedure) => (
            "blocks/procedure.html",
            json!({ "procedure": press.procedure(lesson, procedure, root) }),
        ),
        TypedBlock::Ask(ask) => ("blocks/ask.html", json!({ "ask": press.ask(lesson, ask, root) })),
        TypedBlock::WalkAway(walk_away) => (
            "blocks/walk-away.html",
            json!({ "walk_away": press.walk_away(walk_away, root) }),
        ),
        TypedBlock::Cycle(chart) => match press.cycle(lesson, chart, root) {
            Some(values) => ("blocks/cycle.html", json!({ "cycle": values })),
            // A cycle that is not there is a finding, so a checked course's chart has one.
            None => return Ok(String::new()),
        },
        TypedBlock::Drawing(shown) => match press.still(lesson, shown, root) {
            Some(values) => ("blocks/drawing.html", json!({ "shown": values })),
            // A drawing that is not there is a finding too.
            None => return Ok(String::new()),
        },
        // A staging has a page of its own. A block that could not be read is a finding, so a checked course has none.
        TypedBlock::Staging(_) | TypedBlock::Unread => return Ok(String::new()),
    };
    press.fill(template, root, page, &values)
}
