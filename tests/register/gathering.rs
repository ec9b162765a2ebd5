//! Taking hand-ins in: once, twice, and with a marking that comes later.

use super::made::{Device, End, SEEDS, Shop, course, file, given, right};
use serde_json::json;

#[test]
fn handing_in_twice_changes_nothing() {
    let mut shop = Shop::new();
    let mut device = Device::new("TM-1", &course(), "2026-02-01T08:00:00Z");
    let all = device.studies_all();
    shop.must_take(&all);
    let (rows, bodies) = (shop.register.ledger().head.clone(), shop.bodies());
    let again = shop.take(&all);
    assert_eq!((again.new.len(), again.known, again.clean()), (0, all.len(), true));
    assert_eq!((shop.register.ledger().head.clone(), shop.bodies()), (rows, bodies));
    let mut twice = all.clone();
    twice.extend(all.clone());
    let again = shop.take(&twice);
    assert!(again.clean() && again.new.is_empty());
}

#[test]
fn the_same_statement_twice_in_a_new_file_is_one() {
    let mut shop = Shop::new();
    let mut device = Device::new("TM-1", &course(), "2026-02-01T08:00:00Z");
    let all = device.studies_all();
    let twice: Vec<_> = all.iter().chain(&all).cloned().collect();
    let told = shop.take(&twice);
    assert!(told.clean(), "{told:#?}");
    assert_eq!(told.new.len(), all.len());
    assert_eq!(shop.bodies().len(), all.len());
}

#[test]
fn an_open_attempt_is_taken_and_its_closing_comes_later() {
    let mut shop = Shop::new();
    let mut device = Device::new("TM-1", &course(), "2026-02-01T08:00:00Z");
    let all = device.passes_bank();
    shop.must_take(&all[..2]);
    let told = shop.take(&all);
    assert_eq!((told.new.len(), told.known, told.clean()), (3, 2, true), "{told:#?}");
}

#[test]
fn a_later_part_waits_for_the_beginning() {
    let mut shop = Shop::new();
    let mut device = Device::new("TM-1", &course(), "2026-02-01T08:00:00Z");
    let all = device.passes_bank();
    let told = shop.take(&all[2..]);
    assert_eq!((told.new.len(), told.held.len(), told.waiting), (0, 3, 3));
    assert!(
        told.held[0].why.as_deref().is_some_and(|why| why.contains("beginning")),
        "{told:#?}"
    );
    assert!(shop.bodies().is_empty());
    let told = shop.take(&all[..2]);
    assert_eq!(
        (told.new.len(), told.released.len(), told.waiting),
        (2, 3, 0),
        "{told:#?}"
    );
    assert_eq!(shop.bodies().len(), 5);
    let again = shop.take(&all);
    assert_eq!((again.known, again.clean()), (5, true));
}

#[test]
fn the_part_of_an_attempt_that_was_left_waits_for_the_rest() {
    let mut shop = Shop::new();
    let mut device = Device::new("TM-1", &course(), "2026-02-01T08:00:00Z");
    let all = device.bank(SEEDS[0], right, End::Left(2));
    let [begun, first, second, closing] = &all[..] else {
        panic!("four statements");
    };
    let told = shop.take(&[begun.clone(), first.clone(), closing.clone()]);
    assert_eq!((told.new.len(), told.held.len()), (0, 3), "{told:#?}");
    assert!(
        told.held[0]
            .why
            .as_deref()
            .is_some_and(|why| why.contains("seal does not fit what has been handed in"))
    );
    let told = shop.take(std::slice::from_ref(second));
    assert_eq!(
        (told.new.len(), told.released.len(), told.waiting),
        (1, 3, 0),
        "{told:#?}"
    );
}

