//! The browser's cores and the library: one attempt, one form, one mark, one seal.

use invent::{BankCase, Dice, MOST, ScenarioCase, bank_case, scenario_case};
use page::answers;
use pitwright::marking::{Ending, FULL, Kind, Question, canonical, draw, sha256_hex};
use pitwright::score::{BankResult, bank_result, mark, marked, scenario_result};
use serde_json::{Value, json};
use std::collections::BTreeMap;

pub mod apart;
mod canonical;
mod drills;
mod find;
mod invent;
mod missing;
mod page;
mod questions;
mod runs;
mod slips;
mod tally;
mod vectors;

/// Attempts of each sort.
const ATTEMPTS: usize = 5_000;

/// How often each kind of outcome must have come up, or the agreement says nothing about it.
const OFTEN: usize = 50;

/// How often each kind of outcome came up.
#[derive(Default)]
struct Strata(BTreeMap<String, usize>);

impl Strata {
    fn count(&mut self, what: impl Into<String>) {
        *self.0.entry(what.into()).or_default() += 1;
    }

    fn all_often(&self, wanted: impl IntoIterator<Item = String>) {
        let wanted: Vec<String> = wanted.into_iter().collect();
        for what in &wanted {
            let found = self.0.get(what).copied().unwrap_or_default();
            assert!(found >= OFTEN, "{what} came up {found} times, of {:?}", self.0);
        }
        for what in self.0.keys() {
            assert!(wanted.contains(what), "{what} came up and is not on the list");
        }
    }
}

const KINDS: [&str; 8] = [
    "choice",
    "several",
    "several in part",
    "matching",
    "sequencing",
    "sequencing by a machine",
    "numeric",
    "place",
];

fn result_of(result: &BankResult) -> Value {
    json!({
        "parts": result.parts, "asked": result.asked, "missedCritical": result.missed_critical, "passed": result.passed,
    })
}

/// A question's kind and how its response fared.
fn stratum(question: &Question, response: &str, parts: u32) -> String {
    let kind = match &question.kind {
        Kind::Choice { right, .. } if right.len() == 1 => "choice",
        Kind::Choice { partial: false, .. } => "several",
        Kind::Choice { partial: true, .. } => "several in part",
        Kind::Matching { .. } => "matching",
        Kind::Sequencing { ways, .. } if !ways.is_empty() => "sequencing by a machine",
        Kind::Sequencing { .. } => "sequencing",
        Kind::Numeric { .. } => "numeric",
        Kind::Place { .. } => "place",
    };
    let fared = match marked(question, response) {
        Err(_) => "cannot be given",
        Ok(_) => match parts {
            FULL => "right",
            0 => "wrong",
            _ => "partly right",
        },
    };
    format!("{kind} {fared}")
}

/// What the library makes of an attempt at a bank, and into which strata it falls.
fn bank_outcome(case: &BankCase, strata: &mut Strata) -> Value {
    let form = draw(&case.bank, &case.seed).expect("a seed");
    let marks: Vec<_> = form
        .iter()
        .map(|asked| {
            (
                asked.question,
                mark(asked.question, &case.responses[&asked.question.id]),
            )
        })
        .collect();
    for (question, parts) in &marks {
        strata.count(stratum(question, &case.responses[&question.id], *parts));
    }
    let result = bank_result(&case.bank, &marks);
    let (have, need) = (result.parts * 100, case.bank.pass * result.asked * FULL);
    let reach = match have {
        have if have == need => "at the pass mark",
        have if have > need => "above it",
        _ => "below it",
    };
    let critical = match (
        form.iter().any(|asked| asked.question.critical),
        result.missed_critical.is_empty(),
    ) {
        (false, _) => "nothing critical",
        (true, true) => "critical right",
        (true, false) => "critical missed",
    };
    strata.count(format!("{reach}, {critical}"));
    strata.count(if result.passed { "passed" } else { "failed" });
    let form: Vec<_> = form
        .iter()
        .map(|asked| json!([asked.question.id, asked.shown]))
        .collect();
    let marks: Vec<u32> = marks.iter().map(|(_, parts)| *parts).collect();
    json!({ "form": form, "marks": marks, "result": result_of(&result) })
}

