//! What trainers and managers may enter, and what they may not.

use super::made::{Device, Shop, at, course};
use pitwright::record::{Deed, What, Witnessing};
use pitwright::register::NotEntered;
use pitwright::standing::Standing;
use serde_json::json;

fn seen(competency: &str) -> Witnessing {
    Witnessing {
        competency: competency.to_owned(),
        met: true,
        prompted: false,
        real: false,
        out_of_turn: false,
        steps: Vec::new(),
    }
}

/// A shop where TM-1 has read something; it is 2026-03-01.
fn shop() -> Shop {
    let mut shop = Shop::new();
    let mut device = Device::new("TM-1", &course(), "2026-02-01T08:00:00Z");
    shop.must_take(&[device.read("lockout")]);
    shop
}

fn witness(shop: &mut Shop, person: &str, (competency, by): (&str, &str), on: &str) -> Result<String, NotEntered> {
    let before = shop.register.ledger().head.clone();
    let entered = shop.enter(person, by, What::Witnessed(seen(competency)), on);
    assert_eq!(
        entered.is_ok(),
        shop.register.ledger().head != before,
        "a refusal writes nothing"
    );
    entered.map(|statement| statement.body)
}

#[test]
fn what_was_watched_is_entered_as_a_statement() {
    let mut shop = shop();
    let body = witness(&mut shop, "TM-1", ("lock-out", "TR-1"), "2026-03-01").expect("it is entered");
    let value: serde_json::Value = serde_json::from_str(&body).expect("it is JSON");
    assert_eq!(
        value["timestamp"],
        json!("2026-03-01T12:00:00.000Z"),
        "today's is stamped now"
    );
    let digest = value["context"]["extensions"]["https://pitwright.example/xapi/details"]
        .as_str()
        .expect("the note's digest stands in its place");
    assert!(!body.contains("lane 7"), "free words are kept apart from the chain");
    let details = shop.register.details().expect("they can be read");
    assert_eq!(details[digest].note.as_deref(), Some("lane 7"));
    assert_eq!(details[digest].digest().expect("texts have a canonical form"), digest);
    assert_eq!(value["actor"]["account"]["name"], json!("TM-1"));
    assert_eq!(value["context"]["instructor"]["account"]["name"], json!("TR-1"));
    assert_eq!(
        value["result"]["extensions"]["https://pitwright.example/xapi/setting"],
        json!("staged")
    );
    let body = witness(&mut shop, "TM-1", ("lock-out", "TR-1"), "2026-02-20").expect("it is entered");
    let value: serde_json::Value = serde_json::from_str(&body).expect("it is JSON");
    assert_eq!(
        value["timestamp"],
        json!("2026-02-20T12:00:00.000Z"),
        "an earlier day's at its noon"
    );
    let again: Vec<serde_json::Value> = shop
        .bodies()
        .iter()
        .filter_map(|body| serde_json::from_str(body).ok())
        .collect();
    assert_eq!(again.len(), 3);
}

#[test]
fn witnessing_is_refused_with_a_word() {
    let mut shop = shop();
    for (person, seen, on, due) in [
        (
            "TM-1",
            ("juggling", "TR-1"),
            "2026-03-01",
            "no competency `juggling`; the course has lock-out",
        ),
        (
            "TM-1",
            ("lock-out", "MG-1"),
            "2026-03-01",
            "MG-1 is not a trainer of this course; its trainers are TR-1",
        ),
        (
            "TR-1",
            ("lock-out", "TR-1"),
            "2026-03-01",
            "nobody witnesses or signs their own work",
        ),
        (
            "TM-1",
            ("lock-out", "TR-1"),
            "2026-03-02",
            "2026-03-02 is in the future; today is 2026-03-01",
        ),
        (
            "TM-2",
            ("lock-out", "TR-1"),
            "2026-03-01",
            "did you mean TM-1? If TM-2 is right, `pitwright join TM-2` comes first",
        ),
        (
            "ZZ-999",
            ("lock-out", "TR-1"),
            "2026-03-01",
            "nobody with the code ZZ-999 is on record",
        ),
    ] {
        let why = witness(&mut shop, person, seen, on)
            .expect_err("it is refused")
            .to_string();
        assert!(why.contains(due), "{why:?} says {due:?}");
    }
    shop.enter("TM-2", "TR-1", What::Joined { job: None }, "2026-03-01")
        .expect("it is entered");
    witness(&mut shop, "TM-2", ("lock-out", "TR-1"), "2026-03-01").expect("they have joined now");
    let why = witness(&mut Shop::empty(), "TM-1", ("lock-out", "TR-1"), "2026-03-01").expect_err("no course");
    assert_eq!(why, NotEntered::NoCourse);
}

