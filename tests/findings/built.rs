//! What a compile leaves on the disk: the same bytes each time, and the old course where it failed.

use super::fixture::{self, Change};
use crate::ground::{out, pitwright};
use pitwright::register::course_markings;
use std::collections::BTreeMap;
use std::fs;
use std::path::Path;

/// Every file of a folder with its bytes, but for the stamp: it tells of times.
pub fn tree(folder: &Path) -> BTreeMap<String, Vec<u8>> {
    walkdir::WalkDir::new(folder)
        .into_iter()
        .map(|entry| entry.expect("the folder can be walked"))
        .filter(|entry| entry.file_type().is_file() && entry.file_name() != ".last-compile")
        .map(|entry| {
            let path = entry.path().strip_prefix(folder).expect("walked from there");
            let bytes = fs::read(entry.path()).expect("the file can be read");
            (path.to_string_lossy().into_owned(), bytes)
        })
        .collect()
}

pub fn compile(course: &Path, more: &[&str]) -> Option<i32> {
    let output = pitwright(course, &[&["compile"], more].concat());
    output.status.code()
}

#[test]
fn compiling_twice_gives_the_same_bytes_wherever_it_is_built() {
    let (first, second, elsewhere) = (
        fixture::base(),
        fixture::base(),
        tempfile::tempdir().expect("temporary"),
    );
    assert_eq!(compile(first.path(), &[]), Some(0));
    let built = tree(&first.path().join("out"));
    assert!(built.contains_key("course.zip") && built.contains_key("course/index.html"));
    assert!(
        built
            .keys()
            .any(|path| path.starts_with("marking-") && path.ends_with(".json"))
    );
    assert_eq!(compile(first.path(), &[]), Some(0));
    assert!(
        tree(&first.path().join("out")) == built,
        "a second compile changed bytes"
    );
    let into = elsewhere.path().join("deep/er");
    assert_eq!(compile(second.path(), &["--into", &into.to_string_lossy()]), Some(0));
    assert!(tree(&into) == built, "another place gave other bytes");
    assert!(!second.path().join("out").exists(), "`--into` built in out/ as well");
}

#[test]
fn a_failed_compile_leaves_the_old_course_as_it_was() {
    let course = fixture::base();
    assert_eq!(compile(course.path(), &[]), Some(0));
    let before = tree(&course.path().join("out"));
    Change::edit("lessons/stops/pin-across.md", "    cautions: [shelf-tips]\n", "").apply(course.path());
    let output = pitwright(course.path(), &["compile"]);
    assert_eq!(output.status.code(), Some(1));
    assert!(out(&output).contains("step-without-caution"));
    assert!(
        tree(&course.path().join("out")) == before,
        "a failed compile touched out/"
    );
}

#[test]
fn a_folder_that_is_no_course_is_refused_and_nothing_is_made() {
    let empty = tempfile::tempdir().expect("temporary");
    assert_eq!(compile(empty.path(), &[]), Some(2));
    fs::create_dir(empty.path().join("lessons")).expect("temporary");
    let output = pitwright(empty.path(), &["compile"]);
    assert_eq!(output.status.code(), Some(2));
    assert!(String::from_utf8_lossy(&output.stderr).contains("help:"));
    fs::write(empty.path().join("lessons/a.png"), [0]).expect("temporary");
    let output = pitwright(empty.path(), &["compile"]);
    assert_eq!(output.status.code(), Some(1));
    assert_eq!(
        out(&output).matches("missing-file").count(),
        6,
        "three files, each with its code and its help"
    );
    assert!(!empty.path().join("out").exists());
}

#[test]
fn going_back_to_an_older_course_puts_its_marking_in_force_again() {
    let course = fixture::base();
    let in_force = || {
        let markings = course_markings(course.path()).expect("out/ can be listed");
        markings.last().expect("compile writes a marking").clone()
    };
    // Old enough that the next compile cannot fall into the same tick of the disk's clock.
    let age = || {
        let file = fs::File::options()
            .append(true)
            .open(in_force())
            .expect("it can be opened");
        let then = std::time::SystemTime::now() - std::time::Duration::from_secs(60);
        file.set_modified(then).expect("its time can be set");
    };
    assert_eq!(compile(course.path(), &[]), Some(0));
    let first = in_force();
    age();
    let newer = Change::edit("quizzes/banks/alone.yml", "edition: 1", "edition: 2");
    newer.apply(course.path());
    assert_eq!(compile(course.path(), &[]), Some(0));
    assert_ne!(in_force(), first, "another edition is another marking");
    age();
    Change::edit("quizzes/banks/alone.yml", "edition: 2", "edition: 1").apply(course.path());
    assert_eq!(compile(course.path(), &[]), Some(0));
    assert_eq!(in_force(), first, "the older course's marking is in force again");
}
