//! The theme: built in, and overridden file by file by the course's own `theme/`.

use crate::source::{Body, Sources};
use rust_embed::RustEmbed;
use std::collections::BTreeMap;
use std::fmt;

#[derive(RustEmbed)]
#[folder = "theme/"]
struct BuiltIn;

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

impl Theme {
    /// The theme of a course.
    pub fn of(sources: &Sources) -> Self {
        let mut files: BTreeMap<String, Vec<u8>> = BuiltIn::iter()
            .filter_map(|path| BuiltIn::get(&path).map(|file| (path.into_owned(), file.data.into_owned())))
            .collect();
        for (_, file) in sources.iter() {
            if let (Some(path), Body::Media(bytes)) = (file.path.strip_prefix("theme/"), &file.body) {
                files.insert(path.to_owned(), bytes.clone());
            }
        }
        Self { files }
    }

    /// Every page template, by its path within `pages/`.
    pub fn templates(&self) -> Result<Vec<(String, String)>, ThemeError> {
        self.files
            .iter()
            .filter_map(|(path, bytes)| path.strip_prefix("pages/").map(|name| (name, bytes)))
            .filter(|(name, _)| name.ends_with(".html"))
            .map(|(name, bytes)| match String::from_utf8(bytes.clone()) {
                Ok(text) => Ok((name.to_owned(), text)),
                Err(_) => Err(ThemeError {
                    why: format!("theme/pages/{name} is not UTF-8"),
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

    /// What is copied into the course as it is.
    pub fn assets(&self) -> BTreeMap<String, Vec<u8>> {
        self.files
            .iter()
            .filter(|(path, _)| {
                ["style/", "script/", "drawings/"]
                    .iter()
                    .any(|folder| path.starts_with(folder))
            })
            .map(|(path, bytes)| (path.clone(), bytes.clone()))
            .collect()
    }
}
