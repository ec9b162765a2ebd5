//! Guards that may be permissions in disguise: `needs` that make a dangerous act impossible instead of showing that it is.

use super::models::{Model, models};
use crate::explore::{Graph, Stop, World};
use crate::model::Course;
use rayon::prelude::*;
use std::collections::BTreeSet;

/// An action worth a look.
#[derive(Debug)]
pub struct Guarded {
    pub machine: String,
    pub action: String,
    /// What it would be like, and who would be hurt.
    pub story: Vec<String>,
}

/// Looks for actions that never hurt where they are possible, and would hurt where only their `needs` stand in the way.
/// Some of them are right: a handle with a lock on it does not turn. So these are questions to the author, not findings.
pub fn guarded(course: &Course) -> Vec<Guarded> {
    let models = models(course, &mut Vec::new());
    let mut all: Vec<Guarded> = models
        .par_iter()
        .flat_map_iter(|model| of(model).unwrap_or_default())
        .collect();
    all.sort_by(|a, b| (&a.machine, &a.action).cmp(&(&b.machine, &b.action)));
    all
}

fn of(model: &Model) -> Result<Vec<Guarded>, Stop> {
    let machine = &model.machine;
    let mut hurts = vec![false; machine.actions.len()];
    let mut would: Vec<Option<Vec<String>>> = vec![None; machine.actions.len()];
    for stop in &model.drills {
        let world = World::new(machine);
        let graph = Graph::of(&world, &stop.drill)?;
        let states: BTreeSet<_> = graph
            .all_situations()
            .flat_map(|situation| situation.iter().map(|(state, _)| *state))
            .collect();
        for (act, action) in machine.actions.iter().enumerate() {
            if hurts[act] || world.held(act, &stop.drill) {
                continue;
            }
            for state in states.iter().filter(|state| action.at.holds(**state)) {
                // What counts past its range there cannot be done in any way.
                let Ok(outcome) = machine.act(act, *state) else {
                    continue;
                };
                let met = outcome.met & machine.to_person;
                let Some(hazard) = machine.first(met).filter(|_| met != 0) else {
                    continue;
                };
                if action.needs.holds(*state) {
                    hurts[act] = true;
                    break;
                }
                would[act].get_or_insert_with(|| {
                    vec![
                        format!("It can be so: {}.", machine.differs(*state)),
                        format!("{}: {}.", hazard.id, hazard.harm.trim_end_matches('.')),
                    ]
                });
            }
        }
    }
    let mut found: Vec<Guarded> = Vec::new();
    for (act, story) in would.into_iter().enumerate() {
        let id = &machine.actions[act].id;
        let harmless = !machine.instances(id).any(|act| hurts[act]);
        if let Some(story) = story.filter(|_| harmless)
            && found.last().is_none_or(|last| last.action != *id)
        {
            found.push(Guarded {
                machine: model.source.id.clone(),
                action: id.clone(),
                story,
            });
        }
    }
    Ok(found)
}
