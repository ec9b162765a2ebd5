//! A register on a day → pages that print, tables for other programs, a calendar. Nothing is written here, and no clock is
//! read: the same register and day give the same bytes.
//!
//! The templates stand in `theme/reports/`, apart from those of the course: these pages keep no record and run no script.

use crate::marking::Marking;
use crate::record::{Details, Statement};
use crate::render::{Output, POLICY};
use crate::standing::{Day, Markings, Person, everybody_ever, inspections};
use crate::theme::{REPORT_STYLES, Theme, ThemeError};
use jiff::Timestamp;
use rayon::prelude::*;
use serde_json::{Value, json};
use std::collections::BTreeMap;
use tera::{Context, Tera};

mod calendar;
mod certificate;
mod due;
mod folder;
mod matrix;
mod person;
mod tables;

pub use calendar::fold;
pub use certificate::{Certificate, certificate, is_genuine};
pub use due::{Due, Kind, due};
pub use folder::stranger;
pub use tables::{cell, table};

/// All that a report is made from.
pub struct Ground<'a> {
    pub statements: &'a [Statement],
    pub markings: &'a Markings,
    pub details: &'a BTreeMap<String, Details>,
    pub day: &'a Day,
    /// When the register took its last entry.
    pub taken: Timestamp,
    /// How many entries it has, and the hash of the last.
    pub entries: u64,
    pub last_hash: &'a str,
}

/// What a run makes pages of.
#[derive(Debug, Clone, Copy)]
pub enum Scope<'a> {
    Everybody,
    /// The record and the certificate of the person with this code.
    One(&'a str),
}

/// The pages, and what lies beside them.
///
/// # Errors
/// [`ThemeError`], which only an author's own theme can cause.
pub fn report(ground: &Ground, scope: Scope, theme: &Theme) -> Result<Output, ThemeError> {
    let Some((_, marking)) = ground.markings.on(ground.day) else {
        return Ok(Output::new());
    };
    let words = theme.words(&marking.language)?;
    let mut tera = Tera::new();
    tera.add_raw_templates(theme.templates("reports/")?)?;
    let press = Press {
        ground,
        marking,
        words: &words,
        tera: &tera,
    };
    let mut people = everybody_ever(ground.statements, ground.markings, ground.details, ground.day);
    if let Scope::One(code) = scope {
        people.retain(|person| person.person == code);
    }
    let own: Result<Vec<Vec<Page>>, ThemeError> = people.par_iter().map(|person| press.person_pages(person)).collect();
    let mut output: Output = own?.into_iter().flatten().collect();
    if let Scope::Everybody = scope {
        let here: Vec<&Person> = people.iter().filter(|person| person.left.is_none()).collect();
        let machines = inspections(ground.statements, ground.markings, ground.day);
        let due = due(&here, &machines);
        let certified: Vec<&str> = people
            .iter()
            .filter(|person| output.contains_key(&format!("certificate-{}.html", person.person)))
            .map(|person| person.person.as_str())
            .collect();
        let pages = [
            ("index.html", press.index(&people, &certified)?),
            ("matrix.html", press.matrix(&here)?),
            ("lapses.html", press.lapses(&here, &machines, &due)?),
        ];
        output.extend(pages.map(|(name, html)| (name.to_owned(), html)));
        output.insert("matrix.csv".into(), tables::matrix(&here, ground.day));
        output.insert("record.csv".into(), tables::record(&people, ground));
        output.insert("lapses.csv".into(), tables::lapses(&due));
        output.insert("due.ics".into(), calendar::calendar(&due, &press));
    }
    let shared = [
        "style/tokens.css",
        "style/ground.css",
        "style/print.css",
        "drawings/favicon.svg",
    ];
    for path in shared.into_iter().chain(REPORT_STYLES) {
        output.insert(path.to_owned(), theme.file(path)?.to_vec());
    }
    output.insert("style/page.css".into(), press.page_style().into_bytes());
    Ok(output)
}

/// A path and bytes.
type Page = (String, Vec<u8>);

/// All that rendering one page needs.
struct Press<'a> {
    ground: &'a Ground<'a>,
    marking: &'a Marking,
    words: &'a BTreeMap<String, String>,
    tera: &'a Tera,
}

impl Press<'_> {
    /// A word of the interface; its key where the theme lacks it, so that a hole is seen and not hidden.
    fn word<'w>(&'w self, key: &'w str) -> &'w str {
        self.words.get(key).map_or(key, String::as_str)
    }

    /// A sentence with its blanks filled: `{name}` by what belongs there.
    fn fill(&self, key: &str, blanks: &[(&str, &str)]) -> String {
        let mut text = self.word(key).to_owned();
        for (name, value) in blanks {
            text = text.replace(&format!("{{{name}}}"), value);
        }
        text
    }

    fn centre(&self) -> &str {
        self.marking.centre.as_deref().unwrap_or(&self.marking.title)
    }

    fn page(&self, template: &str, title: &str, values: &Value) -> Result<Vec<u8>, ThemeError> {
        let mut all = json!({
            "course": { "id": self.marking.course, "title": self.marking.title, "language": self.marking.language, "demo": self.marking.demo },
            "centre": self.centre(),
            "day": self.ground.day.date,
            "entries": self.ground.entries,
            "last_hash": self.ground.last_hash.get(..16),
            "page": { "kind": template.trim_end_matches(".html"), "title": title },
            "words": self.words,
            "csp": POLICY,
        });
        if let (Value::Object(all), Value::Object(values)) = (&mut all, values) {
            all.extend(values.clone());
        }
        Ok(self
            .tera
            .render(template, &Context::from_serialize(&all)?)?
            .into_bytes())
    }

    /// What stands on the edge of each sheet of paper: the centre, the day, the page. A style sheet can say that, and nothing else can.
    fn page_style(&self) -> String {
        let mut left = self.centre().to_owned();
        if self.marking.demo && !left.contains(self.word("report_demo_short")) {
            left.push_str(" · ");
            left.push_str(self.word("report_demo_short"));
        }
        let day = self.fill("report_as_of", &[("date", &self.ground.day.date.to_string())]);
        let font = "font: 8pt Arial, \"Liberation Sans\", Helvetica, sans-serif;";
        format!(
            "/* The edge of each sheet of paper; made anew with every report. */\n@page {{\n  margin: 17mm 12mm 14mm;\n\n\
             \x20 @top-left {{\n    {font}\n    content: {};\n  }}\n\n  @top-right {{\n    {font}\n    content: {};\n  }}\n}}\n",
            quoted(&left),
            quoted(&day),
        )
    }

    fn index(&self, people: &[Person], certified: &[&str]) -> Result<Vec<u8>, ThemeError> {
        let people: Vec<Value> = people
            .iter()
            .map(|person| {
                json!({
                    "code": person.person,
                    "name": person.name,
                    "left": person.left,
                    "certificate": certified.contains(&person.person.as_str()),
                })
            })
            .collect();
        self.page("index.html", self.word("report_index"), &json!({ "people": people }))
    }
}

/// A text as a string of a style sheet. Source: CSS Syntax Module Level 3, 4.3.5 and 4.3.7 (from memory).
fn quoted(text: &str) -> String {
    let mut out = String::from("\"");
    for letter in text.chars() {
        match letter {
            '"' | '\\' | '<' => out.push_str(&format!("\\{:x} ", u32::from(letter))),
            letter if letter.is_control() => out.push_str(&format!("\\{:x} ", u32::from(letter))),
            letter => out.push(letter),
        }
    }
    out.push('"');
    out
}
