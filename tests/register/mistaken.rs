//! Slips of the hand at the trainer's desk, and the first day: what is held back, what is made, and the words for it.

use super::desk::Desk;
use super::life::staffed;
use super::made::{Device, End, SEEDS, course, right};
use serde_json::{Value, json};
use std::fs;

fn studies(person: &str) -> Vec<Value> {
    Device::new(person, &staffed(), "2026-02-01T08:00:00Z").studies_all()
}

fn rows(desk: &Desk) -> Value {
    desk.json(&["audit"]).1["rows"].clone()
}

#[test]
fn whoever_joins_first_makes_the_register() {
    let desk = Desk::with(&staffed());
    let file = desk.folder.path().join("data/pitwright/test-house.register");
    let line = ["join", "T-07", "--by", "TR-1", "--name", "Ada", "--job", "mechanic"];
    let (code, _, err) = desk.run(&[&line[..], &["--course", "nowhere"]].concat());
    assert_eq!(code, 2);
    assert!(err.contains("run `pitwright compile` in nowhere first"), "{err}");
    let (code, _, err) = desk.run(&[&line[..], &["--course", "nowhere", "--register", "a.register"]].concat());
    assert_eq!(code, 2);
    assert!(err.contains("there is no register at a.register"), "{err}");
    assert!(!file.exists() && !desk.folder.path().join("a.register").exists());
    let (out, err) = desk.must(&line);
    assert!(out.contains("T-07 joined the centre as mechanic"), "{out}");
    for due in ["A new register was made: ", "course “Test house” is in use from now on"] {
        assert!(err.contains(due), "{due:?} in {err}");
    }
    assert!(file.is_file());
    let (_, err) = desk.must(&["assign", "T-07", "--by", "TR-1", "--lesson", "lockout"]);
    assert_eq!(err, "", "it is made once");
    assert_eq!(desk.json(&["audit"]).0, 0);
}

#[test]
fn gathering_no_file_takes_the_course_in() {
    let desk = Desk::with(&staffed());
    let (out, _) = desk.must(&["gather"]);
    assert!(out.contains("course “Test house” is in use from now on"), "{out}");
    let (out, _) = desk.must(&["gather"]);
    assert_eq!(out, "No record was named, and the register knows the course already.\n");
}

#[test]
fn a_code_that_is_nearly_somebodys_is_held_back() {
    let desk = Desk::with(&staffed());
    desk.must(&["join", "T-07", "--by", "TR-1", "--name", "Ada"]);
    for (file, person) in [
        ("one.json", "TO7"),
        ("two.json", "T-08"),
        ("own.json", "T-07"),
        ("far.json", "QX-99"),
    ] {
        desk.hand_in(file, &studies(person));
    }
    let before = rows(&desk);
    for (file, person) in [("one.json", "TO7"), ("two.json", "T-08")] {
        let (code, out, err) = desk.run(&["gather", file]);
        assert_eq!(code, 1, "{out}{err}");
        for due in [
            format!("{file}: 0 new, 0 known, 0 held, 0 refused, of {person}"),
            format!(
                "not taken 10 statements of {person}: nobody with the code {person} is on record; did you mean T-07?"
            ),
            format!("`pitwright join {person}`"),
            format!("--take {person}"),
        ] {
            assert!(out.contains(&due), "{due:?} in {out}");
        }
    }
    assert_eq!(rows(&desk), before, "nothing was written");
    let (out, _) = desk.must(&["gather", "own.json", "far.json"]);
    for due in [
        "own.json: 10 new, 0 known, 0 held, 0 refused, of T-07",
        "far.json: 10 new",
    ] {
        assert!(out.contains(due), "{due:?} in {out}");
    }
    // Somebody new joins first; or it is said that the code is meant.
    desk.must(&["join", "T-08", "--by", "TR-1", "--name", "Bo"]);
    let (out, _) = desk.must(&["gather", "two.json"]);
    assert!(out.contains("10 new"), "{out}");
    let (code, told) = desk.json(&["gather", "one.json"]);
    assert_eq!(code, 1);
    assert_eq!(
        told["files"][0]["notTaken"],
        json!([{"code": "TO7", "near": ["T-07"], "statements": 10}])
    );
    let (out, _) = desk.must(&["gather", "one.json", "--take", "to7"]);
    assert!(out.contains("10 new"), "{out}");
    let (out, _) = desk.must(&["gather", "one.json"]);
    assert!(
        out.contains("10 known"),
        "once it is on record it is nobody's slip: {out}"
    );
}

/// Where nobody was ever entered as joining, the next number is the next person; a letter for a digit is not.
#[test]
fn without_joining_only_what_looks_the_same_is_held_back() {
    let desk = Desk::with(&staffed());
    for (file, person, code) in [("a", "T-07", 0), ("b", "T-08", 0), ("c", "T-O8", 1), ("d", "TI2", 0)] {
        desk.hand_in(file, &studies(person));
        let (found, out, err) = desk.run(&["gather", file]);
        assert_eq!(found, code, "{person}: {out}{err}");
    }
}

