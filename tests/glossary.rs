//! The glossary: its page, and where lessons lead to it.

use crate::ground::{copy, pitwright, root};
use pitwright::glossary::{FirstUses, Piece};
use pitwright::{check, source};

/// The small course of the tests, with words of the trade.
fn course() -> tempfile::TempDir {
    let folder = tempfile::tempdir().expect("a temporary folder can be made");
    copy(&root().join("tests/sources/base"), folder.path());
    let words =
        "hook-rod:\n  says: \"A rod with a hook.\"\n  also: [\"long hook\"]\nledge:\n  says: \"Where the pins lie.\"\n";
    std::fs::write(folder.path().join("lessons/glossary.yml"), words).expect("a temporary folder can be written");
    folder
}

/// What is linked in a text, piece by piece: `[so]`.
fn cut(uses: &mut FirstUses, text: &str) -> String {
    let pieces = uses.cut(text);
    let whole: String = pieces
        .iter()
        .map(|piece| match piece {
            Piece::Plain(text) | Piece::Term { text, .. } => *text,
        })
        .collect();
    assert_eq!(whole, text, "pieces and text are the same letters");
    pieces
        .iter()
        .map(|piece| match piece {
            Piece::Plain(text) => (*text).to_owned(),
            Piece::Term { text, .. } => format!("[{text}]"),
        })
        .collect()
}

#[test]
fn the_first_use_of_each_word_is_found_and_no_other() {
    let folder = course();
    let sources = source::read(folder.path()).expect("the folder can be read");
    let checked = check::check(&sources).expect("nothing is found in it");
    let uses = || FirstUses::new(checked.course(), Some("thrumble"));
    for (text, found) in [
        (
            "Look at the ledge. The ledge tips.",
            "Look at the [ledge]. The ledge tips.",
        ),
        // A verb, a place or a name is no thing; after "the" it is.
        ("Latch it, then see the latch.", "Latch it, then see the [latch]."),
        ("Both ledgings; a bookledge; ledge", "Both ledgings; a bookledge; ledge"),
        ("Two latches? No: two latchs.", "Two latches? No: two [latchs]."),
        // Several words need no article, may be parted by a hyphen, and may be written another way.
        ("Take hook rods out.", "Take [hook rods] out."),
        ("HOOK-ROD or long hook, once", "[HOOK-ROD] or long hook, once"),
        ("Take the long, hook it.", "Take the long, hook it."),
        (
            "The latch's end, the laſch, ünd the ledge",
            "The [latch]'s end, the laſch, ünd the [ledge]",
        ),
        ("", ""),
        ("hook", "hook"),
    ] {
        assert_eq!(cut(&mut uses(), text), found);
    }
    let mut over_a_page = uses();
    assert_eq!(cut(&mut over_a_page, "A ledge."), "A [ledge].");
    assert_eq!(
        cut(&mut over_a_page, "The shelf and the latch."),
        "The shelf and the [latch]."
    );
    // Parts of another machine are not meant.
    let mut elsewhere = FirstUses::new(checked.course(), Some("brindlewick"));
    assert_eq!(cut(&mut elsewhere, "The latch."), "The latch.");
}

#[test]
fn pages_lead_to_the_glossary_and_it_has_what_they_name() {
    let folder = course();
    let lesson = folder.path().join("lessons/stops/pin-across.md");
    let text = std::fs::read_to_string(&lesson).expect("a lesson is text");
    let text = text.replace(
        "The lane shows no pins.",
        "The ledge waits. [The ledge](#steps) again, and the ledge.",
    );
    std::fs::write(&lesson, text).expect("a temporary folder can be written");
    let built = pitwright(folder.path(), &["compile", "--no-zip"]);
    assert_eq!(
        built.status.code(),
        Some(0),
        "{}",
        String::from_utf8_lossy(&built.stdout)
    );
    let page =
        |name: &str| std::fs::read_to_string(folder.path().join("out/course").join(name)).expect("the page is there");
    let shown = page("lesson/pin-across.html");
    assert_eq!(shown.matches("glossary.html#term-ledge").count(), 1);
    let glossary = page("glossary.html");
    for id in ["thrumble-latch", "term-ledge", "term-hook-rod"] {
        assert_eq!(glossary.matches(&format!("id=\"{id}\"")).count(), 1, "{id}");
    }
    assert!(glossary.contains("It snaps shut on fingers"));
    assert!(
        glossary.find("hook rod") < glossary.find("term-ledge"),
        "in the order of the alphabet"
    );
}
