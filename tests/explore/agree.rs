//! The real explorer and the naive one say the same of random machines.

use super::made::compile;
use super::naive::{self, Bad, Naive};
use super::toy::Toy;
use pitwright::explore::{Class, Graph, Manner, Procedure, Step, Stop, Test, World, replay};
use std::collections::BTreeMap;

/// How many machines are compared.
const MACHINES: usize = 500;

#[test]
fn both_explorers_say_the_same() {
    let mut compared = 0;
    let mut tally: BTreeMap<&'static str, usize> = BTreeMap::new();
    for seed in 0.. {
        if compared == MACHINES {
            break;
        }
        assert!(
            seed < 100 * MACHINES as u64,
            "too few of the random machines can be: {compared}"
        );
        let toy = Toy::roll(seed);
        compared += usize::from(compare(seed, &toy, &mut tally));
    }
    // Every outcome must have been met often enough to mean something.
    for what in [
        "unsafe",
        "wrong",
        "trap",
        "par",
        "handed-over",
        "proven",
        "Hurts",
        "BreaksRule",
        "HarmsMachine",
        "Stuck",
        "NotCured",
        "NotKnown",
    ] {
        assert!(
            tally.get(what).copied().unwrap_or(0) >= 10,
            "{what} was met too seldom: {tally:?}"
        );
    }
}

/// Compares what both say; false for a machine that no machine can be.
fn compare(seed: u64, toy: &Toy, tally: &mut BTreeMap<&'static str, usize>) -> bool {
    let naive = Naive { toy };
    let (machine, drill) = match compile(&toy.machine_yaml(), &toy.drill_yaml()) {
        Ok(made) => made,
        Err(why) => panic!("machine {seed} is refused: {why}\n{}", toy.machine_yaml()),
    };
    let world = World::new(&machine);
    // A start that is dangerous as it stands is a finding of its own.
    let safe = naive.starts().and_then(|starts| {
        starts
            .iter()
            .map(|start| Ok(!naive.meanwhile(start)?.1))
            .collect::<Result<Vec<_>, _>>()
    });
    let expected = naive::atlas(&naive);
    let real = Graph::of(&world, &drill);
    let (expected, real) = match (expected, real) {
        (Ok(expected), Ok(real)) => (expected, real),
        (Err(_), Err(Stop::Flaw(_))) => return false,
        (expected, real) => panic!(
            "machine {seed}: one is endless: {:?} {:?}",
            expected.map(|one| one.map),
            real.map(|one| one.len())
        ),
    };
    if !safe.is_ok_and(|safe| safe.iter().all(|one| *one)) {
        return false;
    }
    let map = naive::Map {
        nodes: real.len(),
        unsafe_acts: real.nodes().map(|node| real.wrong(node).0).sum(),
        wrong_acts: real.nodes().map(|node| real.wrong(node).1).sum(),
        curable: real.nodes().filter(|node| real.curable(*node)).count(),
        traps: real.traps().count(),
        par: real.par(),
    };
    assert_eq!(
        map,
        expected.map,
        "machine {seed}\n{}{}",
        toy.machine_yaml(),
        toy.drill_yaml()
    );
    let mut count = |what: &'static str, is: bool| *tally.entry(what).or_default() += usize::from(is);
    count("unsafe", map.unsafe_acts > 0);
    count("wrong", map.wrong_acts > 0);
    count("trap", map.traps > 0);
    count("par", map.par.is_some_and(|par| par > 0));
    count(
        "handed-over",
        real.nodes().any(|node| real.passes(node) && !real.facts(node).cured),
    );
    let whole = procedure(toy, &machine, &drill);
    for (strict, manner) in [(true, Manner::Proof), (false, Manner::Trial)] {
        for leave_out in std::iter::once(None).chain((0..toy.steps.len()).map(Some)) {
            let mut steps = toy.steps.clone();
            let mut changed = whole.clone();
            if let Some(place) = leave_out {
                steps.remove(place);
                changed = whole.without(place);
            }
            let due = naive::replay(&naive, &expected, &steps, strict);
            let said = replay(&world, &drill, Some(&real), &changed, manner);
            // Past a cure a procedure can come to reactions without end that no run of the drill comes to.
            let (due, said) = match (due, said) {
                (Ok(due), Ok(said)) => (due, said.failure),
                (Err(_), Err(Stop::Flaw(_))) => continue,
                (due, said) => panic!("machine {seed}: one is endless: {due:?} {said:?}"),
            };
            let class = said.as_ref().map(|failure| bad(failure.class));
            assert_eq!(
                class,
                due,
                "machine {seed}, without {leave_out:?}, {manner:?}\n{}{}{:#?}",
                toy.machine_yaml(),
                toy.drill_yaml(),
                toy.steps
            );
            count("proven", due.is_none());
            if let Some(due) = due {
                count(name(due), true);
            }
        }
    }
    true
}

fn procedure(toy: &Toy, machine: &pitwright::explore::Machine, _drill: &pitwright::explore::Drill) -> Procedure {
    let test = |cond: &super::toy::Cond| -> Test {
        let one = |(v, values): &(usize, Vec<usize>)| {
            let variable = machine.variable(&format!("v{v}")).expect("the machine has it");
            Test::one_of(variable, values.iter().fold(0, |set, value| set | (1 << value)))
        };
        let mut tests: Vec<Test> = cond.all.iter().map(one).collect();
        if !cond.any.is_empty() {
            tests.push(Test::Any(cond.any.iter().map(one).collect()));
        }
        Test::all(tests)
    };
    Procedure {
        steps: toy
            .steps
            .iter()
            .enumerate()
            .map(|(index, step)| Step {
                number: index + 1,
                says: String::new(),
                acts: machine.instances(&format!("a{}", step.act)).collect(),
                repeat: step.repeat.as_ref().map(test),
                only: step.only.as_ref().map(test),
                ends: false,
            })
            .collect(),
    }
}

fn bad(class: Class) -> Bad {
    match class {
        Class::Hurts => Bad::Hurts,
        Class::BreaksRule => Bad::BreaksRule,
        Class::HarmsMachine => Bad::HarmsMachine,
        Class::Stuck => Bad::Stuck,
        Class::NotCured => Bad::NotCured,
        Class::HandedOver => Bad::HandedOver,
        Class::NotKnown => Bad::NotKnown,
        Class::Endless => Bad::Endless,
    }
}

fn name(bad: Bad) -> &'static str {
    match bad {
        Bad::Hurts => "Hurts",
        Bad::BreaksRule => "BreaksRule",
        Bad::HarmsMachine => "HarmsMachine",
        Bad::Stuck => "Stuck",
        Bad::NotCured => "NotCured",
        Bad::HandedOver => "HandedOver",
        Bad::NotKnown => "NotKnown",
        Bad::Endless => "Endless",
    }
}