fn sign(shop: &mut Shop, person: &str, by: &str, on: &str) -> Result<Deed, NotEntered> {
    let what = What::SignedOff {
        competency: "lock-out".to_owned(),
        proof: None,
    };
    let before = shop.register.ledger().head.clone();
    let entered = shop.enter(person, by, what, on);
    assert_eq!(
        entered.is_ok(),
        shop.register.ledger().head != before,
        "a refusal writes nothing"
    );
    entered.map(|statement| statement.deed)
}

#[test]
fn only_what_is_ready_is_signed_and_only_by_the_right_role() {
    let mut shop = shop();
    let why = sign(&mut shop, "TM-1", "MG-1", "2026-03-01").expect_err("nothing is passed yet");
    let NotEntered::NotReady { standing, missing, .. } = &why else {
        panic!("not ready: {why}");
    };
    assert_eq!(*standing, Standing::Studying);
    assert!(missing.iter().any(|line| line == "pass “Alone”"), "{missing:?}");
    assert!(why.to_string().contains("still needed: pass “Alone”"));
    let mut device = Device::new("TM-1", &course(), "2026-02-02T08:00:00Z");
    let mut all = device.passes_bank();
    all.extend(device.passes_scenario());
    shop.must_take(&all);
    for (real, on) in [(true, "2026-02-20"), (false, "2026-02-21")] {
        let seen = Witnessing {
            real,
            ..seen("lock-out")
        };
        shop.enter("TM-1", "TR-1", What::Witnessed(seen), on)
            .expect("it is entered");
    }
    for (person, by, due) in [
        (
            "TM-1",
            "OW-1",
            "OW-1 may not sign this: it is signed by the role manager, which MG-1 has here",
        ),
        ("TM-1", "TR-1", "TR-1 may not sign this"),
        ("MG-1", "MG-1", "nobody witnesses or signs their own work"),
        ("TM-2", "MG-1", "did you mean TM-1"),
    ] {
        let why = sign(&mut shop, person, by, "2026-03-01")
            .expect_err("it is refused")
            .to_string();
        assert!(why.contains(due), "{why:?} says {due:?}");
    }
    let why = sign(&mut shop, "TM-1", "MG-1", "2026-02-20")
        .expect_err("not ready on that day")
        .to_string();
    assert!(
        why.contains("on 2026-02-20 the standing is `ready to be witnessed`"),
        "{why}"
    );
    assert!(
        sign(&mut shop, "TM-1", "MG-1", "2026-03-02").is_err(),
        "the future is not signed"
    );
    let deed = sign(&mut shop, "TM-1", "MG-1", "2026-02-21").expect("ready on that day");
    let Deed::Entered(event) = deed else {
        panic!("a signature is entered: {deed:?}");
    };
    assert_eq!(event.by, "MG-1");
    assert_eq!(event.competency(), Some("lock-out"));
    let why = sign(&mut shop, "TM-1", "MG-1", "2026-02-22")
        .expect_err("signed already")
        .to_string();
    assert!(why.contains("the standing is `signed`"), "{why}");
}

#[test]
fn what_is_entered_late_names_the_course_of_its_day() {
    let mut shop = shop();
    let mut newer = course();
    newer["lessons"][0]["edition"] = json!(2);
    shop.now = at("2026-03-10T08:00:00Z");
    shop.archive(&newer, true);
    let body = witness(&mut shop, "TM-1", ("lock-out", "TR-1"), "2026-02-20").expect("it is entered");
    let old = Device::new("TM-1", &course(), "2026-02-01T08:00:00Z").hash;
    assert!(body.contains(&old), "the lesson's old edition was taught that day");
}
