//! What the scripts read: classic `.js` files that each assign into one global, since a page opened from a folder may load
//! nothing else.

use super::prose::full;
use super::{Output, Press};
use crate::marking::Marking;
use crate::model::{Id, Question};
use serde_json::{Map, Value, json};
use std::collections::BTreeMap;

/// All data scripts of a course.
pub fn scripts(press: &Press<'_>) -> Output {
    let files = values(press).into_iter();
    files.map(|(path, values)| (path, script(&values))).collect()
}

/// What the data scripts of a course hold: by path, each value by the name that it gets.
pub fn values(press: &Press<'_>) -> BTreeMap<String, Vec<(&'static str, Value)>> {
    let course = press.checked.course();
    let root = "../";
    let mut output = BTreeMap::new();
    output.insert("data/course.js".into(), course_data(press));
    let marking = press.checked.marking();
    for bank in &course.banks {
        let questions = bank.value.questions.iter();
        output.insert(
            format!("data/bank-{}.js", bank.id),
            vec![
                ("texts", texts(press, "questions", questions, root)),
                ("whole", json!({ "banks": [marking.bank(&bank.id)] })),
            ],
        );
    }
    // Looking back at old attempts asks for every question and every choice.
    output.insert(
        "data/record.js".into(),
        vec![(
            "whole",
            json!({ "banks": marking.banks, "scenarios": marking.scenarios }),
        )],
    );
    for scenario in &course.scenarios {
        let scenes: Map<String, Value> = scenario
            .value
            .scenes
            .iter()
            .map(|(id, scene)| {
                let choices: Map<String, Value> = scene
                    .choices
                    .iter()
                    .map(|(id, choice)| {
                        let hurts = choice.hurts.as_ref().map(|harm| {
                            json!({ "harm": press.inline(&harm.harm, root), "severity": harm.severity.value.word() })
                        });
                        let texts = json!({
                            "says": press.inline(&choice.says, root),
                            "because": press.inline(&choice.because, root),
                            "unsafe": hurts,
                        });
                        (id.value.clone(), texts)
                    })
                    .collect();
                (
                    id.value.clone(),
                    json!({ "says": full(&scene.says, course, root), "choices": choices }),
                )
            })
            .collect();
        let own: Vec<_> = marking.scenarios.iter().filter(|one| one.id == scenario.id).collect();
        output.insert(
            format!("data/scenario-{}.js", scenario.id),
            vec![
                ("texts", json!({ "scenes": scenes })),
                ("whole", json!({ "scenarios": own })),
            ],
        );
    }
    for stops in &press.stops {
        output.insert(
            format!("data/apart-{}.js", stops.machine),
            vec![("stopsHere", press.telling_data(stops, root))],
        );
    }
    for drill in &course.drills {
        output.insert(
            format!("data/drill-{}.js", drill.id),
            vec![
                ("drillWords", press.drill_words(drill, root)),
                (
                    "whole",
                    json!({
                        "machines": [marking.machine(&drill.value.machine)],
                        "drills": [marking.drill(&drill.id)],
                    }),
                ),
            ],
        );
    }
    for machine in &course.machines {
        if course
            .drills
            .iter()
            .any(|drill| drill.value.machine.value == machine.id)
        {
            output.insert(
                format!("data/machine-{}.js", machine.id),
                vec![("machineWords", press.machine_words(machine, root))],
            );
        }
    }
    for lesson in &course.lessons {
        let mut asks = lesson.value.asks().peekable();
        if asks.peek().is_some() {
            let asks = asks.map(|ask| (&ask.id, &ask.question));
            output.insert(
                format!("data/lesson-{}.js", lesson.id),
                vec![
                    ("texts", texts(press, "asks", asks, root)),
                    (
                        "whole",
                        json!({ "practice": marking.practice.iter().filter(|one| one.lesson == lesson.id).collect::<Vec<_>>() }),
                    ),
                ],
            );
        }
    }
    output
}

/// The texts of questions under a name, and the drawings that they show, each once.
fn texts<'a>(
    press: &Press<'_>,
    name: &str,
    questions: impl Iterator<Item = (&'a Id, &'a Question)>,
    root: &str,
) -> Value {
    let (mut texts, mut drawings) = (Map::new(), Map::new());
    for (id, question) in questions {
        texts.insert(id.value.clone(), press.question(question, root));
        if let (Some(drawing), Some(svg)) = (&question.drawing, press.drawing(question)) {
            drawings.insert(drawing.value.clone(), svg.into());
        }
    }
    json!({ name: texts, "drawings": drawings })
}

fn course_data(press: &Press<'_>) -> Vec<(&'static str, Value)> {
    let course = press.checked.course();
    let marking = press.checked.marking();
    let outline = course.outline.as_ref().map(|outline| &outline.value);
    vec![
        (
            "course",
            json!({
                "id": marking.course, "title": marking.title, "home": marking.home, "language": marking.language,
                "demo": outline.is_some_and(|outline| outline.demo),
                "markingHash": press.checked.marking_hash(),
            }),
        ),
        ("marking", outline_of(marking)),
    ]
}

/// The marking as every page has it: without what only the pages of one assessment, or nobody in a browser, need.
fn outline_of(marking: &Marking) -> Value {
    let mut outline = json!(marking);
    let mut without = |list: &str, keys: &[&str]| {
        for one in outline[list].as_array_mut().into_iter().flatten() {
            for key in keys {
                one.as_object_mut().map(|one| one.remove(*key));
            }
        }
    };
    without("banks", &["questions"]);
    without("competencies", &["sheet"]);
    without("machines", &["model"]);
    without("scenarios", &["competencies", "scenes"]);
    without("lessons", &["kind"]);
    without(
        "drills",
        &[
            "machine",
            "competencies",
            "starts",
            "cured",
            "handedOver",
            "beyond",
            "holds",
        ],
    );
    outline["practice"] = json!([]);
    outline
}

/// `window.PITWRIGHT.NAME = VALUE;` for each, creating the global where it is not there yet.
pub fn script<'a>(values: impl IntoIterator<Item = &'a (&'a str, Value)>) -> Vec<u8> {
    let mut text = String::from("window.PITWRIGHT = window.PITWRIGHT || {};\n");
    for (name, value) in values {
        // JSON is JavaScript, but for `</script` in a page and two line separators in old readers; neither can end a file.
        text.push_str(&format!("window.PITWRIGHT.{name} = {value};\n"));
    }
    text.into_bytes()
}