#[test]
fn files_that_cannot_be_read_are_told_of_in_words() {
    let desk = Desk::with(&staffed());
    fs::create_dir(desk.folder.path().join("inbox")).expect("it can be made");
    let (code, _, err) = desk.run(&["gather", "inbox", "absent.json"]);
    assert_eq!(code, 2);
    for due in [
        "inbox: this is a folder, not a record: name the files in it",
        "absent.json: there is no such file here",
    ] {
        assert!(err.contains(due), "{due:?} in {err}");
    }
    assert!(!err.contains("os error"), "{err}");
}

#[test]
fn an_inspection_with_somebody_who_is_signed_for_nothing_is_told_of() {
    let desk = Desk::with(&staffed());
    desk.must(&["join", "T-07", "--by", "TR-1", "--name", "Ada"]);
    let line = ["inspect", "marrow", "--by", "TR-1", "--clean", "--included", "T-07"];
    let (_, err) = desk.must(&line);
    assert!(
        err.contains("T-07 was signed off for nothing on 2026-03-01: the inspection goes over the procedure with those who are authorized"),
        "{err}"
    );
    desk.hand_in("one.json", &studies("T-07"));
    desk.must(&["gather", "one.json"]);
    desk.lockout_signed("T-07");
    assert_eq!(desk.must(&line).1, "");
}

/// A course in which the job asks for the second competency alone.
fn two_competencies() -> Value {
    let mut course = staffed();
    let mut other = course["competencies"][0].clone();
    other["id"] = json!("sweep-out");
    other["says"] = json!("Sweeps out");
    other["study"] = json!(["sweep"]);
    other["evidence"] = json!([]);
    course["competencies"].as_array_mut().expect("a list").push(other);
    course["jobs"][0]["competencies"] = json!(["sweep-out"]);
    course
}

#[test]
fn a_record_begins_with_what_the_job_asks_for() {
    let desk = Desk::with(&two_competencies());
    desk.must(&["join", "T-07", "--by", "TR-1", "--name", "Ada", "--job", "mechanic"]);
    desk.must(&[
        "assign",
        "T-07",
        "--by",
        "TR-1",
        "--competency",
        "sweep-out",
        "--lesson",
        "sweep",
    ]);
    desk.must(&[
        "assign", "T-07", "--by", "TR-1", "--bank", "alone", "--lesson", "lockout",
    ]);
    let (out, _) = desk.must(&["standing", "T-07"]);
    let at = |text: &str| out.find(text).unwrap_or_else(|| panic!("{text:?} in {out}"));
    assert!(at("T-07  sweep-out: nothing yet (may not do it)") < at("Not asked for by the job mechanic"));
    assert!(at("Not asked for by the job mechanic") < at("  nothing yet: lock-out\n"));
    assert!(!out.contains("Locks out alone"), "in short: {out}");
    let order = ["lesson lockout", "lesson sweep", "bank alone", "competency sweep-out"];
    let asked = at("Asked for\n");
    let places: Vec<Option<usize>> = order.iter().map(|thing| out[asked..].find(thing)).collect();
    assert!(
        places.is_sorted() && places[0].is_some(),
        "in the order of the course: {out}"
    );
    let (out, _) = desk.must(&["standing", "T-07", "--all"]);
    assert!(
        out.contains("T-07  lock-out: nothing yet") && out.contains("Locks out alone"),
        "{out}"
    );
}

#[test]
fn a_missed_critical_question_is_told_of_with_its_place() {
    let desk = Desk::new();
    let mut device = Device::new("T-07", &course(), "2026-02-01T08:00:00Z");
    let attempt = device.bank(SEEDS[0], |id| if id == "a" { "no" } else { right(id) }, End::Closed);
    let asked = attempt
        .iter()
        .position(|one| {
            one["object"]["id"]
                .as_str()
                .is_some_and(|id| id.ends_with("/question/a"))
        })
        .expect("this seed asks it");
    desk.hand_in("one.json", &attempt);
    desk.must(&["gather", "one.json"]);
    let (out, _) = desk.must(&["standing", "T-07"]);
    let due = format!(
        "critical question about lock-out missed: question {asked} of the attempt, `a`, in quizzes/banks/alone.yml"
    );
    assert!(out.contains(&due), "{due:?} in {out}");
}

#[test]
fn who_was_never_signed_has_nothing_that_falls_due() {
    let desk = Desk::with(&staffed());
    desk.must(&["join", "T-07", "--by", "TR-1", "--name", "Ada", "--job", "mechanic"]);
    let retrain = ["retrain", "T-07", "lock-out", "--because", "procedure", "--by", "TR-1"];
    desk.must(&retrain);
    let table = |desk: &Desk| {
        desk.must(&["standing", "--into", "pages"]);
        let read =
            |name: &str| fs::read_to_string(desk.folder.path().join("pages").join(name)).expect("it was written");
        let rows = read("lapses.csv")
            .lines()
            .filter(|line| line.contains("retrain"))
            .count();
        (read("lapses.html").matches(">T-07<").count(), rows)
    };
    assert_eq!(table(&desk), (0, 0));
    desk.hand_in(
        "one.json",
        &Device::new("T-07", &staffed(), "2026-03-01T13:00:00Z").studies_all(),
    );
    let later = Desk {
        now: "2026-03-02T12:00:00Z",
        ..desk
    };
    later.must(&["gather", "one.json"]);
    later.lockout_signed("T-07");
    later.must(&retrain);
    assert_eq!(table(&later), (1, 1), "once it was signed it does");
}
