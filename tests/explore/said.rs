//! What `prove` says beyond findings: a line a drill, a line a procedure, and questions to the author.

use crate::ground::{copy, out, pitwright, root};
use serde_json::{Value, json};
use std::fs;
use tempfile::TempDir;

const MACHINE: &str = "lessons/machines/thrumble.yml";
const LESSON: &str = "lessons/stops/stuck-latch.md";

/// The good course of the fixtures, with words changed: the file, what stands in it once, what takes its place.
fn course(edits: &[(&str, &str, &str)]) -> TempDir {
    let course = tempfile::tempdir().expect("a temporary folder can be made");
    copy(&root().join("tests/sources/base"), course.path());
    for (file, from, to) in edits {
        let path = course.path().join(file);
        let text = fs::read_to_string(&path).expect("a source is text");
        assert_eq!(text.matches(from).count(), 1, "{from}");
        fs::write(&path, text.replace(from, to)).expect("a source can be written");
    }
    course
}

fn said(edits: &[(&str, &str, &str)]) -> String {
    let course = course(edits);
    let output = pitwright(course.path(), &["prove", "--all"]);
    assert_eq!(output.status.code(), Some(0), "{}", out(&output));
    out(&output)
}

#[test]
fn one_line_a_drill_and_one_a_procedure() {
    let said = said(&[]);
    let lines = |start: &str| said.lines().filter(|line| line.starts_with(start)).count();
    assert_eq!((lines("drill "), lines("procedure ")), (1, 1), "{said}");
    for words in [
        "drill stuck-latch on thrumble: 2 starts, ",
        "; par 1 min 30 s; 0 traps; acting blind passes with ",
        "proven from all 2 starts of stuck-latch",
        "states of stuck-latch: ",
        "  the shortest way into drawn-in: It begins so: latch is stuck. Step 1: Go in to the tray. drawn-in: ",
        "step 4 left out, “Hang your own lock and tag”: hurts.",
        "Somebody turns the switch on.",
        "step 5, “Set the prop under the tray”, done after step 6, “Press start and look”: no difference.",
    ] {
        assert!(said.contains(words), "{words}\n{said}");
    }
    assert!(!said.contains("action "), "{said}");
}

#[test]
fn a_permission_in_disguise_is_asked_about() {
    let said = said(&[(
        MACHINE,
        "at: floor, does: { you: tray-side }",
        "at: floor, needs: { power: \"off\" }, does: { you: tray-side }",
    )]);
    assert!(
        said.contains("action go-in of thrumble: it never hurts where it is possible"),
        "{said}"
    );
    assert!(said.contains("drawn-in: The tray starts"), "{said}");
}

#[test]
fn a_standard_step_that_makes_no_difference_shows_a_poor_model() {
    let said = said(&[
        (
            MACHINE,
            "  turn-off:",
            "  look: { says: \"Look at the post\", at: floor }\n  turn-off:",
        ),
        (
            LESSON,
            "    law: [\"(d)(1)\"]\n",
            "    law: [\"(d)(1)\"]\n    do: look\n",
        ),
    ]);
    let wanted = "step 1, “Look at the post”: leaving it out makes no difference, and the step fulfils (d)(1): the model is poor";
    assert!(said.contains(wanted), "{said}");
}

#[test]
fn other_programs_are_told_the_same() {
    let course = course(&[]);
    let output = pitwright(course.path(), &["prove", "--all", "--json"]);
    assert_eq!(output.status.code(), Some(0));
    let said: Value = serde_json::from_slice(&output.stdout).expect("it is JSON");
    let drill = &said["drills"][0];
    assert_eq!(
        (&drill["id"], &drill["starts"], &drill["parSeconds"], &drill["traps"]),
        (&json!("stuck-latch"), &json!(2), &json!(90), &json!(0))
    );
    let left_out = said["procedures"][0]["leftOut"].as_array().expect("a list");
    let lock = left_out.iter().find(|one| one["step"] == 4).expect("step 4 is an act");
    assert_eq!(lock["comesTo"], "hurts");
    assert_eq!(said["states"][0]["hazards"][0]["hazard"], "drawn-in");
    assert_eq!(said["guards"], json!([]));
}
