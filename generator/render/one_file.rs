//! The page that holds a whole course in one file: a reader of its zip, and a frame for one page at a time.

use crate::check::Checked;
use crate::source::Sources;
use crate::theme::{Theme, ThemeError};
use serde_json::json;
use tera::{Context, Tera};

/// Where the course itself goes, in base64.
pub const PLACE: &str = "<!--the course-->";

/// The one-file edition without the course in it.
///
/// # Errors
/// [`ThemeError`]: a template, a script or the word list is broken, which only an author's own theme can cause.
pub fn shell(checked: &Checked, sources: &Sources) -> Result<String, ThemeError> {
    let theme = Theme::of(sources);
    let text = |path: &str| -> Result<String, ThemeError> {
        String::from_utf8(theme.file(path)?.to_vec()).map_err(|_| ThemeError {
            why: format!("theme/{path} is not UTF-8"),
        })
    };
    let marking = checked.marking();
    let mut tera = Tera::new();
    tera.add_raw_templates(theme.templates("one-file/")?)?;
    let mut context = Context::new();
    context.insert("title", &marking.title);
    context.insert("language", &marking.language);
    let words = theme.words(&marking.language)?;
    let word = |key: &str| words.get(key).cloned().unwrap_or_else(|| key.to_owned());
    let told = json!({ "broken": word("one_file_broken"), "missing": word("one_file_missing") });
    context.insert("told", &told.to_string());
    context.insert("words", &words);
    context.insert("inside", &text("one-file/inside.js")?);
    context.insert("script", &text("one-file/shell.js")?);
    Ok(tera.render("shell.html", &context)?)
}
