//! Course → marking file.

use super::walk;
use crate::marking::{self, FORMAT, Marking};
use crate::model::{Answer, Course, Ending, Evidence, Filed, Id, Question, Scenario};

/// The marking file and its hash. `None` if a part is missing, which the rules report, or a number has no canonical form.
pub fn marking(course: &Course) -> Option<(Marking, String)> {
    let outline = &course.outline.as_ref()?.value;
    let marking = Marking {
        format: FORMAT,
        course: outline.course.value.clone(),
        title: outline.title.value.clone(),
        home: outline.home.value.trim_end_matches('/').to_owned(),
        language: outline.language.value.clone(),
        attempts: marking::Attempts {
            tries: outline.attempts.tries.value,
            wait_hours: outline.attempts.wait_hours.value,
        },
        lessons: lessons(course)?,
        competencies: competencies(course)?,
        trainers: outline
            .roles
            .trainers
            .iter()
            .map(|(code, name)| (code.value.clone(), name.value.clone()))
            .collect(),
        signers: outline
            .roles
            .signers
            .iter()
            .map(|(code, signer)| {
                let signer = marking::Signer {
                    name: signer.name.value.clone(),
                    role: signer.role.value.clone(),
                };
                (code.value.clone(), signer)
            })
            .collect(),
        banks: course.banks.iter().map(bank).collect(),
        practice: course
            .lessons
            .iter()
            .filter(|lesson| lesson.value.asks().next().is_some())
            .map(|lesson| marking::Practice {
                lesson: lesson.id.clone(),
                questions: lesson
                    .value
                    .asks()
                    .map(|ask| question(&ask.id, &ask.question))
                    .collect(),
            })
            .collect(),
        scenarios: course.scenarios.iter().map(scenario).collect::<Option<_>>()?,
    };
    let hash = marking.hash().ok()?;
    Some((marking, hash))
}

/// Lessons in the order of the outline.
fn lessons(course: &Course) -> Option<Vec<marking::Lesson>> {
    let outline = &course.outline.as_ref()?.value;
    outline
        .modules
        .iter()
        .flat_map(|module| &module.lessons)
        .map(|id| {
            let lesson = course.lesson(id)?;
            Some(marking::Lesson {
                id: lesson.id.clone(),
                title: lesson.value.front.title.value.clone(),
                edition: lesson.value.front.edition.value,
                kind: lesson.value.front.kind.word().to_owned(),
            })
        })
        .collect()
}

fn ids(list: &[Id]) -> Vec<String> {
    list.iter().map(|id| id.value.clone()).collect()
}

fn competencies(course: &Course) -> Option<Vec<marking::Competency>> {
    let all = &course.competencies.as_ref()?.value.0;
    Some(
        all.iter()
            .map(|(id, competency)| marking::Competency {
                id: id.value.clone(),
                says: competency.says.value.clone(),
                study: ids(&competency.study),
                evidence: competency
                    .evidence
                    .iter()
                    .map(|evidence| match evidence {
                        Evidence::Bank(id) => marking::Evidence::Bank(id.value.clone()),
                        Evidence::Scenario(id) => marking::Evidence::Scenario(id.value.clone()),
                    })
                    .collect(),
                witnessed: marking::Witnessed {
                    times: competency.witnessed.times.value,
                    real: competency.witnessed.real.value,
                },
                holds_months: competency.holds_months.value,
                signed_by: competency.signed_by.value.clone(),
            })
            .collect(),
    )
}

fn bank(bank: &Filed<crate::model::Bank>) -> marking::Bank {
    marking::Bank {
        id: bank.id.clone(),
        title: bank.value.title.value.clone(),
        edition: bank.value.edition.value,
        pass: bank.value.pass.value,
        draw: bank
            .value
            .draw
            .iter()
            .map(|(competency, count)| marking::Draw {
                competency: competency.value.clone(),
                count: count.value,
            })
            .collect(),
        questions: bank.value.questions.iter().map(|(id, one)| question(id, one)).collect(),
    }
}

fn question(id: &Id, question: &Question) -> marking::Question {
    let kind = match &question.answer {
        Answer::Choice { options, right } => marking::Kind::Choice {
            options: options.keys().map(|key| key.value.clone()).collect(),
            right: vec![right.value.clone()],
        },
        Answer::Numeric {
            answer,
            tolerance,
            unit,
            ..
        } => marking::Kind::Numeric {
            answer: answer.value,
            tolerance: tolerance.value,
            unit: unit.value.clone(),
        },
    };
    marking::Question {
        id: id.value.clone(),
        competency: question.competency.value.clone(),
        critical: question.critical,
        kind,
    }
}

fn scenario(scenario: &Filed<Scenario>) -> Option<marking::Scenario> {
    let ways = walk::ways(&scenario.value)?;
    let value = &scenario.value;
    Some(marking::Scenario {
        id: scenario.id.clone(),
        title: value.title.value.clone(),
        edition: value.edition.value,
        competencies: ids(&value.competencies),
        start: value.start.value.clone(),
        pass: value.pass.value,
        most: ways.most,
        scenes: value
            .scenes
            .iter()
            .map(|(id, scene)| marking::Scene {
                id: id.value.clone(),
                ends: scene.ends.as_ref().map(|ends| match ends.value {
                    Ending::Safe => marking::Ending::Safe,
                    Ending::Unsafe => marking::Ending::Unsafe,
                }),
                choices: scene
                    .choices
                    .iter()
                    .map(|(id, choice)| marking::Choice {
                        id: id.value.clone(),
                        to: choice.to.value.clone(),
                        marks: choice.marks(),
                        hurts: choice.hurts.is_some(),
                    })
                    .collect(),
            })
            .collect(),
    })
}
