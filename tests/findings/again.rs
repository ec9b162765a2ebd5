//! A compile over an earlier one: it leaves alone what stands, mends what does not, and never takes a changed course for an old one.

use super::built::{compile, tree};
use super::fixture;
use crate::ground::{out, pitwright};
use proptest::prelude::*;
use proptest::test_runner::{Config, TestRunner};
use std::fs;
use std::path::{Path, PathBuf};
use std::time::{Duration, SystemTime};

/// The good course, its files older than a step of the system's clock: younger ones are read again to be sure.
fn base() -> tempfile::TempDir {
    let course = fixture::base();
    std::thread::sleep(Duration::from_millis(50));
    course
}

fn says_nothing_changed(course: &Path) -> bool {
    let output = pitwright(course, &["compile"]);
    assert_eq!(output.status.code(), Some(0), "{}", out(&output));
    out(&output).contains("Nothing changed")
}

/// A folder's files but those that only the program itself reads.
fn course_and_zip(course: &Path) -> std::collections::BTreeMap<String, Vec<u8>> {
    let mut files = tree(&course.join("out"));
    files.retain(|path, _| !path.starts_with("marking-"));
    files
}

#[test]
fn where_nothing_changed_no_page_is_written() {
    let course = base();
    assert!(!says_nothing_changed(course.path()), "there was nothing before");
    let written = |name: &str| {
        let data = fs::metadata(course.path().join("out").join(name)).expect("it is there");
        data.modified().expect("it has a time")
    };
    let before = [written("course/index.html"), written("course.zip")];
    let first = tree(&course.path().join("out"));
    assert!(says_nothing_changed(course.path()));
    assert_eq!([written("course/index.html"), written("course.zip")], before);
    assert_eq!(tree(&course.path().join("out")), first);
    let json = pitwright(course.path(), &["compile", "--json"]);
    let json: serde_json::Value = serde_json::from_slice(&json.stdout).expect("`--json` prints JSON");
    assert_eq!((&json["changed"], &json["removed"]), (&0.into(), &0.into()));
    assert!(json["files"].as_u64() > Some(20), "{json}");
}

/// Something done to a built course by hand.
type Spoil<'a> = Box<dyn Fn() + 'a>;

#[test]
fn what_was_changed_by_hand_is_put_right() {
    let course = base();
    assert_eq!(compile(course.path(), &[]), Some(0));
    let built = tree(&course.path().join("out"));
    let place = |name: &str| course.path().join("out").join(name);
    let marking = built
        .keys()
        .find(|path| path.starts_with("marking-"))
        .expect("there is one")
        .clone();
    let spoil: [(&str, Spoil); 6] = [
        (
            "a page edited",
            Box::new(|| fs::write(place("course/index.html"), "x").expect("it can be written")),
        ),
        (
            "a page deleted",
            Box::new(|| fs::remove_file(place("course/record.html")).expect("it can be removed")),
        ),
        (
            "a page added",
            Box::new(|| fs::write(place("course/lesson/old.html"), "x").expect("it can be written")),
        ),
        (
            "the zip cut",
            Box::new(|| fs::write(place("course.zip"), "PK").expect("it can be written")),
        ),
        (
            "the marking edited",
            Box::new(|| fs::write(place(&marking), "{}").expect("it can be written")),
        ),
        (
            "the stamp cut",
            Box::new(|| fs::write(place(".last-compile"), "pitwright 1").expect("it can be written")),
        ),
    ];
    for (what, spoil) in spoil {
        spoil();
        assert!(!says_nothing_changed(course.path()), "{what}");
        assert!(tree(&course.path().join("out")) == built, "{what}, and stayed so");
        assert!(says_nothing_changed(course.path()), "{what}, then mended");
    }
}

#[test]
fn a_zip_that_is_not_wanted_does_not_stay_behind() {
    let course = base();
    let zip = course.path().join("out/course.zip");
    assert_eq!(compile(course.path(), &[]), Some(0));
    let packed = fs::read(&zip).expect("it was built");
    assert_eq!(compile(course.path(), &["--no-zip"]), Some(0));
    assert!(!zip.exists(), "it may be of another course by and by");
    assert_eq!(compile(course.path(), &[]), Some(0));
    assert!(fs::read(&zip).expect("it was built") == packed);
}

