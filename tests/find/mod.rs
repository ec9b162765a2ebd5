//! What the Find page looks through, made from the small course of the tests: what is in it, where it leads, and what is kept out.

use crate::ground::{copy, out, pitwright, root};
use pitwright::find::{self, Index, Page, Sort, words};
use pitwright::{check, source};
use std::collections::BTreeSet;
use std::path::Path;

/// A family: its words, and where it is found.
type Line = (Vec<String>, Vec<(usize, u8)>);

const PASSED: &str = "a the of and is it you in";

fn course() -> tempfile::TempDir {
    let folder = tempfile::tempdir().expect("a temporary folder can be made");
    copy(&root().join("tests/sources/base"), folder.path());
    folder
}

fn index(folder: &Path) -> Index {
    let sources = source::read(folder).expect("the folder can be read");
    let checked = check::check(&sources).expect("nothing is found in it");
    find::index(&checked, &sources, PASSED, "Signs")
}

fn change(folder: &Path, file: &str, change: impl Fn(&str) -> String) {
    let path = folder.join(file);
    let text = std::fs::read_to_string(&path).unwrap_or_default();
    std::fs::write(&path, change(&text)).expect("a temporary folder can be written");
}

fn page<'a>(index: &'a Index, to: &str) -> &'a Page {
    index
        .pages
        .iter()
        .find(|page| page.to == to)
        .unwrap_or_else(|| panic!("no {to}"))
}

/// All that could be shown of a page.
fn shown(page: &Page) -> String {
    let passages = page.pieces.iter().flat_map(|piece| &piece.passages);
    passages.map(|text| format!("{text}\n")).collect()
}

/// The pages and pieces in which a word is found, by address and heading; the heading of a page itself is its title.
fn places(index: &Index, word: &str) -> BTreeSet<(String, String)> {
    let family = index
        .families
        .iter()
        .find(|family| family.words.iter().any(|one| one == word));
    let pieces: Vec<(&Page, &str)> = index
        .pages
        .iter()
        .flat_map(|page| page.pieces.iter().map(move |piece| (page, piece.heading.as_str())))
        .collect();
    let of = |place: usize| {
        let (page, heading) = match index.pages.get(place) {
            Some(page) => (page, page.title.as_str()),
            None => pieces[place - index.pages.len()],
        };
        (page.to.clone(), heading.to_owned())
    };
    family
        .iter()
        .flat_map(|family| &family.found)
        .map(|(place, _)| of(*place))
        .collect()
}

#[test]
fn a_lesson_is_found_by_its_sections_steps_and_signs() {
    let folder = course();
    let index = index(folder.path());
    let lesson = page(&index, "lesson/pin-across.html");
    let pieces: Vec<(Sort, &str, &str)> = lesson
        .pieces
        .iter()
        .map(|piece| (piece.sort, piece.heading.as_str(), piece.anchor.as_str()))
        .collect();
    assert_eq!(
        pieces,
        [
            (Sort::Section, "", ""),
            (Sort::Section, "What you see", "see"),
            (Sort::Section, "From the front", "from-the-front"),
            (Sort::Section, "Before the steps", "before"),
            // Neither the section with the steps nor the steps lead past what stands above them.
            (Sort::Section, "Steps", ""),
            (Sort::Procedure, "Clear the pin", ""),
            (Sort::Signs, "Signs", "signs-title"),
        ]
    );
    assert_eq!(lesson.pieces[5].passages.len(), 11);
    assert!(lesson.hands_on);
    let text = shown(lesson);
    // Cautions whole, facts of the centre in their words, links and marks as what they say, pictures by their alternative.
    for there in [
        "A shelf held up by the jammed pin. It tips when the pin comes away and can crush a hand. Hold the pin from the side.",
        "Draw the pin out from the side with the hook. The shelf drops once the pin is out.",
        "First lock out as in the lockout lesson, then come back to the steps.",
        "A pin lies crosswise and holds the shelf up",
        "You smell burning",
    ] {
        assert!(text.contains(there), "{there}\n{text}");
    }
    assert!(
        !text.contains("centre:") && !text.contains("](") && !text.contains("```"),
        "{text}"
    );
    // A question would be answered in passing; how a stop is staged is for trainers.
    for left_out in [
        "How many pins must the table hold",
        "A set has ten pins",
        "STAGED",
        "Lay a pin across the shelf",
    ] {
        assert!(!text.contains(left_out), "{left_out}");
    }
    assert_eq!(places(&index, "staged"), BTreeSet::new());
    assert!(places(&index, "hook").contains(&("lesson/pin-across.html".to_owned(), "Clear the pin".to_owned())));
}

#[test]
fn words_of_one_stem_are_one_family_and_small_words_are_none() {
    let folder = course();
    let index = index(folder.path());
    let family = |word: &str| {
        index
            .families
            .iter()
            .find(|family| family.words.iter().any(|one| one == word))
    };
    let lock = family("lock").expect("the course locks out");
    assert!(lock.words.iter().all(|word| word.starts_with("lock")), "{lock:?}");
    for passed in words(PASSED) {
        assert!(family(&passed).is_none(), "{passed}");
    }
    // Every word of every title and sign that is no small word is known, and leads to its page.
    for (place, page) in index.pages.iter().enumerate() {
        let signs = page.signs.iter().map(|(says, _)| says);
        for word in std::iter::once(&page.title).chain(signs).flat_map(|text| words(text)) {
            let known = PASSED.split(' ').any(|passed| passed == word)
                || family(&word).is_some_and(|family| family.found.iter().any(|(found, _)| *found == place));
            assert!(known, "{word} of {}", page.title);
        }
    }
    // Places rise, so that gaps can be written.
    for family in &index.families {
        assert!(family.found.windows(2).all(|two| two[0].0 < two[1].0), "{family:?}");
        assert!(
            family.found.iter().all(|(_, level)| *level < find::LEVELS),
            "{family:?}"
        );
    }
}

