//! A procedure, ready to be replayed on a machine.

use super::condition::Test;

/// The steps of a procedure.
#[derive(Debug, Clone, Default)]
pub struct Procedure {
    pub steps: Vec<Step>,
}

/// One step.
#[derive(Debug, Clone)]
pub struct Step {
    /// Its number on the page, from 1; a swap or a gap does not change it.
    pub number: usize,
    /// The page's words for it.
    pub says: String,
    /// The acts that it may mean: none for a step that the machine knows nothing of, several for a family.
    pub acts: Vec<usize>,
    /// Repeated while this holds.
    pub repeat: Option<Test>,
    /// Left out unless this holds.
    pub only: Option<Test>,
    /// The procedure ends here.
    pub ends: bool,
}

impl Procedure {
    /// The procedure without the step at this place.
    #[must_use]
    pub fn without(&self, place: usize) -> Self {
        let mut steps = self.steps.clone();
        steps.remove(place);
        Self { steps }
    }

    /// The procedure with the step at this place and the one after it swapped.
    #[must_use]
    pub fn swapped(&self, place: usize) -> Self {
        let mut steps = self.steps.clone();
        steps.swap(place, place + 1);
        Self { steps }
    }
}
