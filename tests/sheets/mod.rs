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
        // An example names steps that the sheet has.
        for named in sheet.split("--step ").skip(1) {
            let number: usize = named
                .split('=')
                .next()
                .and_then(|number| number.parse().ok())
                .expect("a number of a step");
            assert!((1..=steps.len()).contains(&number), "{id}: step {number}");
        }
        let real = competency["witnessed"]["real"].as_u64().expect("a number");
        assert_eq!(
            sheet.contains("--real --met"),
            real > 0,
            "{id}: an example on a real call"
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

/// A step that is only told, or does not come up, says so on the watch sheet, and the example enters it as not seen.
#[test]
fn what_does_not_come_up_when_staged_is_marked_where_it_is_watched() {
    let course = compiled();
    let sheet = page(course.path(), "witness/clear-no-cycle.html");
    let rows: Vec<&str> = sheet
        .split("<tr")
        .filter(|row| row.contains("class=\"sheet-n\""))
        .collect();
    let unseen: Vec<usize> = rows
        .iter()
        .zip(1..)
        .filter(|(row, _)| row.contains("witness-unseen") && row.contains("Not when staged"))
        .map(|(_, number)| number)
        .collect();
    assert_eq!(
        unseen,
        [11, 15, 16, 23, 24],
        "the try-out that fails, the reset and what follows it"
    );
    for number in unseen {
        assert!(!sheet.contains(&format!("--step {number}=")), "step {number}");
    }
    let alarm = page(course.path(), "witness/raise-the-alarm.html");
    assert!(!alarm.contains("witness-unseen") && !alarm.contains("Not when staged"));
}

/// Whatever is to be watched staged says whom to tell; an exercise of the alarm, that nobody dials; and none sends its reader, who is
/// the trainer, to the trainer.
#[test]
fn every_sheet_for_staging_is_written_for_the_trainer() {
    let course = compiled();
    let folder = course.path().join("out/course/staging");
    let mut sheets = 0;
    for sheet in fs::read_dir(folder).expect("there are some") {
        let path = sheet.expect("it can be listed").path();
        let text = fs::read_to_string(&path).expect("it is text");
        let body = text.split("<main").nth(1).expect("it has a main part");
        assert!(
            !body.contains("Your trainer:") && !body.contains("<dt>Your trainer</dt>"),
            "{}",
            path.display()
        );
        sheets += 1;
    }
    let marking = marking(course.path());
    for competency in marking["competencies"].as_array().expect("a list") {
        let lesson = competency["sheet"]["lesson"]
            .as_str()
            .expect("each of the demo has a sheet");
        assert!(
            course.path().join(format!("out/course/staging/{lesson}.html")).exists(),
            "{lesson}"
        );
    }
    assert!(sheets >= 19, "{sheets}");
    let alarm = page(course.path(), "staging/someone-caught.html");
    in_order(
        &alarm,
        &[
            "Do not stage if",
            "Tell first",
            "phone stays down",
            "Have ready",
            "“Exercise, exercise. Emergency",
            "Exercise, exercise.”",
            "Exercise over",
            "End it",
        ],
    );
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
    // Without a staging no step stays out of it, and it can be watched on real calls only.
    let plain = text[..cut].replace("    not-staged: true\n", "");
    fs::write(&path, plain).expect("the copy can be written");
    let path = without.path().join("lessons/competencies.yml");
    let text = fs::read_to_string(&path).expect("the demo has it");
    let (before, own) = text.split_once("\nclear-short-set:").expect("the competency is there");
    let own = own.replacen(
        "witnessed: { times: 3, real: 1 }",
        "witnessed: { times: 3, real: 3 }",
        1,
    );
    fs::write(&path, format!("{before}\nclear-short-set:{own}")).expect("the copy can be written");
    assert_eq!(pitwright(without.path(), &["compile"]).status.code(), Some(0));
    assert_eq!(minutes(with.path()), minutes(without.path()));
}
