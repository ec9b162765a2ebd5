//! Banks that can fill their blueprint and cannot be guessed.

use super::{Rule, questions};
use crate::check::Odds;
use crate::check::odds::bank_odds;
use crate::diagnostic::{Code, Finding};
use crate::model::{Answer, Course, Question, Sort};

pub static BANK_TOO_SMALL: Code = Code {
    name: "bank-too-small",
    title: "a blueprint asks for more questions than there are",
    explanation: "`draw` says how many questions of each competency a form asks. There must be at least as many in the bank, and better three times \
        as many, so that a second try is another form. Write more questions, or ask fewer. A `draw` with nothing in it is refused too.",
};

pub static NEVER_DRAWN: Code = Code {
    name: "never-drawn",
    title: "a question that no form can ask",
    explanation: "A form asks only about the competencies in `draw`. A question about another one would never be seen. Add its competency to `draw`, \
        or move the question.",
};

pub static BLIND_PASS: Code = Code {
    name: "blind-pass",
    title: "blind clicking passes too often",
    explanation: "The chance that somebody who knows nothing passes is worked out exactly, for the easiest form that can be drawn and over all allowed \
        tries together. It must not be above `blind-pass-at-most` of the outline. Ask more questions, offer more options, raise \
        the pass mark, or allow fewer tries. In a scenario: add decisions that carry marks, or bring `pass` nearer to the most marks.",
};

pub static FORMS_ALIKE: Code = Code {
    name: "forms-alike",
    title: "two forms of a bank are too much alike",
    explanation: "A second try, or the person who comes next, should not meet the same questions. The chance that two forms drawn independently share at least half of their questions is worked out exactly from `draw` and the number of questions (in each competency the \
        number shared is hypergeometric). It must not be above 5%. Write more questions for the competencies that draw most, or draw fewer of them: three to four times as many as are drawn is enough for a form of a dozen; a shorter form needs more.",
};

/// The greatest chance that two forms share half of their questions or more.
const MOST_ALIKE: f64 = 0.05;

pub const RULE: Rule = Rule {
    codes: &[&BANK_TOO_SMALL, &NEVER_DRAWN, &BLIND_PASS, &FORMS_ALIKE],
    check,
};

fn check(course: &Course, findings: &mut Vec<Finding>) {
    for bank in &course.banks {
        let value = &bank.value;
        let before = findings.len();
        if value.draw.is_empty() {
            findings.push(Finding::new(
                &BANK_TOO_SMALL,
                bank.span(&value.title),
                "a form of this bank asks nothing, and so anybody would pass",
                "say in `draw` how many questions about each competency are asked",
            ));
            continue;
        }
        let known = |competency: &str| course.has(Sort::Competency, competency);
        if !value.draw.keys().all(|competency| known(competency)) {
            // Reported as an unknown reference; until it is put right, nobody can tell what is drawn.
            continue;
        }
        for (competency, count) in value.draw.iter() {
            let there = value
                .questions
                .values()
                .filter(|question| question.competency.value == competency.value)
                .count();
            if there < count.value as usize {
                findings.push(Finding::new(
                    &BANK_TOO_SMALL,
                    bank.span(count),
                    format!("a form asks {count} questions about `{competency}`, and the bank has {there}"),
                    "write more questions, or ask fewer",
                ));
            }
        }
        for question in value.questions.values() {
            if value.draw.get(&question.competency).is_none() && known(&question.competency) {
                findings.push(Finding::new(
                    &NEVER_DRAWN,
                    bank.span(&question.competency),
                    format!("no form asks about `{}`: it is not in `draw`", question.competency),
                    "add it to `draw`, or move the question",
                ));
            }
        }
        let Some(outline) = &course.outline else {
            continue;
        };
        let mut questions = value.questions.iter();
        let sound = questions.all(|(id, question)| questions::sound(bank.file, id, question));
        if findings.len() == before && sound && value.draw.values().any(|count| count.value > 0) {
            let attempts = &outline.value.attempts;
            let odds = bank_odds(&bank.id, value, attempts.tries.value, &|_| None);
            let most = attempts.blind_pass_at_most.value.0;
            // Where a machine marks an order, [`proven`] knows how many are right.
            if odds.over_tries > most && !value.questions.values().any(by_model) {
                findings.push(too_easy(
                    bank.span(&value.pass),
                    odds.once,
                    odds.over_tries,
                    attempts.tries.value,
                    most,
                ));
            }
            if odds.alike > MOST_ALIKE {
                findings.push(Finding::new(
                    &FORMS_ALIKE,
                    bank.span(&value.title),
                    format!(
                        "two forms share at least half of their questions with {:.2}%; at most {:.0}% is allowed",
                        odds.alike * 100.0,
                        MOST_ALIKE * 100.0
                    ),
                    "write more questions for what `draw` takes most of, or draw fewer",
                ));
            }
        }
    }
}

/// Whether the number of right answers to a question is for a machine to say.
fn by_model(question: &Question) -> bool {
    matches!(&question.answer, Answer::Sequencing { model: Some(_), .. })
}

/// The same bound on blind clicking, for banks with orders that a machine marks, once the machine has been asked.
pub fn proven(course: &Course, odds: &Odds, findings: &mut Vec<Finding>) {
    let Some(outline) = &course.outline else {
        return;
    };
    let attempts = &outline.value.attempts;
    for (bank, odds) in course.banks.iter().zip(&odds.banks) {
        let most = attempts.blind_pass_at_most.value.0;
        if odds.over_tries > most && bank.value.questions.values().any(by_model) {
            findings.push(too_easy(
                bank.span(&bank.value.pass),
                odds.once,
                odds.over_tries,
                attempts.tries.value,
                most,
            ));
        }
    }
}

/// The finding that blind clicking passes too often.
pub fn too_easy(span: crate::source::Span, once: f64, over_tries: f64, tries: u32, most: f64) -> Finding {
    Finding::new(
        &BLIND_PASS,
        span,
        format!(
            "blind clicking passes {:.3}% of single tries and {:.3}% of people with {tries} tries; at most {:.3}% is allowed",
            once * 100.0,
            over_tries * 100.0,
            most * 100.0
        ),
        "ask more, offer more options, raise the pass mark, or allow fewer tries",
    )
}
