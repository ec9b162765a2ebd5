//! How a procedure goes wrong, in words.

use super::models::{Model, Written};
use super::{Change, codes};
use crate::diagnostic::Finding;
use crate::explore::{self, Class, Failure, Told};
use crate::model::Step;

/// The finding for a procedure that does not hold.
pub fn failure(model: &Model, written: &Written, failure: &Failure) -> Finding {
    let machine = &model.machine;
    let step = failure.step.and_then(|number| written.source.steps.get(number - 1));
    let span = match step {
        Some(step) => written.lesson.span(&step.says).max(
            step.acts
                .as_ref()
                .map_or(written.lesson.span(&step.says), |acts| written.lesson.span(acts)),
        ),
        None => written.lesson.span(&written.source.title),
    };
    let at = failure
        .step
        .map_or("at its end".to_owned(), |number| format!("at step {number}"));
    let hazard = || {
        failure
            .what
            .and_then(|index| machine.hazards.get(index))
            .map_or("", |hazard| &hazard.id)
    };
    let (message, help) = match failure.class {
        Class::Hurts => (
            format!("{at} somebody can be hurt: {}", hazard()),
            "put what is missing before this step; if the model is wrong, mend the model".to_owned(),
        ),
        Class::BreaksRule => {
            let rule = failure.what.and_then(|index| machine.rules.get(index));
            let words = rule.map_or(String::new(), |rule| {
                format!("{} ({}): {}", rule.id, rule.source, order(&rule.order))
            });
            (
                format!("{at} a rule is broken: {words}"),
                "do the acts of the rule first, in their order".to_owned(),
            )
        }
        Class::HarmsMachine => (
            format!("{at} the machine is damaged: {}", hazard()),
            "put what is missing before this step".to_owned(),
        ),
        Class::Stuck => (
            format!("{at} what the step needs is not there"),
            "give the step an `if`, put it elsewhere, or mend what the action `needs`".to_owned(),
        ),
        Class::NotCured => (
            "it ends, and the stop is not cured".to_owned(),
            "add the step that is missing, or mend the drill's `cured`".to_owned(),
        ),
        Class::HandedOver => (
            "it ends handed over, and could have been cured".to_owned(),
            "let the `if` of this branch ask for what shows that it cannot be cured".to_owned(),
        ),
        Class::NotKnown => (
            format!("{at} it cannot be known whether the step is due"),
            "ask for something that is seen by then, or put a look before it".to_owned(),
        ),
        Class::Endless => (
            format!("{at} it goes on without end"),
            "ask in `while` for something that the step changes".to_owned(),
        ),
    };
    Finding::new(codes::of(failure.class), span, message, help).told(machine.words(&failure.story))
}

/// The acts of a rule in words: a, b, c and d in any order, e.
fn order(places: &[Vec<String>]) -> String {
    places
        .iter()
        .map(|place| match place.as_slice() {
            [one] => one.clone(),
            any => format!("{} in any order", any.join(" and ")),
        })
        .collect::<Vec<_>>()
        .join(", ")
}

/// What a change to a procedure comes to, in words.
pub fn change(model: &Model, written: &Written, change: &explore::Change) -> Change {
    let steps = &written.procedure.steps;
    let source = written.source.steps.get(change.step - 1);
    Change {
        step: change.step,
        act: steps[change.place].says.clone(),
        before: change
            .before
            .map(|place| (steps[place].number, steps[place].says.clone())),
        class: change.failure.as_ref().map(|failure| failure.class),
        story: change
            .failure
            .as_ref()
            .map_or_else(Vec::new, |failure| consequence(model, failure)),
        has_reason: source.is_some_and(has_reason),
        law: source
            .map(|step| step.law.iter().map(|law| law.value.clone()).collect())
            .unwrap_or_default(),
    }
}

fn has_reason(step: &Step) -> bool {
    step.because.is_some() || !step.law.is_empty()
}

/// The end of a story: from the act at which it goes wrong.
fn consequence(model: &Model, failure: &Failure) -> Vec<String> {
    let machine = &model.machine;
    match failure.class {
        Class::BreaksRule => failure
            .what
            .and_then(|index| machine.rules.get(index))
            .map(|rule| {
                let says = rule.says.clone().unwrap_or_else(|| order(&rule.order));
                vec![format!("{says} ({})", rule.source)]
            })
            .unwrap_or_default(),
        Class::Hurts | Class::HarmsMachine => {
            // What nobody could see, what others did, and then from the act at which it goes wrong. All else that it began
            // with stands on the page of the stop.
            let last = failure.story.iter().rposition(|line| matches!(line, Told::Step { .. }));
            let amiss = failure.story.iter().find_map(|line| match line {
                Told::Start(state) => Some(machine.unseen(*state)).filter(|unseen| !unseen.is_empty()),
                _ => None,
            });
            let (before, after) = failure.story.split_at(last.unwrap_or(0));
            let before = before.iter().filter(|line| matches!(line, Told::Other(_)));
            let words = machine.plain_words(&before.chain(after).cloned().collect::<Vec<_>>());
            amiss
                .map(|unseen| format!("It may be that {unseen}."))
                .into_iter()
                .chain(words)
                .collect()
        }
        Class::Stuck => failure
            .story
            .iter()
            .rev()
            .find(|line| matches!(line, Told::Nothing { .. }))
            .map(|line| machine.plain_words(std::slice::from_ref(line)))
            .unwrap_or_default(),
        Class::NotCured | Class::HandedOver | Class::NotKnown | Class::Endless => Vec::new(),
    }
}
