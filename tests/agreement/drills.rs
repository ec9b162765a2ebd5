//! Runs through a drill as the course's own scripts put them on record: the register plays each again from its seed and its
//! acts, and must find what the page found.

use super::invent::Dice;
use super::page::answers;
use crate::register::drilled::{DRILL, by_the_book, drilled, then};
use crate::register::made::{Device, End, course};
use pitwright::explore::{Machine, Run};
use pitwright::marking::{Marking, canonical};
use pitwright::record::{Marks, Statement, judge};
use serde_json::{Value, json};
use std::collections::BTreeMap;

const RUNS: u32 = 600;

/// A run that a device of the tests has played with the library.
struct Played {
    kind: &'static str,
    asked: Value,
    statements: Vec<Value>,
}

/// Winds the hook instead of freeing it, which bends it.
fn wind(machine: &Machine, run: &Run) -> String {
    let due = by_the_book(machine, run);
    if due == "free-latch" { "wind".to_owned() } else { due }
}

fn played(dice: &mut Dice, device: &mut Device) -> Played {
    let seed = dice.seed();
    let most = dice.number(0, 3) as usize;
    let (kind, statements) = match dice.number(0, 5) {
        0 => ("unsafe", device.drill(&seed, then(most, "go-in"), End::Closed)),
        1 => ("given up", device.drill(&seed, then(most + 1, "leave-it"), End::Closed)),
        2 => ("wound", device.drill(&seed, wind, End::Closed)),
        3 => ("left", device.drill(&seed, by_the_book, End::Left(most))),
        _ => ("by the book", device.drill(&seed, by_the_book, End::Closed)),
    };
    let acts = &statements[1..statements.len() - 1];
    let responses: Vec<&Value> = acts.iter().map(|value| &value["result"]["response"]).collect();
    let machine = device.marking.machine("thrumble").expect("the course has it");
    let asked = json!({
        "kind": "drill", "model": machine.model, "drill": device.marking.drill(DRILL), "seed": seed, "responses": responses,
        "left": kind == "left",
    });
    Played {
        kind,
        asked,
        statements,
    }
}

/// What a statement says, apart from its id, its time and the course that it was made on; canonical, so that 1 is 1.0.
fn said(value: &Value) -> String {
    let extensions = value["context"]["extensions"].as_object().expect("an object");
    let own: BTreeMap<&str, &Value> = extensions
        .iter()
        .filter_map(|(key, value)| Some((key.rsplit('/').next()?, value)))
        .filter(|(key, _)| !["marking", "seal"].contains(key))
        .collect();
    let said = json!([value["verb"]["id"], value["object"]["id"], value["result"], own]);
    String::from_utf8(canonical(&said).expect("it has a canonical form")).expect("JSON is text")
}

#[test]
fn a_run_that_a_page_put_on_record_is_found_again_from_its_seed() {
    let mut dice = Dice::new(6);
    let mut device = Device::new("TM-1", &drilled(course()), "2026-02-01T08:00:00Z");
    let runs: Vec<Played> = (0..RUNS).map(|_| played(&mut dice, &mut device)).collect();
    let asked: Vec<Value> = runs.iter().map(|run| run.asked.clone()).collect();
    let made = answers(&asked);
    let marking: &Marking = &device.marking;
    let mut strata: BTreeMap<(&str, bool, bool), usize> = BTreeMap::new();
    for (run, made) in runs.iter().zip(&made) {
        let values = made["statements"].as_array().expect("a list");
        let (here, there): (Vec<String>, Vec<String>) = (
            values.iter().map(said).collect(),
            run.statements.iter().map(said).collect(),
        );
        assert_eq!(here, there, "{}", run.kind);
        let statements: Vec<Statement> = values
            .iter()
            .map(|value| Statement::read(value).expect("the page makes statements"))
            .collect();
        let judged = judge(&statements.iter().collect::<Vec<_>>(), |_| Some(marking));
        assert_eq!((&judged.misfits, &judged.waits), (&Vec::new(), &None), "{values:#?}");
        let outcome = judged.outcome.expect("it has a beginning");
        let end = &made["folded"][0]["end"];
        assert_eq!(
            (end["passed"].as_bool(), end["left"].as_bool()),
            (Some(outcome.passed), Some(outcome.left))
        );
        assert_eq!(end["raw"].as_f64(), Some(outcome.marks.raw_and_max().0));
        let acts = made["folded"][0]["answers"].as_array().expect("a list");
        let done = acts.iter().filter(|act| act["of"] != json!("leave-it")).count();
        assert!(matches!(outcome.marks, Marks::Drill { acts, .. } if acts as usize == done));
        let disturbed = acts.iter().any(|act| act["others"] != json!([]));
        *strata.entry((run.kind, outcome.passed, disturbed)).or_default() += 1;
    }
    for stratum in [
        ("by the book", true, false),
        ("by the book", true, true),
        ("unsafe", false, false),
        ("unsafe", false, true),
        ("given up", false, false),
        ("given up", false, true),
        ("wound", false, false),
        ("wound", false, true),
        ("left", false, false),
        ("left", false, true),
    ] {
        let found = strata.get(&stratum).copied().unwrap_or_default();
        assert!(found >= 5, "{stratum:?} came up {found} times, of {strata:?}");
    }
}
