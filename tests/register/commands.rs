//! The register's commands, through the program itself.

use super::desk::Desk;
use super::made::{Device, course};
use pitwright::marking::canonical;
use serde_json::{Value, json};
use std::fs;
use std::path::Path;
use std::process::Stdio;
use std::time::Duration;

fn studied() -> Vec<Value> {
    Device::new("TM-1", &course(), "2026-02-01T08:00:00Z").studies_all()
}

#[test]
fn from_a_hand_in_to_a_signature() {
    let desk = Desk::new();
    desk.hand_in("record-TM-1-2026-02-01.json", &studied());
    let (code, out, err) = desk.run(&["gather", "record-TM-1-2026-02-01.json"]);
    assert_eq!((code, err.as_str()), (0, ""), "{out}");
    assert!(out.contains("course “Test house” is in use from now on"), "{out}");
    assert!(
        out.contains("record-TM-1-2026-02-01.json: 10 new, 0 known, 0 held, 0 refused"),
        "{out}"
    );
    let file = desk.folder.path().join("data/pitwright/test-house.register");
    assert!(
        file.is_file(),
        "the register lies in the user's data folder, under the course's id"
    );
    let bytes = fs::read(&file).expect("it can be read");
    let (code, out, _) = desk.run(&["gather", "record-TM-1-2026-02-01.json"]);
    assert_eq!(code, 0);
    assert!(out.contains("0 new, 10 known, 0 held, 0 refused"), "{out}");
    assert_eq!(fs::read(&file).expect("it can be read"), bytes, "nothing was written");

    let (code, out, _) = desk.run(&["standing"]);
    assert_eq!(code, 0);
    assert!(
        out.contains("Test house, as of 2026-03-01") && out.contains("ready to be witnessed"),
        "{out}"
    );
    assert!(!out.contains('\u{1b}'), "no colours where none are wanted");
    let (code, out, _) = desk.run(&["signoff", "TM-1", "lock-out", "--by", "MG-1"]);
    assert_eq!(code, 1);
    assert!(out.contains("still needed: be watched 2 more times"), "{out}");
    for (setting, on) in [("--staged", "2026-02-20"), ("--real", "2026-02-21")] {
        let (code, out, err) = desk.run(&[
            "witness", "tm-1", "lock-out", "--by", "tr-1", "--met", setting, "--on", on, "--note", "lane 7",
        ]);
        assert_eq!(code, 0, "{out}{err}");
    }
    let (code, signed) = desk.signoff(&["TM-1", "lock-out", "--by", "MG-1"]);
    assert_eq!(
        (code, &signed["standing"]["standing"]),
        (0, &json!("signed")),
        "{signed:#}"
    );
    let (code, record) = desk.json(&["standing", "TM-1"]);
    assert_eq!(code, 0);
    let person = &record["people"][0];
    assert_eq!(person["competencies"][0]["may"], json!("alone"));
    assert_eq!(person["competencies"][0]["lapses"], json!("2027-03-01"));
    assert_eq!(person["attempts"][0]["state"], json!("passed"));
    assert_eq!(person["attempts"][0]["try"], json!(1));
    let (_, then) = desk.json(&["standing", "TM-1", "--on", "2026-02-20"]);
    assert_eq!(
        then["people"][0]["competencies"][0]["standing"],
        json!("ready-to-be-witnessed")
    );
    let (code, out, _) = desk.run(&["standing", "TM-1"]);
    assert_eq!(code, 0);
    for due in [
        "signed (may do alone)",
        "signed off by MG-1 on 2026-03-01",
        "Alone",
        "3 of 3",
        "decides nothing",
    ] {
        assert!(out.contains(due), "{due:?} in {out}");
    }
    let (code, audited) = desk.json(&["audit"]);
    assert_eq!((code, &audited["findings"]), (0, &json!([])), "{audited:#}");
    let head = audited["head"].as_str().unwrap_or_default();
    assert_eq!(desk.run(&["audit", "--head", head]).0, 0);
    assert_eq!(desk.run(&["audit", "--head", &"0".repeat(63)]).0, 1);
}

#[test]
fn a_bad_file_does_not_stop_the_others() {
    let desk = Desk::new();
    desk.hand_in("good.json", &studied());
    fs::write(desk.folder.path().join("bad.json"), "<html>").expect("it can be written");
    let cut = Value::Array(Device::new("TM-2", &course(), "2026-02-01T08:00:00Z").studies_all()).to_string();
    fs::write(desk.folder.path().join("cut.json"), &cut[..cut.len() / 2]).expect("it can be written");
    let (code, told) = desk.json(&["gather", "bad.json", "cut.json", "good.json"]);
    assert_eq!(code, 1);
    let files = told["files"].as_array().expect("a list");
    assert!(
        files[0]["faults"][0]
            .as_str()
            .is_some_and(|why| why.contains("not a record")),
        "{told:#}"
    );
    assert!(
        files[1]["faults"][0]
            .as_str()
            .is_some_and(|why| why.contains("cut off")),
        "{told:#}"
    );
    assert!(
        files[1]["new"].as_array().is_some_and(|new| !new.is_empty()),
        "whole statements before the cut are taken"
    );
    assert_eq!(files[2]["new"].as_array().map(Vec::len), Some(10));
    let (code, out, err) = desk.run(&["gather", "absent.json", "good.json"]);
    assert_eq!(code, 2);
    assert!(out.contains("10 known") && err.contains("absent.json"), "{out}{err}");
}

