//! Checked course + theme → pages, scripts, data (path → bytes). Nothing is written here.

use crate::check::Checked;
use crate::source::{Body, Sources};
use crate::theme::{Theme, ThemeError};
use rayon::prelude::*;
use serde_json::{Value, json};
use std::collections::BTreeMap;
use tera::{Context, Tera};

mod alone;
mod blocks;
mod body;
mod data;
mod pages;
mod prose;
mod sheets;

/// What a course consists of: path inside `course/` → bytes, sorted by path.
pub type Output = BTreeMap<String, Vec<u8>>;

/// What pages may load: their own folder, nothing else. It stands in every page and holds from `file://` as well.
pub const POLICY: &str = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; font-src 'self'; media-src 'self'; frame-src 'self'; base-uri 'none'; form-action 'none'";

impl From<tera::Error> for ThemeError {
    fn from(error: tera::Error) -> Self {
        let mut why = error.to_string();
        let mut cause = std::error::Error::source(&error);
        while let Some(inner) = cause {
            why.push_str(": ");
            why.push_str(&inner.to_string());
            cause = inner.source();
        }
        Self { why }
    }
}

/// All that rendering one page needs.
pub(crate) struct Press<'a> {
    pub checked: &'a Checked,
    pub words: &'a BTreeMap<String, String>,
    tera: &'a Tera,
}

impl Press<'_> {
    /// A word of the interface; its key where the theme lacks it, so that a hole is seen and not hidden.
    pub fn word<'w>(&'w self, key: &'w str) -> &'w str {
        self.words.get(key).map_or(key, String::as_str)
    }

    /// Fills a template with `values` on top of what every page of its kind has.
    pub fn fill(&self, template: &str, root: &str, page: &Value, values: &Value) -> Result<String, ThemeError> {
        let course = self.checked.course();
        let outline = course.outline.as_ref().map(|outline| &outline.value);
        let mut all = json!({
            "course": {
                "id": self.checked.marking().course,
                "title": self.checked.marking().title,
                "language": self.checked.marking().language,
                "home": self.checked.marking().home,
                "demo": outline.is_some_and(|outline| outline.demo),
            },
            "centre": { "name": course.centre.as_ref().map(|centre| centre.value.name.value.as_str()) },
            "root": root,
            "page": page,
            "words": self.words,
            "csp": POLICY,
        });
        if let (Value::Object(all), Value::Object(values)) = (&mut all, values) {
            all.extend(values.clone());
        }
        Ok(self.tera.render(template, &Context::from_serialize(&all)?)?)
    }
}

/// Renders the whole course.
///
/// # Errors
/// [`ThemeError`]: a template or the word list is broken, which only an author's own theme can cause.
pub fn render(checked: &Checked, sources: &Sources) -> Result<Output, ThemeError> {
    let theme = Theme::of(sources);
    let words = theme.words(&checked.marking().language)?;
    let mut tera = Tera::new();
    tera.add_raw_templates(theme.templates("pages/")?)?;
    let press = Press {
        checked,
        words: &words,
        tera: &tera,
    };
    let jobs = pages::jobs(&press);
    let rendered: Result<Vec<(String, Vec<u8>)>, ThemeError> =
        jobs.par_iter().map(|job| job.run(&press, sources)).collect();
    let mut output: Output = rendered?.into_iter().collect();
    output.extend(theme.assets());
    output.extend(data::scripts(&press));
    for (_, file) in sources.iter() {
        if let (Body::Media(bytes), Some(rest)) = (&file.body, file.path.strip_prefix("lessons/")) {
            output.insert(format!("media/{rest}"), bytes.clone());
        }
    }
    Ok(output)
}
