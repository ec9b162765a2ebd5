//! What somebody must be signed off for before a page may say that they can do it alone.

use crate::model::{Course, Filed, Kind, Lesson};
use std::collections::BTreeSet;

/// The competencies behind a page on which hands go in, or a stop is cleared: the lesson's own, and those of every lockout
/// lesson that it builds on. None for other pages. A page without a competency of its own needs what nobody can have.
pub fn needs<'c>(course: &'c Course, lesson: &'c Filed<Lesson>) -> Option<Vec<&'c str>> {
    let front = &lesson.value.front;
    if !front.hands_on && front.kind.value != Kind::Stop {
        return None;
    }
    let own = front.competencies.iter().map(|id| id.value.as_str());
    let mut needs: Vec<&str> = own.collect();
    if needs.is_empty() {
        return Some(needs);
    }
    let mut seen = BTreeSet::from([lesson.id.as_str()]);
    let mut open = vec![lesson];
    while let Some(at) = open.pop() {
        let before = at.value.front.after.iter().filter_map(|id| course.lesson(&id.value));
        for known in before.filter(|known| seen.insert(&known.id)) {
            if known.value.front.kind.value == Kind::Lockout {
                needs.extend(known.value.front.competencies.iter().map(|id| id.value.as_str()));
            }
            open.push(known);
        }
    }
    needs.sort_unstable();
    needs.dedup();
    Some(needs)
}
