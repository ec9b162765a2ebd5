//! Thousands of random lives, each day of each by two folds.

use super::acts::{Act, Seen, Taught, Way};
use super::made::day;
use super::naive;
use super::sequence::{Life, Room};
use pitwright::standing::{May, Standing};
use proptest::prelude::*;
use proptest::test_runner::{Config, RngSeed, TestRunner};
use std::cell::RefCell;
use std::collections::BTreeMap;

/// One step of a random life: what is done, and how many hours later than the step before.
#[derive(Debug, Clone, Copy)]
enum Step {
    Act(Act),
    Studies,
    Performs,
    /// Studies, performs and is signed off, all at once.
    Renews,
}

fn step() -> impl Strategy<Value = (Step, i64)> {
    let assessed = prop::sample::select(Taught::ASSESSED.to_vec()).boxed();
    let taught = prop_oneof![1 => Just(Taught::Lesson), 3 => assessed.clone()];
    let way = prop_oneof![
        4 => Just(Way::Pass),
        2 => Just(Way::Fail),
        1 => (0i64..72).prop_map(Way::Left),
        1 => Just(Way::Open),
    ];
    let seen = prop_oneof![4 => Just(Seen::Met), 1 => Just(Seen::Prompted), 1 => Just(Seen::NotMet)];
    let seen_again = prop_oneof![2 => Just(Seen::Met), 1 => Just(Seen::NotMet)];
    let old = prop::bool::weighted(0.1);
    let act = prop_oneof![
        1 => Just(Act::Open),
        3 => old.prop_map(|old| Act::Read { old }),
        6 => (assessed.clone(), way, old).prop_map(|(at, way, old)| Act::Try { at, way, old }),
        5 => (seen, any::<bool>(), prop::bool::weighted(0.9))
            .prop_map(|(seen, real, by_trainer)| Act::Watch { seen, real, by_trainer }),
        3 => (any::<bool>(), 0u8..15).prop_map(|(real, unseen)| Act::Partly { real, unseen }),
        1 => seen_again.prop_map(|seen| Act::OutOfTurn { seen }),
        2 => Just(Act::Void),
        7 => prop::bool::weighted(0.9).prop_map(|by_manager| Act::Sign { by_manager }),
        2 => Just(Act::Withdraw),
        1 => Just(Act::Retrain),
        1 => Just(Act::Join),
        1 => Just(Act::Leave),
        1 => (assessed, 1u32..3).prop_map(|(at, more)| Act::Release { at, more }),
        1 => Just(Act::Assign),
        1 => taught.prop_map(Act::Raise),
        1 => (1u32..3).prop_map(Act::Hold),
    ];
    let step = prop_oneof![
        8 => act.prop_map(Step::Act),
        3 => Just(Step::Studies),
        3 => Just(Step::Performs),
        1 => Just(Step::Renews),
    ];
    let hours = prop_oneof![4 => 0i64..6, 4 => 12i64..48, 1 => 48i64..240];
    (step, hours)
}

/// How often each standing was seen, what may be done in it, and how often each was reached from which.
#[derive(Default)]
struct Strata {
    days: BTreeMap<(Standing, May), u32>,
    ways: BTreeMap<(Standing, Standing), u32>,
    renewable: BTreeMap<Standing, u32>,
}

/// Every day of a random life, by both folds.
fn compare(steps: &[(Step, i64)], room: &mut Room, strata: &mut Strata) -> Result<(), TestCaseError> {
    let mut life = Life::new(room, "2026-02-01");
    for (step, hours) in steps {
        life.wait(*hours);
        match step {
            Step::Act(act) => life.act(*act),
            Step::Studies => life.studies(),
            Step::Performs => life.performs(),
            Step::Renews => {
                life.studies();
                life.performs();
                life.act(Act::Sign { by_manager: true });
            }
        }
    }
    let last = life
        .today()
        .checked_add(jiff::Span::new().days(2))
        .expect("time goes on");
    let mut today = day("2026-01-31").date;
    let mut before = None;
    while today <= last {
        let says = life.says(&today.to_string());
        let naive = naive::on(&life.facts, today);
        prop_assert_eq!(
            (says.standing, says.may, says.lapses, says.renewable),
            (naive.standing, naive.may, naive.lapses, naive.renewable),
            "on {}: {:#?}",
            today,
            (&says, &life.facts)
        );
        *strata.days.entry((says.standing, says.may)).or_default() += 1;
        if says.renewable {
            *strata.renewable.entry(says.standing).or_default() += 1;
        }
        if let Some(before) = before.replace(says.standing).filter(|before| *before != says.standing) {
            *strata.ways.entry((before, says.standing)).or_default() += 1;
        }
        today = today.tomorrow().expect("time goes on");
    }
    Ok(())
}

/// How many random lives are led.
const LIVES: u32 = 2000;

#[test]
fn random_lives_agree_with_the_naive_fold_on_every_day() {
    let room = RefCell::new(Room::default());
    let strata = RefCell::new(Strata::default());
    let config = Config {
        cases: LIVES,
        failure_persistence: None,
        rng_seed: RngSeed::Fixed(20_261_125),
        ..Config::default()
    };
    let lives = prop::collection::vec(step(), 4..18);
    TestRunner::new(config)
        .run(&lives, |steps| {
            compare(&steps, &mut room.borrow_mut(), &mut strata.borrow_mut())
        })
        .unwrap_or_else(|why| panic!("{why}"));
    let strata = strata.into_inner();
    let mut rare = Vec::new();
    let mut often = |what: String, seen: Option<&u32>, least: u32| {
        let seen = seen.copied().unwrap_or(0);
        if seen < least {
            rare.push(format!("{what}: {seen} of {least}"));
        }
    };
    for standing in Standing::ALL {
        for may in [standing.may(), May::Nothing] {
            often(format!("{standing}, {may}"), strata.days.get(&(standing, may)), 50);
        }
    }
    for standing in [Standing::Signed, Standing::Withdrawn] {
        often(
            format!("{standing}, to be signed anew"),
            strata.renewable.get(&standing),
            50,
        );
    }
    for (from, to) in WAYS {
        often(format!("from {from} to {to}"), strata.ways.get(&(from, to)), 10);
    }
    assert_eq!(rare, Vec::<String>::new(), "too seldom in {LIVES} lives");
}

/// Ways from day to day that random lives must take often.
const WAYS: [(Standing, Standing); 14] = [
    (Standing::NothingYet, Standing::Studying),
    (Standing::NothingYet, Standing::Withdrawn),
    (Standing::Studying, Standing::ReadyToBeWitnessed),
    (Standing::ReadyToBeWitnessed, Standing::Studying),
    (Standing::ReadyToBeWitnessed, Standing::ReadyToSign),
    (Standing::ReadyToSign, Standing::Studying),
    (Standing::ReadyToSign, Standing::Signed),
    (Standing::Signed, Standing::Lapsed),
    (Standing::Signed, Standing::ReadyToSign),
    (Standing::Signed, Standing::Withdrawn),
    (Standing::Lapsed, Standing::ReadyToSign),
    (Standing::Lapsed, Standing::Signed),
    (Standing::Lapsed, Standing::Withdrawn),
    (Standing::Withdrawn, Standing::Signed),
];
