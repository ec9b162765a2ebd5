//! YAML → typed values, with every failure turned into a finding at its place.

use crate::diagnostic::{Code, Finding};
use crate::source::{FileId, Span};
use serde::de::DeserializeOwned;
use serde_yaml::{Error, Location};

pub static NOT_YAML: Code = Code {
    name: "not-yaml",
    title: "the text is not YAML",
    explanation: "Outline, quizzes, front matter and typed blocks are YAML: `key: value` lines, indented with spaces. The usual slips: a tab instead \
        of spaces, a missing space after a colon, a text with a colon or a hash in it that needs quotes around it.",
};

pub static UNKNOWN_KEY: Code = Code {
    name: "unknown-key",
    title: "a key that nothing reads",
    explanation: "A key that is not known is most often misspelt, and a misspelt `critical` or `caution` would be lost in silence. So each unknown \
        key is refused. The message lists the keys that may stand there.",
};

pub static DUPLICATE_KEY: Code = Code {
    name: "duplicate-key",
    title: "the same key twice",
    explanation: "Two values under one key: one of them would win, and nobody would know which. Delete one, or rename it.",
};

pub static MISSING_KEY: Code = Code {
    name: "missing-key",
    title: "a key that must be there is missing",
    explanation: "Some keys are always needed: a lesson without an edition cannot be told from its older self, a question without `because` teaches \
        nothing when it is missed. Add the key that the message names.",
};

pub static WRONG_TYPE: Code = Code {
    name: "wrong-type",
    title: "a value of the wrong kind",
    explanation: "A number stands where a text belongs, a single value where a list belongs, a word that is none of those allowed, or nothing at all. \
        The message says what was expected.",
};

pub fn codes() -> [&'static Code; 5] {
    [&NOT_YAML, &UNKNOWN_KEY, &DUPLICATE_KEY, &MISSING_KEY, &WRONG_TYPE]
}

/// Reads one YAML document. `text` must have the byte offsets of the file: see [`canvas`].
///
/// # Errors
/// A finding: the text is not YAML, or not of the shape of `T`.
pub fn read<T: DeserializeOwned>(file: FileId, text: &str) -> Result<T, Box<Finding>> {
    let options = serde_yaml::options! {
        // Without these, `on` and `0123` change their type inside tagged and untagged types.
        strict_booleans: true,
        leading_zero_numbers_as_strings: true,
        underscored_numbers_as_strings: true,
        with_snippet: false,
        // The largest source has 4 MB; at some 8 bytes a node this is its natural bound. Alias limits stay as they are.
        budget: serde_yaml::budget! { max_nodes: 500_000 },
    };
    serde_yaml::from_str_with_options(text, options).map_err(|error| Box::new(finding(file, text, &error)))
}

/// A text of the file's length in which all but one range is blank, so that places in it are places in the file.
pub fn canvas(text: &str, keep: std::ops::Range<usize>) -> String {
    let mut blank: String = text.as_bytes()[..keep.start]
        .iter()
        .map(|byte| if *byte == b'\n' { '\n' } else { ' ' })
        .collect();
    blank.push_str(&text[keep]);
    blank
}

fn finding(file: FileId, text: &str, error: &Error) -> Finding {
    let error = error.without_snippet();
    let span = place(file, text, error.location());
    let list = |words: &[&'static str]| {
        words
            .iter()
            .map(|word| format!("`{word}`"))
            .collect::<Vec<_>>()
            .join(", ")
    };
    match error {
        Error::SerdeUnknownField { field, expected, .. } => {
            let expected: Vec<&'static str> = expected.clone();
            let help = match nearest(field, expected.iter().copied()) {
                Some(near) => format!("did you mean `{near}`? The keys here are {}", list(&expected)),
                None => format!("the keys here are {}", list(&expected)),
            };
            Finding::new(
                &UNKNOWN_KEY,
                span,
                format!("`{field}` is no key that belongs here"),
                help,
            )
        }
        Error::DuplicateMappingKey { key, .. } => {
            let key = key.as_deref().unwrap_or("a key");
            Finding::new(
                &DUPLICATE_KEY,
                span,
                format!("`{key}` stands here twice"),
                "delete one of the two, or rename it",
            )
        }
        Error::SerdeMissingField { field, .. } => Finding::new(
            &MISSING_KEY,
            span,
            format!("`{field}` is missing here"),
            format!("add `{field}: …`"),
        ),
        Error::SerdeUnknownVariant { variant, expected, .. } => Finding::new(
            &WRONG_TYPE,
            span,
            format!("`{variant}` is none of the words that may stand here"),
            format!("write one of {}", list(expected)),
        ),
        Error::NullIntoString { .. } => Finding::new(
            &WRONG_TYPE,
            span,
            "a text belongs here, and nothing stands here",
            "write the text, or delete the key if it may be left out",
        ),
        other if is_shape(other) => Finding::new(
            &WRONG_TYPE,
            span,
            plain(other),
            "`pitwright finding wrong-type` says more",
        ),
        other => Finding::new(
            &NOT_YAML,
            span,
            plain(other),
            "`pitwright finding not-yaml` lists the usual slips",
        ),
    }
}

