//! The chance of acting at random, against published chains and against chains solved here.

use super::made::must;
use pitwright::explore::{Blind, Graph, World, blind};

/// What is followed before it is given up leaves less open than this.
const LEFT: f64 = 1e-3;

fn chance(machine: &str, drill: &str) -> Blind {
    let (machine, drill) = must(machine, drill);
    let world = World::new(&machine);
    let mut graph = Graph::of(&world, &drill).expect("it is small");
    blind(&world, &drill, &mut graph).expect("it is small")
}

/// The bounds hold a value, and are tight.
#[track_caller]
fn holds(bounds: Blind, due: f64) {
    let rounding = 1e-9;
    assert!(bounds.left < LEFT, "too much is left open: {bounds:?}");
    assert!(
        bounds.least <= due + rounding && due <= bounds.most() + rounding,
        "{bounds:?} does not hold {due}"
    );
}

/// A counter from 0 to `most`: so many equal acts that count up, so many that count down; 0 hurts.
fn walk(most: u32, ups: u32, downs: u32) -> String {
    format!(
        "state: {{ at: 0..{most} }}\n\
         hazards:\n  ruin: {{ when: {{ at: 0 }}, to: person, harm: H, severity: critical }}\n\
         actions:\n  \
         up: {{ says: S, for: {{ n: 1..{ups} }}, does: {{ at: {{ add: 1 }} }} }}\n  \
         down: {{ says: S, for: {{ n: 1..{downs} }}, does: {{ at: {{ add: -1 }} }} }}\n"
    )
}

fn walked(most: u32, start: u32, ups: u32, downs: u32) -> Blind {
    chance(
        &walk(most, ups, downs),
        &format!("start: {{ at: {start} }}\ncured: {{ at: {most} }}\n"),
    )
}

/// The chance to come to `most` before 0.
fn closed(most: u32, start: u32, ups: u32, downs: u32) -> f64 {
    if ups == downs {
        return f64::from(start) / f64::from(most);
    }
    let r = f64::from(downs) / f64::from(ups);
    (1.0 - r.powf(f64::from(start))) / (1.0 - r.powf(f64::from(most)))
}

/// Gambler's ruin. Source: C. M. Grinstead and J. L. Snell, Introduction to Probability, ch. 11 (absorbing chains; the
/// closed form of the ruin problem); the six digits were worked out from it and from the chain's matrix.
#[test]
fn gamblers_ruin() {
    for (most, start, ups, downs, published) in [
        (5, 2, 3, 2, 0.639_810),
        (10, 5, 2, 3, 0.116_364),
        (10, 5, 18, 20, 0.371_263),
        (20, 10, 18, 20, 0.258_534),
    ] {
        let due = closed(most, start, ups, downs);
        assert!((due - published).abs() < 1e-6, "{due} is not {published}");
        holds(walked(most, start, ups, downs), due);
    }
}

#[test]
fn gamblers_ruin_from_everywhere() {
    for most in 2..=7 {
        for (ups, downs) in [(1, 1), (1, 2), (2, 1), (1, 4), (4, 3)] {
            let mut sum = 0.0;
            for start in 1..most {
                let due = closed(most, start, ups, downs);
                sum += due;
                holds(walked(most, start, ups, downs), due);
            }
            // Every start equally likely.
            let drill = format!(
                "start: {{ at: {:?} }}\ncured: {{ at: {most} }}\n",
                (1..most).collect::<Vec<_>>()
            );
            holds(chance(&walk(most, ups, downs), &drill), sum / f64::from(most - 1));
        }
    }
}

/// The drunkard's walk on 0 to 4: B = NR has the rows (3/4, 1/4), (1/2, 1/2), (1/4, 3/4), and N = (I − Q)⁻¹.
///
/// Source: Grinstead and Snell, as above, ch. 11.2, the example of that name.
#[test]
fn drunkards_walk() {
    for (start, due) in [(1, 0.25), (2, 0.5), (3, 0.75)] {
        holds(walked(4, start, 1, 1), due);
    }
}

/// The unknowns x of x = Qx + r, by elimination: the chances of a chain to be absorbed where r says.
fn absorbed<const N: usize>(q: [[f64; N]; N], r: [f64; N]) -> [f64; N] {
    let mut rows: Vec<Vec<f64>> = (0..N)
        .map(|i| {
            let mut row: Vec<f64> = (0..N).map(|j| f64::from(u8::from(i == j)) - q[i][j]).collect();
            row.push(r[i]);
            row
        })
        .collect();
    // Q's rows sum to less than one somewhere on every way, so no pivot vanishes.
    for pivot in 0..N {
        let top = rows[pivot].clone();
        for (at, row) in rows.iter_mut().enumerate() {
            if at != pivot {
                let share = row[pivot] / top[pivot];
                for (cell, above) in row.iter_mut().zip(&top) {
                    *cell -= share * above;
                }
            }
        }
    }
    std::array::from_fn(|i| rows[i][N] / rows[i][i])
}

#[test]
fn elimination_finds_the_drunkard() {
    let h = 0.5;
    let found = absorbed([[0.0, h, 0.0], [h, 0.0, h], [0.0, h, 0.0]], [0.0, 0.0, h]);
    for (one, due) in found.iter().zip([0.25, 0.5, 0.75]) {
        assert!((one - due).abs() < 1e-12, "{found:?}");
    }
}

