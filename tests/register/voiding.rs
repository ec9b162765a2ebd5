//! Entries made in error: voided with a reason, visible as that, and counted nowhere.

use super::asking::desk;
use super::desk::Desk;
use super::made::{Device, V};
use pitwright::bundle::unzip;
use pitwright::record::Statement;
use serde_json::{Value, json};
use std::fs;

/// The id of what a command enters.
fn entered(desk: &Desk, line: &[&str]) -> String {
    let (code, told) = desk.json(line);
    assert_eq!(code, 0, "{line:?}: {told:#}");
    let id = told["entered"]["id"]
        .as_str()
        .or_else(|| told["entered"][0]["entered"]["id"].as_str());
    id.unwrap_or_else(|| panic!("{told:#}")).to_owned()
}

fn watched(desk: &Desk, how: &[&str]) -> String {
    entered(desk, &[&Desk::watching("lock-out", &["--another"]), how].concat())
}

fn short(id: &str) -> &str {
    &id[..8]
}

fn standing(desk: &Desk, who: &str) -> Value {
    let (_, told) = desk.json(&["standing", who]);
    told["people"][0].clone()
}

const REASON: [&str; 2] = ["--note", "Meant for somebody else"];

#[test]
fn a_mistyped_not_met_is_taken_back_and_stays_visible() {
    let mut desk = desk();
    watched(&desk, &["--real", "--met"]);
    let wrong = watched(&desk, &["--staged", "--not-met"]);
    watched(&desk, &["--staged", "--met"]);
    let before = standing(&desk, "TM-1");
    assert_eq!(
        before["competencies"][0]["standing"], "ready-to-be-witnessed",
        "the count began anew"
    );
    let head = desk.json(&["audit"]).1["head"].as_str().expect("a hash").to_owned();
    desk.now = "2026-03-02T12:00:00Z";
    let told = desk.says(&[&["void", short(&wrong), "--by", "MG-1"], &REASON[..]].concat());
    assert!(
        told.starts_with(&format!(
            "Voided {}: TM-1 was watched at lock-out by TR-1: staged, not met, on 2026-03-01.",
            short(&wrong)
        )),
        "{told}"
    );
    assert!(told.contains("lock-out: ready to sign"), "{told}");

    let told = desk.says(&["standing", "TM-1"]);
    let line = format!(
        "  2026-03-01 {}  was watched at lock-out by TR-1: staged, not met\n    VOIDED on 2026-03-02 by MG-1: Meant for somebody else\n",
        short(&wrong)
    );
    assert!(told.contains(&line), "{line} in {told}");
    assert!(!told.contains("the count starts anew"), "{told}");
    let (_, then) = desk.json(&["standing", "TM-1", "--on", "2026-03-01"]);
    assert_eq!(
        then["people"][0]["competencies"], before["competencies"],
        "that day it was not known"
    );

    let (code, audited) = desk.json(&["audit", "--head", &head]);
    assert_eq!(code, 0, "the chain goes on from where it was: {audited:#}");
    assert_eq!(audited["voided"].as_array().map(Vec::len), Some(1));
    assert_eq!(audited["voided"][0]["id"], json!(wrong));
    assert!(desk.says(&["audit"]).contains(", voided by row "));

    desk.says(&["export", "TM-1", "tm-1.zip"]);
    desk.says(&["audit", "--exported", "tm-1.zip"]);
    let bytes = fs::read(desk.folder.path().join("tm-1.zip")).expect("it is written");
    let files = unzip(&bytes, 10_000_000).expect("it is a zip");
    let text = |name: &str| String::from_utf8_lossy(&files[name]).into_owned();
    let statements: Vec<Value> = serde_json::from_str(&text("statements.json")).expect("it is JSON");
    let void = statements
        .iter()
        .find(|one| one["verb"]["id"] == format!("{V}voided"))
        .expect("it is in");
    assert_eq!(void["object"], json!({"objectType": "StatementRef", "id": wrong}));
    assert_eq!(void["authority"]["account"]["name"], "MG-1");
    assert!(
        void["context"]["platform"].is_null(),
        "xAPI allows it for activities only"
    );
    assert!(text("standing.json").contains("\"voided\": {"));
    assert!(text("what-is-in-this.txt").contains("1 of the entries were made in error"));

    desk.says(&["standing", "--into", "pages"]);
    let page = fs::read_to_string(desk.folder.path().join("pages/person-TM-1.html")).expect("it is written");
    assert!(
        page.contains("Voided on 2026-03-02 by MG-1: Meant for somebody else."),
        "{page}"
    );
    assert!(!page.contains("<b>not met</b>"), "it is no performance any more");
}

/// Each sort of entry, and what it did, which is as if it had never been.
#[test]
fn what_an_entry_did_is_undone() {
    let desk = desk();
    let clean = standing(&desk, "TM-1");
    let same = |what: &str| {
        let now = standing(&desk, "TM-1");
        for part in ["job", "joined", "left", "name", "competencies", "assignments", "tries"] {
            assert_eq!(now[part], clean[part], "{what}: {part}");
        }
    };
    let lines: [&[&str]; 6] = [
        &[
            "join",
            "TM-1",
            "--by",
            "TR-1",
            "--name",
            "Cy",
            "--same-person",
            "--job",
            "desk",
        ],
        &["leave", "TM-1", "--by", "TR-1"],
        &["assign", "TM-1", "--lesson", "lockout", "--by", "TR-1"],
        &["release", "TM-1", "alone", "--by", "TR-1"],
        &["retrain", "TM-1", "lock-out", "--because", "job", "--by", "TR-1"],
        &Desk::watching("lock-out", &["--staged", "--met"]),
    ];
    for line in lines {
        let id = entered(&desk, line);
        assert_ne!(standing(&desk, "TM-1")["events"], clean["events"]);
        desk.says(&[&["void", &id, "--by", "MG-1"], &REASON[..]].concat());
        same(line[0]);
    }
    // Somebody who was entered under a wrong code is nobody.
    let id = entered(&desk, &["join", "TM-9", "--by", "TR-1", "--name", "Nobody"]);
    desk.says(&[&["void", &id, "--by", "MG-1"], &REASON[..]].concat());
    assert!(!desk.says(&["standing"]).contains("TM-9"));
}