#[test]
fn an_older_record_waits_for_its_marking_file() {
    let desk = Desk::new();
    let mut old = course();
    old["title"] = json!("Test house, earlier");
    let device = &mut Device::new("TM-1", &old, "2025-12-01T08:00:00Z");
    desk.hand_in("old.json", &device.studies_all());
    let (code, out, _) = desk.run(&["gather", "old.json"]);
    assert_eq!(code, 1);
    assert!(out.contains("held") && out.contains(&device.hash), "{out}");
    let name = format!("marking-{}.json", device.hash);
    fs::write(
        desk.folder.path().join(&name),
        canonical(&old).expect("it is canonical"),
    )
    .expect("it can be written");
    let (code, out, err) = desk.run(&["gather", "--marking", &name]);
    assert_eq!(code, 0, "{out}{err}");
    assert!(
        out.contains("archived, for older records") && out.contains("released"),
        "{out}"
    );
    assert_eq!(desk.run(&["audit"]).0, 0);
    let mut changed = old.clone();
    changed["banks"][0]["pass"] = json!(1);
    fs::write(
        desk.folder.path().join(&name),
        canonical(&changed).expect("it is canonical"),
    )
    .expect("it can be written");
    let (code, _, err) = desk.run(&["gather", "--marking", &name]);
    assert_eq!(code, 2);
    assert!(err.contains("changed after it was made"), "{err}");
}

#[test]
fn usage_errors_end_with_two() {
    let desk = Desk::new();
    for (arguments, due) in [
        (&["standing"][..], "there is no register at"),
        (&["audit", "--register", "absent"], "there is no register at"),
        (&["witness", "TM-1", "lock-out", "--by", "TR-1"], "--met"),
        (
            &[
                "witness",
                "TM-1",
                "lock-out",
                "--by",
                "TR-1",
                "--met",
                "--prompted",
                "--real",
            ],
            "cannot be used with",
        ),
        (&["standing", "--on", "tomorrow"], "is not a date"),
        (&["gather", "--course", "nowhere"], "there is nothing to take in"),
        (&["standing", "--course", "nowhere"], "no course is known here"),
    ] {
        let (code, out, err) = desk.run(arguments);
        assert_eq!(code, 2, "{arguments:?}: {out}");
        assert!(err.contains(due), "{due:?} in {err}");
        assert_eq!(out, "");
    }
    fs::write(
        desk.folder.path().join("notes.txt"),
        "Some notes of somebody, not a register at all.",
    )
    .expect("it can be written");
    let before = fs::read(desk.folder.path().join("notes.txt")).expect("it can be read");
    let (code, _, err) = desk.run(&["gather", "good.json", "--register", "notes.txt"]);
    assert_eq!(code, 2);
    assert!(err.contains("is not a register"), "{err}");
    assert_eq!(
        fs::read(desk.folder.path().join("notes.txt")).expect("it can be read"),
        before
    );
    assert!(!Path::new("/").join("data").join("pitwright").exists());
}

/// Killed at any moment, a gathering has taken a file whole or not at all, and doing it again ends the same.
#[test]
fn a_gathering_that_is_killed_takes_a_file_whole_or_not_at_all() {
    let mut device = Device::new("TM-1", &course(), "2026-02-01T08:00:00Z");
    let many: Vec<Value> = (0..1000).map(|_| device.practised("yes")).collect();
    let whole = Desk::new();
    whole.hand_in("many.json", &many);
    assert_eq!(whole.run(&["gather", "many.json"]).0, 0);
    let desk = Desk::new();
    desk.hand_in("many.json", &many);
    for pause in [5, 25, 60, 110, 180] {
        let mut child = desk
            .command(&["gather", "many.json"])
            .stdout(Stdio::null())
            .stderr(Stdio::null())
            .spawn()
            .expect("the program was built with the tests");
        std::thread::sleep(Duration::from_millis(pause));
        // It may have ended by itself.
        let _ = child.kill();
        child.wait().expect("it was started here");
        let (code, out, err) = desk.run(&["--json", "audit"]);
        if code == 2 {
            assert!(
                err.contains("there is no register") || err.contains("is not a register"),
                "{err}"
            );
            continue;
        }
        let audited: Value = serde_json::from_str(&out).expect("it is JSON");
        assert_eq!(audited["findings"], json!([]), "{audited:#}");
        let statements = audited["statements"].as_u64();
        assert!(statements == Some(0) || statements == Some(1000), "{statements:?}");
    }
    assert_eq!(desk.run(&["gather", "many.json"]).0, 0);
    let (_, one) = whole.json(&["standing", "TM-1"]);
    let (_, other) = desk.json(&["standing", "TM-1"]);
    assert_eq!(one, other);
    let (_, audited) = desk.json(&["audit"]);
    assert_eq!(audited["statements"], json!(1000));
}

/// Two gatherings at once both succeed, and the chain holds.
#[test]
fn two_gatherings_at_once_do_not_disturb_each_other() {
    let desk = Desk::new();
    let people: Vec<String> = (1..=4).map(|number| format!("TM-{number}")).collect();
    for person in &people {
        desk.hand_in(
            &format!("{person}.json"),
            &Device::new(person, &course(), "2026-02-01T08:00:00Z").studies_all(),
        );
    }
    let children: Vec<_> = people
        .iter()
        .map(|person| {
            desk.command(&["gather", &format!("{person}.json")])
                .stdout(Stdio::null())
                .spawn()
                .expect("the program was built with the tests")
        })
        .collect();
    for mut child in children {
        assert!(child.wait().expect("it was started here").success());
    }
    let (code, audited) = desk.json(&["audit"]);
    assert_eq!(
        (code, &audited["statements"], &audited["findings"]),
        (0, &json!(40), &json!([])),
        "{audited:#}"
    );
}
