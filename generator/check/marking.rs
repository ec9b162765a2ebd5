//! Course → marking file.

use super::walk;
use crate::load::markdown;
use crate::marking::{self, FORMAT, Marking};
use crate::model::{Answer, Course, Ending, Evidence, Filed, Id, Question, Roles, Scenario, Step};
use crate::safety::{self, Order, Proofs};
use pulldown_cmark::{Event, Parser, Tag, TagEnd};
use std::collections::BTreeMap;

/// The marking file and its hash. `None` if a part is missing, which the rules report, or a number has no canonical form.
pub fn marking(course: &Course, models: &[safety::Model], proofs: &Proofs) -> Option<(Marking, String)> {
    let outline = &course.outline.as_ref()?.value;
    let marking = Marking {
        format: FORMAT,
        course: outline.course.value.clone(),
        title: outline.title.value.clone(),
        home: outline.home.value.clone(),
        language: outline.language.value.clone(),
        centre: course.centre.as_ref().map(|centre| centre.value.name.value.clone()),
        demo: outline.demo,
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
            .map(|(code, trainer)| (code.value.clone(), trainer.name.value.clone()))
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
        keys: keys(&outline.roles),
        jobs: outline
            .jobs
            .iter()
            .map(|(id, job)| marking::Job {
                id: id.value.clone(),
                title: job.title.value.clone(),
                competencies: ids(&job.competencies),
            })
            .collect(),
        machines: course
            .machines
            .iter()
            .map(|machine| marking::Machine {
                id: machine.id.clone(),
                title: machine.value.title.value.clone(),
                model: models
                    .iter()
                    .find(|model| model.source.id == machine.id)
                    .map(|model| marking::Model::of(&model.machine)),
            })
            .collect(),
        slip_days: Some(outline.slip_days.value),
        banks: course.banks.iter().map(|one| bank(one, proofs)).collect(),
        practice: course
            .lessons
            .iter()
            .filter(|lesson| lesson.value.asks().next().is_some())
            .map(|lesson| marking::Practice {
                lesson: lesson.id.clone(),
                questions: lesson
                    .value
                    .asks()
                    .map(|ask| question(&ask.id, &ask.question, proofs.order(lesson.file, &ask.id)))
                    .collect(),
            })
            .collect(),
        scenarios: course.scenarios.iter().map(scenario).collect::<Option<_>>()?,
        drills: drills(models),
    };
    let hash = marking.hash().ok()?;
    Some((marking, hash))
}

fn keys(roles: &Roles) -> BTreeMap<String, String> {
    let trainers = roles.trainers.iter().map(|(code, trainer)| (code, &trainer.key));
    let signers = roles.signers.iter().map(|(code, signer)| (code, &signer.key));
    trainers
        .chain(signers)
        .filter_map(|(code, key)| Some((code.value.clone(), key.as_ref()?.value.clone())))
        .collect()
}

/// The steps by which a competency is watched.
fn sheet(course: &Course, competency: &Id, study: &[Id]) -> Option<marking::Sheet> {
    let lesson = course.shown_by(&competency.value, study)?;
    let steps = || lesson.value.procedures().flat_map(|(_, procedure)| &procedure.steps);
    let numbers = |which: fn(&Step) -> bool| {
        let numbered = steps().zip(1..);
        numbered.filter(|(step, _)| which(step)).map(|(_, n)| n).collect()
    };
    Some(marking::Sheet {
        lesson: lesson.id.clone(),
        steps: steps().map(|step| plain(&step.says.value, course)).collect(),
        conditional: numbers(|step| step.only.is_some()),
        not_staged: numbers(|step| step.not_staged),
    })
}

/// Prose without its markup, the centre's facts put in.
fn plain(text: &str, course: &Course) -> String {
    let mut plain = String::new();
    let mut fact = false;
    for event in Parser::new_ext(text, markdown::options()) {
        match event {
            Event::Start(Tag::Link { dest_url, .. }) if dest_url.starts_with("centre:") => {
                let name = dest_url.trim_start_matches("centre:");
                let known = course
                    .centre
                    .as_ref()
                    .and_then(|centre| centre.value.fact(name).flatten());
                plain.push_str(known.unwrap_or(name));
                fact = true;
            }
            Event::End(TagEnd::Link) => fact = false,
            Event::Text(words) | Event::Code(words) if !fact => plain.push_str(&words),
            Event::SoftBreak | Event::HardBreak => plain.push(' '),
            _ => {}
        }
    }
    plain
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
                        Evidence::Drill(id) => marking::Evidence::Drill(id.value.clone()),
                    })
                    .collect(),
                witnessed: marking::Witnessed {
                    times: competency.witnessed.times.value,
                    real: competency.witnessed.real.value,
                },
                holds_months: competency.holds_months.value,
                signed_by: competency.signed_by.value.clone(),
                sheet: sheet(course, id, &competency.study),
            })
            .collect(),
    )
}

fn bank(bank: &Filed<crate::model::Bank>, proofs: &Proofs) -> marking::Bank {
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
        questions: bank
            .value
            .questions
            .iter()
            .map(|(id, one)| question(id, one, proofs.order(bank.file, id)))
            .collect(),
    }
}

fn question(id: &Id, question: &Question, order: Option<&Order>) -> marking::Question {
    let keys = || question.answer.ids().into_iter().map(|id| id.value.clone()).collect();
    let kind = match &question.answer {
        Answer::Choice { right, partial, .. } => marking::Kind::Choice {
            options: keys(),
            right: ids(right),
            partial: *partial,
        },
        Answer::Matching { .. } => marking::Kind::Matching { pairs: keys() },
        Answer::Sequencing { .. } => marking::Kind::Sequencing {
            steps: keys(),
            ways: order.map(|order| order.ways.clone()).unwrap_or_default(),
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
        Answer::Place { right, .. } => marking::Kind::Place {
            spots: keys(),
            right: ids(right),
        },
    };
    marking::Question {
        id: id.value.clone(),
        competency: question.competency.value.clone(),
        critical: question.critical,
        kind,
    }
}

/// All drills, by id.
fn drills(models: &[safety::Model]) -> Vec<marking::Drill> {
    let mut drills: Vec<marking::Drill> = models
        .iter()
        .flat_map(|model| model.drills.iter().map(move |stop| (model, stop)))
        .map(|(model, stop)| marking::Drill {
            title: stop.source.value.title.value.clone(),
            edition: stop.source.value.edition.value,
            competencies: ids(&stop.source.value.competencies),
            ..marking::Drill::of(&model.machine, &stop.drill)
        })
        .collect();
    drills.sort_by(|a, b| a.id.cmp(&b.id));
    drills
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
