//! What people are asked for, the tries that are released to them, retraining for all.

use super::desk::Desk;
use super::life::staffed;
use super::made::{Device, End, SEEDS, Shop, at, day, wrong};
use super::people::{competency, shop, tm1};
use pitwright::marking::Evidence;
use pitwright::record::{Thing, What};
use pitwright::standing::Progress;
use serde_json::{Value, json};

#[test]
fn a_released_try_counts_once_from_then_on_until_the_next_pass() {
    let mut shop = shop();
    let mut device = Device::new("TM-1", &staffed(), "2026-02-01T08:00:00Z");
    let fail = |shop: &mut Shop, device: &mut Device| {
        shop.must_take(&device.bank(SEEDS[1], wrong, End::Closed));
        device.wait(24);
    };
    (0..3).for_each(|_| fail(&mut shop, &mut device));
    let numbers = |shop: &Shop| -> Vec<Option<u32>> {
        tm1(shop, "2026-03-01")
            .attempts
            .iter()
            .map(|line| line.number)
            .collect()
    };
    assert_eq!(numbers(&shop), [Some(1), Some(2), None], "two tries are allowed");
    let what = What::Released {
        assessment: Evidence::Bank("alone".to_owned()),
        more: 2,
    };
    shop.enter("TM-1", "TR-1", what, "2026-02-04").expect("it is entered");
    assert_eq!(
        numbers(&shop),
        [Some(1), Some(2), None],
        "what was tried before stays uncounted"
    );
    let left = &tm1(&shop, "2026-02-04").tries[0];
    assert_eq!((left.used, left.released, left.left), (2, 2, 2));
    device.clock = at("2026-02-05T08:00:00Z");
    fail(&mut shop, &mut device);
    shop.must_take(&device.passes_bank());
    device.wait(24);
    (0..3).for_each(|_| fail(&mut shop, &mut device));
    assert_eq!(
        numbers(&shop)[3..],
        [Some(3), Some(4), Some(1), Some(2), None],
        "a pass gives the two tries back, and takes what was released"
    );
    let left = &tm1(&shop, "2026-03-01").tries[0];
    assert_eq!((left.used, left.released, left.left), (2, 0, 0));
}

#[test]
fn what_was_asked_for_is_open_overdue_or_done_on_its_day() {
    let mut shop = shop();
    for (thing, due) in [
        (Thing::Lesson("lockout".to_owned()), "2026-02-05"),
        (Thing::Assessment(Evidence::Bank("alone".to_owned())), "2026-02-10"),
        (Thing::Competency(competency()), "2026-02-10"),
    ] {
        let due = Some(day(due).date);
        shop.enter("TM-1", "TR-1", What::Assigned { thing, due }, "2026-02-01")
            .expect("it is entered");
    }
    let mut device = Device::new("TM-1", &staffed(), "2026-02-07T08:00:00Z");
    shop.must_take(&device.studies_all());
    shop.watched("TM-1", "2026-02-08", 'm', true);
    shop.watched("TM-1", "2026-02-09", 'm', true);
    shop.signed("TM-1", "2026-02-12");
    let states = |on: &str| -> Vec<(Progress, Option<String>)> {
        let asked = tm1(&shop, on).assignments;
        asked
            .iter()
            .map(|one| (one.state, one.done_on.map(|on| on.to_string())))
            .collect()
    };
    let done = |on: &str| (Progress::Done, Some(on.to_owned()));
    let (open, late) = ((Progress::Open, None), (Progress::Overdue, None));
    assert_eq!(
        states("2026-02-05"),
        [open.clone(), open.clone(), open.clone()],
        "the last day is in time"
    );
    assert_eq!(states("2026-02-06"), [late.clone(), open.clone(), open.clone()]);
    assert_eq!(states("2026-02-07"), [done("2026-02-07"), done("2026-02-07"), open]);
    assert_eq!(states("2026-02-11"), [done("2026-02-07"), done("2026-02-07"), late]);
    assert_eq!(states("2026-02-12")[2], done("2026-02-12"));
    assert_eq!(states("2026-12-31")[2], done("2026-02-12"), "nothing later undoes it");
}

