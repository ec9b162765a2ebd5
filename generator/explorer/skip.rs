//! What each step of a procedure is for: it is left out, or swapped with the next, and the rest replayed.

use super::drill::Drill;
use super::graph::Graph;
use super::procedure::{Procedure, Step};
use super::replay::{Failure, Manner, replay};
use super::situation::{Stop, World};

/// What a change to a procedure comes to.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Change {
    /// The place of the step in the list of steps.
    pub place: usize,
    /// The number of the step that is left out, or done one place too late.
    pub step: usize,
    /// The place of the step that is then done before it; none where the step is left out.
    pub before: Option<usize>,
    /// The worst that can happen; none where it makes no difference.
    pub failure: Option<Failure>,
}

/// Whether the replay knows a step: the machine does, or the procedure ends with it.
fn matters(step: &Step) -> bool {
    !step.acts.is_empty() || step.ends
}

/// Leaves out each step that the machine knows, one at a time.
///
/// # Errors
/// [`Stop`].
pub fn skips<'r, 'm>(
    world: &'r World<'m>,
    drill: &'r Drill,
    graph: &'r Graph<'r, 'm>,
    procedure: &Procedure,
) -> Result<Vec<Change>, Stop> {
    let mut changes = Vec::new();
    for (place, step) in procedure.steps.iter().enumerate() {
        if !matters(step) {
            continue;
        }
        let replayed = replay(world, drill, Some(graph), &procedure.without(place), Manner::Trial)?;
        changes.push(Change {
            place,
            step: step.number,
            before: None,
            failure: replayed.failure,
        });
    }
    Ok(changes)
}

/// Swaps each step that the machine knows with the next such step.
///
/// # Errors
/// [`Stop`].
pub fn swaps<'r, 'm>(
    world: &'r World<'m>,
    drill: &'r Drill,
    graph: &'r Graph<'r, 'm>,
    procedure: &Procedure,
) -> Result<Vec<Change>, Stop> {
    // Steps that the machine does not know are in nobody's way.
    let places: Vec<usize> = (0..procedure.steps.len())
        .filter(|place| matters(&procedure.steps[*place]))
        .collect();
    let known = Procedure {
        steps: places.iter().map(|place| procedure.steps[*place].clone()).collect(),
    };
    let mut changes = Vec::new();
    for place in 0..known.steps.len().saturating_sub(1) {
        let replayed = replay(world, drill, Some(graph), &known.swapped(place), Manner::Trial)?;
        changes.push(Change {
            place: places[place],
            step: known.steps[place].number,
            before: Some(places[place + 1]),
            failure: replayed.failure,
        });
    }
    Ok(changes)
}
