//! People who come and go, and whose names and notes are erased.

use super::life::staffed;
use super::made::{Device, Shop, at, day};
use pitwright::record::{Thing, What};
use pitwright::standing::{ERASED, May, Person, Standing, everybody, person};

/// A shop with jobs since 2026-01-01, where TM-1 joined on 2026-01-02; it is the end of 2026.
pub fn shop() -> Shop {
    let mut shop = Shop::empty();
    shop.now = at("2026-01-01T00:00:00Z");
    shop.archive(&staffed(), true);
    shop.now = at("2026-12-31T12:00:00Z");
    joins(&mut shop, "TM-1", "mechanic", "2026-01-02");
    shop
}

fn joins(shop: &mut Shop, who: &str, job: &str, on: &str) {
    let what = What::Joined {
        job: Some(job.to_owned()),
    };
    shop.enter(who, "TR-1", what, on).expect("it is entered");
}

pub fn tm1(shop: &Shop, on: &str) -> Person {
    let statements = shop.register.statements().expect("the log can be read");
    let details = shop.register.details().expect("they can be read");
    person("TM-1", &statements, shop.register.markings(), &details, &day(on)).expect("a course is in force")
}

pub fn competency() -> String {
    "lock-out".to_owned()
}

#[test]
fn whoever_has_left_is_neither_watched_nor_asked_but_what_was_seen_is_entered() {
    let mut shop = shop();
    shop.enter("TM-1", "MG-1", What::Left, "2026-03-01")
        .expect("it is entered");
    let assigned = || What::Assigned {
        thing: Thing::Competency(competency()),
        due: None,
    };
    for what in [assigned(), What::Left] {
        let why = shop
            .enter("TM-1", "TR-1", what, "2026-03-02")
            .expect_err("they have left")
            .to_string();
        assert_eq!(
            why,
            "TM-1 left the centre on 2026-03-01; if they are back, `pitwright join TM-1` comes first"
        );
    }
    shop.enter("TM-1", "TR-1", assigned(), "2026-02-28")
        .expect("they were here on that day");
    let what = What::Withdrawn {
        competency: competency(),
    };
    shop.enter("TM-1", "TR-1", what, "2026-03-05")
        .expect("what was seen is on record when they come back");
    assert_eq!(
        tm1(&shop, "2026-03-05").assignments,
        [],
        "nothing is asked of who has left"
    );
    joins(&mut shop, "TM-1", "desk", "2026-04-01");
    let back = tm1(&shop, "2026-04-01");
    assert_eq!((back.left, back.job.as_deref()), (None, Some("desk")));
    assert_eq!(back.joined, Some(day("2026-04-01").date));
    assert_eq!(back.competencies[0].standing, Standing::Withdrawn);
    assert_eq!(back.assignments, [], "nor is the old work of who comes back");
    assert_eq!(tm1(&shop, "2026-02-28").assignments.len(), 1);
}

#[test]
fn nothing_happens_to_somebody_before_they_joined_but_what_takes_away() {
    let mut shop = shop();
    let thing = Thing::Competency(competency());
    let signed = What::SignedOff {
        competency: competency(),
        proof: None,
    };
    let released = What::Released {
        assessment: pitwright::marking::Evidence::Bank("alone".to_owned()),
        more: 1,
    };
    for (by, what) in [
        ("TR-1", What::Left),
        ("TR-1", What::Assigned { thing, due: None }),
        ("TR-1", released),
        ("MG-1", signed),
    ] {
        let before = shop.register.ledger().head.clone();
        let why = shop
            .enter("TM-1", by, what.clone(), "2026-01-01")
            .expect_err("they joined a day later")
            .to_string();
        assert!(
            why.starts_with(
                "TM-1 joined the centre on 2026-01-02, and 2026-01-01 is before that: give the right day with --on"
            ),
            "{what:?}: {why}"
        );
        assert_eq!(shop.register.ledger().head, before, "a refusal writes nothing");
    }
    let what = What::Withdrawn {
        competency: competency(),
    };
    shop.enter("TM-1", "TR-1", what, "2026-01-01")
        .expect("what takes away is never too early");
    shop.enter("TM-1", "TR-1", What::Left, "2026-01-02")
        .expect("on the first day they may leave");
}

#[test]
fn leaving_and_coming_back_lapses_what_was_signed() {
    let mut shop = shop();
    let mut device = Device::new("TM-1", &staffed(), "2026-02-01T08:00:00Z");
    shop.must_take(&device.studies_all());
    for (on, real) in [("2026-02-02", true), ("2026-02-03", false)] {
        shop.watched("TM-1", on, 'm', real);
    }
    shop.signed("TM-1", "2026-02-04");
    shop.enter("TM-1", "TR-1", What::Left, "2026-03-01")
        .expect("it is entered");
    let gone = tm1(&shop, "2026-03-01");
    assert_eq!(
        (gone.competencies[0].standing, gone.competencies[0].may),
        (Standing::Signed, May::Nothing)
    );
    assert_eq!(gone.competencies[0].reasons[0], "left the centre on 2026-03-01");
    let listed = |on: &str| {
        let statements = shop.register.statements().expect("the log can be read");
        let details = shop.register.details().expect("they can be read");
        everybody(&statements, shop.register.markings(), &details, &day(on)).len()
    };
    assert_eq!((listed("2026-02-28"), listed("2026-03-01")), (1, 0));
    joins(&mut shop, "TM-1", "mechanic", "2026-04-01");
    let back = tm1(&shop, "2026-04-01");
    let competence = &back.competencies[0];
    assert_eq!(
        (competence.standing, competence.may),
        (Standing::Lapsed, May::Accompanied)
    );
    assert!(
        competence.reasons.contains(
            &"came back on 2026-04-01 after leaving on 2026-03-01, which is a change of job assignment".to_owned()
        ),
        "{competence:#?}"
    );
    assert_eq!(competence.missing.len(), 4, "everything anew: {competence:#?}");
    assert_eq!(
        competence.signed_on,
        Some(day("2026-02-04").date),
        "the day of the signature stays on record"
    );
}

#[test]
fn erased_words_say_that_they_were_erased() {
    let mut shop = shop();
    let what = What::Withdrawn {
        competency: competency(),
    };
    shop.enter("TM-1", "TR-1", what, "2026-02-01").expect("it is entered");
    let before = tm1(&shop, "2026-02-01");
    assert_eq!(before.name.as_deref(), Some("Somebody"));
    assert_eq!(
        before.competencies[0].reasons[0],
        "withdrawn on 2026-02-01 (TR-1: lane 7)"
    );
    let statements = shop.register.statements().expect("the log can be read");
    let none = std::collections::BTreeMap::new();
    let after =
        person("TM-1", &statements, shop.register.markings(), &none, &day("2026-02-01")).expect("it is in force");
    assert_eq!(after.name.as_deref(), Some(ERASED));
    assert_eq!(
        after.competencies[0].reasons[0],
        "withdrawn on 2026-02-01 (TR-1: (erased))"
    );
    assert_eq!(after.events[1].note.as_deref(), Some(ERASED));
    assert_eq!(
        after.competencies[0].standing,
        Standing::Withdrawn,
        "words decide nothing"
    );
}
