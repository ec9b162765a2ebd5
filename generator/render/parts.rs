//! The page of parts: everything that pages are built from, each with its examples. They are a small course of their own, filled
//! into the same templates and brought to life by the same scripts as real pages, so that no example drifts from what it shows.

use super::{Output, Press, body, data, pages, study};
use crate::apart as telling;
use crate::check::{self, Checked};
use crate::model::TypedBlock;
use crate::source::{Body, File, Sources};
use crate::theme::{self, Theme, ThemeError};
use serde_json::{Map, Value, json};
use std::sync::LazyLock;

/// The lesson that has each block once.
const PIECES: &str = "pieces";
/// The stop whose procedure, signs, call and drill are shown. What a page is about is named by its id, so it is the page's own.
pub const STOP: &str = "lint-jam";

/// Addresses of the examples lead back to the page: there are no pages of theirs.
const NOWHERE: &str = "parts.html?";

/// Examples of what a pointer or a key does say so in this attribute.
const LIKE: &str = "data-like";

/// The course of the examples, read and checked once.
pub struct Examples {
    sources: Sources,
    checked: Checked,
}

/// The examples.
///
/// # Errors
/// [`ThemeError`] if their course has findings, which a test keeps from happening.
pub fn examples() -> Result<&'static Examples, ThemeError> {
    static EXAMPLES: LazyLock<Result<Examples, String>> = LazyLock::new(|| {
        let files = theme::examples().into_iter().map(|(path, bytes)| File {
            body: match String::from_utf8(bytes) {
                Ok(text) if !path.starts_with("theme/") => Body::Text(text),
                Ok(text) => Body::Media(text.into_bytes()),
                Err(bytes) => Body::Media(bytes.into_bytes()),
            },
            path,
        });
        let sources = Sources { files: files.collect() };
        match check::check(&sources) {
            Ok(checked) => Ok(Examples { sources, checked }),
            Err(findings) => Err(format!("theme/parts has {} findings", findings.len())),
        }
    });
    EXAMPLES.as_ref().map_err(|why| ThemeError { why: why.clone() })
}

/// What the page prints.
///
/// # Errors
/// [`ThemeError`] from a template, or from what the theme says of its parts.
pub fn values(press: &Press<'_>, theme: &Theme, page: &Value) -> Result<Value, ThemeError> {
    let examples = examples()?;
    let own = examples.press(press);
    let course = examples.checked.course();
    let (Some(pieces), Some(stop)) = (course.lesson(PIECES), course.lesson(STOP)) else {
        return Err(wrong("theme/parts/course", "its lessons are missing"));
    };
    let mut blocks: Map<String, Value> = Map::new();
    for (lesson, all) in [(pieces, true), (stop, false)] {
        let shown = |block: &TypedBlock| all || matches!(block, TypedBlock::Procedure(_));
        for block in lesson.value.body.blocks.iter().filter(|block| shown(&block.block)) {
            let shown = body::block(&own, lesson, &block.block, NOWHERE, page)?;
            if let Some(list) = blocks
                .entry(kind(&block.block))
                .or_insert_with(|| json!([]))
                .as_array_mut()
            {
                list.push(here(&shown).into());
            }
        }
    }
    let text = body::prose(&own, pieces, examples.sources.text(pieces.file), NOWHERE)?;
    let parts: Value = serde_yaml::from_str(theme.text("parts/parts.yml")?)
        .map_err(|error| wrong("theme/parts/parts.yml", &error.to_string()))?;
    let mut values = own.lesson(stop, NOWHERE);
    let index = own.index();
    let telling = own.stops.first().map(|stops| own.telling(stops, NOWHERE));
    values["parts"] = parts;
    values["blocks"] = blocks.into();
    values["text"] = here(&text).into();
    values["tokens"] = tokens(theme.text("style/tokens.css")?);
    values["module"] = index["modules"][0].clone();
    values["list"] = index["lists"][2].clone();
    values["stopped"] = index["apart"].clone();
    values["apart"] = telling.map_or(Value::Null, |telling| telling["apart"].clone());
    values["entries"] = own.glossary(NOWHERE).into_iter().take(3).collect();
    values["emergencies"] = json!([own.lesson_ref(stop)]);
    values["emergency"] = own.call("emergency");
    values["attempts"] = own.attempts();
    values["nowhere"] = NOWHERE.into();
    Ok(values)
}