/// Whether the YAML was well formed and only its shape is wrong.
fn is_shape(error: &Error) -> bool {
    matches!(
        error,
        Error::SerdeInvalidType { .. }
            | Error::SerdeInvalidValue { .. }
            | Error::SerdeInvalidLength { .. }
            | Error::SerdeVariantId { .. }
            | Error::Unexpected { .. }
            | Error::InvalidScalar { .. }
            | Error::InvalidBooleanStrict { .. }
            | Error::Message { .. }
            | Error::TaggedEnumMismatch { .. }
            | Error::ExternallyTaggedEnumExpectedScalarOrMapping { .. }
            | Error::ExpectedStringKeyForExternallyTaggedEnum { .. }
            | Error::ExpectedMappingEndAfterEnumVariantValue { .. }
            | Error::Eof { .. }
    )
}

/// The reader's own words without the place, which the report shows itself.
fn plain(error: &Error) -> String {
    let words = error.to_string();
    let words = match words.rfind(" at line ") {
        Some(at) => &words[..at],
        None => words.as_str(),
    };
    words.lines().next().unwrap_or_default().to_owned()
}

fn place(file: FileId, text: &str, location: Option<Location>) -> Span {
    let Some(location) = location else {
        return Span::top(file);
    };
    let span = location.span();
    if let Some((start, len)) = span.byte_offset().zip(span.byte_len()) {
        let start = usize::try_from(start).unwrap_or(text.len());
        let len = usize::try_from(len).unwrap_or(0);
        return Span::new(
            file,
            text.floor_char_boundary(start)..text.ceil_char_boundary(start.saturating_add(len)),
        );
    }
    // Scanner errors come with line and column only; columns count characters from 1.
    let line = usize::try_from(location.line()).unwrap_or(1).max(1);
    let column = usize::try_from(location.column()).unwrap_or(1).max(1);
    let start: usize = text.split_inclusive('\n').take(line - 1).map(str::len).sum();
    let rest = text[start..].lines().next().unwrap_or_default();
    let offset: usize = rest.chars().take(column - 1).map(char::len_utf8).sum();
    let one = rest[offset..].chars().next().map_or(0, char::len_utf8);
    Span::new(file, start + offset..start + offset + one)
}

/// The word nearest to a misspelt one, if it is near enough to be meant: at most two letters added, lost, changed or swapped,
/// and fewer than half of the word.
pub fn nearest<'a>(word: &str, among: impl Iterator<Item = &'a str>) -> Option<&'a str> {
    among
        .map(|candidate| (distance(word, candidate), candidate))
        .filter(|(distance, _)| *distance <= 2 && *distance * 2 < word.chars().count().max(2))
        .min_by_key(|(distance, candidate)| (*distance, *candidate))
        .map(|(_, candidate)| candidate)
}

/// Edit distance with swaps of neighbours (optimal string alignment).
fn distance(a: &str, b: &str) -> usize {
    let (a, b): (Vec<char>, Vec<char>) = (a.chars().collect(), b.chars().collect());
    let mut rows = vec![(0..=b.len()).collect::<Vec<usize>>()];
    for i in 1..=a.len() {
        let mut row = vec![i];
        for j in 1..=b.len() {
            let change = usize::from(a[i - 1] != b[j - 1]);
            let mut least = (rows[i - 1][j] + 1)
                .min(row[j - 1] + 1)
                .min(rows[i - 1][j - 1] + change);
            if i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1] {
                least = least.min(rows[i - 2][j - 2] + 1);
            }
            row.push(least);
        }
        rows.push(row);
    }
    rows[a.len()][b.len()]
}
