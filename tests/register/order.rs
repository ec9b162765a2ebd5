//! The order of files, and how a record is split over them, makes no difference.

use super::made::{Device, End, SEEDS, Shop, X, course, day, right, seal_of, wrong};
use pitwright::standing::everybody;
use proptest::prelude::*;
use serde_json::{Value, json};
use std::collections::BTreeMap;

/// A record with everything in it: reading, practice, a fail, a pass, an attempt left, one open, a scenario, two people.
fn record() -> Vec<Value> {
    let mut one = Device::new("TM-1", &course(), "2026-02-01T08:00:00Z");
    let mut all = vec![one.read("lockout"), one.practised("yes")];
    all.extend(one.bank(SEEDS[1], wrong, End::Closed));
    one.wait(20);
    all.extend(one.passes_bank());
    all.extend(one.scenario(&["tell"], End::Left(1)));
    one.wait(20);
    all.extend(one.passes_scenario());
    let mut two = Device::new("TM-2", &course(), "2026-02-03T08:00:00Z");
    all.extend(two.bank(SEEDS[0], right, End::Left(2)));
    two.wait(20);
    all.extend(two.bank(SEEDS[1], right, End::Open(2)));
    all
}

fn standing(shop: &Shop) -> Value {
    let statements = shop.register.statements().expect("the log can be read");
    json!(everybody(
        &statements,
        shop.register.markings(),
        &BTreeMap::new(),
        &day("2026-02-20")
    ))
}

fn split(all: &[Value], into: &[usize], files: usize) -> Vec<Vec<Value>> {
    let mut split = vec![Vec::new(); files];
    for (value, file) in all.iter().zip(into) {
        split[file % files].push(value.clone());
    }
    split
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 48, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn any_split_in_any_order_ends_the_same(
        into in prop::collection::vec(0usize..5, 60),
        order in Just((0..5).collect::<Vec<usize>>()).prop_shuffle(),
        shuffle in any::<bool>(),
        marking_at in 0usize..6,
    ) {
        let all = record();
        let mut whole = Shop::passing();
        whole.archive(&course(), true);
        whole.must_take(&all);
        let mut parts = Shop::passing();
        for (step, file) in order.iter().enumerate() {
            if step == marking_at {
                parts.archive(&course(), true);
            }
            let mut file = split(&all, &into, 5)[*file].clone();
            if shuffle {
                file.reverse();
            }
            let told = parts.take(&file);
            prop_assert!(told.refused.is_empty(), "{told:#?}");
        }
        if marking_at == 5 {
            parts.archive(&course(), true);
        }
        let told = parts.take(&[]);
        prop_assert_eq!(told.waiting, 0);
        prop_assert_eq!(parts.bodies(), whole.bodies());
        prop_assert_eq!(standing(&parts), standing(&whole));
    }

    #[test]
    fn files_with_a_forged_attempt_end_the_same_in_any_order(
        into in prop::collection::vec(0usize..4, 60),
        order in Just((0..4).collect::<Vec<usize>>()).prop_shuffle(),
        forged in 0usize..5,
    ) {
        let mut device = Device::new("TM-1", &course(), "2026-02-01T08:00:00Z");
        let mut all = device.bank(SEEDS[1], wrong, End::Closed);
        if forged < 4 {
            all[forged]["timestamp"] = json!("2026-02-01T08:01:30.000Z");
        } else {
            let closing = all.last_mut().expect("it has a closing");
            closing["result"]["score"]["raw"] = json!(3);
        }
        all.extend(device.passes_scenario());
        let take = |order: &[usize]| {
            let mut shop = Shop::passing();
            shop.archive(&course(), true);
            for file in order {
                shop.take(&split(&all, &into, 4)[*file]);
            }
            shop.bodies()
        };
        prop_assert_eq!(take(&order), take(&[0, 1, 2, 3]));
    }
}

#[test]
fn statements_of_a_fold_may_come_in_any_order() {
    let mut shop = Shop::new();
    shop.must_take(&record());
    let mut statements = shop.register.statements().expect("the log can be read");
    let day = day("2026-02-20");
    let due = json!(everybody(&statements, shop.register.markings(), &BTreeMap::new(), &day));
    for _ in 0..statements.len() {
        statements.rotate_left(1);
        assert_eq!(
            json!(everybody(&statements, shop.register.markings(), &BTreeMap::new(), &day)),
            due
        );
    }
    statements.reverse();
    assert_eq!(
        json!(everybody(&statements, shop.register.markings(), &BTreeMap::new(), &day)),
        due
    );
}

#[test]
fn an_honest_copy_is_taken_after_a_forged_one_that_waits() {
    let mut shop = Shop::new();
    let mut device = Device::new("TM-1", &course(), "2026-02-01T08:00:00Z");
    let honest = device.bank(SEEDS[0], right, End::Left(2));
    let mut forged = honest.clone();
    forged[1]["context"]["extensions"]["https://other.example/x"] = json!(1);
    assert_ne!(
        seal_of(&forged[..3]),
        forged[3]["context"]["extensions"][format!("{X}seal")]
            .as_str()
            .unwrap_or_default()
    );
    let told = shop.take(&forged);
    assert_eq!((told.new.len(), told.held.len()), (0, 4), "{told:#?}");
    let told = shop.take(&honest);
    assert_eq!((told.new.len(), told.held.len()), (4, 0), "{told:#?}");
    assert_eq!(told.waiting, 0, "{told:#?}");
    assert_eq!(shop.bodies().len(), 4);
}