/// Script and style of the page that no other page has: the data of the examples, and what a pointer does, shown without one.
///
/// # Errors
/// [`ThemeError`] if the examples cannot be read.
pub fn files(press: &Press<'_>, theme: &Theme) -> Result<Output, ThemeError> {
    let examples = examples()?;
    let own = examples.press(press);
    let mut all: Map<String, Value> = Map::new();
    let study = ("study", study::value(&own));
    for (name, value) in data::values(&own).into_values().flatten().chain([study]) {
        merge(all.entry(name).or_insert(Value::Null), value);
    }
    let all: Vec<(&str, Value)> = all.iter().map(|(name, value)| (name.as_str(), value.clone())).collect();
    let styles = theme.assets().into_iter().filter(|(path, _)| path.ends_with(".css"));
    let states: String = styles
        .filter_map(|(_, bytes)| Some(states(&String::from_utf8(bytes).ok()?)))
        .collect();
    Ok(Output::from([
        ("data/parts.js".to_owned(), data::script(&all)),
        ("style/parts-states.css".to_owned(), states.into_bytes()),
    ]))
}

impl Examples {
    fn press<'p>(&'p self, press: &Press<'p>) -> Press<'p> {
        Press {
            checked: &self.checked,
            words: press.words,
            tera: press.tera,
            places: pages::places(self.checked.course()),
            stops: telling::stops(self.checked.course()),
        }
    }
}

fn wrong(place: &str, why: &str) -> ThemeError {
    ThemeError {
        why: format!("{place}: {why}"),
    }
}

/// The name under which the page finds a block.
fn kind(block: &TypedBlock) -> &'static str {
    match block {
        TypedBlock::Caution(_) => "cautions",
        TypedBlock::Procedure(_) => "procedures",
        TypedBlock::Ask(_) => "asks",
        TypedBlock::WalkAway(_) => "walk_aways",
        TypedBlock::Cycle(_) => "charts",
        TypedBlock::Drawing(_) => "drawings",
        TypedBlock::Staging(_) | TypedBlock::Unread => "others",
    }
}

/// Pictures are where they are for real pages; only ways lead nowhere.
fn here(html: &str) -> String {
    html.replace(&format!("src=\"{NOWHERE}"), "src=\"")
}

/// Objects are put together, lists one behind the other.
fn merge(into: &mut Value, value: Value) {
    match (into, value) {
        (Value::Object(known), Value::Object(more)) => {
            for (key, value) in more {
                merge(known.entry(key).or_insert(Value::Null), value);
            }
        }
        (Value::Array(known), Value::Array(more)) => known.extend(more),
        (known, value) => *known = value,
    }
}

/// The names of the tokens by what they begin with, as the style says them first: for a light page.
fn tokens(style: &str) -> Value {
    let light = style.split_once('}').map_or(style, |(light, _)| light);
    let named = light.split(';').filter_map(|line| {
        let (name, value) = line.rsplit_once("--")?.1.split_once(':')?;
        Some((name.trim(), value.trim()))
    });
    let (mut colours, mut sizes, mut spaces) = (Vec::new(), Vec::new(), Vec::new());
    for (name, value) in named {
        let list = match name {
            _ if value.starts_with('#') => &mut colours,
            _ if name.starts_with("size-") => &mut sizes,
            _ if name.starts_with("space-") => &mut spaces,
            _ => continue,
        };
        list.push(json!({ "name": name, "value": value }));
    }
    json!({ "colours": colours, "sizes": sizes, "spaces": spaces })
}

/// The rules of a style that hold only under a pointer, a key or a press, for elements that say in `data-like` that they stand for
/// that. They come from the style itself, so an example cannot look otherwise than the real thing.
fn states(style: &str) -> String {
    const PSEUDO: [(&str, &str); 3] = [(":hover", "hover"), (":active", "active"), (":focus-visible", "focus")];
    let mut shown = String::new();
    for rule in style.split('}') {
        let Some((before, declared)) = rule.rsplit_once('{') else {
            continue;
        };
        let selector = before.rsplit(['{', ';']).next().unwrap_or_default();
        let selector = selector.rsplit("*/").next().unwrap_or_default().trim();
        let like = |part: &str| {
            let mut part = part.trim().to_owned();
            for (pseudo, name) in PSEUDO {
                part = part.replace(pseudo, &format!("[{LIKE}=\"{name}\"]"));
            }
            part
        };
        let parts: Vec<String> = selector
            .split(',')
            .filter(|part| PSEUDO.iter().any(|(pseudo, _)| part.contains(pseudo)))
            .map(like)
            .collect();
        if !parts.is_empty() {
            shown.push_str(&format!("{} {{{declared}}}\n", parts.join(",\n")));
        }
    }
    shown
}
