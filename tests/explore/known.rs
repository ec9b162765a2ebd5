//! Puzzles whose answers are known, written as machines and gone over by the code that goes over machines.

mod reached;

use super::made::must;
use pitwright::explore::{Graph, MOST, Reach, WayStep, World, reach};
use std::fmt::Write;

fn acts(reach: &Reach) -> usize {
    let way = reach.cure.as_ref().expect("there is a way");
    way.iter().filter(|step| matches!(step, WayStep::Act(_))).count()
}

/// A farmer, a wolf, a goat and a cabbage. 7 crossings, 10 legal states, two shortest ways.
///
/// Source: a classic river crossing; counts by breadth-first search, as textbooks give them.
#[test]
fn wolf_goat_and_cabbage() {
    let mut machine = String::from(
        "state: { farmer: [near, far], wolf: [near, far], goat: [near, far], cabbage: [near, far] }\n\
         hazards:\n  eaten:\n    when: { any: [ { wolf: near, goat: near, farmer: far }, { wolf: far, goat: far, farmer: near }, \
         { goat: near, cabbage: near, farmer: far }, { goat: far, cabbage: far, farmer: near } ] }\n    to: person\n    harm: H\n    severity: critical\nactions:\n",
    );
    for (from, to) in [("near", "far"), ("far", "near")] {
        let _ = writeln!(
            machine,
            "  alone-{to}: {{ says: S, needs: {{ farmer: {from} }}, does: {{ farmer: {to} }} }}"
        );
        for load in ["wolf", "goat", "cabbage"] {
            let _ = writeln!(
                machine,
                "  {load}-{to}: {{ says: S, needs: {{ farmer: {from}, {load}: {from} }}, does: {{ farmer: {to}, {load}: {to} }} }}"
            );
        }
    }
    let (machine, drill) = must(
        &machine,
        "start: {}\ncured: { farmer: far, wolf: far, goat: far, cabbage: far }\n",
    );
    let reach = reach(&machine, &drill, MOST).expect("it is small");
    assert_eq!(reach.states, 10);
    assert_eq!(acts(&reach), 7);
    let world = World::new(&machine);
    let graph = Graph::of(&world, &drill).expect("it is small");
    assert_eq!(graph.len(), 10);
    assert_eq!(graph.par(), Some(7));
}

/// The Tower of Hanoi: 3^n states, 2^n − 1 moves. Source: OEIS A000244, A000225 (numbers from memory, and derived).
#[test]
fn tower_of_hanoi() {
    for discs in 1..=12u32 {
        let (machine, drill) = must(&hanoi(discs), "start: {}\ncured: { every: { disc: c } }\n");
        let reach = reach(&machine, &drill, MOST).expect("it is small");
        assert_eq!(reach.states, 3usize.pow(discs), "{discs} discs");
        assert_eq!(acts(&reach), 2usize.pow(discs) - 1, "{discs} discs");
    }
}

/// A disc moves between two pegs if every smaller one stands on the third.
pub fn hanoi(discs: u32) -> String {
    let mut machine = format!("state: {{ disc: {{ each: 1..{discs}, of: [a, b, c] }} }}\nactions:\n");
    for disc in 1..=discs {
        for (from, to, spare) in [
            ("a", "b", "c"),
            ("a", "c", "b"),
            ("b", "a", "c"),
            ("b", "c", "a"),
            ("c", "a", "b"),
            ("c", "b", "a"),
        ] {
            let mut needs = format!("disc.{disc}: {from}");
            for smaller in 1..disc {
                let _ = write!(needs, ", disc.{smaller}: {spare}");
            }
            let _ = writeln!(
                machine,
                "  d{disc}-{from}-{to}: {{ says: S, needs: {{ {needs} }}, does: {{ disc.{disc}: {to} }} }}"
            );
        }
    }
    machine
}

/// Jugs of 3 and 5, 4 to be measured: 6 moves, 16 states. Source: a classic; counts by breadth-first search.
#[test]
fn two_jugs() {
    let mut machine = String::from("state: { three: 0..3, five: 0..5 }\nactions:\n");
    for (jug, full) in [("three", 3), ("five", 5)] {
        let _ = writeln!(machine, "  fill-{jug}: {{ says: S, does: {{ {jug}: {full} }} }}");
        let _ = writeln!(machine, "  empty-{jug}: {{ says: S, does: {{ {jug}: 0 }} }}");
    }
    for (from, to, room) in [("three", "five", 5), ("five", "three", 3)] {
        let mut does = String::new();
        // A glass at a time, as often as the larger holds: each only while there is some and there is room.
        for _ in 0..5 {
            let _ = write!(
                does,
                "{{ if: {{ {from}: {{ at-least: 1 }}, {to}: {{ at-most: {} }} }}, {from}: {{ add: -1 }}, {to}: {{ add: 1 }} }}, ",
                room - 1
            );
        }
        let _ = writeln!(machine, "  pour-{from}: {{ says: S, does: [ {does} ] }}");
    }
    let (machine, drill) = must(&machine, "start: {}\ncured: { five: 4 }\n");
    let reach = reach(&machine, &drill, MOST).expect("it is small");
    assert_eq!(reach.states, 16);
    assert_eq!(acts(&reach), 6);
}
