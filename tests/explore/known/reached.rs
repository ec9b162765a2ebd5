//! All states that anybody can bring about, against a plain search that asks the machine for each step.

use super::super::made::{compile, must};
use super::super::toy::Toy;
use super::hanoi;
use pitwright::explore::{Drill, MOST, Machine, Reach, State, Stop, WayStep, reach};
use std::collections::{BTreeSet, VecDeque};

/// A search by sets. For each hazard and for a cure only how long the shortest way is.
#[derive(Debug, PartialEq, Eq)]
struct Plain {
    states: usize,
    transitions: u64,
    met: u64,
    ways: Vec<Option<usize>>,
    cure: Option<usize>,
}

fn plain(machine: &Machine, drill: &Drill) -> Result<Plain, Stop> {
    let mut found = Plain {
        states: 0,
        transitions: 0,
        met: 0,
        ways: vec![None; machine.hazards.len()],
        cure: None,
    };
    let mut seen = BTreeSet::new();
    let mut queue = VecDeque::new();
    for start in &drill.starts {
        let settled = machine.settle(*start)?;
        if settled.met & machine.to_person == 0 && seen.insert(settled.state) {
            queue.push_back((settled.state, 1));
        }
    }
    while let Some((state, steps)) = queue.pop_front() {
        if drill.cured.holds(state) {
            found.cure.get_or_insert(steps);
        }
        let acts = (0..machine.actions.len()).filter(|act| machine.possible(*act, state));
        let others = (0..machine.others.len()).filter(|other| machine.others[*other].when.holds(state));
        let ends = acts
            .map(|act| machine.act(act, state))
            .chain(others.map(|other| machine.other(other, state)));
        for end in ends {
            let end = end?;
            found.transitions += 1;
            found.met |= end.met;
            for (hazard, way) in found.ways.iter_mut().enumerate() {
                if (end.met >> hazard) & 1 == 1 {
                    way.get_or_insert(steps + 1);
                }
            }
            if end.met & machine.to_person == 0 && seen.insert(end.state) {
                queue.push_back((end.state, steps + 1));
            }
        }
    }
    found.states = seen.len();
    Ok(found)
}

/// The steps of a way, done one after another on the machine: all that is met on it, and where it ends.
fn walked(machine: &Machine, way: &[WayStep]) -> (u64, State) {
    let (mut met, mut state) = (0, machine.rest);
    for (at, step) in way.iter().enumerate() {
        let outcome = match step {
            WayStep::Start(start) => {
                assert_eq!(at, 0, "a way begins once");
                state = *start;
                continue;
            }
            WayStep::Act(act) => {
                assert!(machine.possible(*act, state));
                machine.act(*act, state)
            }
            WayStep::Other(other) => {
                assert!(machine.others[*other].when.holds(state));
                machine.other(*other, state)
            }
        };
        let outcome = outcome.expect("it was found");
        (met, state) = (met | outcome.met, outcome.state);
    }
    (met, state)
}

#[track_caller]
fn same(machine: &Machine, drill: &Drill, due: &Plain, found: &Reach) {
    let length = |way: &Option<Vec<WayStep>>| way.as_ref().map(Vec::len);
    let said = Plain {
        states: found.states,
        transitions: found.transitions,
        met: found.met,
        ways: found.ways.iter().map(length).collect(),
        cure: length(&found.cure),
    };
    assert_eq!(&said, due);
    for (hazard, way) in found.ways.iter().enumerate() {
        if let Some(way) = way {
            assert_eq!((walked(machine, way).0 >> hazard) & 1, 1, "the way meets it");
        }
    }
    if let Some(way) = &found.cure {
        assert!(drill.cured.holds(walked(machine, way).1), "the way ends cured");
    }
}

/// Variables that nobody touches, so that there could be far more states than are given a bit each.
fn wider(machine: &str, by: usize) -> String {
    use std::fmt::Write;
    let mut wide = String::from("state:\n");
    for idle in 0..by {
        let _ = writeln!(wide, "  idle{idle}: 0..63");
    }
    machine.replacen("state:\n", &wide, 1)
}

#[test]
fn random_machines_reach_what_a_plain_search_reaches() {
    let (mut compared, mut hazards, mut cures) = (0, 0, 0);
    for seed in 20_000..20_900 {
        let toy = Toy::roll(seed);
        // 0 more bits, 18, 30, 60 or 108: states of every size, numbered and in a table.
        let by = [0, 3, 5, 10, 18][compared % 5];
        let text = wider(&toy.machine_yaml(), by);
        let (machine, drill) = compile(&text, &toy.drill_yaml()).expect("it is a machine");
        match (plain(&machine, &drill), reach(&machine, &drill, MOST)) {
            (Ok(due), Ok(found)) => {
                same(&machine, &drill, &due, &found);
                compared += 1;
                hazards += usize::from(due.met != 0);
                cures += usize::from(due.cure.is_some_and(|steps| steps > 1));
            }
            (Err(_), Err(_)) => {}
            (due, found) => panic!("machine {seed}: one is endless: {due:?} {found:?}"),
        }
    }
    assert!(
        compared >= 100 && hazards >= 50 && cures >= 20,
        "{compared} {hazards} {cures}"
    );
}

/// The same puzzle with room for each state and without: the table grows many times on the way.
#[test]
fn a_table_that_grows_loses_nothing() {
    let drill = "start: {}\ncured: { every: { disc: c } }\n";
    let text = hanoi(9).replacen("state: {", "state: { w1: 0..63, w2: 0..63, w3: 0..63,", 1);
    let (machine, drill) = must(&text, drill);
    let found = reach(&machine, &drill, MOST).expect("it is small");
    assert_eq!(found.states, 3usize.pow(9));
    // Three moves from every state, and two from each of the three where all discs stand on one peg.
    assert_eq!(found.transitions, 3 * (3u64.pow(9) - 1));
    let way = found.cure.expect("there is a way");
    assert_eq!(way.len(), 1 + 511);
    assert!(drill.cured.holds(walked(&machine, &way).1));
    // One state fewer than there are is too few, and exactly as many are enough.
    assert_eq!(
        reach(&machine, &drill, 3usize.pow(9)).map(|found| found.states),
        Ok(19_683)
    );
    assert_eq!(reach(&machine, &drill, 3usize.pow(9) - 1), Err(Stop::Budget));
}
