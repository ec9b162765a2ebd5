//! When a watching may be entered, and how often one of a day counts.

use super::desk::Desk;
use super::made::Device;
use super::witnessing::{desk, steps_course, watch};
use serde_json::json;

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
    let told = desk.says(&[&real[..], &["--not-met", "--another"], &note].concat());
    assert!(told.contains("not met; the count starts anew"), "{told}");
    // Somebody who might do it accompanied was in turn.
    let told = desk.refuses(&Desk::watching(
        "clear-sweep",
        &["--real", "--met", "--out-of-turn", "--note", "x"],
    ));
    assert!(told.contains("leave --out-of-turn away"), "{told}");
}

/// What was passed in the evening was not passed yet at a call in the morning: of such a day only the trainer knows.
#[test]
fn the_day_of_the_pass_can_be_either() {
    let mut desk = desk();
    let mut device = Device::new("TM-2", &steps_course(), "2026-02-20T18:00:00Z");
    let mut all = device.studies_all();
    all.push(device.read("sweep"));
    desk.hand_in("two.json", &all);
    desk.says(&["gather", "two.json"]);
    desk.now = "2026-03-01T12:00:00Z";
    let line = ["witness", "TM-2", "clear-sweep", "--by", "TR-1", "--real", "--met"];
    let turn = ["--out-of-turn", "--note", "In the morning, before the test"];
    let told = desk.says(&[&line[..], &turn, &["--on", "2026-02-20"]].concat());
    assert!(told.contains("counts for nothing"), "{told}");
    let told = desk.refuses(&[&line[..], &turn, &["--on", "2026-02-21"]].concat());
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
    let line = Desk::watching("clear-sweep", &["--met"]);
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
    desk.says(&Desk::watching("lock-out", &["--staged", "--met"]));
    let (_, err) = watch(&desk, "--staged --met --another");
    assert_eq!(err, "", "they have locked out a sound pair by now");
}

#[test]
fn a_day_that_cannot_be_is_refused_and_one_long_ago_is_asked_about() {
    let desk = desk();
    let line = Desk::watching("lock-out", &["--staged", "--met", "--on"]);
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
    let line = Desk::watching("lock-out", &["--staged", "--met"]);
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
    // The same with other marks or words, or by somebody else, may be the same one.
    for other in [&["--note", "the second lane"][..], &["--step", "1=prompted"]] {
        let line = [&line[..6], other].concat();
        let told = desk.refuses(&[&line[..], if other[0] == "--note" { &["--met"] } else { &[] }].concat());
        for due in [
            "on 2026-03-01 already, by TR-1: staged, met",
            &format!("`pitwright void {id} --by TR-1"),
            "say --another",
        ] {
            assert!(told.contains(due), "{due:?} in {told}");
        }
    }
    for other in [
        &["--another"][..],
        &["--another", "--note", "the second lane"],
        &["--on", "2026-02-28"],
    ] {
        let told = desk.says(&[&line[..], other].concat());
        assert!(told.starts_with("Entered "), "{other:?}: {told}");
    }
    desk.says(&["void", id, "--by", "MG-1", "--note", "It was another day"]);
    desk.says(&Desk::watching("lock-out", &["--staged", "--prompted", "--another"]));
}

/// Who had it withdrawn may not do it, and gets it back only by being watched: once all is passed anew, that is in turn.
#[test]
fn a_withdrawal_is_no_dead_end() {
    let mut desk = desk();
    let line = Desk::watching("lock-out", &["--met", "--real"]);
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