#[test]
fn a_record_on_an_unknown_course_is_held_until_its_marking_comes() {
    let mut old = course();
    old["title"] = json!("Test house, earlier");
    let mut shop = Shop::new();
    let mut device = Device::new("TM-1", &old, "2025-12-01T08:00:00Z");
    let all = device.studies_all();
    let told = shop.take(&all);
    assert_eq!(
        (told.held.len(), told.new.len(), told.waiting),
        (all.len(), 0, all.len())
    );
    let why = told.held[0].why.clone().unwrap_or_default();
    assert!(why.contains(&device.hash) && why.contains("--marking"), "{why}");
    assert_eq!(
        shop.take(&all).waiting,
        all.len(),
        "held once, however often it is handed in"
    );
    let in_use = shop.register.markings().newest().map(|(hash, _)| hash.to_owned());
    shop.archive(&old, false);
    assert_eq!(
        shop.register.markings().newest().map(|(hash, _)| hash.to_owned()),
        in_use,
        "the marking of an older course does not become the course in use"
    );
    let told = shop.register.release(shop.now).expect("the register can be written");
    assert_eq!((told.released.len(), told.waiting), (all.len(), 0), "{told:#?}");
    assert_eq!(shop.bodies().len(), all.len());
}

#[test]
fn without_any_course_everything_is_held() {
    let mut shop = Shop::empty();
    let mut device = Device::new("TM-1", &course(), "2026-02-01T08:00:00Z");
    let all = device.studies_all();
    assert_eq!(shop.take(&all).held.len(), all.len());
    shop.archive(&course(), false);
    assert!(
        shop.register.markings().newest().is_some(),
        "the first marking is the course in use"
    );
    assert_eq!(shop.take(&[]).released.len(), all.len());
}

#[test]
fn a_marking_comes_into_force_if_it_is_current_or_plainly_newer() {
    let mut shop = Shop::new();
    let mut newer = course();
    newer["lessons"][0]["edition"] = json!(2);
    let told = shop
        .register
        .archive(&[given(&newer, false)], shop.now)
        .expect("it is taken");
    assert!(told[0].new && told[0].came_into_force);
    let told = shop
        .register
        .archive(&[given(&course(), false)], shop.now)
        .expect("it is taken");
    assert!(
        !told[0].new && !told[0].came_into_force,
        "known and older: nothing happens"
    );
    let told = shop
        .register
        .archive(&[given(&course(), true)], shop.now)
        .expect("it is taken");
    assert!(!told[0].new && told[0].came_into_force, "the author went back to it");
    assert!(told[0].warning.as_deref().is_some_and(|why| why.contains("Lockout")));
    let mut other = course();
    other["course"] = json!("another-house");
    let told = shop
        .register
        .archive(&[given(&other, true)], shop.now)
        .expect("the register can be written");
    assert!(
        told[0]
            .refused
            .as_deref()
            .is_some_and(|why| why.contains("another-house"))
    );
}

/// Earlier files stay beside the one in use, and an author may have gone back: none of them comes into force again.
#[test]
fn what_lies_beside_the_course_in_use_stays_as_it_was() {
    let mut shop = Shop::new();
    let mut higher = course();
    higher["lessons"][0]["edition"] = json!(2);
    for _ in 0..2 {
        let told = shop
            .register
            .archive(&[given(&higher, false), given(&course(), true)], shop.now)
            .expect("they are taken");
        assert!(told.iter().all(|one| !one.came_into_force), "{told:#?}");
    }
    let told = shop
        .register
        .archive(&[given(&higher, true)], shop.now)
        .expect("it is taken");
    assert!(told[0].came_into_force, "it is the one in use now");
}

#[test]
fn a_clock_far_ahead_is_taken_with_a_warning() {
    let mut shop = Shop::new();
    let mut device = Device::new("TM-1", &course(), "2027-02-01T08:00:00Z");
    let told = shop.take(&[device.read("lockout")]);
    assert_eq!((told.new.len(), told.warnings.len()), (1, 1));
    assert!(told.warnings[0].contains("clock"), "{}", told.warnings[0]);
}

#[test]
fn two_people_share_a_file_without_harm() {
    let mut shop = Shop::new();
    let mut one = Device::new("TM-1", &course(), "2026-02-01T08:00:00Z");
    let mut two = Device::new("TM-2", &course(), "2026-02-01T08:00:00Z");
    let mut all = one.studies_all();
    all.extend(two.studies_all());
    shop.must_take(&all);
    assert_eq!(
        shop.register.ledger().people.iter().collect::<Vec<_>>(),
        ["TM-1", "TM-2"]
    );
    assert!(file(&all).faults.is_empty());
}
