//! What a course names by an id, sort by sort, and what somebody may have meant by an id that it does not have.

use super::NotEntered;
use crate::marking::Marking;
use crate::record::{did_you_mean, near};

/// Everything that a command takes by its id.
const SORTS: [&str; 7] = ["lesson", "competency", "bank", "scenario", "drill", "machine", "job"];

/// The ids of a sort, in the order of the course.
pub(super) fn ids<'m>(sort: &str, course: &'m Marking) -> Vec<&'m str> {
    match sort {
        "lesson" => course.lessons.iter().map(|known| known.id.as_str()).collect(),
        "competency" => course.competencies.iter().map(|known| known.id.as_str()).collect(),
        "machine" => course.machines.iter().map(|known| known.id.as_str()).collect(),
        "job" => course.jobs.iter().map(|known| known.id.as_str()).collect(),
        "bank" => course.banks.iter().map(|known| known.id.as_str()).collect(),
        "scenario" => course.scenarios.iter().map(|known| known.id.as_str()).collect(),
        _ => course.drills.iter().map(|known| known.id.as_str()).collect(),
    }
}

/// The sorts of what the course has under this id.
pub fn sorts_of(id: &str, course: &Marking) -> Vec<&'static str> {
    SORTS
        .into_iter()
        .filter(|sort| ids(sort, course).contains(&id))
        .collect()
}

impl NotEntered {
    /// The course has nothing of these sorts under this id: with what else it is, and what may have been meant.
    pub fn nothing(sorts: &[&str], id: &str, course: &Marking) -> Self {
        let known: Vec<&str> = sorts.iter().flat_map(|sort| ids(sort, course)).collect();
        let other = sorts_of(id, course);
        let is = (!other.is_empty()).then(|| format!("{id} is a {}", other.join(" and a ")));
        let meant = did_you_mean(id, known.iter().copied()).or_else(|| part_of(id, &known));
        let hint: Vec<String> = is.into_iter().chain(meant).collect();
        let words = match sorts {
            [one] => (*one).to_owned(),
            [all @ .., last] => format!("{} or {last}", all.join(", ")),
            [] => String::new(),
        };
        Self::NoThing {
            what: format!("{words} `{id}`"),
            hint: (!hint.is_empty()).then(|| hint.join("; ")),
            known: known.into_iter().map(str::to_owned).collect(),
        }
    }

    /// The course does not have a competency of this name.
    pub fn no_competency(id: &str, course: &Marking) -> Self {
        Self::nothing(&["competency"], id, course)
    }
}

/// The same question of ids that have a word of this one in them, misspelt or not: `extra-pni` for `clear-extra-pin`.
fn part_of(id: &str, known: &[&str]) -> Option<String> {
    const LEAST: usize = 3;
    let words = |text: &str| -> Vec<String> {
        let long = text.split(['-', ' ', '_']).filter(|word| word.len() >= LEAST);
        long.map(str::to_ascii_lowercase).collect()
    };
    let wanted = words(id);
    let shared = |one: &str| {
        let has = words(one);
        let same = |word: &&String| {
            !near(word, has.iter().map(String::as_str).filter(|_| word.len() > LEAST)).is_empty() || has.contains(word)
        };
        wanted.iter().filter(same).count()
    };
    let most = known.iter().map(|one| shared(one)).max().filter(|most| *most > 0)?;
    let meant: Vec<&str> = known
        .iter()
        .copied()
        .filter(|one| shared(one) == most)
        .take(5)
        .collect();
    Some(format!("did you mean {}?", meant.join(" or ")))
}
