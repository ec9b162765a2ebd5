//! What must be seen of a competency, and what must be able to go before it.

use super::{Competency, Marking};

/// The kind of the lessons that teach locking out.
const LOCKOUT: &str = "lockout";

impl Competency {
    /// The numbers of the steps that must be seen once at least before it can be signed: all that are done whatever the machine
    /// shows. Where no real call is asked for, one that cannot be staged is not asked for either.
    pub fn to_be_seen(&self) -> Vec<u32> {
        let Some(sheet) = &self.sheet else {
            return Vec::new();
        };
        let never = |number: &u32| self.witnessed.real == 0 && sheet.not_staged.contains(number);
        let (numbers, _): (Vec<u32>, Vec<&String>) = (1..).zip(&sheet.steps).unzip();
        numbers
            .into_iter()
            .filter(|number| !sheet.conditional.contains(number) && !never(number))
            .collect()
    }
}

impl Marking {
    /// The competencies that are shown by the lockout lessons under one: behind a guard, they come first. None for one that is shown
    /// by such a lesson itself.
    pub fn lockouts_under(&self, competency: &Competency) -> Vec<&Competency> {
        let is_lockout = |id: &String| self.lesson(id).is_some_and(|lesson| lesson.kind == LOCKOUT);
        let under: Vec<&String> = competency.study.iter().filter(|id| is_lockout(id)).collect();
        let shown_there = |known: &Competency| {
            let sheet = known.sheet.as_ref();
            sheet.is_some_and(|sheet| under.contains(&&sheet.lesson))
        };
        if shown_there(competency) {
            return Vec::new();
        }
        self.competencies.iter().filter(|known| shown_there(known)).collect()
    }
}