/// A desk where TM-1 is a mechanic and has studied everything.
pub fn desk() -> Desk {
    let desk = Desk::with(&staffed());
    desk.hand_in(
        "one.json",
        &Device::new("TM-1", &staffed(), "2026-02-01T08:00:00Z").studies_all(),
    );
    assert_eq!(desk.run(&["gather", "one.json"]).0, 0);
    for (who, name) in [("TM-1", "Ada"), ("TM-2", "Bo")] {
        let (code, out, err) = desk.run(&["join", who, "--by", "TR-1", "--name", name, "--job", "mechanic"]);
        assert_eq!(code, 0, "{out}{err}");
    }
    desk
}

#[test]
fn nothing_is_assigned_twice_while_it_is_open() {
    let mut desk = desk();
    let line = [
        "assign",
        "--job",
        "mechanic",
        "--gap",
        "--by",
        "TR-1",
        "--due",
        "2026-03-10",
    ];
    let (code, told) = desk.json(&line);
    assert_eq!(code, 0);
    let things = |told: &Value| -> Vec<(String, String)> {
        let all = told["entered"].as_array().expect("a list");
        all.iter()
            .map(|one| {
                let (who, what) = (
                    &one["entered"]["actor"]["account"]["name"],
                    &one["entered"]["object"]["id"],
                );
                (
                    who.as_str().unwrap_or_default().to_owned(),
                    what.as_str().unwrap_or_default().to_owned(),
                )
            })
            .collect()
    };
    let home = super::made::HOME;
    let due: Vec<(String, String)> = ["lesson/lockout", "bank/alone", "scenario/night"]
        .map(|path| ("TM-2".to_owned(), format!("{home}/{path}")))
        .to_vec();
    assert_eq!(things(&told), due, "TM-1 has read and passed all that the job asks for");
    assert_eq!(
        told["skipped"],
        json!(["TM-1 lacks no lesson and no assessment for the job mechanic"])
    );
    let rows = desk.json(&["audit"]).1["rows"].clone();
    let (code, told) = desk.json(&line);
    assert_eq!((code, &told["entered"]), (0, &json!([])));
    assert_eq!(
        told["skipped"][1],
        json!("TM-2 has lesson lockout to do already, due 2026-03-10")
    );
    assert_eq!(desk.json(&["audit"]).1["rows"], rows, "nothing was written");
    let (_, told) = desk.json(&["assign", "TM-2", "tm-2", "--by", "TR-1", "--lesson", "lockout,sweep"]);
    assert_eq!(things(&told), [("TM-2".to_owned(), format!("{home}/lesson/sweep"))]);
    desk.now = "2026-03-11T12:00:00Z";
    let (_, out, _) = desk.run(&["standing"]);
    for line in [
        "TM-2 Bo: lesson lockout, due 2026-03-10",
        "TM-2 Bo: scenario night, due 2026-03-10",
    ] {
        assert!(out.contains(line), "{line:?} in {out}");
    }
    assert!(
        !out.contains("lesson sweep"),
        "without a due day nothing is overdue: {out}"
    );
    desk.hand_in(
        "two.json",
        &Device::new("TM-2", &staffed(), "2026-03-11T08:00:00Z").studies_all(),
    );
    assert_eq!(desk.run(&["gather", "two.json"]).0, 0);
    assert!(!desk.run(&["standing"]).1.contains("Overdue"));
}

#[test]
fn everyone_who_has_begun_must_retrain_when_the_procedure_changes() {
    let desk = desk();
    let line = [
        "retrain",
        "lock-out",
        "--everyone",
        "--because",
        "procedure",
        "--by",
        "MG-1",
    ];
    let (code, told) = desk.json(&line);
    assert_eq!(code, 0);
    let all = told["entered"].as_array().expect("a list");
    assert_eq!(all.len(), 1, "TM-2 has not begun: {told:#}");
    assert_eq!(all[0]["entered"]["actor"]["account"]["name"], json!("TM-1"));
    assert_eq!(all[0]["standing"]["standing"], json!("studying"));
}
