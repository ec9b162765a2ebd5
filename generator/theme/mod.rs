//! The theme: built in, and overridden file by file by the course's own `theme/`.

use crate::source::{Body, Sources};
use rust_embed::RustEmbed;
use std::collections::BTreeMap;
use std::fmt;

#[derive(RustEmbed)]
#[folder = "theme/"]
struct BuiltIn;

/// The style of the pages that are made from a register, on a screen and on paper.
pub const REPORT_STYLES: [&str; 2] = ["style/report.css", "style/report-print.css"];

/// A page template, style or word list that cannot be used.
#[derive(Debug)]
pub struct ThemeError {
    /// Where, as far as is known, and why.
    pub why: String,
}

impl fmt::Display for ThemeError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(
            f,
            "the theme cannot be used: {}\n  help: mend the file, or delete your copy of it to get the built-in one back",
            self.why
        )
    }
}

impl std::error::Error for ThemeError {}

/// Templates, styles, scripts, drawings and words, by path within `theme/`.
pub struct Theme {
    files: BTreeMap<String, Vec<u8>>,
}

/// The small course that authors begin from, by path within it.
pub fn starter() -> BTreeMap<String, Vec<u8>> {
    let files = Theme::built_in().files;
    files
        .into_iter()
        .filter_map(|(path, bytes)| Some((path.strip_prefix("starter/")?.to_owned(), bytes)))
        .collect()
}

/// The small course of the examples on the page of parts: the one that authors begin from, with more in it.
pub fn examples() -> BTreeMap<String, Vec<u8>> {
    let own = Theme::built_in().files.into_iter();
    let own = own.filter_map(|(path, bytes)| Some((path.strip_prefix("parts/course/")?.to_owned(), bytes)));
    let mut files = starter();
    files.extend(own);
    files
}

impl Theme {
    /// The theme as it comes.
    pub fn built_in() -> Self {
        let files = BuiltIn::iter()
            .filter_map(|path| BuiltIn::get(&path).map(|file| (path.into_owned(), file.data.into_owned())))
            .collect();
        Self { files }
    }

    /// The theme of a course.
    pub fn of(sources: &Sources) -> Self {
        let Self { mut files } = Self::built_in();
        for (_, file) in sources.iter() {
            if let (Some(path), Body::Media(bytes)) = (file.path.strip_prefix("theme/"), &file.body) {
                files.insert(path.to_owned(), bytes.clone());
            }
        }
        Self { files }
    }

    /// Every template of a folder (`pages/`, `reports/`), by its path within it.
    ///
    /// # Errors
    /// [`ThemeError`] if one is not text.
    pub fn templates(&self, folder: &str) -> Result<Vec<(String, String)>, ThemeError> {
        self.files
            .iter()
            .filter_map(|(path, bytes)| path.strip_prefix(folder).map(|name| (name, bytes)))
            .filter(|(name, _)| name.ends_with(".html"))
            .map(|(name, bytes)| match String::from_utf8(bytes.clone()) {
                Ok(text) => Ok((name.to_owned(), text)),
                Err(_) => Err(ThemeError {
                    why: format!("theme/{folder}{name} is not UTF-8"),
                }),
            })
            .collect()
    }

    /// The interface's words in a language, or in English where the theme does not speak it.
    pub fn words(&self, language: &str) -> Result<BTreeMap<String, String>, ThemeError> {
        let primary = language.split('-').next().unwrap_or(language);
        let bytes = [language, primary, "en"]
            .iter()
            .find_map(|name| self.files.get(&format!("words/{name}.yml")));
        let text = bytes
            .and_then(|bytes| std::str::from_utf8(bytes).ok())
            .ok_or_else(|| ThemeError {
                why: "theme/words/en.yml is missing or not UTF-8".into(),
            })?;
        serde_yaml::from_str(text).map_err(|error| ThemeError {
            why: format!("theme/words: {error}"),
        })
    }

    /// Every drawing by its name, with the bytes of its SVG.
    pub fn drawings(&self) -> impl Iterator<Item = (&str, &[u8])> {
        self.files.iter().filter_map(|(path, bytes)| {
            let name = path.strip_prefix("drawings/")?.strip_suffix(".svg")?;
            (!name.contains('/')).then_some((name, bytes.as_slice()))
        })
    }

    /// One file, by its path within `theme/`.
    ///
    /// # Errors
    /// [`ThemeError`] if it is not there.
    pub fn file(&self, path: &str) -> Result<&[u8], ThemeError> {
        self.files.get(path).map(Vec::as_slice).ok_or_else(|| ThemeError {
            why: format!("theme/{path} is missing"),
        })
    }

    /// One file that is text.
    ///
    /// # Errors
    /// [`ThemeError`] if it is not there, or not text.
    pub fn text(&self, path: &str) -> Result<&str, ThemeError> {
        std::str::from_utf8(self.file(path)?).map_err(|_| ThemeError {
            why: format!("theme/{path} is not UTF-8"),
        })
    }

    /// What is copied into the course as it is: all but the style of the reports, which are no part of it.
    pub fn assets(&self) -> BTreeMap<String, Vec<u8>> {
        self.files
            .iter()
            .filter(|(path, _)| {
                let kinds = ["style/", "script/", "drawings/"];
                kinds.iter().any(|folder| path.starts_with(folder)) && !REPORT_STYLES.contains(&path.as_str())
            })
            .map(|(path, bytes)| (path.clone(), bytes.clone()))
            .collect()
    }
}
