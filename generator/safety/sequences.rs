//! Sequencings that a machine marks: every order is replayed, and the right ones are those that are.

use super::codes;
use super::models::Model;
use crate::diagnostic::Finding;
use crate::explore::{self, Machine, Next, Sequence, Stop, Told, World, Wrong, orders};
use crate::marking::Way;
use crate::model::{Answer, Course, Id};
use crate::source::FileId;
use std::collections::BTreeMap;

/// The orders of one question.
#[derive(Debug)]
pub struct Order {
    pub file: FileId,
    pub question: String,
    /// For each node, where each step leads; the first node is the beginning.
    pub ways: Vec<BTreeMap<String, Way>>,
    /// How many whole orders are right.
    pub right: u64,
}

/// A question whose orders are asked of a machine.
pub struct Asked<'c> {
    file: FileId,
    id: &'c Id,
    steps: Vec<&'c str>,
    model: usize,
    drill: usize,
    sequence: Sequence,
}

/// Makes the questions ready. What cannot be read has its finding.
pub fn asked<'c>(models: &[Model], course: &'c Course, findings: &mut Vec<Finding>) -> Vec<Asked<'c>> {
    let mut all = Vec::new();
    for (file, id, question) in course.questions() {
        let Answer::Sequencing {
            steps,
            model: Some(modelled),
        } = &question.answer
        else {
            continue;
        };
        let place = models.iter().enumerate().find_map(|(at, model)| {
            let drill = model
                .drills
                .iter()
                .position(|stop| stop.source.id == modelled.drill.value)?;
            Some((at, drill))
        });
        // A drill that is not there has its finding.
        let Some((model, drill)) = place else {
            continue;
        };
        let (machine, stop) = (&models[model].machine, &models[model].drills[drill]);
        if let Some(sequence) = explore::sequence(file, steps, modelled, machine, &stop.drill, findings) {
            all.push(Asked {
                file,
                id,
                steps: steps.keys().map(|key| key.value.as_str()).collect(),
                model,
                drill,
                sequence,
            });
        }
    }
    all
}

/// Replays every order of a question.
pub fn order(asked: &Asked, models: &[Model], findings: &mut Vec<Finding>) -> Option<Order> {
    let model = &models[asked.model];
    let world = World::new(&model.machine);
    let sequence = &asked.sequence;
    let found = orders(
        &world,
        &model.drills[asked.drill].drill,
        sequence.start,
        &sequence.before,
        &sequence.acts,
    );
    let found = match found {
        Ok(found) => found,
        Err(why) => {
            // What is wrong with the machine is said where its drill is gone over.
            if why == Stop::Budget {
                findings.push(no_order(asked, "there is more to go over than the budget allows"));
            }
            return None;
        }
    };
    if found.right == 0 {
        let why = if found.nodes.is_empty() {
            "what is done before cannot be done, or is wrong itself"
        } else {
            "no order of the steps is safe, keeps the rules and ends cured"
        };
        findings.push(no_order(asked, why));
        return None;
    }
    let ways = found
        .nodes
        .iter()
        .map(|node| {
            node.iter()
                .map(|(place, next)| (asked.steps[*place].to_owned(), way(&model.machine, next)))
                .collect()
        })
        .collect();
    Some(Order {
        file: asked.file,
        question: asked.id.value.clone(),
        ways,
        right: found.right,
    })
}

fn no_order(asked: &Asked, why: &str) -> Finding {
    Finding::new(
        &codes::NO_RIGHT_ORDER,
        asked.id.span(asked.file),
        format!("nobody can answer the question `{}`: {why}", asked.id),
        "add the steps that are missing, or name in `before` what was done before them",
    )
}

fn way(machine: &Machine, next: &Next) -> Way {
    match next {
        // The first node is never led to: nothing is undone by an act.
        Next::On(node) => Way::On(u32::try_from(*node).unwrap_or(u32::MAX)),
        Next::Cured => Way::On(0),
        Next::Wrong(wrong) => Way::Wrong(words(machine, wrong)),
    }
}

/// What the first wrong step does, in words.
fn words(machine: &Machine, wrong: &Wrong) -> String {
    match wrong {
        Wrong::Hurts(_, lines) => {
            let unseen = lines.iter().find_map(|line| match line {
                Told::Start(from) => Some(machine.unseen(*from)),
                _ => None,
            });
            let happens: Vec<Told> = lines
                .iter()
                .filter(|line| !matches!(line, Told::Start(_) | Told::Step { .. }))
                .cloned()
                .collect();
            let told = machine.plain_words(&happens).join(" ");
            match unseen.filter(|unseen| !unseen.is_empty()) {
                Some(unseen) => format!("Somebody can be hurt. It may be that {unseen}. {told}"),
                None => format!("Somebody can be hurt. {told}"),
            }
        }
        Wrong::BreaksRule(rule) => match machine.rules.get(*rule) {
            Some(rule) => format!(
                "A rule is broken. {} ({}).",
                rule.says.as_deref().unwrap_or(&rule.id).trim_end_matches('.'),
                rule.source
            ),
            None => "A rule is broken.".to_owned(),
        },
        Wrong::HarmsMachine(hazard) => match machine.hazards.get(*hazard) {
            Some(hazard) => format!("The machine is damaged. {}.", hazard.harm.trim_end_matches('.')),
            None => "The machine is damaged.".to_owned(),
        },
        Wrong::NotPossible => "It cannot be done yet.".to_owned(),
        Wrong::NotCured => {
            "Everything is done, and it still is not as it must be: something came too early to count.".to_owned()
        }
    }
}
