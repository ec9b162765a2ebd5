//! Marks worked out by hand, in `tests/vectors/marks.json`: the library and the browser must both come to them.

use super::page::answers;
use super::result_of;
use crate::ground::root;
use pitwright::marking::{Bank, Draw, Kind, Question, Scenario};
use pitwright::score::{bank_result, mark, scenario_result};
use serde::Deserialize;
use serde_json::{Value, json};
use std::collections::BTreeSet;
use std::fs;

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Vectors {
    scenario: Scenario,
    vectors: Vec<Vector>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Vector {
    name: String,
    why: String,
    #[serde(flatten)]
    sort: Sort,
}

#[derive(Deserialize)]
#[serde(rename_all = "lowercase")]
enum Sort {
    /// One response to one question.
    Mark { key: Kind, response: String, parts: u32 },
    /// What each question of a form earned; `critical` holds the places of critical ones, from 0.
    Form {
        pass: u32,
        marks: Vec<u32>,
        critical: Vec<usize>,
        parts: u32,
        missed: Vec<usize>,
        passed: bool,
    },
    /// The choices of one run through the scenario; its first unsafe choice as `scene/choice`.
    Run {
        choices: Vec<String>,
        marks: u32,
        ending: Option<String>,
        unsafe_at: Option<String>,
        passed: bool,
    },
}

/// The case for the page, what by hand comes out, what the library makes of it.
struct Three {
    asked: Value,
    by_hand: Value,
    library: Value,
}

fn one(vector: &Vector, scenario: &Scenario) -> Three {
    match &vector.sort {
        Sort::Mark { key, response, parts } => {
            let question = Question {
                id: "q".to_owned(),
                competency: "c".to_owned(),
                critical: false,
                kind: key.clone(),
            };
            Three {
                library: json!(mark(&question, response)),
                asked: json!({ "kind": "mark", "question": question, "response": response }),
                by_hand: json!(parts),
            }
        }
        Sort::Form {
            pass,
            marks,
            critical,
            parts,
            missed,
            passed,
        } => {
            let name = |place: &usize| format!("q-{place}");
            let questions: Vec<Question> = (0..marks.len())
                .map(|place| Question {
                    id: name(&place),
                    competency: "c".to_owned(),
                    critical: critical.contains(&place),
                    kind: Kind::Choice {
                        options: vec!["a".to_owned(), "b".to_owned()],
                        right: vec!["a".to_owned()],
                        partial: false,
                    },
                })
                .collect();
            let bank = Bank {
                id: "b".to_owned(),
                title: "b".to_owned(),
                edition: 1,
                pass: *pass,
                draw: vec![Draw {
                    competency: "c".to_owned(),
                    count: u32::try_from(marks.len()).expect("few"),
                }],
                questions,
            };
            let put: Vec<(&Question, u32)> = bank.questions.iter().zip(marks.iter().copied()).collect();
            let to_page: Vec<Value> = put
                .iter()
                .map(|(question, parts)| json!({ "question": question, "parts": parts }))
                .collect();
            Three {
                library: result_of(&bank_result(&bank, &put)),
                asked: json!({ "kind": "total", "bank": bank, "marks": to_page }),
                by_hand: json!({
                    "parts": parts, "asked": marks.len(), "passed": passed,
                    "missedCritical": missed.iter().map(name).collect::<Vec<_>>(),
                }),
            }
        }
        Sort::Run {
            choices,
            marks,
            ending,
            unsafe_at,
            passed,
        } => {
            let mut at = scenario.start.as_str();
            let mut turns = Vec::new();
            for response in choices {
                turns.push((at, response.as_str()));
                let scene = scenario.scene(at).expect("the scene is there");
                let choice = scene.choices.iter().find(|choice| choice.id == *response);
                at = &choice
                    .unwrap_or_else(|| panic!("{}: {at} offers {response}", vector.name))
                    .to;
            }
            let result = scenario_result(scenario, &turns).expect("every choice was offered");
            let outcome = |marks: u32, ending: Value, first: Value, passed: bool| {
                let scenes: Vec<&str> = turns.iter().map(|(scene, _)| *scene).collect();
                json!({ "scenes": scenes, "marks": marks, "ending": ending, "firstUnsafe": first, "passed": passed })
            };
            Three {
                library: outcome(
                    result.marks,
                    json!(result.ending),
                    json!(result.first_unsafe),
                    result.passed,
                ),
                by_hand: outcome(
                    *marks,
                    json!(ending),
                    json!(unsafe_at.as_ref().map(|at| at.split('/').collect::<Vec<_>>())),
                    *passed,
                ),
                asked: json!({ "kind": "scenario", "scenario": scenario, "seed": "1".repeat(32), "responses": choices }),
            }
        }
    }
}

#[test]
fn marks_worked_out_by_hand_are_the_marks_given() {
    let text = fs::read_to_string(root().join("tests/vectors/marks.json")).expect("the vectors are there");
    let Vectors { scenario, vectors } = serde_json::from_str(&text).expect("the vectors can be read");
    assert_eq!(vectors.len(), 118);
    let names: BTreeSet<&str> = vectors.iter().map(|vector| vector.name.as_str()).collect();
    assert_eq!(names.len(), vectors.len(), "every vector has a name of its own");
    assert!(
        vectors.iter().all(|vector| !vector.why.is_empty()),
        "every vector says why"
    );

    let cases: Vec<Three> = vectors.iter().map(|vector| one(vector, &scenario)).collect();
    let asked: Vec<Value> = cases.iter().map(|case| case.asked.clone()).collect();
    let made = answers(&asked);
    for ((vector, case), made) in vectors.iter().zip(&cases).zip(&made) {
        // A run comes with its statements; the rest is the answer itself.
        let browser = made.get("outcome").unwrap_or(made);
        assert_eq!(case.library, case.by_hand, "library, {}: {}", vector.name, vector.why);
        assert_eq!(*browser, case.by_hand, "browser, {}: {}", vector.name, vector.why);
    }
}