/// What the library makes of a run, and into which strata it falls. It asks for the scene of each turn too, as a record names it.
fn scenario_outcome(case: &ScenarioCase, strata: &mut Strata) -> Value {
    let scenario = &case.scenario;
    let mut at = scenario.start.as_str();
    let mut turns = Vec::new();
    for response in &case.responses {
        turns.push((at, response.as_str()));
        let scene = scenario.scene(at).expect("no choice leads nowhere");
        match scene.choices.iter().find(|choice| choice.id == *response) {
            Some(choice) => at = &choice.to,
            None => break,
        }
    }
    let Ok(result) = scenario_result(scenario, &turns) else {
        strata.count("refused");
        return json!("refused");
    };
    let ending = match result.ending {
        Some(Ending::Safe) => "safe",
        Some(Ending::Unsafe) => "unsafe",
        None => "none",
    };
    strata.count(format!("marks {}", result.marks));
    let hurt = if result.first_unsafe.is_some() {
        "hurt"
    } else {
        "unhurt"
    };
    let enough = if result.marks >= scenario.pass {
        "enough"
    } else {
        "too few"
    };
    strata.count(format!("ending {ending}, {hurt}, {enough}"));
    if result.marks == scenario.pass {
        strata.count(format!(
            "at the pass mark, {}",
            if result.passed { "passed" } else { "failed" }
        ));
    }
    let scenes: Vec<&str> = turns.iter().map(|(scene, _)| *scene).collect();
    json!({
        "scenes": scenes, "marks": result.marks, "ending": result.ending, "firstUnsafe": result.first_unsafe, "passed": result.passed,
    })
}

/// The statements that the page made have the canonical form and the seal that it says.
fn sealed_alike(record: &Value) {
    let text = |key: &str| record[key].as_str().unwrap_or_else(|| panic!("no {key} in {record}"));
    let statements: Value = serde_json::from_str(text("statements")).expect("the page writes JSON");
    let bytes = canonical(&statements).expect("a statement has a canonical form");
    assert_eq!(String::from_utf8_lossy(&bytes), text("canonical"));
    assert_eq!(sha256_hex(&bytes), text("seal"));
}

#[test]
fn attempts_at_banks_come_out_the_same() {
    let mut dice = Dice::new(1);
    let cases: Vec<BankCase> = (0..ATTEMPTS).map(|_| bank_case(&mut dice)).collect();
    let asked: Vec<Value> = cases
        .iter()
        .map(|case| json!({ "kind": "bank", "bank": case.bank, "seed": case.seed, "responses": case.responses }))
        .collect();
    let made = answers(&asked);
    let mut strata = Strata::default();
    for (case, made) in cases.iter().zip(&made) {
        let wanted = bank_outcome(case, &mut strata);
        assert_eq!(
            made["outcome"], wanted,
            "{}, {:?}, {:?}",
            case.seed, case.bank, case.responses
        );
        sealed_alike(&made["record"]);
    }
    let reached = ["at the pass mark", "above it", "below it"];
    let critical = ["nothing critical", "critical right", "critical missed"];
    strata.all_often(
        [
            "passed",
            "failed",
            "several in part partly right",
            "matching partly right",
        ]
        .map(str::to_owned)
        .into_iter()
        .chain(KINDS.iter().flat_map(|kind| {
            let fared = ["right", "wrong", "cannot be given"];
            fared.map(|fared| format!("{kind} {fared}"))
        }))
        .chain(
            reached
                .iter()
                .flat_map(|reach| critical.map(|critical| format!("{reach}, {critical}"))),
        ),
    );
}

#[test]
fn runs_through_scenarios_come_out_the_same() {
    let mut dice = Dice::new(2);
    let cases: Vec<ScenarioCase> = (0..ATTEMPTS).map(|_| scenario_case(&mut dice)).collect();
    let asked: Vec<Value> = cases
        .iter()
        .map(|case| json!({ "kind": "scenario", "scenario": case.scenario, "seed": case.seed, "responses": case.responses }))
        .collect();
    let made = answers(&asked);
    let mut strata = Strata::default();
    for (case, made) in cases.iter().zip(&made) {
        let wanted = scenario_outcome(case, &mut strata);
        assert_eq!(made["outcome"], wanted, "{:?}, {:?}", case.scenario, case.responses);
        if wanted != "refused" {
            sealed_alike(&made["record"]);
        }
    }
    let endings = [
        "ending safe, unhurt, enough",
        "ending safe, unhurt, too few",
        "ending safe, hurt, enough",
        "ending safe, hurt, too few",
        "ending unsafe, hurt, enough",
        "ending unsafe, hurt, too few",
        "ending none, unhurt, enough",
        "ending none, unhurt, too few",
        "at the pass mark, passed",
        "at the pass mark, failed",
        "refused",
    ];
    strata.all_often(
        endings
            .map(str::to_owned)
            .into_iter()
            .chain((0..=MOST).map(|marks| format!("marks {marks}"))),
    );
}

/// The deck that shows progress stands on the published spots too.
#[test]
fn the_deck_drawn_by_script_stands_on_the_published_spots() {
    let made = answers(&[json!({ "kind": "spots" })]);
    let spots = crate::reference::deck::published();
    let drawn = made[0].as_array().expect("a list of spots");
    assert_eq!(drawn.len(), spots.len());
    for spot in drawn {
        let pin = spot["pin"]
            .as_u64()
            .and_then(|pin| u32::try_from(pin).ok())
            .expect("a pin's number");
        let (x, y) = spots[&pin];
        let near = |key: &str, wanted: f64| spot[key].as_f64().is_some_and(|found| (found - wanted).abs() < 1e-6);
        assert!(near("x", x) && near("y", y), "{spot}, published {x} {y}");
    }
}