#[test]
fn a_voided_inspection_counts_for_nobody_who_was_included() {
    let desk = desk();
    let line = ["inspect", "marrow", "--included", "TM-1", "--clean", "--by", "MG-1"];
    let (code, out, err) = desk.run(&line);
    if code != 0 {
        panic!("{out}{err}");
    }
    let inspected = || -> Value {
        let events = standing(&desk, "TM-1")["events"].clone();
        let mut all = events.as_array().into_iter().flatten();
        let found = all.find(|one| one["what"].as_str().is_some_and(|what| what.contains("inspection")));
        found.unwrap_or_else(|| panic!("{events:#}")).clone()
    };
    let id = inspected()["id"].as_str().expect("a text").to_owned();
    desk.says(&["void", &id, "--by", "MG-1", "--note", "It was the other machine"]);
    assert_eq!(inspected()["voided"]["because"], "It was the other machine");
    desk.says(&["export", "TM-1", "tm-1.zip"]);
    desk.says(&["audit", "--exported", "tm-1.zip"]);
    let bytes = fs::read(desk.folder.path().join("tm-1.zip")).expect("it is written");
    let files = unzip(&bytes, 10_000_000).expect("it is a zip");
    assert!(String::from_utf8_lossy(&files["statements.json"]).contains("StatementRef"));
}

#[test]
fn only_what_somebody_entered_is_voided_by_those_who_may_and_with_a_reason() {
    let desk = desk();
    let seen = watched(&desk, &["--real", "--met"]);
    watched(&desk, &["--staged", "--met"]);
    let (_, told) = desk.signoff(&["TM-1", "lock-out", "--by", "MG-1"]);
    let signed = told["entered"]["id"].as_str().expect("it is signed").to_owned();
    let withdrawn = entered(
        &desk,
        &["withdraw", "TM-1", "lock-out", "--by", "TR-1", "--note", "Unsafe"],
    );
    let handed_in = {
        let text = fs::read_to_string(desk.folder.path().join("one.json")).expect("it is there");
        let all: Value = serde_json::from_str(&text).expect("it is JSON");
        all[0]["id"].as_str().expect("an id").to_owned()
    };
    let missing = "00000000-0000-4000-8000-000000000000";
    for (entry, by, note, due) in [
        (&seen, "MG-1", "", "voiding an entry needs a reason"),
        (&seen, "TM-2", "x", "TM-2 is neither a trainer nor a signer"),
        (
            &signed,
            "MG-1",
            "x",
            "cannot be voided: a signature is taken back with `pitwright withdraw`",
        ),
        (
            &withdrawn,
            "MG-1",
            "x",
            "cannot be voided: what was taken away comes back only by a new signature",
        ),
        (&handed_in, "MG-1", "x", "what somebody handed in is their own record"),
        (
            &missing.to_owned(),
            "MG-1",
            "x",
            "there is no entry `00000000-0000-4000-8000-000000000000`",
        ),
        (
            &"ab".to_owned(),
            "MG-1",
            "x",
            "is too short to name an entry: give at least 4 letters",
        ),
    ] {
        let told = desk.refuses(&["void", entry, "--by", by, "--note", note]);
        assert!(told.contains(due), "{due:?} in {told}");
    }
    let told = desk.refuses(&["void", &seen, "--by", "MG-1", "--note", "x", "--on", "2026-02-27"]);
    assert!(told.contains("nothing is voided before it is there"), "{told}");
    let void = entered(&desk, &["void", &seen, "--by", "MG-1", "--note", "x"]);
    let told = desk.refuses(&["void", &seen, "--by", "MG-1", "--note", "x"]);
    assert!(told.contains("it was voided on 2026-03-01 already"), "{told}");
    let told = desk.refuses(&["void", &void, "--by", "MG-1", "--note", "x"]);
    assert!(told.contains("what was voided stays so"), "{told}");
}

/// A course's own record voids nothing: only the register makes such a statement.
#[test]
fn nobody_hands_a_voiding_in() {
    let desk = desk();
    let seen = watched(&desk, &["--staged", "--not-met"]);
    let void = entered(&desk, &["void", &seen, "--by", "MG-1", "--note", "x"]);
    let (_, told) = desk.json(&["export", "TM-1", "tm-1.zip"]);
    assert!(told.is_object(), "{told:#}");
    let bytes = fs::read(desk.folder.path().join("tm-1.zip")).expect("it is written");
    let files = unzip(&bytes, 10_000_000).expect("it is a zip");
    let all: Vec<Value> = serde_json::from_slice(&files["statements.json"]).expect("it is JSON");
    let mut forged = all.into_iter().find(|one| one["id"] == json!(void)).expect("it is in");
    let device = Device::new("TM-1", &super::life::staffed(), "2026-02-03T08:00:00Z").id();
    forged["id"] = json!(device);
    assert!(Statement::read(&forged).is_ok(), "it is one");
    desk.hand_in("forged.json", &[forged]);
    let (code, out, err) = desk.run(&["gather", "forged.json"]);
    assert_eq!(code, 1, "{out}{err}");
    assert_eq!(desk.json(&["audit"]).1["voided"].as_array().map(Vec::len), Some(1));
}
