//! The sheets that a trainer prints from the course: what they say, and in which order.

mod carried;

use crate::ground::{copy, demo, demo_course, pitwright};
use std::fs;
use std::path::{Path, PathBuf};

fn compiled() -> tempfile::TempDir {
    let course = demo();
    copy(demo_course().path(), &course.path().join("out"));
    course
}

fn page(course: &Path, path: &str) -> String {
    let place = course.join("out/course").join(path);
    fs::read_to_string(&place).unwrap_or_else(|error| panic!("{}: {error}", place.display()))
}

fn marking(course: &Path) -> serde_json::Value {
    let is_marking = |path: &PathBuf| {
        let name = path.file_name().unwrap_or_default().to_string_lossy().into_owned();
        name.starts_with("marking-")
    };
    let out = fs::read_dir(course.join("out")).expect("compile makes it");
    let path = out
        .map(|entry| entry.expect("it can be listed").path())
        .find(is_marking)
        .expect("compile writes a marking");
    serde_json::from_slice(&fs::read(path).expect("it can be read")).expect("it is JSON")
}

/// Where each of these stands in a page; they must stand in this order.
fn in_order(page: &str, parts: &[&str]) {
    let places: Vec<usize> = parts
        .iter()
        .map(|part| page.find(part).unwrap_or_else(|| panic!("{part} is missing")))
        .collect();
    assert!(places.is_sorted(), "{parts:?} stand at {places:?}");
}

#[test]
fn a_watch_sheet_lists_the_steps_that_the_record_counts() {
    let course = compiled();
    let marking = marking(course.path());
    let mut sheets = 0;
    for competency in marking["competencies"].as_array().expect("a list") {
        let id = competency["id"].as_str().expect("an id");
        let Some(steps) = competency["sheet"]["steps"].as_array() else {
            assert!(!course.path().join(format!("out/course/witness/{id}.html")).exists());
            continue;
        };
        sheets += 1;
        let sheet = page(course.path(), &format!("witness/{id}.html"));
        for n in 1..=steps.len() {
            assert!(
                sheet.contains(&format!("<b class=\"sheet-n\">{n}</b>")),
                "{id}: step {n}"
            );
        }
        assert_eq!(sheet.matches("class=\"sheet-n\"").count(), steps.len(), "{id}");
        // Three performances, three boxes each, and two boxes for real or staged.
        assert_eq!(sheet.matches("class=\"tick\"").count(), 9 * steps.len() + 6, "{id}");
        in_order(
            &sheet,
            &[
                "class=\"sheet-cautions\"",
                "id=\"witness-what\"",
                "class=\"witness-facts\"",
                "class=\"witness-steps\"",
            ],
        );
        assert!(
            sheet.contains(&format!("pitwright witness T-07 {id} --by TR-1")),
            "{id}"
        );
        let lesson = competency["sheet"]["lesson"].as_str().expect("an id");
        let lesson = page(course.path(), &format!("lesson/{lesson}.html"));
        assert!(lesson.contains(&format!("href=\"../witness/{id}.html\"")), "{id}");
        assert!(
            page(course.path(), "about.html").contains(&format!("href=\"witness/{id}.html\"")),
            "{id}"
        );
    }
    assert!(sheets >= 4, "lockout and three stops have sheets");
}

#[test]
fn a_stop_is_staged_from_a_sheet_of_its_own_and_not_from_the_lesson() {
    let course = compiled();
    for id in ["short-set", "extra-pin", "ball-held-at-exit"] {
        let sheet = page(course.path(), &format!("staging/{id}.html"));
        in_order(
            &sheet,
            &[
                "Do not stage if",
                "Before hands go in",
                "class=\"sheet-cautions\"",
                "Tell first",
                "Have ready",
                "Set it up",
                "Take it back",
            ],
        );
        let lesson = page(course.path(), &format!("lesson/{id}.html"));
        assert!(lesson.contains(&format!("href=\"../staging/{id}.html\"")));
        assert!(
            !lesson.contains("STAGED"),
            "{id}: the lesson shows how the stop is set up"
        );
        assert!(page(course.path(), "about.html").contains(&format!("href=\"staging/{id}.html\"")));
    }
}

/// What a trainer does is no reading of the trainee's.
#[test]
fn a_staging_adds_no_minutes_to_the_lesson() {
    let minutes = |course: &Path| {
        let index = page(course, "index.html");
        let row = index
            .split("data-lesson=\"short-set\"")
            .nth(1)
            .expect("the lesson is listed");
        let before = row.split(" min").next().expect("it says minutes");
        before
            .rsplit("· ")
            .next()
            .and_then(|number| number.parse::<u32>().ok())
            .expect("a number of minutes")
    };
    let with = compiled();
    let without = demo();
    let path = without.path().join("lessons/stops/short-set.md");
    let text = fs::read_to_string(&path).expect("the demo has it");
    let cut = text.find("```staging").expect("the demo stages it");
    fs::write(&path, &text[..cut]).expect("the copy can be written");
    assert_eq!(pitwright(without.path(), &["compile"]).status.code(), Some(0));
    assert_eq!(minutes(with.path()), minutes(without.path()));
}