#[test]
fn what_never_shows_with_a_stop_is_no_way_to_find_it() {
    let folder = course();
    change(folder.path(), "lessons/stops/pin-across.md", |text| {
        text.replace("shelf-blocked: often", "shelf-blocked: never")
    });
    let index = index(folder.path());
    let lesson = page(&index, "lesson/pin-across.html");
    assert_eq!(lesson.signs.len(), 1);
}

#[test]
fn a_title_says_more_than_a_sentence() {
    let folder = course();
    let index = index(folder.path());
    let level = |word: &str, title: bool| {
        let family = index
            .families
            .iter()
            .find(|family| family.words.iter().any(|one| one == word));
        let found = &family.expect("it is known").found;
        let of = |place: &usize| (*place < index.pages.len()) == title;
        found
            .iter()
            .filter(|(place, _)| of(place))
            .map(|(_, level)| *level)
            .max()
    };
    let (title, body) = (
        level("across", true).expect("a title has it"),
        level("across", false).expect("a text has it"),
    );
    assert!(find::weight(title) > 2.0 * find::weight(body), "{title} {body}");
}

#[test]
fn another_language_has_its_own_endings() {
    let folder = course();
    change(folder.path(), "lessons/outline.yml", |text| {
        text.replace("language: en", "language: ga")
    });
    let plain = index(folder.path());
    assert!(plain.families.iter().all(|family| family.words.len() == 1));
}

#[test]
fn everyday_words_lead_to_those_of_the_course_or_the_author_hears_of_it() {
    let folder = course();
    change(folder.path(), "lessons/everyday.yml", |_| {
        "Rack: [latches]\nwon\u{2019}t come-back: [latch, zeppelin]\nnowhere: [dirigible]\n".to_owned()
    });
    let index = index(folder.path());
    let said: Vec<(&str, Vec<&str>)> = index
        .everyday
        .iter()
        .map(|(said, meant)| {
            (
                said.as_str(),
                meant.iter().map(|at| index.families[*at].words[0].as_str()).collect(),
            )
        })
        .collect();
    assert_eq!(
        said,
        [("rack", vec!["latch"]), ("wont come back", vec!["latch"])],
        "a word in any form, and nothing that leads nowhere"
    );
    let proven = pitwright(folder.path(), &["prove"]);
    let told = out(&proven);
    assert!(
        told.contains("`nowhere` is to mean `dirigible`, which no lesson says"),
        "{told}"
    );
    assert!(
        told.contains("`won\u{2019}t come-back` is to mean `zeppelin`"),
        "{told}"
    );
    assert!(!told.contains("`Rack`"), "{told}");
}

#[test]
fn what_the_demo_calls_everyday_all_leads_somewhere() {
    let sources = source::read(&root()).expect("the folder can be read");
    let checked = check::check(&sources).expect("nothing is found in it");
    assert_eq!(find::lead_nowhere(&checked, &sources), Vec::new());
}

/// The lines of the index as they are written: read here by another reader than the page's.
#[test]
fn the_script_says_what_the_index_says() {
    let folder = course();
    let built = pitwright(folder.path(), &["compile", "--no-zip"]);
    assert_eq!(built.status.code(), Some(0), "{}", out(&built));
    let data = folder.path().join("out/course/data");
    let script = std::fs::read_to_string(data.join("find.js")).expect("it was written");
    let (_, value) = script.split_once("findIndex = ").expect("it assigns the index");
    let value: serde_json::Value = serde_json::from_str(value.trim_end().trim_end_matches(';')).expect("it is JSON");
    let digits = value["digits"].as_str().expect("digits");
    assert!((b'A'..b'A' + find::LEVELS).all(|level| !digits.contains(char::from(level))));
    let lines = value["families"].as_str().expect("lines").lines();
    let read: Vec<Line> = lines
        .map(|line| {
            let (words, found) = line.split_once('\t').expect("words, then places");
            let (mut places, mut gap, mut next) = (Vec::new(), 0, 0);
            for letter in found.chars() {
                if let Some(value) = digits.find(letter) {
                    gap = gap * digits.len() + value;
                } else {
                    let place = if gap == 0 { next } else { next + gap - 1 };
                    places.push((place, u8::try_from(u32::from(letter)).expect("a capital") - b'A'));
                    (gap, next) = (0, place + 1);
                }
            }
            (words.split(' ').map(str::to_owned).collect(), places)
        })
        .collect();
    let theme = std::fs::read_to_string(root().join("theme/words/en.yml")).expect("it is text");
    let passed = theme.split_once("find_passed_over: >-").expect("the small words").1;
    let sources = source::read(folder.path()).expect("the folder can be read");
    let checked = check::check(&sources).expect("nothing is found in it");
    let index = find::index(&checked, &sources, passed, "Signs, and how often they show");
    let made: Vec<Line> = index
        .families
        .into_iter()
        .map(|family| (family.words, family.found))
        .collect();
    assert_eq!(read, made);
    assert!(data.join("find-0.js").exists(), "the texts are in parts of their own");
}
