//! A text as words to look for: lower case, without apostrophes, and what they have in common whatever their ending.

use rust_stemmers::{Algorithm, Stemmer};

/// The words of a text in order. A word of several parts with hyphens between them gives its parts, and then the whole in one:
/// *try-out* is found as "try", "out" and "tryout". `theme/script/find-words.js` takes a query apart in the same way.
pub fn words(text: &str) -> Vec<String> {
    let mut words = Words::default();
    let mut letters = text.chars().peekable();
    while let Some(letter) = letters.next() {
        let goes_on = letters.peek().copied().is_some_and(char::is_alphanumeric);
        match letter {
            _ if letter.is_alphanumeric() => words.word.extend(letter.to_lowercase()),
            '\'' | '\u{2019}' if goes_on && !words.word.is_empty() => {}
            '-' if goes_on && !words.word.is_empty() => words.part(),
            _ => words.end(),
        }
    }
    words.end();
    words.done
}

#[derive(Default)]
struct Words {
    done: Vec<String>,
    word: String,
    /// What of the present word stands before its last hyphen, in one.
    joined: String,
}

impl Words {
    fn part(&mut self) {
        self.joined.push_str(&self.word);
        self.done.push(std::mem::take(&mut self.word));
    }

    fn end(&mut self) {
        if self.word.is_empty() {
            return;
        }
        let whole = format!("{}{}", std::mem::take(&mut self.joined), self.word);
        let part = std::mem::take(&mut self.word);
        if whole.len() > part.len() {
            self.done.extend([part, whole]);
        } else {
            self.done.push(part);
        }
    }
}

/// What takes endings off words, for the languages that it knows; in others a word is its own stem.
pub struct Stems(Option<Stemmer>);

impl Stems {
    /// For a language tag (BCP 47), of which the first part counts.
    pub fn of(language: &str) -> Self {
        let primary = language.split('-').next().unwrap_or_default().to_ascii_lowercase();
        let algorithm = match primary.as_str() {
            "ar" => Algorithm::Arabic,
            "da" => Algorithm::Danish,
            "de" => Algorithm::German,
            "el" => Algorithm::Greek,
            "en" => Algorithm::English,
            "es" => Algorithm::Spanish,
            "fi" => Algorithm::Finnish,
            "fr" => Algorithm::French,
            "hu" => Algorithm::Hungarian,
            "it" => Algorithm::Italian,
            "nb" | "nn" | "no" => Algorithm::Norwegian,
            "nl" => Algorithm::Dutch,
            "pt" => Algorithm::Portuguese,
            "ro" => Algorithm::Romanian,
            "ru" => Algorithm::Russian,
            "sv" => Algorithm::Swedish,
            "ta" => Algorithm::Tamil,
            "tr" => Algorithm::Turkish,
            _ => return Self(None),
        };
        Self(Some(Stemmer::create(algorithm)))
    }

    pub fn stem(&self, word: &str) -> String {
        match &self.0 {
            Some(stemmer) => stemmer.stem(word).into_owned(),
            None => word.to_owned(),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_without_case_apostrophes_and_hyphens() {
        for (text, found) in [
            ("The ball won\u{2019}t come back.", "the ball wont come back"),
            ("Try-out, lock-out-tag", "try out tryout lock out tag lockouttag"),
            ("29 CFR 1910.147(d)(1)", "29 cfr 1910 147 d 1"),
            ("-a- 'b' c- d", "a b c d"),
            ("a--b a-'b", "a b a b"),
            ("", ""),
        ] {
            assert_eq!(words(text).join(" "), found, "{text}");
        }
    }

    #[test]
    fn a_language_has_its_own_endings_or_none() {
        let stem = |language: &str, word: &str| Stems::of(language).stem(word);
        assert_eq!(stem("en", "jammed"), stem("en-GB", "jams"));
        assert_eq!(
            stem("de-AT", "Maschinen".to_lowercase().as_str()),
            stem("de", "maschine")
        );
        assert_ne!(stem("en", "maschinen"), stem("de", "maschinen"));
        assert_eq!(stem("ga", "meaisíní"), "meaisíní");
    }
}
