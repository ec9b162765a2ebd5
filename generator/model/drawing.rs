//! Drawings that a question can show and ask about, or that follow a cycle.

/// `theme/drawings/NAME.svg`.
#[derive(Debug, Clone)]
pub struct Drawing {
    /// The file's stem.
    pub name: String,
    /// What a page prints, or why no page may print it.
    pub content: Result<Inline, String>,
}

/// A drawing that may stand inside a page: shapes and words only, with a text alternative of its own.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Inline {
    /// The `<svg>` element, as written.
    pub svg: String,
    /// Every `data-part` in it, in the order of the file.
    pub parts: Vec<String>,
    /// Every `data-when` in it, in the order of the file.
    pub bindings: Vec<Binding>,
}

/// When an element of a drawing shows, as its `data-when` says: `name: value, value; name: value`. It shows while every name has one of its
/// values; what has no value counts as `unseen`. `theme/script/bound.js` acts on it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Binding(pub Vec<(String, Vec<String>)>);

impl Binding {
    /// Reads a `data-when`; `None` if it is not of that form.
    pub fn read(text: &str) -> Option<Self> {
        let word = |text: &str| {
            let text = text.trim();
            let plain = |letter: char| letter.is_ascii_alphanumeric() || letter == '-' || letter == '.';
            (!text.is_empty() && text.chars().all(plain)).then(|| text.to_owned())
        };
        let conditions: Option<Vec<(String, Vec<String>)>> = text
            .split(';')
            .map(|condition| {
                let (name, values) = condition.split_once(':')?;
                Some((word(name)?, values.split(',').map(word).collect::<Option<_>>()?))
            })
            .collect();
        conditions.map(Self)
    }
}
