//! How words are counted, for the reading time.

use pitwright::load::markdown::words;

#[test]
fn words_are_runs_with_a_letter_or_a_digit() {
    for (text, count) in [
        ("", 0),
        ("one", 1),
        (" one  two\tthree\n", 3),
        ("a - b", 2),
        ("well-known, isn't it?", 3),
        ("10 pins", 2),
        ("vertical\u{b}tab", 2),
        ("zwei Wörter – drüber", 3),
        ("\u{a0}no-break", 1),
    ] {
        assert_eq!(words(text), count, "{text:?}");
    }
}
