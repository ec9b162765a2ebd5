//! People, as the record knows them: by a code that the trainer issues.

use std::fmt;

/// The text is not a person's code.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NotACode(pub String);

impl fmt::Display for NotACode {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(
            f,
            "`{}` is not a person's code: 2 to 16 letters A to Z, digits and hyphens, beginning with a letter or digit",
            self.0.chars().take(40).collect::<String>()
        )
    }
}

impl std::error::Error for NotACode {}

/// A code as people type it, made plain: spaces around it go, letters become capitals.
///
/// # Errors
/// [`NotACode`].
pub fn code(typed: &str) -> Result<String, NotACode> {
    let plain = typed.trim().to_ascii_uppercase();
    if is_code(&plain) {
        Ok(plain)
    } else {
        Err(NotACode(typed.to_owned()))
    }
}

/// Whether a text is a code already: `[A-Z0-9][A-Z0-9-]{1,15}`.
pub fn is_code(text: &str) -> bool {
    let plain = |byte: u8| byte.is_ascii_uppercase() || byte.is_ascii_digit();
    (2..=16).contains(&text.len())
        && text.bytes().next().is_some_and(plain)
        && text.bytes().all(|byte| plain(byte) || byte == b'-')
}

/// Those of `known` that a slip of the hand could have turned into `typed`: at most two letters added, left out,
/// changed, or swapped with their neighbour. Only the nearest, and at most five: a longer list helps nobody.
///
/// Source of the distance: F. J. Damerau, "A technique for computer detection and correction of spelling errors",
/// Commun. ACM 7(3), 1964, in the form that edits no substring twice.
pub fn near<'a>(typed: &str, known: impl IntoIterator<Item = &'a str>) -> Vec<&'a str> {
    const MOST: usize = 2;
    let mut near: Vec<(usize, &str)> = known
        .into_iter()
        .map(|code| (slips(typed.as_bytes(), code.as_bytes()), code))
        .filter(|(slips, _)| *slips <= MOST)
        .collect();
    near.sort_unstable();
    let least = near.first().map_or(0, |(slips, _)| *slips);
    let nearest = near.into_iter().take_while(|(slips, _)| *slips == least);
    nearest.map(|(_, code)| code).take(5).collect()
}

/// A question that names those of `known` that are nearly the same as `typed`; none where nothing is near.
pub fn did_you_mean<'a>(typed: &str, known: impl IntoIterator<Item = &'a str>) -> Option<String> {
    let near = near(typed, known);
    (!near.is_empty()).then(|| format!("did you mean {}?", near.join(" or ")))
}

/// What stays of a code where signs that look or sound alike are one, and hyphens none: TO7 and T-07 are the same.
pub fn alike(code: &str) -> String {
    let plain = |sign: char| match sign {
        'O' => '0',
        'I' | 'L' => '1',
        'Z' => '2',
        'S' => '5',
        'B' => '8',
        other => other,
    };
    code.chars().filter(|sign| *sign != '-').map(plain).collect()
}

fn slips(a: &[u8], b: &[u8]) -> usize {
    let width = b.len() + 1;
    let mut table = vec![0usize; (a.len() + 1) * width];
    for i in 0..=a.len() {
        for j in 0..=b.len() {
            let at = |i: usize, j: usize| table[i * width + j];
            let best = if i == 0 || j == 0 {
                i + j
            } else {
                let differs = usize::from(a[i - 1] != b[j - 1]);
                let mut best = (at(i - 1, j) + 1).min(at(i, j - 1) + 1).min(at(i - 1, j - 1) + differs);
                if i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1] {
                    best = best.min(at(i - 2, j - 2) + 1);
                }
                best
            };
            table[i * width + j] = best;
        }
    }
    table[a.len() * width + b.len()]
}
