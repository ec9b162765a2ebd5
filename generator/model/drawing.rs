//! Drawings that a question can show and ask about, that follow a cycle or a drill, or that stand in a lesson.

use std::ops::Range;

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
    /// The `<svg>` element, without the names of its things.
    pub svg: String,
    /// Every `data-part` in it, in the order of the file.
    pub parts: Vec<String>,
    /// Every `data-when` in it, in the order of the file.
    pub bindings: Vec<Binding>,
    /// The `<svg>` element as written, and what of it shows only sometimes, in the order of the file.
    pub written: String,
    pub pieces: Vec<Piece>,
}

/// A stretch of a drawing that shows only sometimes.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Piece {
    /// What goes where the condition does not hold, in bytes.
    pub all: Range<usize>,
    /// What goes where it holds: the attribute that says so.
    pub sign: Range<usize>,
    pub when: When,
}

/// When a piece of a drawing shows.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum When {
    /// `data-when`.
    Bound(Binding),
    /// `data-names`: where the drawing names its things. Questions ask for them, so there it does not.
    Named,
    /// The `viewBox`, where there is another one for the names, in `data-names-box`.
    Unnamed,
}

impl Inline {
    /// The drawing as it stands still: what does not show is left out, and nothing in it follows anything. `value` is what a name
    /// stands at; `None` is unseen.
    pub fn still<'v>(&self, named: bool, value: impl Fn(&str) -> Option<&'v str>) -> String {
        self.without(|when| match when {
            When::Bound(binding) => Some(binding.met(&value)),
            When::Named => Some(named),
            When::Unnamed => Some(!named),
        })
    }

    /// What is written without its names; what follows a state still does.
    pub fn unnamed(&self) -> String {
        self.without(|when| match when {
            When::Bound(_) => None,
            When::Named => Some(false),
            When::Unnamed => Some(true),
        })
    }

    /// `shows` says of a piece whether it does; `None` leaves it and its sign as they are.
    fn without(&self, shows: impl Fn(&When) -> Option<bool>) -> String {
        let (mut text, mut at) = (String::with_capacity(self.written.len()), 0);
        for piece in &self.pieces {
            let gone = match shows(&piece.when) {
                Some(true) => &piece.sign,
                Some(false) => &piece.all,
                None => continue,
            };
            // What lies in something that has gone has gone with it.
            if gone.start >= at {
                text.push_str(&self.written[at..gone.start]);
                at = gone.end;
            }
        }
        text.push_str(&self.written[at..]);
        text
    }
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

    /// Whether every name has one of its values.
    pub fn met<'v>(&self, value: &impl Fn(&str) -> Option<&'v str>) -> bool {
        self.0.iter().all(|(name, wanted)| {
            let stands = value(name).unwrap_or("unseen");
            wanted.iter().any(|wanted| wanted == stands)
        })
    }
}
