//! Drawings that a question can show and ask about.

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
    /// Every `data-when` in it: what must be so for its element to show, name by name, with the values that each may have.
    pub whens: Vec<Vec<(String, Vec<String>)>>,
}
