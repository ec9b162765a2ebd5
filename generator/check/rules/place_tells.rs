//! Right answers that can be told by where they stand.

use super::Rule;
use super::length_tells::one_in;
use crate::check::picks::{Pick, Set, of_banks, of_scenarios, refuse_habit};
use crate::diagnostic::{Code, Finding};
use crate::model::Course;

pub static PLACE_TELLS: Code = Code {
    name: "place-tells",
    title: "the best answer stands too often in one place",
    explanation: "A scenario shows its choices as they are written: if the best one stands first or last too often, pressing there passes. A bank's options are shuffled, yet a habit there is the same habit, and it spoils \
        any copy on paper. For each place, counted from the top and for the last one from the bottom: of n answers the best one stands there by chance once in n times. From 8 questions or scenes on, a set is refused if as many or \
        more would come about by chance less than once in a hundred times (exact, one-sided). Move some of those that are shown to another place.",
};

pub const RULE: Rule = Rule {
    codes: &[&PLACE_TELLS],
    check,
};

fn check(course: &Course, findings: &mut Vec<Finding>) {
    for set in of_banks(course).chain(of_scenarios(course)) {
        let most = set.picks.iter().map(|pick| pick.texts.len()).max().unwrap_or(0);
        let from_top = (0..most).find_map(|place| {
            tells(&set, &format!("number {}", place + 1), |pick| {
                (place < pick.texts.len()).then_some(place)
            })
        });
        let last = || tells(&set, "the last one", |pick| pick.texts.len().checked_sub(1));
        // The last of four is the fourth as well: one habit, one finding.
        findings.extend(from_top.or_else(last));
    }
}

/// `place(pick)`: the place that is looked at; none if there is no such place.
fn tells(set: &Set, what: &str, place: impl Fn(&Pick) -> Option<usize>) -> Option<Finding> {
    let telling: Vec<(&Pick, f64, bool)> = set
        .picks
        .iter()
        .filter_map(|pick| Some((pick, one_in(pick.texts.len()), place(pick)? == pick.best)))
        .collect();
    refuse_habit(
        &PLACE_TELLS,
        set,
        &telling,
        &format!("is {what}"),
        "move some of those shown to another place",
    )
}