/// Three places. At a: on to b, an act on what is left alone, one that hurts. At b: one that does nothing, on to c, one that
/// breaks a rule, one that harms the machine. At c: back to a, or done. So
/// a = b/3 + a/3, b = b/4 + c/4, c = a/2 + 1/2; from which b = c/3, a = b/2 = c/6, c = 6/11: a pass from a in 1 of 11 runs,
/// from b in 2, from c in 6.
const CLICKER: &str = "\
state: { at: [a, b, c, done], lamp: [dark, lit], gate: [shut, open] }
hazards:
  hurt: { to: person, harm: H, severity: critical }
  burnt: { to: machine, harm: H, severity: marginal }
actions:
  on: { says: S, needs: { at: a }, does: { at: b } }
  touch: { says: S, needs: { at: a }, does: { lamp: lit } }
  reach: { says: S, needs: { at: a }, strikes: [ { when: { at: a }, hazard: hurt } ] }
  wait: { says: S, needs: { at: b } }
  further: { says: S, needs: { at: b }, does: { at: c } }
  open: { says: S, needs: { at: b }, does: { gate: open } }
  force: { says: S, needs: { at: b }, strikes: [ { when: { at: b }, hazard: burnt } ] }
  back: { says: S, needs: { at: c }, does: { at: a } }
  finish: { says: S, needs: { at: c }, does: { at: done } }
rules:
  shut-first: { when: { gate: open }, order: [finish], source: S }
";

#[test]
fn every_way_to_fail_ends_a_run() {
    for (start, elevenths) in [("a", 1.0), ("b", 2.0), ("c", 6.0)] {
        let drill = format!("start: {{ at: {start} }}\ncured: {{ at: done }}\nholds: [lamp]\n");
        holds(chance(CLICKER, &drill), elevenths / 11.0);
    }
    let (f, third) = (0.25, 1.0 / 3.0);
    let found = absorbed([[third, third, 0.0], [0.0, f, f], [0.5, 0.0, 0.0]], [0.0, 0.0, 0.5]);
    assert!((found[0] * 11.0 - 1.0).abs() < 1e-12, "{found:?}");
}

/// Others act after each act, in their order, each by its odds. At 1: up, wait, hurt; at 2 the same, and up is a pass.
/// After an act that ends at 2, somebody steps it back to 1 with odds 1/4, and somebody then steps it on again with odds 1/3:
/// it stands at 2 with 3/4 + 1/4 · 1/3 = 5/6, at 1 with 1/6. After an act that ends at 1 it stands at 2 with 1/3.
#[test]
fn others_have_their_odds() {
    let machine = "\
state: { at: 0..3 }
hazards:
  hurt: { to: person, harm: H, severity: critical }
actions:
  up: { says: S, does: { at: { add: 1 } } }
  wait: { says: S }
  reach: { says: S, strikes: [ { when: {}, hazard: hurt } ] }
others:
  steps-back: { says: S, when: { at: 2 }, does: { at: 1 }, odds: 1/4 }
  steps-on: { says: S, when: { at: 1 }, does: { at: 2 }, odds: 1/3 }
";
    let third = 1.0 / 3.0;
    // From 1: up comes to 2, wait stays at 1. From 2: up passes, wait stays at 2.
    let [from_1, from_2] = absorbed(
        [
            [
                third * (1.0 / 6.0) + third * (2.0 / 3.0),
                third * (5.0 / 6.0) + third * third,
            ],
            [third * (1.0 / 6.0), third * (5.0 / 6.0)],
        ],
        [0.0, third],
    );
    assert!(from_1 < from_2);
    for (start, due) in [(1, from_1), (2, from_2)] {
        let drill = format!("start: {{ at: {start} }}\ncured: {{ at: 3 }}\n");
        holds(chance(machine, &drill), due);
    }
    // Without them: x1 = x2/3 + x1/3, x2 = 1/3 + x2/3, so 1/4 and 1/2.
    let alone = machine.split("others:").next().expect("there is a first part");
    for (start, due) in [(1, 0.25), (2, 0.5)] {
        let drill = format!("start: {{ at: {start} }}\ncured: {{ at: 3 }}\n");
        holds(chance(alone, &drill), due);
    }
}

/// An act that turns out not to be possible is a turn, and tells: then two acts are left. A third of the runs lift the right
/// side at once, a third the wrong one, and half of those then the right one: 1/3 + 1/3 · 1/2 = 1/2.
#[test]
fn what_was_not_possible_is_known_from_then_on() {
    let machine = "\
state: { side: [left, right], pin: [stuck, gone] }
hidden: { side: {} }
hazards:
  hurt: { to: person, harm: H, severity: critical }
actions:
  lift-left: { says: S, needs: { side: left }, does: { pin: gone } }
  lift-right: { says: S, needs: { side: right }, does: { pin: gone } }
  reach: { says: S, strikes: [ { when: {}, hazard: hurt } ] }
";
    let bounds = chance(machine, "start: { side: [left, right] }\ncured: { pin: gone }\n");
    assert!((bounds.least - 0.5).abs() < 1e-12 && bounds.left == 0.0, "{bounds:?}");
}

/// An act that hurts in one of two states that cannot be told apart ends the run in both.
#[test]
fn luck_is_no_pass() {
    let machine = "\
state: { supply: [live, dead], pin: [stuck, gone] }
hidden: { supply: {} }
hazards:
  hurt: { to: person, harm: H, severity: critical }
actions:
  lift: { says: S, does: { pin: gone }, strikes: [ { when: { supply: live }, hazard: hurt } ] }
  wait: { says: S }
";
    let both = chance(machine, "start: { supply: [live, dead] }\ncured: { pin: gone }\n");
    assert_eq!((both.least, both.left < LEFT), (0.0, true), "{both:?}");
    holds(chance(machine, "start: { supply: dead }\ncured: { pin: gone }\n"), 1.0);
}
