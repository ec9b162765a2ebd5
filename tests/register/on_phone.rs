//! A slip that is on a phone says yes until its time is over: whoever takes something back is told.

use super::desk::Desk;
use super::life::staffed;
use super::made::Device;
use crate::keys;
use serde_json::json;

const SLIP: [&str; 8] = [
    "slip",
    "TM-1",
    "--by",
    "TR-1",
    "--key",
    "TR-1.pem",
    "--passphrase-file",
    "passphrase",
];

const WARNING: &str = "The slip of 2026-03-01 still says yes until 2026-03-31 on the phone of TM-1. Write a new one now (`pitwright slip TM-1 --by TR-1`), have it brought in, and tell TM-1 face to face.";

/// TM-1 has studied and was watched; where `signed`, signed off too. It is noon on 2026-03-01, and a slip answers for 30 days.
fn desk(signed: bool) -> Desk {
    let mut course = staffed();
    course["slipDays"] = json!(30);
    let desk = Desk::with(&course);
    keys::files(desk.folder.path(), "TR-1");
    let studies = Device::new("TM-1", &course, "2026-02-01T08:00:00Z").studies_all();
    desk.hand_in("record.json", &studies);
    desk.must(&["gather", "record.json"]);
    for (setting, on) in [("--staged", "2026-02-20"), ("--real", "2026-02-21")] {
        let line = Desk::watching("lock-out", &["--met", setting, "--on", on]);
        desk.must(&line);
    }
    if signed {
        let (code, told) = desk.signoff(&["TM-1", "lock-out", "--by", "MG-1"]);
        assert_eq!(code, 0, "{told:#}");
    }
    desk
}

const WITHDRAW: [&str; 7] = ["withdraw", "TM-1", "lock-out", "--by", "TR-1", "--note", "no lock"];
const RETRAIN: [&str; 7] = ["retrain", "TM-1", "lock-out", "--because", "job", "--by", "TR-1"];
const LEAVE: [&str; 4] = ["leave", "TM-1", "--by", "TR-1"];

#[test]
fn what_is_taken_back_while_a_slip_says_yes_is_told_of() {
    for line in [&WITHDRAW[..], &RETRAIN, &LEAVE] {
        let desk = desk(true);
        desk.must(&SLIP);
        let (_, out, _) = desk.run(&["standing", "TM-1"]);
        assert!(
            out.contains("was given a slip by TR-1; alone: lock-out until 2026-03-31"),
            "{out}"
        );
        let later = Desk {
            now: "2026-03-30T09:00:00Z",
            ..desk
        };
        let (_, err) = later.must(line);
        assert!(err.contains(WARNING), "{line:?}: {err}");
        later.must(&SLIP);
        let (code, told) = later.json(&["audit"]);
        assert_eq!((code, &told["findings"]), (0, &json!([])), "{told:#}");
    }
}

/// A signature that ends without being withdrawn: by a performance that was not met, and by one that it was founded on and that was
/// entered in error.
#[test]
fn what_ends_a_signature_while_a_slip_says_yes_is_told_of() {
    let desk = desk(true);
    let (_, told) = desk.json(&["standing", "TM-1"]);
    let events = told["people"][0]["events"].as_array().cloned().unwrap_or_default();
    let watched = events
        .iter()
        .find(|one| one["what"].as_str().is_some_and(|what| what.contains("real")))
        .and_then(|one| one["id"].as_str())
        .expect("the real call is listed")
        .to_owned();
    desk.must(&SLIP);
    let later = Desk {
        now: "2026-03-30T09:00:00Z",
        ..desk
    };
    let well = Desk::watching("lock-out", &["--real", "--met"]);
    assert!(!later.must(&well).1.contains("slip"), "it takes nothing");
    let (_, err) = later.must(&["void", &watched, "--by", "MG-1", "--note", "It was somebody else"]);
    assert!(err.contains(&WARNING.replace("--by TR-1", "--by MG-1")), "{err}");
    let not_met = Desk::watching("lock-out", &["--staged", "--not-met"]);
    let (_, err) = later.must(&not_met);
    assert!(err.contains(WARNING), "{err}");
}

#[test]
fn taking_back_what_was_signed_needs_a_reason() {
    let (code, out, err) = desk(true).run(&WITHDRAW[..5]);
    assert_eq!((code, out.as_str()), (2, ""));
    assert!(err.contains("needs a reason: give it with --note"), "{err}");
}

#[test]
fn nothing_is_said_where_no_slip_says_yes() {
    // Without a slip; with one that says no.
    let none = desk(true);
    assert!(!none.must(&WITHDRAW).1.contains("slip"));
    let unsigned = desk(false);
    unsigned.must(&SLIP);
    assert!(!unsigned.must(&LEAVE).1.contains("slip"));
    // Once its days are over.
    let late = desk(true);
    late.must(&SLIP);
    let late = Desk {
        now: "2026-04-01T09:00:00Z",
        ..late
    };
    assert!(!late.must(&WITHDRAW).1.contains("slip"));
    // Once a newer one has been given.
    let again = desk(true);
    again.must(&SLIP);
    assert!(again.must(&WITHDRAW).1.contains(WARNING));
    again.must(&[&SLIP[..], &["--replace"]].concat());
    assert!(!again.must(&RETRAIN).1.contains("slip"));
}

/// A signature that runs out before the slip does ends the yes on its own day.
#[test]
fn the_yes_ends_with_the_signature() {
    let desk = Desk {
        now: "2027-02-20T12:00:00Z",
        ..desk(true)
    };
    desk.must(&SLIP);
    let (_, err) = desk.must(&WITHDRAW);
    assert!(
        err.contains("The slip of 2027-02-20 still says yes until 2027-02-28"),
        "{err}"
    );
}
