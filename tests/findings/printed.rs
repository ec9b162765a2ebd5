//! What `pitwright compile` prints of what it finds.

use super::fixture::{self, Change, places};
use crate::ground::{out, pitwright, root};
use serde_json::Value;
use std::fs;
use std::path::Path;

/// Five faults in five files.
fn five() -> [Change; 5] {
    [
        Change::edit("lessons/outline.yml", "language: en", "language: english"),
        Change::edit("lessons/machines/brindlewick.yml", "  shelf:\n", "  pin_shelf:\n"),
        Change::edit(
            "lessons/stops/pin-across.md",
            "### From the front",
            "#### From the front",
        ),
        Change::edit("quizzes/banks/alone.yml", "critical: true", "critcal: true"),
        Change::edit("quizzes/scenarios/evening.yml", "to: inside", "to: insid"),
    ]
}

/// The whole output for a course, against `tests/golden/NAME.txt`.
fn golden(name: &str, course: &Path) {
    let output = pitwright(course, &["compile"]);
    assert_eq!(output.status.code(), Some(1));
    let expected = fs::read_to_string(root().join("tests/golden").join(format!("{name}.txt"))).unwrap_or_default();
    assert_eq!(out(&output), expected, "the output of {name} is not its golden one");
}

#[test]
fn a_report_shows_code_place_line_mark_and_help() {
    for code in ["lockout-order", "unknown-key", "caution-clash"] {
        let fixture = fixture::all()
            .into_iter()
            .find(|(name, _)| name == code)
            .expect("it has a fixture")
            .1;
        golden(&format!("finding-{code}"), fixture.failing.change.course().path());
    }
}

#[test]
fn all_findings_of_a_run_are_reported_together() {
    let course = fixture::base();
    for change in five() {
        change.apply(course.path());
    }
    let (sources, findings) = fixture::found(course.path());
    let places = places(&sources, &findings);
    assert_eq!(places.len(), 5, "{places:?}");
    let printed = out(&pitwright(course.path(), &["compile"]));
    for place in &places {
        let (code, place) = place.split_once('@').expect("made that way");
        assert!(
            printed.contains(&format!("[{code}]")) && printed.contains(place),
            "{code}, {place} in\n{printed}"
        );
    }
}

#[test]
fn json_gives_the_same_findings() {
    for (code, fixture) in fixture::all() {
        if !["bad-id", "lockout-order", "not-text", "unclosed-fence", "unknown-scene"].contains(&code.as_str()) {
            continue;
        }
        let course = fixture.failing.change.course();
        let (sources, findings) = fixture::found(course.path());
        let output = pitwright(course.path(), &["compile", "--json"]);
        assert_eq!(output.status.code(), Some(1));
        let json: Value = serde_json::from_slice(&output.stdout).expect("`--json` prints JSON and nothing else");
        let list = json["findings"].as_array().expect("a list of findings");
        let mut printed: Vec<String> = list
            .iter()
            .map(|one| {
                let text = |key: &str| one[key].as_str().expect("a text").to_owned();
                assert!(!text("message").is_empty() && !text("help").is_empty());
                format!("{}@{}:{}:{}", text("code"), text("file"), one["line"], one["column"])
            })
            .collect();
        printed.sort();
        assert_eq!(printed, places(&sources, &findings));
    }
}
