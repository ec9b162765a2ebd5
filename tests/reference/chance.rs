//! Exact chances against textbook chains and binomial tables, and against looking at every form.

use pitwright::chance::{Chain, Item, Pool, at_least, blind_form, over_tries, worst_form};
use pitwright::marking::FULL;
use proptest::prelude::*;

fn close(found: f64, wanted: f64, within: f64) {
    assert!((found - wanted).abs() <= within, "found {found}, wanted {wanted}");
}

/// States 0 to `last` in a row, both ends absorbing; one step up with chance `up`, else one down.
fn row(last: usize, up: f64) -> Chain {
    let mut chain = Chain::new(last + 1);
    for state in 1..last {
        chain.step(state, state + 1, up);
        chain.step(state, state - 1, 1.0 - up);
    }
    chain
}

/// C. M. Grinstead, J. L. Snell, "Introduction to Probability", 11.2: the drunkard's walk on 0 to 4.
#[test]
fn the_drunkards_walk() {
    let walk = row(4, 0.5);
    let (home, bar) = (
        walk.absorb(|state| state == 0).expect("it ends"),
        walk.absorb(|state| state == 4).expect("it ends"),
    );
    for (state, (chance, steps)) in [(0.75, 3.0), (0.5, 4.0), (0.25, 3.0)].into_iter().enumerate() {
        close(home.chance[state + 1], chance, 1e-12);
        close(bar.chance[state + 1], 1.0 - chance, 1e-12);
        close(home.steps[state + 1], steps, 1e-12);
    }
}

/// Gambler's ruin, worked out beside its closed form by numerical inversion: (last, start, up, chance of the top, steps).
#[test]
fn gamblers_ruin_in_figures() {
    for (last, start, up, chance, steps) in [
        (10, 5, 0.4, 0.116_364, 19.181_818),
        (10, 5, 18.0 / 38.0, 0.371_263, 24.460_041),
        (20, 10, 18.0 / 38.0, 0.258_534, 91.757_303),
        (5, 2, 0.6, 0.639_810, 5.995_261),
    ] {
        let found = row(last, up).absorb(|state| state == last).expect("it ends");
        close(found.chance[start], chance, 1e-6);
        close(found.steps[start], steps, 1e-6);
    }
}

proptest! {
    /// The closed forms, with r = q/p: P = (1 − r^i)/(1 − r^N), steps = (i − N·P)/(q − p); i/N and i(N − i) where p = ½.
    /// Grinstead & Snell, chapter 12.2 (the number of the chapter is from memory).
    #[test]
    fn gamblers_ruin_in_closed_form(last in 2usize..30, up in 0.15f64..0.85) {
        prop_assume!((up - 0.5).abs() > 0.01);
        let found = row(last, up).absorb(|state| state == last).expect("it ends");
        let fair = row(last, 0.5).absorb(|state| state == last).expect("it ends");
        let r = (1.0 - up) / up;
        let n = f64::from(u32::try_from(last).expect("small"));
        for i in 1..last {
            let at = f64::from(u32::try_from(i).expect("small"));
            let chance = (1.0 - r.powf(at)) / (1.0 - r.powf(n));
            let steps = (at - n * chance) / (1.0 - 2.0 * up);
            prop_assert!((found.chance[i] - chance).abs() < 1e-9, "{} {chance}", found.chance[i]);
            prop_assert!((found.steps[i] - steps).abs() < 1e-8 * steps, "{} {steps}", found.steps[i]);
            prop_assert!((fair.chance[i] - at / n).abs() < 1e-11);
            prop_assert!((fair.steps[i] - at * (n - at)).abs() < 1e-9);
        }
    }
}

/// A clicker who may start again, worked by hand from t = 1 + Qt and b = Qb + r: A to A, B or failing by thirds; B to B ¼, C ¼,
/// failing ½; C to A or passing by halves.
#[test]
fn a_clicker_who_may_start_again() {
    let (a, b, c, failed, passed) = (0, 1, 2, 3, 4);
    let mut chain = Chain::new(5);
    for (from, to, chance) in [
        (a, b, 1.0 / 3.0),
        (a, a, 1.0 / 3.0),
        (a, failed, 1.0 / 3.0),
        (b, b, 0.25),
        (b, c, 0.25),
        (b, failed, 0.5),
        (c, a, 0.5),
        (c, passed, 0.5),
    ] {
        chain.step(from, to, chance);
    }
    let found = chain.absorb(|state| state == passed).expect("it ends");
    for (state, (steps, pass)) in [(28.0, 1.0), (23.0, 2.0), (25.0, 6.0)].into_iter().enumerate() {
        close(found.steps[state], steps / 11.0, 1e-12);
        close(found.chance[state], pass / 11.0, 1e-12);
    }
}

#[test]
fn a_loop_without_a_way_out_is_refused() {
    let mut chain = Chain::new(3);
    chain.step(0, 1, 0.5);
    chain.step(0, 2, 0.5);
    chain.step(1, 1, 1.0);
    assert_eq!(chain.absorb(|state| state == 2).expect_err("1 never ends").state, 1);
}

/// (questions, options of each, least right, chance): tails of the binomial distribution by SciPy 1.17.1, `binom.sf`.
const GUESSING: [(usize, f64, u64, f64); 8] = [
    (10, 4.0, 7, 0.003_505_71),
    (10, 4.0, 8, 0.000_415_802),
    (20, 4.0, 14, 2.951_17e-5),
    (10, 2.0, 7, 0.171_875),
    (10, 2.0, 8, 0.054_687_5),
    (20, 2.0, 16, 0.005_908_97),
    (5, 4.0, 4, 0.015_625),
    (12, 4.0, 10, 3.761_05e-5),
];

