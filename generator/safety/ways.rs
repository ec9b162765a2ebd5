//! All states that a drill's acts can bring about, safe or not, with the shortest way into each hazard.

use super::models::models;
use crate::explore::{self, Stop, reach};
use crate::model::Course;
use rayon::prelude::*;

/// More states than this are not counted: a drill keeps them all in memory.
pub const MOST_COUNTED: usize = 5_000_000;

/// What can come about in a drill if anybody does anything.
#[derive(Debug)]
pub struct Ways {
    pub drill: String,
    /// None if there are more than [`MOST_COUNTED`].
    pub states: Option<usize>,
    /// Each hazard that can be met, and the shortest way in, one sentence a line.
    pub hazards: Vec<(String, Vec<String>)>,
}

/// Counts the states of every drill of a course in which nothing was found.
pub fn ways(course: &Course) -> Vec<Ways> {
    let models = models(course, &mut Vec::new());
    models
        .par_iter()
        .flat_map_iter(|model| {
            let machine = &model.machine;
            model.drills.iter().filter_map(move |stop| {
                let drill = stop.source.id.clone();
                let found = match reach(machine, &stop.drill, MOST_COUNTED) {
                    Ok(found) => found,
                    Err(Stop::Budget) => {
                        return Some(Ways {
                            drill,
                            states: None,
                            hazards: Vec::new(),
                        });
                    }
                    // A flaw that only unsafe acts lead to: nobody gets that far.
                    Err(Stop::Flaw(_)) => return None,
                };
                let hazards = machine
                    .hazards
                    .iter()
                    .zip(&found.ways)
                    .filter_map(|(hazard, way)| Some((hazard.id.clone(), story(machine, way.as_deref()?)?)))
                    .collect();
                Some(Ways {
                    drill,
                    states: Some(found.states),
                    hazards,
                })
            })
        })
        .collect()
}

fn story(machine: &explore::Machine, way: &[explore::WayStep]) -> Option<Vec<String>> {
    Some(machine.words(&machine.told(way).ok()?))
}
