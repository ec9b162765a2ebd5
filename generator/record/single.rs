//! Holding a statement that stands by itself against the course it was made on.

use super::attempt::answer_claim;
use super::event::{Event, What};
use super::statement::{Deed, Statement};
use super::vocabulary::Thing;
use crate::marking::Marking;
use crate::score::marked;

/// Every way in which a statement outside any attempt does not fit its marking. Statements of attempts are for
/// [`super::judge`], and give nothing here.
pub fn fits(statement: &Statement, marking: &Marking) -> Vec<String> {
    match &statement.deed {
        Deed::Opened { lesson } | Deed::Read { lesson } => edition(statement, marking, lesson),
        Deed::Practised {
            lesson,
            question,
            response,
            claim,
        } => {
            let mut misfits = edition(statement, marking, lesson);
            let found = marking
                .practice
                .iter()
                .filter(|practice| practice.lesson == *lesson)
                .flat_map(|practice| &practice.questions)
                .find(|known| known.id == *question);
            match found {
                None => misfits.push(format!("lesson {lesson} asks no question {question}")),
                Some(known) => match marked(known, response) {
                    Ok(earned) => misfits.extend(answer_claim(question, response, claim, earned)),
                    Err(why) => misfits.push(format!("question {question}: `{response}` {why}")),
                },
            }
            misfits
        }
        Deed::Entered(event) => entered(event, marking),
        Deed::Begun { .. } | Deed::Answered { .. } | Deed::Closed(_) => Vec::new(),
    }
}

/// What an event is about must be of the course.
fn entered(event: &Event, marking: &Marking) -> Vec<String> {
    let unknown = |what: String| vec![format!("this course has no {what}")];
    match &event.what {
        What::Assigned { thing, .. } => {
            let there = match thing {
                Thing::Lesson(id) => marking.lesson(id).is_some(),
                Thing::Assessment(one) => marking.assessment(one).is_some(),
                Thing::Competency(id) => marking.competency(id).is_some(),
                _ => false,
            };
            if there { Vec::new() } else { unknown(thing.to_string()) }
        }
        What::Released { assessment, .. } if marking.assessment(assessment).is_none() => {
            unknown(assessment.to_string())
        }
        What::Joined { job: Some(job) } if marking.jobs.iter().all(|known| known.id != *job) => {
            unknown(format!("job {job}"))
        }
        What::Inspected(seen) if marking.machines.iter().all(|known| known.id != seen.machine) => {
            unknown(format!("machine {}", seen.machine))
        }
        _ => event.competency().map(|id| competency(marking, id)).unwrap_or_default(),
    }
}

fn competency(marking: &Marking, id: &str) -> Vec<String> {
    match marking.competency(id) {
        Some(_) => Vec::new(),
        None => vec![format!("this course has no competency {id}")],
    }
}

fn edition(statement: &Statement, marking: &Marking, lesson: &str) -> Vec<String> {
    let Some(known) = marking.lesson(lesson) else {
        return vec![format!("this course has no lesson {lesson}")];
    };
    match statement.edition {
        Some(claimed) if claimed != known.edition => vec![format!(
            "it says edition {claimed} of lesson {lesson}; on the course it was made on, this is edition {}",
            known.edition
        )],
        _ => Vec::new(),
    }
}
