//! Marking the answers given to one form of a bank.

use super::super::statement::{Deed, Statement};
use super::{Answer, Marked, Marks, Ordered, claims};
use crate::marking::{Asked, Bank, Evidence, FULL, Question, draw};
use crate::score::{bank_result, marked};

pub(super) fn mark(bank: Option<&Bank>, ordered: &Ordered, misfits: &mut Vec<String>) -> Option<Marked> {
    let bank = bank?;
    let form = match draw(bank, ordered.seed) {
        Ok(form) => form,
        Err(why) => {
            misfits.push(why.to_string());
            return None;
        }
    };
    if ordered.answers.len() > form.len() {
        misfits.push(format!(
            "{} answers to a form of {} questions",
            ordered.answers.len(),
            form.len()
        ));
    }
    let mut marks: Vec<(&Question, u32)> = Vec::new();
    let mut answers = Vec::new();
    for (turn, asked) in form.iter().enumerate() {
        let earned = match ordered.answers.get(turn) {
            Some(statement) => answered(bank, turn, asked, statement, misfits).map_or(0, |answer| {
                let earned = answer.earned;
                answers.push(answer);
                earned
            }),
            None => 0,
        };
        marks.push((asked.question, earned));
    }
    let result = bank_result(bank, &marks);
    let count = |number: usize| u32::try_from(number).unwrap_or(u32::MAX);
    Some(Marked {
        title: bank.title.clone(),
        edition: bank.edition,
        marks: Marks::Bank {
            parts: result.parts,
            right: count(marks.iter().filter(|(_, earned)| *earned == FULL).count()),
            asked: result.asked,
        },
        passed: result.passed,
        complete: ordered.answers.len() >= form.len(),
        lacking: format!(
            "only {} of its {} answers have been handed in",
            ordered.answers.len(),
            form.len()
        ),
        missed_critical: result.missed_critical,
        first_unsafe: None,
        answers,
    })
}

fn answered(
    bank: &Bank,
    turn: usize,
    asked: &Asked,
    statement: &Statement,
    misfits: &mut Vec<String>,
) -> Option<Answer> {
    let Deed::Answered {
        at, response, claim, ..
    } = &statement.deed
    else {
        return None;
    };
    let due = &asked.question.id;
    if !at.is(&Evidence::Bank(bank.id.clone()), due) {
        misfits.push(format!("turn {turn} answers {at}; the seed draws question {due} there"));
        return None;
    }
    let earned = match marked(asked.question, response) {
        Ok(earned) => earned,
        Err(why) => {
            misfits.push(format!("question {due}: `{response}` {why}"));
            return None;
        }
    };
    misfits.extend(claims::answer(due, response, claim, earned));
    Some(Answer {
        at: due.clone(),
        response: response.clone(),
        earned,
    })
}
