//! Checked course + theme → pages, scripts, data (path → bytes). Nothing is written here.

use crate::apart::{self as telling, Stops};
use crate::check::Checked;
use crate::source::{Body, Sources};
use crate::theme::{Theme, ThemeError};
use rayon::prelude::*;
use serde_json::{Value, json};
use std::collections::{BTreeMap, HashMap};
use tera::{Context, Tera};

mod alone;
mod apart;
mod blocks;
mod body;
mod cards;
mod cycle;
mod data;
mod drills;
mod find;
mod gather;
mod labels;
pub mod one_file;
mod pages;
mod parts;
mod prose;
mod qr;
mod served;
mod sheets;
mod still;
mod study;
mod terms;
mod wall;

/// What a course consists of: path inside `course/` → bytes, sorted by path.
pub type Output = BTreeMap<String, Vec<u8>>;

/// What pages may load: their own folder, nothing else. It stands in every page and holds from `file://` as well.
pub const POLICY: &str = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; font-src 'self'; media-src 'self'; frame-src 'self'; worker-src 'self'; manifest-src 'self'; base-uri 'none'; form-action 'none'";

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
    /// Where each lesson stands in the outline.
    places: HashMap<&'a str, pages::Place<'a>>,
    /// The stops of each machine that has more than one to tell apart.
    stops: Vec<Stops>,
}

impl Press<'_> {
    /// A word of the interface; its key where the theme lacks it, so that a hole is seen and not hidden.
    pub fn word<'w>(&'w self, key: &'w str) -> &'w str {
        self.words.get(key).map_or(key, String::as_str)
    }

    /// Fills a template with `values` on top of what every page has: see [`everywhere`].
    pub fn fill(&self, template: &str, root: &str, page: &Value, values: &Value) -> Result<String, ThemeError> {
        let mut context = Context::new();
        context.insert("root", root);
        context.insert("telling", &self.telling_pages());
        context.insert("caught", &self.emergencies());
        context.insert("page", page);
        if let Value::Object(values) = values {
            for (key, value) in values {
                context.insert(key.clone(), value);
            }
        }
        Ok(self.tera.render(template, &context)?)
    }
}

/// What every page and every block of a course may print.
fn everywhere(checked: &Checked, words: &BTreeMap<String, String>) -> Result<Context, ThemeError> {
    let course = checked.course();
    let outline = course.outline.as_ref().map(|outline| &outline.value);
    let marking = checked.marking();
    Ok(Context::from_serialize(&json!({
        "course": {
            "id": marking.course,
            "title": marking.title,
            "language": marking.language,
            "home": marking.home,
            "demo": outline.is_some_and(|outline| outline.demo),
        },
        "centre": { "name": course.centre.as_ref().map(|centre| centre.value.name.value.as_str()) },
        "words": words,
        "csp": POLICY,
    }))?)
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
    tera.global_context().extend(everywhere(checked, &words)?);
    let assets = theme.assets();
    let press = Press {
        checked,
        words: &words,
        tera: &tera,
        places: pages::places(checked.course()),
        stops: telling::stops(checked.course()),
    };
    // Before the pages are shared out: whoever waits for it would hold up the others.
    parts::examples()?;
    let jobs = pages::jobs(&press);
    let rendered: Result<Vec<(String, Vec<u8>)>, ThemeError> =
        jobs.par_iter().map(|job| job.run(&press, sources, &theme)).collect();
    let mut output: Output = rendered?.into_iter().collect();
    output.extend(assets);
    output.extend(parts::files(&press, &theme)?);
    output.extend(data::scripts(&press));
    output.insert("data/study.js".into(), study::script(&press));
    output.extend(find::scripts(&press, sources));
    gather::gather(&mut output, &words);
    for (_, file) in sources.iter() {
        if let (Body::Media(bytes), Some(rest)) = (&file.body, file.path.strip_prefix("lessons/")) {
            output.insert(format!("media/{rest}"), bytes.clone());
        }
    }
    served::add(&mut output, checked.marking(), &theme)?;
    Ok(output)
}
