//! Replaying a run through a scenario.

use super::super::statement::Deed;
use super::{Answer, Marked, Marks, Ordered};
use crate::marking::Scenario;
use crate::score::scenario_result;

pub(super) fn mark(scenario: Option<&Scenario>, ordered: &Ordered, misfits: &mut Vec<String>) -> Option<Marked> {
    let scenario = scenario?;
    let mut turns: Vec<(&str, &str)> = Vec::new();
    for (turn, statement) in ordered.answers.iter().enumerate() {
        let Deed::Answered { at, response, .. } = &statement.deed else {
            return None;
        };
        if at.of != *ordered.assessment {
            misfits.push(format!(
                "turn {turn} answers {at}; the attempt was begun at {}",
                ordered.assessment
            ));
            return None;
        }
        turns.push((&at.part, response));
    }
    let result = match scenario_result(scenario, &turns) {
        Ok(result) => result,
        Err(bad) => {
            let (named, _) = turns[bad.turn];
            misfits.push(if named == bad.scene {
                format!(
                    "turn {}: scene {} offers no choice `{}`",
                    bad.turn, bad.scene, bad.response
                )
            } else {
                format!(
                    "turn {} answers scene {named}; the run stands in scene {} there",
                    bad.turn, bad.scene
                )
            });
            return None;
        }
    };
    let answers = turns
        .iter()
        .map(|(scene, response)| Answer {
            at: (*scene).to_owned(),
            response: (*response).to_owned(),
            earned: scenario
                .scene(scene)
                .and_then(|scene| scene.choices.iter().find(|choice| choice.id == *response))
                .map_or(0, |choice| choice.marks),
        })
        .collect();
    Some(Marked {
        title: scenario.title.clone(),
        edition: scenario.edition,
        marks: Marks::Scenario {
            marks: result.marks,
            most: scenario.most,
            pass: scenario.pass,
        },
        passed: result.passed,
        complete: result.ending.is_some(),
        lacking: "the run that has been handed in does not reach an ending".to_owned(),
        missed_critical: Vec::new(),
        first_unsafe: result.first_unsafe,
        answers,
    })
}
