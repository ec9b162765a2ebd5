//! `pitwright slip`: what it says, that it is signed, and when none is written.

use super::desk::Desk;
use super::made::{Device, End, SEEDS, course, wrong};
use crate::keys;
use pitwright::proof::verify;
use serde_json::{Value, json};
use std::fs;

const SIGNED: [&str; 4] = ["--key", "TR-1.pem", "--passphrase-file", "passphrase"];

/// TM-1 has read, failed the bank twice, was asked for two things and given two more tries; it is 2026-03-01.
fn desk() -> Desk {
    let desk = Desk::new();
    keys::files(desk.folder.path(), "TR-1");
    let mut device = Device::new("TM-1", &course(), "2026-02-01T08:00:00Z");
    let mut all = vec![device.read("lockout")];
    for _ in 0..2 {
        all.extend(device.bank(SEEDS[0], wrong, End::Closed));
        device.wait(24);
    }
    desk.hand_in("record.json", &all);
    for arguments in [
        &["gather", "record.json"][..],
        &[
            "assign",
            "TM-1",
            "--by",
            "TR-1",
            "--lesson",
            "lockout",
            "--due",
            "2026-03-20",
            "--note",
            "for the league",
        ],
        &["assign", "TM-1", "--by", "TR-1", "--competency", "lock-out"],
        &["release", "TM-1", "alone", "--by", "TR-1", "--more", "2"],
    ] {
        let (code, out, err) = desk.run(arguments);
        assert_eq!(code, 0, "{arguments:?}: {out}{err}");
    }
    desk
}

fn slip(desk: &Desk, name: &str) -> Value {
    serde_json::from_slice(&fs::read(desk.folder.path().join(name)).expect("it was written")).expect("it is JSON")
}

#[test]
fn a_slip_says_how_things_stand_and_is_signed() {
    let desk = desk();
    let (code, out, err) = desk.run(&[&["slip", "tm-1", "--by", "tr-1"], &SIGNED[..]].concat());
    assert_eq!(code, 0, "{out}{err}");
    assert!(
        out.contains("slip-TM-1-2026-03-01.json") && out.contains("tries released: 2"),
        "{out}"
    );
    let mut value = slip(&desk, "slip-TM-1-2026-03-01.json");
    let proof = value
        .as_object_mut()
        .and_then(|fields| fields.remove("proof"))
        .expect("it has one");
    let signed = verify(&value, &proof).expect("it holds");
    assert_eq!(signed.by.multikey(), keys::public("TR-1"));
    let marking = Device::new("TM-1", &course(), "2026-02-01T08:00:00Z").hash;
    let at = value["tries"][0]["at"].clone();
    assert_eq!(
        value,
        json!({
            "format": 1, "course": "test-house", "home": "https://house.example", "person": "TM-1",
            "issued": "2026-03-01T12:00:00.000Z", "marking": marking,
            "standings": [{
                "competency": "lock-out", "standing": "studying", "may": "nothing",
                "missing": value["standings"][0]["missing"],
                "lacks": [{ "bank": "alone" }, { "scenario": "night" }], "watched": { "met": 0, "real": 0, "unseen": [] },
            }],
            "assignments": [
                { "thing": { "lesson": "lockout" }, "due": "2026-03-20", "done": false },
                { "thing": { "competency": "lock-out" }, "done": false },
            ],
            "tries": [{ "assessment": { "bank": "alone" }, "edition": 1, "more": 2, "at": at }],
        }),
        "and nothing else: no name, no note"
    );
    let missing = value["standings"][0]["missing"].to_string();
    assert!(
        missing.contains("pass “Alone”") && missing.contains("pass “Night”"),
        "{missing}"
    );
    assert!(
        at.as_str().is_some_and(|at| at.starts_with("2026-03-01T12:00:00")),
        "{at}"
    );
}

/// Two slips of the same moment are the same, proof and all: Ed25519 signatures are (RFC 8032).
#[test]
fn a_slip_depends_on_nothing_but_the_register_and_the_clock() {
    let desk = desk();
    for name in ["one.json", "two.json"] {
        let (code, out, err) = desk.run(&[&["slip", "TM-1", name, "--by", "TR-1"], &SIGNED[..]].concat());
        assert_eq!(code, 0, "{out}{err}");
    }
    let text = |name: &str| fs::read_to_string(desk.folder.path().join(name)).expect("it was written");
    assert_eq!(text("one.json"), text("two.json"));
    let later = Desk {
        now: "2026-03-02T12:00:00Z",
        ..desk
    };
    let (code, told) = later.json(&[&["slip", "TM-1", "one.json", "--by", "TR-1", "--replace"], &SIGNED[..]].concat());
    assert_eq!((code, &told["slip"]["issued"]), (0, &json!("2026-03-02T12:00:00.000Z")));
    assert_eq!(told["slip"], slip(&later, "one.json"));
}

#[test]
fn no_slip_is_written_where_something_is_wrong() {
    let desk = desk();
    keys::files(desk.folder.path(), "MG-1");
    fs::write(desk.folder.path().join("mine.json"), "something of mine").expect("it can be written");
    let before = fs::read_dir(desk.folder.path()).expect("it is there").count();
    let by = ["--by", "TR-1"];
    for (arguments, due) in [
        ([&["slip", "TM-9"][..], &by, &SIGNED].concat(), "did you mean TM-1"),
        (
            [&["slip", "TM-1", "--by", "XX-1"][..], &SIGNED].concat(),
            "neither a trainer nor a signer",
        ),
        (
            [&["slip", "TR-1"][..], &by, &SIGNED].concat(),
            "ask another trainer or signer",
        ),
        (
            [&["slip", "TM-1", "--by", "MG-1"][..], &SIGNED].concat(),
            "not the key that the course names for MG-1",
        ),
        (
            [&["slip", "TM-1", "mine.json"][..], &by, &SIGNED].concat(),
            "is there already",
        ),
        (
            [&["slip", "TM-1", "--passphrase-file", "passphrase"][..], &by].concat(),
            "TR-1.pem cannot be read",
        ),
        (
            [&["slip", "TM-1", "TR-1.pem/slip.json"][..], &by, &SIGNED].concat(),
            "cannot be written",
        ),
    ] {
        let (code, out, err) = desk.run(&arguments);
        assert_eq!((code, out.as_str()), (2, ""), "{arguments:?}: {err}");
        assert!(err.contains(due), "{due:?} in {err}");
    }
    assert_eq!(fs::read_dir(desk.folder.path()).expect("it is there").count(), before);
    assert_eq!(
        fs::read_to_string(desk.folder.path().join("mine.json")).expect("it is there"),
        "something of mine"
    );
}

/// Only releases at the edition in use are on it: others do not count any more.
#[test]
fn a_release_at_an_older_edition_is_left_out() {
    let desk = desk();
    let mut newer = course();
    newer["banks"][0]["edition"] = json!(2);
    desk.compile(&newer);
    assert_eq!(desk.run(&["gather", "record.json"]).0, 0);
    let (code, told) = desk.json(&[&["slip", "TM-1", "--by", "TR-1"], &SIGNED[..]].concat());
    assert_eq!((code, &told["slip"]["tries"]), (0, &json!([])), "{told:#}");
}
