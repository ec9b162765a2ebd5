//! What a trainer saw, step by step, and what that counts for.

use super::desk::Desk;
use super::made::{Device, X, course};
use pitwright::marking::Marking;
use pitwright::record::Statement;
use serde_json::{Value, json};
use std::fs;

/// Three steps to be seen, and one that is done only if something is so. The third is only told when it is staged.
const STEPS: [&str; 4] = [
    "Tell the desk.",
    "Go in by the gate, and take the pin out by its neck.",
    "Press the reset, once.",
    "It moved? Come out, and call.",
];

/// The course with a stop to be cleared, and steps by which both that and the lockout are watched.
pub fn steps_course() -> Value {
    let mut course = course();
    let mut stop = course["competencies"][0].clone();
    course["competencies"][0]["sheet"] = json!({"lesson": "lockout", "steps": ["Handle off.", "Lock on."]});
    stop["id"] = json!("clear-sweep");
    stop["says"] = json!("Frees a sweep");
    stop["study"] = json!(["lockout", "sweep"]);
    stop["sheet"] = json!({"lesson": "sweep", "steps": STEPS, "conditional": [4], "notStaged": [3]});
    course["competencies"].as_array_mut().expect("a list").push(stop);
    course
}

/// A desk where TM-1 may be watched at all, and TM-2 has only joined.
pub fn desk() -> Desk {
    let desk = Desk::with(&steps_course());
    let mut device = Device::new("TM-1", &steps_course(), "2026-02-01T08:00:00Z");
    let mut all = device.studies_all();
    all.push(device.read("sweep"));
    desk.hand_in("one.json", &all);
    assert_eq!(desk.run(&["gather", "one.json"]).0, 0);
    for (who, name) in [("TM-1", "Ada"), ("TM-2", "Bo")] {
        desk.says(&["join", who, "--by", "TR-1", "--name", name, "--on", "2026-02-02"]);
    }
    desk
}

impl Desk {
    /// What it says of something that it must do.
    pub fn says(&self, arguments: &[&str]) -> String {
        self.must(arguments).0
    }

    /// Why it does not do something.
    pub fn refuses(&self, arguments: &[&str]) -> String {
        let rows = self.json(&["audit"]).1["rows"].clone();
        let (code, out, err) = self.run(arguments);
        assert_eq!(code, 2, "{arguments:?}: {out}{err}");
        assert_eq!(self.json(&["audit"]).1["rows"], rows, "a refusal writes nothing");
        err
    }
}

/// One word and the rest of a line, for TM-1 at the stop.
pub fn watch(desk: &Desk, line: &str) -> (String, String) {
    desk.must(&Desk::watching("clear-sweep", &line.split(' ').collect::<Vec<_>>()))
}

fn marks(desk: &Desk, line: &str) -> Value {
    let words = Desk::watching("clear-sweep", &["--another"]);
    let (code, told) = desk.json(&[&words[..], &line.split(' ').collect::<Vec<_>>()].concat());
    assert_eq!(code, 0, "{line}: {told:#}");
    told["entered"]["result"]["extensions"][format!("{X}steps")].clone()
}

