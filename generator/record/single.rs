//! Holding a statement that stands by itself against the course it was made on.

use super::attempt::answer_claim;
use super::statement::{Deed, Statement};
use crate::marking::{Kind, Marking};
use crate::score::mark;

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
                Some(known) => {
                    if let Kind::Choice { options, .. } = &known.kind
                        && !options.contains(response)
                    {
                        misfits.push(format!("question {question}: `{response}` is not one of its options"));
                    } else {
                        misfits.extend(answer_claim(question, response, claim, mark(known, response)));
                    }
                }
            }
            misfits
        }
        Deed::Witnessed(seen) => competency(marking, &seen.competency),
        Deed::SignedOff { competency: id, .. } => competency(marking, id),
        Deed::Begun { .. } | Deed::Answered { .. } | Deed::Closed(_) => Vec::new(),
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
