//! Right answers that can be told by their length.

use super::Rule;
use crate::check::picks::{Pick, Set, of_banks, of_scenarios, refuse_habit};
use crate::check::wording::plain;
use crate::diagnostic::{Code, Finding};
use crate::model::Course;

pub static LENGTH_TELLS: Code = Code {
    name: "length-tells",
    title: "the best answer can be told by its length",
    explanation: "Authors make the right answer exact, and so it grows longest; or they pad the wrong ones, and it is shortest. Whoever notices passes without knowing the machine. \
        In a bank (choices with one right option) and in a scenario (scenes with one best choice), an answer is clearly the longest if it has at least a quarter more letters than each other one, and clearly the shortest if \
        each other one has at least a quarter more than it. Of n answers the best one is that by chance once in n times. From 8 questions or scenes on, a set is refused if as many or more \
        would come about by chance less than once in a hundred times (exact, one-sided). Shorten the right ones that are shown, or make a wrong one say as much.",
};

pub const RULE: Rule = Rule {
    codes: &[&LENGTH_TELLS],
    check,
};

fn check(course: &Course, findings: &mut Vec<Finding>) {
    for set in of_banks(course).chain(of_scenarios(course)) {
        findings.extend(tells(&set, "longest", |long, short| long * 4 >= short * 5));
        findings.extend(tells(&set, "shortest", |short, long| long * 4 >= short * 5));
    }
}

/// `clear(a, b)`: a length `a` stands out against `b`.
fn tells(set: &Set, end: &str, clear: impl Fn(usize, usize) -> bool) -> Option<Finding> {
    let telling: Vec<(&Pick, f64, bool)> = set
        .picks
        .iter()
        .filter_map(|pick| {
            let lengths: Vec<usize> = pick.texts.iter().map(|text| plain(text).chars().count()).collect();
            let stands_out = (0..lengths.len()).find(|at| {
                let others = lengths.iter().enumerate().filter(|(other, _)| other != at);
                lengths.len() > 1 && others.into_iter().all(|(_, other)| clear(lengths[*at], *other))
            })?;
            Some((pick, one_in(lengths.len()), stands_out == pick.best))
        })
        .collect();
    refuse_habit(
        &LENGTH_TELLS,
        set,
        &telling,
        &format!("is clearly the {end}"),
        "even out the answers of those shown; what is long belongs into `because`",
    )
}

/// The chance that one of `number` answers is the one meant.
pub fn one_in(number: usize) -> f64 {
    1.0 / f64::from(u32::try_from(number).unwrap_or(u32::MAX))
}