/// An editor that keeps times, a copy that brings them along: size and time of a source are as before, its words are not.
#[cfg(unix)]
#[test]
fn a_change_that_keeps_size_and_time_is_noticed() {
    let course = base();
    let source = course.path().join("lessons/start/lockout.md");
    assert_eq!(compile(course.path(), &[]), Some(0));
    assert!(says_nothing_changed(course.path()));
    let then = fs::metadata(&source)
        .and_then(|data| data.modified())
        .expect("it has a time");
    let text = fs::read_to_string(&source).expect("it is text");
    let (title, other) = ("title: \"Lock it out\"", "title: \"Luck it out\"");
    assert!(text.contains(title));
    fs::write(&source, text.replacen(title, other, 1)).expect("it can be written");
    set_time(&source, then);
    assert!(!says_nothing_changed(course.path()));
    let page = fs::read_to_string(course.path().join("out/course/lesson/lockout.html")).expect("it was built");
    assert!(page.contains("Luck it out"));
}

fn set_time(file: &Path, time: SystemTime) {
    let file = fs::File::options().append(true).open(file).expect("it can be opened");
    file.set_modified(time).expect("its time can be set");
}

/// Something that an author does between two compiles.
#[derive(Debug, Clone)]
enum Edit {
    /// A sentence at the end of a lesson.
    Lesson(usize),
    Title(usize),
    Fact,
    Question,
    Picture,
    /// Its time changes, and nothing else.
    Touch(usize),
    /// The course's own copy of a part of the theme, or its going away.
    Theme,
    /// Back to how the lesson was at first.
    Back(usize),
    Nothing,
}

fn edit() -> impl Strategy<Value = Edit> {
    prop_oneof![
        (0..2_usize).prop_map(Edit::Lesson),
        (0..2_usize).prop_map(Edit::Title),
        Just(Edit::Fact),
        Just(Edit::Question),
        Just(Edit::Picture),
        (0..2_usize).prop_map(Edit::Touch),
        Just(Edit::Theme),
        (0..2_usize).prop_map(Edit::Back),
        Just(Edit::Nothing),
    ]
}

const LESSONS: [&str; 2] = ["lessons/start/lockout.md", "lessons/stops/pin-across.md"];

fn change(file: PathBuf, what: impl Fn(&str) -> String) {
    let text = fs::read_to_string(&file).expect("it is text");
    fs::write(&file, what(&text)).expect("it can be written");
}

fn apply(edit: &Edit, course: &Path, first: &Path) {
    match edit {
        Edit::Lesson(lesson) => change(course.join(LESSONS[*lesson]), |text| {
            format!("{text}\nOne more sentence.\n")
        }),
        Edit::Title(lesson) => change(course.join(LESSONS[*lesson]), |text| {
            text.replacen("title: \"", "title: \"Now: ", 1)
        }),
        Edit::Fact => change(course.join("lessons/centre.yml"), |text| {
            text.replacen("name: \"", "name: \"The ", 1)
        }),
        Edit::Question => change(course.join("quizzes/banks/alone.yml"), |text| {
            text.replacen("because: \"", "because: \"Mind: ", 1)
        }),
        Edit::Picture => change(course.join("lessons/stops/shelf.svg"), |text| {
            format!("{text}<!-- drawn anew -->\n")
        }),
        Edit::Touch(lesson) => set_time(&course.join(LESSONS[*lesson]), SystemTime::now()),
        Edit::Theme => {
            let style = course.join("theme/style/deck.css");
            if style.exists() {
                fs::remove_file(style).expect("it can be removed");
            } else {
                fs::create_dir_all(course.join("theme/style")).expect("it can be made");
                fs::write(style, ":root { --own: 1 }\n").expect("it can be written");
            }
        }
        Edit::Back(lesson) => {
            fs::copy(first.join(LESSONS[*lesson]), course.join(LESSONS[*lesson])).expect("it can be written");
        }
        Edit::Nothing => {}
    }
}

#[test]
fn after_any_edits_a_compile_over_the_last_one_equals_one_from_nothing() {
    let mut runner = TestRunner::new(Config {
        cases: 8,
        ..Config::default()
    });
    let course = fixture::base();
    let first = fixture::base();
    runner
        .run(&prop::collection::vec(edit(), 1..4), |edits| {
            for edit in &edits {
                apply(edit, course.path(), first.path());
            }
            prop_assert_eq!(compile(course.path(), &[]), Some(0));
            let elsewhere = tempfile::tempdir().expect("a temporary folder can be made");
            let fresh = elsewhere.path().join("out");
            prop_assert_eq!(compile(course.path(), &["--into", &fresh.to_string_lossy()]), Some(0));
            let mut fresh = tree(&fresh);
            fresh.retain(|path, _| !path.starts_with("marking-"));
            prop_assert!(course_and_zip(course.path()) == fresh, "after {:?}", edits);
            Ok(())
        })
        .expect("the two are the same");
}
