//! One file a rule: it owns its codes, their explanations, and the check.

use crate::diagnostic::{Code, Finding};
use crate::model::{Course, Sort};
use crate::source::{Sources, Span};

mod absolutes_tell;
mod after;
mod asks_nothing;
pub mod bank;
mod cautions;
mod cycles;
mod demo;
mod drawings;
mod evidence;
mod facts;
mod hands_on;
mod headings;
mod ids;
mod keys;
mod length_tells;
mod links;
mod lockout_order;
mod numbers;
mod other_options;
mod outline;
mod place_tells;
mod plain_negative;
mod poses;
mod prose;
mod questions;
mod references;
mod scenario;
mod staging;
mod stops_alike;
pub mod views;

/// A rule: what it can find, and how.
pub struct Rule {
    pub codes: &'static [&'static Code],
    pub check: fn(&Course, &mut Vec<Finding>),
}

/// All rules, in the order of their names.
pub static RULES: &[Rule] = &[
    absolutes_tell::RULE,
    after::RULE,
    asks_nothing::RULE,
    bank::RULE,
    cautions::RULE,
    cycles::RULE,
    demo::RULE,
    drawings::RULE,
    evidence::RULE,
    facts::RULE,
    hands_on::RULE,
    headings::RULE,
    ids::RULE,
    keys::RULE,
    length_tells::RULE,
    links::RULE,
    lockout_order::RULE,
    numbers::RULE,
    other_options::RULE,
    outline::RULE,
    place_tells::RULE,
    plain_negative::RULE,
    poses::RULE,
    prose::RULE,
    questions::RULE,
    references::RULE,
    scenario::RULE,
    staging::RULE,
    stops_alike::RULE,
    views::RULE,
];

/// The last net: no rule found anything, and yet no marking could be made. It stands in the place of a crash.
pub fn incomplete(sources: &Sources) -> Option<Finding> {
    let (first, _) = sources.iter().next()?;
    Some(Finding::new(
        &numbers::OUT_OF_RANGE,
        Span::top(first),
        "the marking file cannot be made from this course, though no rule says why",
        "this is a fault of Pitwright: please report it with the course",
    ))
}

/// What to say after a name that does not exist.
fn suggest<'a>(name: &str, among: impl Iterator<Item = &'a str>, otherwise: &str) -> String {
    let among: Vec<&str> = among.collect();
    if let Some(near) = crate::load::nearest(name, among.iter().copied()) {
        return format!("did you mean `{near}`?");
    }
    let all: Vec<&str> = among.into_iter().take(12).collect();
    if all.is_empty() {
        otherwise.to_owned()
    } else {
        format!("there are {}; or {otherwise}", all.join(", "))
    }
}

/// As [`suggest`], among the ids of a sort.
fn suggest_id(course: &Course, sort: Sort, name: &str) -> String {
    suggest(
        name,
        course.ids(sort).into_iter(),
        &format!("write the {} first, in {}", sort.word(), sort.place()),
    )
}
