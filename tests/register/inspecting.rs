//! The periodic inspection of each machine's lockout procedure.
//!
//! Held against 29 CFR 1910.147(c)(6): at least annually; by somebody other than those who use the procedure; certified with
//! the machine, the date, the employees included and the inspector.

use super::desk::Desk;
use super::life::staffed;
use super::made::{Device, Shop, at, course, day};
use pitwright::record::{Inspection, What};
use pitwright::standing::{MachineInspections, inspections};
use serde_json::{Value, json};

fn inspected(included: &[&str]) -> What {
    What::Inspected(Inspection {
        machine: "marrow".to_owned(),
        included: included.iter().map(|code| (*code).to_owned()).collect(),
        clean: true,
    })
}

/// A shop with a machine since 2026-01-01, where TM-1 and TM-2 work.
fn shop() -> Shop {
    let mut shop = Shop::empty();
    shop.now = at("2026-01-01T00:00:00Z");
    shop.archive(&staffed(), true);
    shop.now = at("2028-12-31T12:00:00Z");
    for person in ["TM-1", "TM-2"] {
        shop.enter(person, "TR-1", What::Joined { job: None }, "2026-01-02")
            .expect("it is entered");
    }
    shop
}

fn machine(shop: &Shop, on: &str) -> MachineInspections {
    let statements = shop.register.statements().expect("the log can be read");
    let mut found = inspections(&statements, shop.register.markings(), &day(on));
    assert_eq!(found.len(), 1, "one machine");
    found.remove(0)
}

#[test]
fn the_next_inspection_is_due_twelve_months_after_the_last() {
    let mut shop = shop();
    for (on, due, overdue) in [
        ("2026-01-05", "2027-01-01", false),
        ("2027-01-01", "2027-01-01", false),
        ("2027-01-02", "2027-01-01", true),
    ] {
        let found = machine(&shop, on);
        assert_eq!(
            (found.next_due.to_string().as_str(), found.overdue),
            (due, overdue),
            "none is on record yet, on {on}"
        );
    }
    for (inspector, included, on) in [
        ("TR-1", &["TM-1", "TM-2"][..], "2027-01-10"),
        ("TM-2", &["TM-1"], "2028-02-29"),
    ] {
        shop.enter(inspector, inspector, inspected(included), on)
            .expect("it is entered");
    }
    for (on, due, overdue, count) in [
        ("2027-01-09", "2027-01-01", true, 0),
        ("2027-01-10", "2028-01-10", false, 1),
        ("2028-01-10", "2028-01-10", false, 1),
        ("2028-01-11", "2028-01-10", true, 1),
        ("2028-02-29", "2029-02-28", false, 2),
        ("2029-02-28", "2029-02-28", false, 2),
        ("2029-03-01", "2029-02-28", true, 2),
    ] {
        let found = machine(&shop, on);
        assert_eq!(
            (found.next_due.to_string().as_str(), found.overdue, found.done.len()),
            (due, overdue, count),
            "on {on}"
        );
    }
    let last = machine(&shop, "2028-12-31").done.pop().expect("two are on record");
    assert_eq!(
        (
            last.by.as_str(),
            last.included.as_slice(),
            last.date.to_string().as_str(),
            last.clean
        ),
        ("TM-2", &["TM-1".to_owned()][..], "2028-02-29", true),
        "machine, date, employees included, inspector"
    );
}

#[test]
fn an_inspection_names_its_four_fields_and_its_inspector_is_another() {
    let mut shop = shop();
    for (inspector, what, due) in [
        (
            "TM-1",
            inspected(&["TM-1", "TM-2"]),
            "TM-1 cannot inspect and be included",
        ),
        ("TR-1", inspected(&[]), "names at least one person who was included"),
        (
            "TR-1",
            inspected(&["TM-3"]),
            "nobody with the code TM-3 is on record; did you mean TM-1 or TM-2?",
        ),
        ("QQ-77", inspected(&["TM-1"]), "nobody with the code QQ-77 is on record"),
        (
            "TR-1",
            What::Inspected(Inspection {
                machine: "pinboy".to_owned(),
                included: vec!["TM-1".to_owned()],
                clean: true,
            }),
            "there is no machine `pinboy`; the course has marrow",
        ),
    ] {
        let why = shop
            .enter(inspector, inspector, what, "2027-01-10")
            .expect_err("it is refused")
            .to_string();
        assert!(why.contains(due), "{why:?} says {due:?}");
    }
    assert_eq!(machine(&shop, "2028-12-31").done, []);
}