#[test]
fn what_was_never_seen_is_asked_for_until_it_was() {
    let mut desk = desk();
    desk.now = "2026-02-10T12:00:00Z";
    desk.lockout_signed("TM-1");
    let (told, _) = watch(&desk, "--real --step 3=not-seen");
    for due in [
        "TM-1 (Ada) was watched at clear-sweep by TR-1: on a real call, met; not seen: steps 3, 4, on 2026-02-10.",
        "“Frees a sweep”",
        "steps met: 2 of 4",
        "not seen, as the sheet has it: 4",
        " 3 not-seen: Press the reset, once.",
        "counts as 1 of 2; on real calls 1 of 1",
        "still needed: be watched 1 more time",
        "still needed: be seen at what no watching that counts has shown yet: step 3 “Press the reset, once.”",
    ] {
        assert!(told.contains(due), "{due:?} in {told}");
    }
    desk.now = "2026-02-11T12:00:00Z";
    let (told, _) = watch(&desk, "--staged --met");
    for due in [
        "counts as 2 of 2",
        "not seen, as the sheet has it: 3, 4",
        "yet: step 3 “Press the reset, once.”",
    ] {
        assert!(told.contains(due), "{due:?} in {told}");
    }
    assert!(!told.contains("more time"), "enough were watched: {told}");
    let (code, told) = desk.signoff(&["TM-1", "clear-sweep", "--by", "MG-1"]);
    assert_eq!(code, 1, "{told:#}");
    assert!(told.to_string().contains("step 3"), "{told:#}");
    desk.says(&[
        "slip",
        "TM-1",
        "s.json",
        "--by",
        "MG-1",
        "--passphrase-file",
        "data/pitwright/keys/passphrase",
    ]);
    let slip = fs::read_to_string(desk.folder.path().join("s.json")).expect("it is written");
    let slip: Value = serde_json::from_str(&slip).expect("it is JSON");
    let stands = &slip["standings"][1];
    assert_eq!(stands["watched"], json!({"met": 2, "real": 1, "unseen": [3]}));
    assert!(
        stands["missing"][0]
            .as_str()
            .is_some_and(|line| line.contains("Press the reset")),
        "{stands:#}"
    );
    // The step is conditional or was prompted elsewhere: neither shows it.
    desk.now = "2026-02-12T12:00:00Z";
    watch(&desk, "--real --step 1=prompted");
    assert!(desk.says(&["standing", "TM-1"]).contains("yet: step 3"));
    desk.now = "2026-02-13T12:00:00Z";
    let (told, _) = watch(&desk, "--real --step 4=not-seen");
    assert!(told.contains("clear-sweep: ready to sign"), "{told}");
    assert_eq!(desk.signoff(&["TM-1", "clear-sweep", "--by", "MG-1"]).0, 0);
    desk.says(&["standing", "TM-1", "--into", "pages"]);
    let page = fs::read_to_string(desk.folder.path().join("pages/person-TM-1.html")).expect("it is written");
    assert!(page.contains("<b>3 not seen</b>: Press the reset, once."), "{page}");
}

/// Whoever saw the end of it has not watched it done: kept, and told why it does not count.
#[test]
fn what_was_hardly_seen_counts_for_nothing() {
    let desk = desk();
    let (told, _) = watch(&desk, "--real --step 2-3=not-seen");
    let due = "counts for nothing: watched on 2026-03-01 by TR-1, on a real call: met, but only 1 of the 3 steps that are always done were seen, fewer than half, so it does not count";
    assert!(told.contains(due), "{told}");
    // Staged, the third does not come up: one of the two that do is half.
    let (told, _) = watch(&desk, "--staged --step 1=not-seen");
    assert!(told.contains("counts as 1 of 2"), "{told}");
}

#[test]
fn steps_are_marked_alone_or_several_at_once() {
    let desk = desk();
    let [met, seen_not] = ["met", "not-seen"];
    assert_eq!(
        marks(&desk, "--staged --met"),
        json!([met, met, seen_not, seen_not]),
        "one does not come up staged, one is done only if something shows"
    );
    assert_eq!(
        marks(&desk, "--staged --step 3=met"),
        json!([met, met, met, seen_not]),
        "but here it did"
    );
    assert_eq!(marks(&desk, "--real --met"), json!([met, met, met, seen_not]));
    assert_eq!(marks(&desk, "--real --step 4=met"), json!([met, met, met, met]));
    assert_eq!(
        marks(&desk, "--real --step 1,3-4=not-seen --step 2=prompted"),
        json!([seen_not, "prompted", seen_not, seen_not])
    );
    assert_eq!(marks(&desk, "--real --prompted"), Value::Null, "nobody said which");
    let line = Desk::watching("clear-sweep", &["--real", "--step"]);
    for (step, due) in [
        (
            "5=met",
            "there is no step 5; the sheet of clear-sweep (lesson sweep) has 4 steps, 1 to 4\n   1  Tell the desk.",
        ),
        ("0=met", "has 4 steps"),
        (
            "1-4=not-seen",
            "none of the steps was seen, so there is nothing to enter",
        ),
        ("3=seen", "write 3=met, 3=prompted, 3=not-met, 3=not-seen"),
        ("3-1=met", "does not say how a step went"),
        ("3=met,4=prompted", "says two things: give each a --step of its own"),
        ("1,1=met", "step 1 is named twice"),
    ] {
        let told = desk.refuses(&[&line[..], &[step]].concat());
        assert!(told.contains(due), "{due:?} in {told}");
    }
}