#[test]
fn guessing_equal_questions_is_binomial() {
    for (questions, options, least, chance) in GUESSING {
        let item = Item::right_with(1.0 / options, FULL, false);
        let needed = least * u64::from(FULL);
        let form = blind_form(&vec![&item; questions], FULL, needed);
        // Six figures are printed.
        close(form, chance, chance * 5e-6);
        let pool = Pool {
            count: questions,
            items: vec![item; questions + 3],
        };
        let worst = worst_form(&[pool], FULL, needed);
        assert!(worst.exact);
        close(worst.chance, form, 1e-15);
    }
}

#[test]
fn tries_add_up_as_independent_ones_do() {
    close(over_tries(0.5, 3), 0.875, 1e-15);
    close(over_tries(0.1, 2), 0.19, 1e-15);
}

/// All ways to take `count` of `items`, each looked at.
fn choices(items: &[Item], count: usize) -> Vec<Vec<&Item>> {
    let Some((first, rest)) = items.split_first() else {
        return if count == 0 { vec![Vec::new()] } else { Vec::new() };
    };
    let mut all = choices(rest, count);
    if count > 0 {
        all.extend(choices(rest, count - 1).into_iter().map(|mut taken| {
            taken.push(first);
            taken
        }));
    }
    all
}

/// The chance of passing by listing every combination of marks, with no sums shared.
fn by_listing(form: &[&Item], needed: u64) -> f64 {
    fn go(form: &[&Item], parts: u64, chance: f64, needed: u64) -> f64 {
        let Some((item, rest)) = form.split_first() else {
            return if parts >= needed { chance } else { 0.0 };
        };
        item.marks
            .iter()
            .filter(|(mark, _)| !item.critical || *mark == FULL)
            .map(|(mark, of)| go(rest, parts + u64::from(*mark), chance * of, needed))
            .sum()
    }
    go(form, 0, 1.0, needed)
}

fn an_item() -> impl Strategy<Value = Item> {
    let right =
        (1u32..10, any::<bool>()).prop_map(|(of, critical)| Item::right_with(f64::from(of) / 10.0, FULL, critical));
    let shared = (1u32..5, 0u32..5, 0u32..5, any::<bool>()).prop_map(|(full, half, third, critical)| {
        let of = |tenths: u32| f64::from(tenths) / 16.0;
        let marks = vec![
            (FULL, of(full)),
            (FULL / 2, of(half)),
            (FULL / 3, of(third)),
            (0, of(16 - full - half - third)),
        ];
        Item { marks, critical }
    });
    prop_oneof![right, shared]
}

fn a_pool() -> impl Strategy<Value = Pool> {
    prop::collection::vec(an_item(), 1..5)
        .prop_flat_map(|items| {
            let most = items.len();
            // Twins of an item must not be counted twice.
            (Just(items), 1..=most, any::<bool>())
        })
        .prop_map(|(mut items, count, twin)| {
            if twin {
                items.push(items[0].clone());
            }
            Pool { count, items }
        })
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(400))]

    #[test]
    fn the_easiest_form_is_the_best_of_all_forms(pools in prop::collection::vec(a_pool(), 1..3), thirds in 0u64..16) {
        let needed = thirds * u64::from(FULL) / 3;
        let mut forms: Vec<Vec<&Item>> = vec![Vec::new()];
        for pool in &pools {
            let picks = choices(&pool.items, pool.count);
            forms = forms.iter().flat_map(|form| picks.iter().map(move |pick| [form.as_slice(), pick].concat())).collect();
        }
        let best = forms.iter().map(|form| by_listing(form, needed)).fold(0.0, f64::max);
        let found = worst_form(&pools, FULL, needed);
        prop_assert!(found.exact);
        prop_assert!((found.chance - best).abs() < 1e-12, "found {}, best of {} forms {best}", found.chance, forms.len());
    }
}

/// Too many sorts to look at: what is given instead must never be below a form that can be drawn.
#[test]
fn a_bound_is_never_below_a_form_that_can_be_drawn() {
    let pool = |shift: u32| Pool {
        count: 8,
        // Easier questions are critical, harder ones are not, so that no pick is plainly better than another.
        items: (0..16)
            .map(|place| Item::right_with(f64::from(place * 3 + shift) / 60.0 + 0.02, FULL, place >= 8))
            .collect(),
    };
    // Nine picks of each that no swap betters, so 9^5 forms.
    let pools = [0, 1, 2, 3, 4].map(pool);
    for needed in [0, 10, 20, 30, 40] {
        let needed = needed * u64::from(FULL);
        let found = worst_form(&pools, FULL, needed);
        assert!(!found.exact, "this many forms are not looked at");
        for skip in 0..8 {
            let form: Vec<&Item> = pools
                .iter()
                .flat_map(|pool| pool.items.iter().skip(skip).take(8))
                .collect();
            assert!(found.chance >= blind_form(&form, FULL, needed) - 1e-12);
        }
    }
}

/// The same tails for counts of things that come about, and one with unequal chances: 1/2, 1/3, 1/4 give 24 equally likely cases, of which
/// 11 hold exactly one, 6 exactly two and 1 all three (worked by hand).
#[test]
fn things_that_come_about_are_counted_exactly() {
    for (number, options, least, chance) in GUESSING {
        let least = usize::try_from(least).expect("few");
        close(at_least(&vec![1.0 / options; number], least), chance, chance * 5e-6);
    }
    let unequal = [1.0 / 2.0, 1.0 / 3.0, 1.0 / 4.0];
    for (least, cases) in [(0, 24.0), (1, 18.0), (2, 7.0), (3, 1.0), (4, 0.0)] {
        close(at_least(&unequal, least), cases / 24.0, 1e-15);
    }
}
