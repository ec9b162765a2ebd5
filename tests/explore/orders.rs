//! Right orders of acts, against every order tried one by one.

use super::made::{compile, must};
use super::toy::Toy;
use pitwright::explore::{Drill, Machine, Next, Orders, Progress, State, Stop, Told, World, Wrong, orders};
use std::collections::BTreeMap;

/// How an order goes wrong: what stands in [`Wrong`], without a story.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
enum Why {
    /// The hazards of which one is named.
    Hurts(u64),
    BreaksRule(usize),
    HarmsMachine(u64),
    NotPossible,
    NotCured,
}

/// All orders of the places 0 to n − 1.
fn all(n: usize) -> Vec<Vec<usize>> {
    if n == 0 {
        return vec![Vec::new()];
    }
    let shorter = all(n - 1);
    let longer = |order: &Vec<usize>| {
        let order = order.clone();
        (0..n).map(move |at| {
            let mut order = order.clone();
            order.insert(at, n - 1);
            order
        })
    };
    shorter.iter().flat_map(longer).collect()
}

/// One order by itself, from the beginning: the first place at which it goes wrong.
fn alone(world: &World, drill: &Drill, start: State, acts: &[usize]) -> Result<Option<(usize, Why)>, Stop> {
    let machine = world.machine;
    let mut real = machine.settle(start)?.state;
    let mut progress = Progress::default();
    let mut believed = world.look(&world.begin(drill)?)?;
    believed.retain(|found| found.seen == machine.seen(real));
    for (place, act) in acts.iter().enumerate() {
        if !machine.possible(*act, real) {
            return Ok(Some((place, Why::NotPossible)));
        }
        assert_eq!(believed.len(), 1, "what shows is one situation");
        let judged = world.judge(*act, &believed[0].situation, progress)?;
        if judged.danger != 0 {
            // The story is told from one state, and names what is met there.
            return Ok(Some((place, Why::Hurts(judged.danger))));
        }
        if let Some((rule, _)) = judged.broken {
            return Ok(Some((place, Why::BreaksRule(rule))));
        }
        if judged.harm != 0 {
            return Ok(Some((place, Why::HarmsMachine(judged.harm))));
        }
        real = machine.act(*act, real)?.state;
        progress = judged.progress;
        believed = world.look(&judged.after)?;
        believed.retain(|found| found.done && found.seen == machine.seen(real));
    }
    Ok((!drill.cured.holds(real)).then_some((acts.len() - 1, Why::NotCured)))
}

/// What the graph of orders says of one order.
fn walked(orders: &Orders, order: &[usize]) -> Option<(usize, Wrong)> {
    let mut node = 0;
    for (place, act) in order.iter().enumerate() {
        let (_, next) = orders.nodes[node]
            .iter()
            .find(|(known, _)| known == act)
            .expect("the act is still to be done");
        match next {
            Next::On(to) => node = *to,
            Next::Cured => {
                assert_eq!(place + 1, order.len());
                return None;
            }
            Next::Wrong(wrong) => return Some((place, wrong.clone())),
        }
    }
    panic!("the order ends, and the graph goes on");
}

/// Whether a reason is the one that was found by trying, with a story that ends in it.
fn same(machine: &Machine, why: &Why, wrong: &Wrong) -> bool {
    match (why, wrong) {
        (Why::Hurts(hazards), Wrong::Hurts(hazard, story)) => {
            let person = machine.hazards.get(*hazard).is_some() && (machine.to_person >> hazard) & 1 == 1;
            let ends = matches!(story.last(), Some(Told::Met(met)) if (met >> hazard) & 1 == 1);
            person && ends && (hazards >> hazard) & 1 == 1
        }
        (Why::HarmsMachine(hazards), Wrong::HarmsMachine(hazard)) => (hazards >> hazard) & 1 == 1,
        (Why::BreaksRule(one), Wrong::BreaksRule(other)) => one == other,
        (Why::NotPossible, Wrong::NotPossible) | (Why::NotCured, Wrong::NotCured) => true,
        _ => false,
    }
}

#[test]
fn every_order_is_what_it_is_by_itself() {
    const MACHINES: usize = 300;
    let mut compared = 0;
    let mut tally: BTreeMap<&str, usize> = BTreeMap::new();
    for seed in 10_000.. {
        if compared == MACHINES {
            break;
        }
        let toy = Toy::roll(seed);
        let (machine, drill) = compile(&toy.machine_yaml(), &toy.drill_yaml()).expect("it is a machine");
        compared += usize::from(compare(seed, &machine, &drill, &mut tally));
    }
    for what in ["right", "hurts", "rule", "harms", "not possible", "not cured"] {
        let met = tally.get(what).copied().unwrap_or(0);
        assert!(met >= 100, "{what} was met too seldom: {tally:?}");
    }
}

/// False for a machine that no machine can be.
fn compare(seed: u64, machine: &Machine, drill: &Drill, tally: &mut BTreeMap<&str, usize>) -> bool {
    let world = World::new(machine);
    let acts: Vec<usize> = (0..machine.actions.len()).collect();
    let every = all(acts.len());
    for start in &drill.starts {
        let tried: Result<Vec<_>, Stop> = every.iter().map(|order| alone(&world, drill, *start, order)).collect();
        let (tried, found) = match (tried, orders(&world, drill, *start, &[], &acts)) {
            (Ok(tried), Ok(found)) => (tried, found),
            (Err(_), Err(_)) => return false,
            (tried, found) => panic!("machine {seed}: one is endless: {} {}", tried.is_ok(), found.is_ok()),
        };
        let right = tried.iter().filter(|wrong| wrong.is_none()).count();
        assert_eq!(found.right, right as u64, "machine {seed}");
        for (order, wrong) in every.iter().zip(&tried) {
            let said = walked(&found, order);
            let alike = match (wrong, &said) {
                (None, None) => true,
                (Some((place, why)), Some((at, wrong))) => place == at && same(machine, why, wrong),
                _ => false,
            };
            assert!(alike, "machine {seed}, order {order:?}: {wrong:?}, said {said:?}");
            let what = match wrong.as_ref().map(|(_, why)| why) {
                None => "right",
                Some(Why::Hurts(_)) => "hurts",
                Some(Why::BreaksRule(_)) => "rule",
                Some(Why::HarmsMachine(_)) => "harms",
                Some(Why::NotPossible) => "not possible",
                Some(Why::NotCured) => "not cured",
            };
            *tally.entry(what).or_default() += 1;
        }
    }
    true
}