#[test]
fn inspecting_makes_nobody_a_learner() {
    let mut shop = shop();
    shop.enter("MG-1", "MG-1", inspected(&["TM-1"]), "2027-01-10")
        .expect("it is entered");
    let statements = shop.register.statements().expect("the log can be read");
    let details = shop.register.details().expect("they can be read");
    let people = pitwright::standing::everybody(&statements, shop.register.markings(), &details, &day("2027-01-11"));
    let codes: Vec<&str> = people.iter().map(|person| person.person.as_str()).collect();
    assert_eq!(codes, ["TM-1", "TM-2"]);
    let said: Vec<&str> = people[0].events.iter().map(|line| line.what.as_str()).collect();
    assert_eq!(
        said,
        [
            "joined the centre (entered by TR-1)",
            "was included in the inspection of machine marrow by MG-1"
        ]
    );
}

#[test]
fn a_deviation_found_by_an_inspection_is_retraining() {
    let mut desk = Desk::with(&staffed());
    desk.hand_in(
        "one.json",
        &Device::new("TM-1", &course_of(), "2026-02-01T08:00:00Z").studies_all(),
    );
    desk.now = "2026-02-01T18:00:00Z";
    assert_eq!(desk.run(&["gather", "one.json"]).0, 0);
    assert_eq!(desk.run(&["join", "TM-2", "--by", "TR-1", "--name", "Bo"]).0, 0);
    for (rest, due) in [
        (&["--included", "TM-1", "--deviates", "TM-1"][..], "--competency"),
        (&["--included", "TM-1"], "--clean"),
        (&["--clean"], "--included"),
        (
            &[
                "--included",
                "TM-1",
                "--clean",
                "--deviates",
                "TM-1",
                "--competency",
                "lock-out",
            ],
            "cannot be used with",
        ),
        (
            &["--included", "TM-2", "--deviates", "TM-1", "--competency", "lock-out"],
            "TM-1 was not among those included",
        ),
        (
            &["--included", "TM-1", "--deviates", "TM-1", "--competency", "juggling"],
            "no competency `juggling`; the course has lock-out",
        ),
    ] {
        let (code, out, err) = desk.run(&[&["inspect", "marrow", "--by", "TM-2"], rest].concat());
        assert_eq!((code, out.as_str()), (2, ""), "{rest:?}");
        assert!(err.contains(due), "{due:?} in {err}");
    }
    let (code, told) = desk.json(&[
        "inspect",
        "marrow",
        "--by",
        "TM-2",
        "--included",
        "TM-1",
        "--deviates",
        "tm-1",
        "--competency",
        "lock-out",
        "--note",
        "no try start",
    ]);
    assert_eq!(code, 0, "{told:#}");
    let entered = told["entered"].as_array().expect("a list");
    assert_eq!(entered.len(), 2, "the inspection, and with it the retraining: {told:#}");
    assert_eq!(entered[1]["standing"]["standing"], json!("studying"));
    let (_, told) = desk.json(&["standing"]);
    assert_eq!(told["inspections"][0]["done"][0]["clean"], json!(false));
    assert_eq!(told["inspections"][0]["nextDue"], json!("2027-02-01"));
    desk.now = "2027-02-02T18:00:00Z";
    let (_, out, _) = desk.run(&["standing"]);
    assert!(
        out.contains("the inspection of machine marrow, due 2027-02-01: the last one was on 2026-02-01"),
        "{out}"
    );
    // Somebody without a role finds deviations in an inspection, and nowhere else.
    let (code, _, err) = desk.run(&["retrain", "TM-1", "lock-out", "--because", "deviation", "--by", "TM-2"]);
    assert_eq!(code, 2);
    assert!(err.contains("TM-2 is neither a trainer nor a signer"), "{err}");
}

/// The course that [`staffed`] is, for devices: a marking is named by all of it.
fn course_of() -> Value {
    let staffed = staffed();
    assert_ne!(staffed, course());
    staffed
}