/// A statement of before has no mark, or no steps at all, and showed everything.
#[test]
fn what_was_entered_before_there_was_the_mark_reads_as_it_did() {
    let desk = desk();
    let (_, told) = desk.json(&Desk::watching("clear-sweep", &["--staged", "--met"]));
    let mut old = told["entered"].clone();
    old["result"]["extensions"]["https://pitwright.example/xapi/steps"] = json!(["met", "met", "met"]);
    assert!(Statement::read(&old).is_ok(), "{old:#}");
    let marks = old["result"]["extensions"].as_object_mut().expect("an object");
    marks.insert(format!("{X}steps"), json!(["not-seen", "not-seen"]));
    let why = Statement::read(&old).expect_err("nothing was watched").to_string();
    assert!(why.contains("none of its steps was seen"), "{why}");
}

#[test]
fn where_no_real_call_is_asked_for_what_cannot_be_staged_is_not_asked_for() {
    let mut course = steps_course();
    let to_be_seen = |course: &Value| {
        let marking: Marking = serde_json::from_value(course.clone()).expect("it is a marking");
        marking.competency("clear-sweep").expect("it is there").to_be_seen()
    };
    assert_eq!(to_be_seen(&course), [1, 2, 3]);
    course["competencies"][1]["witnessed"] = json!({"times": 2, "real": 0});
    assert_eq!(to_be_seen(&course), [1, 2]);
    course["competencies"][1]
        .as_object_mut()
        .expect("an object")
        .remove("sheet");
    assert!(to_be_seen(&course).is_empty());
}

/// The steps may have been numbered otherwise when they were watched: then they are known by their words.
#[test]
fn a_step_that_moved_is_known_by_its_words() {
    let mut desk = desk();
    desk.now = "2026-02-10T12:00:00Z";
    watch(&desk, "--real --step 2=not-seen");
    desk.now = "2026-02-11T12:00:00Z";
    watch(&desk, "--real --step 2=not-seen");
    let mut course = steps_course();
    course["competencies"][1]["sheet"] = json!({"lesson": "sweep", "steps": [STEPS[1], "Look.", STEPS[0], STEPS[2]]});
    desk.compile(&course);
    desk.now = "2026-02-12T12:00:00Z";
    let marking: Marking = serde_json::from_value(course).expect("it is a marking");
    let file = format!("out/marking-{}.json", marking.hash().expect("it is canonical"));
    desk.says(&["gather", "--marking", &file]);
    let told = desk.says(&["standing", "TM-1"]);
    assert!(
        told.contains("yet: step 1 “Go in by the gate, and take the pin out by its …”, step 2 “Look.”\n"),
        "{told}"
    );
    // Marks for a day of before go by the sheet of before, which nobody may hold any more.
    let line = Desk::watching(
        "clear-sweep",
        &["--staged", "--on", "2026-02-11", "--step", "1=prompted"],
    );
    let told = desk.refuses(&line);
    for due in [
        "the watch sheet of clear-sweep was another one on 2026-02-11: 4 steps, and the newest has 4 steps",
        "if yours are, say --old-sheet\n   1  Tell the desk.\n",
    ] {
        assert!(told.contains(due), "{due:?} in {told}");
    }
    let told = desk.says(&[&line[..], &["--old-sheet"]].concat());
    assert!(told.contains(" 1 prompted: Tell the desk."), "{told}");
    // A whole that was not met has no marks.
    let whole = Desk::watching("clear-sweep", &["--staged", "--on", "2026-02-10", "--not-met"]);
    desk.says(&whole);
}
