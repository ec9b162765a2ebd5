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
fn steps_course() -> Value {
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
fn desk() -> Desk {
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
fn watch(desk: &Desk, line: &str) -> (String, String) {
    let words = ["witness", "TM-1", "clear-sweep", "--by", "TR-1"];
    let (code, out, err) = desk.run(&[&words[..], &line.split(' ').collect::<Vec<_>>()].concat());
    assert_eq!(code, 0, "{line}: {out}{err}");
    (out, err)
}

fn marks(desk: &Desk, line: &str) -> Value {
    let words = ["witness", "TM-1", "clear-sweep", "--by", "TR-1"];
    let (code, told) = desk.json(&[&words[..], &line.split(' ').collect::<Vec<_>>()].concat());
    assert_eq!(code, 0, "{line}: {told:#}");
    told["entered"]["result"]["extensions"][format!("{X}steps")].clone()
}

#[test]
fn what_was_never_seen_is_asked_for_until_it_was() {
    let mut desk = desk();
    desk.now = "2026-02-10T12:00:00Z";
    let (told, _) = watch(&desk, "--real --step 2-3=not-seen");
    for due in [
        "TM-1 (Ada) was watched at clear-sweep by TR-1: on a real call, met; not seen: steps 2, 3, on 2026-02-10.",
        "“Frees a sweep”",
        "steps met: 2 of 4",
        " 2 not-seen: Go in by the gate, and take the pin out by its neck.",
        "counts as 1 of 2; on real calls 1 of 1",
        "still needed: be watched 1 more time",
        "still needed: be seen at what no watching that counts has shown yet: step 2 “Go in by the gate, and take the pin out by its …”, step 3 “Press the reset, once.”",
    ] {
        assert!(told.contains(due), "{due:?} in {told}");
    }
    desk.now = "2026-02-11T12:00:00Z";
    let (told, _) = watch(&desk, "--staged --met");
    for due in [
        "counts as 2 of 2",
        "3 not-seen: Press the reset, once.",
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

#[test]
fn steps_are_marked_alone_or_several_at_once() {
    let desk = desk();
    let [met, seen_not] = ["met", "not-seen"];
    assert_eq!(
        marks(&desk, "--staged --met"),
        json!([met, met, seen_not, met]),
        "it does not come up staged"
    );
    assert_eq!(
        marks(&desk, "--staged --step 3=met"),
        json!([met, met, met, met]),
        "but here it did"
    );
    assert_eq!(marks(&desk, "--real --met"), json!([met, met, met, met]));
    assert_eq!(
        marks(&desk, "--real --step 1,3-4=not-seen --step 2=prompted"),
        json!([seen_not, "prompted", seen_not, seen_not])
    );
    assert_eq!(marks(&desk, "--real --prompted"), Value::Null, "nobody said which");
    let line = ["witness", "TM-1", "clear-sweep", "--by", "TR-1", "--real", "--step"];
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
    let (_, told) = desk.json(&["witness", "TM-1", "clear-sweep", "--by", "TR-1", "--staged", "--met"]);
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
}

#[test]
fn a_real_call_out_of_turn_is_kept_and_counts_for_nothing() {
    let desk = desk();
    let real = ["witness", "TM-2", "clear-sweep", "--by", "TR-1", "--real"];
    let told = desk.refuses(&[&real[..], &["--met"]].concat());
    for due in [
        "on 2026-03-01 TM-2 might not do clear-sweep at all on a real call, not even accompanied: the standing is `nothing yet`",
        "still needed: read",
        "`pitwright gather` comes first",
        "say --out-of-turn, and why with --note",
    ] {
        assert!(told.contains(due), "{due:?} in {told}");
    }
    let told = desk.refuses(&[&real[..], &["--met", "--out-of-turn"]].concat());
    assert!(told.contains("--out-of-turn needs the reason"), "{told}");
    let note = ["--out-of-turn", "--note", "Nobody else was in the house"];
    let told = desk.says(&[&real[..], &["--met"], &note].concat());
    for due in [
        "on a real call, met, out of turn",
        "counts for nothing: watched on 2026-03-01 by TR-1, on a real call, out of turn (Nobody else was in the house): met, but they might not do it at all then",
    ] {
        assert!(told.contains(due), "{due:?} in {told}");
    }
    let (_, told) = desk.json(&["standing", "TM-2"]);
    let stands = &told["people"][0]["competencies"][1];
    assert_eq!(stands["standing"], "studying");
    assert!(
        stands["missing"].to_string().contains("be watched 2 more times"),
        "{stands:#}"
    );
    // Not met counts against them all the same.
    let told = desk.says(&[&real[..], &["--not-met"], &note].concat());
    assert!(told.contains("not met; the count starts anew"), "{told}");
    // Somebody who might do it accompanied was in turn.
    let told = desk.refuses(&[
        "witness",
        "TM-1",
        "clear-sweep",
        "--by",
        "TR-1",
        "--real",
        "--met",
        "--out-of-turn",
        "--note",
        "x",
    ]);
    assert!(told.contains("leave --out-of-turn away"), "{told}");
}

/// The stop may be known as well as one likes: behind the guard, the lockout comes first.
#[test]
fn without_the_lockout_no_stop_is_in_turn() {
    let mut course = steps_course();
    course["competencies"][0]["study"] = json!(["lockout", "sweep"]);
    course["competencies"][1]["study"] = json!(["lockout"]);
    course["competencies"][1]["sheet"]["lesson"] = json!("sweep");
    let desk = Desk::with(&course);
    desk.hand_in(
        "one.json",
        &Device::new("TM-1", &course, "2026-02-01T08:00:00Z").studies_all(),
    );
    desk.says(&["gather", "one.json"]);
    let line = ["witness", "TM-1", "clear-sweep", "--by", "TR-1", "--met"];
    let told = desk.refuses(&[&line[..], &["--real"]].concat());
    assert!(told.contains("TM-1 might not do lock-out at all"), "{told}");
    let (code, out, err) = desk.run(&[&line[..], &["--staged"]].concat());
    assert_eq!(code, 0, "{err}");
    assert!(out.contains("counts as 1 of 2"), "{out}");
    assert!(
        err.contains(
            "warning: before TM-1 works behind a guard, the staging sheet wants them to have locked out a sound pair"
        ),
        "{err}"
    );
}

#[test]
fn what_is_staged_too_early_is_warned_of() {
    let desk = desk();
    let (code, _, err) = desk.run(&["witness", "TM-2", "lock-out", "--by", "TR-1", "--staged", "--met"]);
    assert_eq!(code, 0, "{err}");
    assert!(err.contains("warning: TM-2 may not do lock-out at all yet"), "{err}");
    let (_, err) = watch(&desk, "--staged --met");
    assert!(err.contains("no watching of lock-out counts yet"), "{err}");
    desk.says(&["witness", "TM-1", "lock-out", "--by", "TR-1", "--staged", "--met"]);
    let (_, err) = watch(&desk, "--staged --met --another");
    assert_eq!(err, "", "they have locked out a sound pair by now");
}

#[test]
fn a_day_that_cannot_be_is_refused_and_one_long_ago_is_asked_about() {
    let desk = desk();
    let line = [
        "witness", "TM-1", "lock-out", "--by", "TR-1", "--staged", "--met", "--on",
    ];
    let told = desk.refuses(&[&line[..], &["2026-02-01", "--note", "x"]].concat());
    assert!(
        told.contains("TM-1 joined the centre on 2026-02-02, and 2026-02-01 is before that"),
        "{told}"
    );
    let told = desk.refuses(&[&line[..], &["2026-02-14"]].concat());
    assert!(
        told.contains("2026-02-14 is 15 days ago: if that is the right day, say with --note"),
        "{told}"
    );
    desk.says(&[&line[..], &["2026-02-14", "--note", "From my own notebook"]].concat());
    desk.says(&[&line[..], &["2026-02-15"]].concat());
    desk.says(&[&line[..], &["2026-02-02", "--note", "The first day"]].concat());
}

#[test]
fn the_same_entered_twice_counts_once() {
    let desk = desk();
    let line = ["witness", "TM-1", "lock-out", "--by", "TR-1", "--staged", "--met"];
    let first = desk.says(&line);
    let id = first
        .strip_prefix("Entered ")
        .and_then(|rest| rest.split('-').next())
        .expect("it has an id");
    let rows = desk.json(&["audit"]).1["rows"].clone();
    let told = desk.says(&line);
    assert!(
        told.starts_with(&format!(
            "Already there: {id}, TM-1 was watched at lock-out by TR-1 on 2026-03-01: staged, met."
        )),
        "{told}"
    );
    let (_, told) = desk.json(&line);
    assert!(
        told["entered"].is_null() && told["alreadyThere"].as_str().is_some_and(|found| found.starts_with(id)),
        "{told:#}"
    );
    assert_eq!(desk.json(&["audit"]).1["rows"], rows, "nothing was written");
    for other in [
        &["--another"][..],
        &["--note", "the second lane"],
        &["--on", "2026-02-28"],
    ] {
        let told = desk.says(&[&line[..], other].concat());
        assert!(told.starts_with("Entered "), "{other:?}: {told}");
    }
    desk.says(&["void", id, "--by", "MG-1", "--note", "It was another day"]);
    desk.says(&["witness", "TM-1", "lock-out", "--by", "TR-1", "--staged", "--prompted"]);
}

/// Who had it withdrawn may not do it, and gets it back only by being watched: once all is passed anew, that is in turn.
#[test]
fn a_withdrawal_is_no_dead_end() {
    let mut desk = desk();
    let line = ["witness", "TM-1", "lock-out", "--by", "TR-1", "--met", "--real"];
    desk.now = "2026-02-10T12:00:00Z";
    desk.lockout_signed("TM-1");
    desk.says(&["withdraw", "TM-1", "lock-out", "--by", "TR-1", "--note", "Reached in"]);
    desk.now = "2026-02-12T20:00:00Z";
    assert!(desk.refuses(&line).contains("the standing is `withdrawn`"));
    let device = &mut Device::new("TM-1", &steps_course(), "2026-02-12T08:00:00Z");
    desk.hand_in("anew.json", &device.studies_all());
    desk.says(&["gather", "anew.json"]);
    let told = desk.says(&line);
    assert!(told.contains("counts as 1 of 2"), "{told}");
}