/// Five acts of a lockout: tell the desk, switch off, hang the lock, relieve the spring, get in.
const LOCKOUT: &str = "\
state: { told: [not-yet, done], power: [live, dead], lock: [none, mine], spring: [tight, slack], you: [out, inside] }
hazards:
  drawn-in: { when: { you: inside, power: live }, to: person, harm: It starts, severity: catastrophic }
  springs: { to: person, harm: It springs, severity: critical }
  strips: { to: machine, harm: The gear strips, severity: marginal }
actions:
  tell: { says: S, does: { told: done } }
  switch-off: { says: S, does: { power: dead } }
  hang-lock: { says: S, needs: { power: dead }, does: { lock: mine } }
  relieve: { says: S, does: { spring: slack }, strikes: [ { when: { power: live }, hazard: strips } ] }
  get-in: { says: S, does: { you: inside }, strikes: [ { when: { spring: tight, lock: mine }, hazard: springs } ] }
others:
  desk-restarts: { says: S, when: { told: not-yet, power: dead, lock: none }, does: { power: live } }
rules:
  lockout: { when: { you: inside }, order: [switch-off, hang-lock, relieve], source: 29 CFR 1910.147(d) }
";

const ACTS: [&str; 5] = ["tell", "switch-off", "hang-lock", "relieve", "get-in"];

/// By hand. Nobody gets in before off, lock and relief, in this order, by the rule. No rule holds the news to the desk, and no
/// act waits for it, so it may stand in any of the five places among them: five orders of the 120 are right.
#[test]
fn five_orders_of_a_lockout() {
    let (machine, drill) = must(LOCKOUT, "start: {}\ncured: { you: inside, told: done }\n");
    let world = World::new(&machine);
    let acts: Vec<usize> = ACTS
        .iter()
        .map(|name| machine.instances(name).next().expect("the machine has it"))
        .collect();
    let found = orders(&world, &drill, drill.starts[0], &[], &acts).expect("it is small");
    assert_eq!(found.right, 5);
    let named = |order: &[usize]| order.iter().map(|place| ACTS[*place]).collect::<Vec<_>>().join(" ");
    let mut right: Vec<String> = all(5)
        .iter()
        .filter(|order| walked(&found, order).is_none())
        .map(|order| named(order))
        .collect();
    right.sort();
    assert_eq!(
        right,
        [
            "switch-off hang-lock relieve get-in tell",
            "switch-off hang-lock relieve tell get-in",
            "switch-off hang-lock tell relieve get-in",
            "switch-off tell hang-lock relieve get-in",
            "tell switch-off hang-lock relieve get-in",
        ]
    );
    // The first wrong place, and why, by hand.
    let hazard = |name: &str| 1 << machine.hazards.iter().position(|one| one.id == name).expect("listed");
    for (order, place, why) in [
        // The machine runs.
        (
            "get-in tell switch-off hang-lock relieve",
            0,
            Why::Hurts(hazard("drawn-in")),
        ),
        // It is off, but the desk knows nothing and may switch it on.
        (
            "switch-off get-in tell hang-lock relieve",
            1,
            Why::Hurts(hazard("drawn-in")),
        ),
        // The desk was told and touches nothing: only the rule is against it.
        ("tell switch-off get-in hang-lock relieve", 2, Why::BreaksRule(0)),
        // Locked, but the spring is tight.
        (
            "tell switch-off hang-lock get-in relieve",
            3,
            Why::Hurts(hazard("springs")),
        ),
        // There is nothing to hang the lock on.
        ("tell hang-lock switch-off relieve get-in", 1, Why::NotPossible),
        // Relieved under power.
        (
            "relieve tell switch-off hang-lock get-in",
            0,
            Why::HarmsMachine(hazard("strips")),
        ),
        // The desk may have switched it on again by then.
        (
            "switch-off relieve tell hang-lock get-in",
            1,
            Why::HarmsMachine(hazard("strips")),
        ),
        // Off, told, relieved, and only then locked: harmless, and the rule's order is not kept when it comes to getting in.
        ("tell switch-off relieve hang-lock get-in", 4, Why::BreaksRule(0)),
    ] {
        let places: Vec<usize> = order
            .split(' ')
            .map(|name| ACTS.iter().position(|known| *known == name).expect("it is listed"))
            .collect();
        let (at, wrong) = walked(&found, &places).expect("it is wrong");
        assert_eq!(at, place, "{order}: {wrong:?}");
        assert!(same(&machine, &why, &wrong), "{order}: {wrong:?}");
    }
    // The same acts where they do not cure: the five fail at their last place.
    let (_, other) = must(LOCKOUT, "start: {}\ncured: { you: out }\n");
    let found = orders(&world, &other, other.starts[0], &[], &acts).expect("it is small");
    assert_eq!(found.right, 0);
    let ends = all(5)
        .iter()
        .filter(|order| walked(&found, order) == Some((4, Wrong::NotCured)))
        .count();
    assert_eq!(ends, 5);
}
