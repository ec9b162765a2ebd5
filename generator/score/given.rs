//! A response's text → what was answered with it.
//!
//! Several ids stand in one response as xAPI 1.0.3 writes them: `[,]` between the parts of a list, `[.]` within a pair.

use crate::marking::{Decimal, Kind};
use std::fmt;

/// An answer that a page could have given.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum Given<'a> {
    /// The id of an option or a spot.
    One(&'a str),
    /// Ids of options, sorted, at least one.
    Several(Vec<&'a str>),
    /// For each pair in the order of the file, the pair whose right side was put to it.
    Pairs(Vec<&'a str>),
    /// All steps, first to last.
    Order(Vec<&'a str>),
    Number(Decimal),
}

/// Why a response can never have been given to its question; reads on after the response itself.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct NotGiven(&'static str);

impl fmt::Display for NotGiven {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.0)
    }
}

const LIST: &str = "[,]";
const PAIR: &str = "[.]";

/// Reads a response in the one form in which pages write it.
pub(super) fn given<'a>(kind: &Kind, response: &'a str) -> Result<Given<'a>, NotGiven> {
    let is_one_of = |ids: &[String]| ids.iter().any(|id| id == response);
    match kind {
        Kind::Choice { options, right, .. } if right.len() == 1 => {
            held(is_one_of(options), Given::One(response), "is not one of its options")
        }
        Kind::Choice { options, .. } => {
            let ids: Vec<&str> = response.split(LIST).collect();
            let sorted = ids.is_sorted_by(|a, b| a < b);
            let known = ids.iter().all(|id| options.iter().any(|option| option == id));
            held(
                sorted && known,
                Given::Several(ids),
                "is no choice among its options, each named once and in the order of the alphabet",
            )
        }
        Kind::Matching { pairs } => {
            let sides: Option<Vec<(&str, &str)>> = response.split(LIST).map(|pair| pair.split_once(PAIR)).collect();
            let sides = sides.unwrap_or_default();
            let lefts_in_order = sides.iter().map(|(left, _)| left).eq(pairs);
            let rights: Vec<&str> = sides.into_iter().map(|(_, right)| right).collect();
            held(
                lefts_in_order && is_order_of(&rights, pairs),
                Given::Pairs(rights),
                "does not put each of its pairs together once, in their order",
            )
        }
        Kind::Sequencing { steps, .. } => {
            let ids: Vec<&str> = response.split(LIST).collect();
            held(is_order_of(&ids, steps), Given::Order(ids), "is no order of its steps")
        }
        Kind::Numeric { .. } => response
            .parse()
            .map(Given::Number)
            .map_err(|_| NotGiven("is no number as a page writes one")),
        Kind::Place { spots, .. } => held(is_one_of(spots), Given::One(response), "is not one of its spots"),
    }
}

fn held<'a>(can_be: bool, given: Given<'a>, why: &'static str) -> Result<Given<'a>, NotGiven> {
    if can_be { Ok(given) } else { Err(NotGiven(why)) }
}

/// Whether `ids` holds each of `all` once, in whatever order.
fn is_order_of(ids: &[&str], all: &[String]) -> bool {
    ids.len() == all.len() && all.iter().all(|one| ids.contains(&one.as_str()))
}
