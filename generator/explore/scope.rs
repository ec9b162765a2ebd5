//! Looking names up: variables, members of families, and the index of an action.

use super::{Desk, UNKNOWN_STATE, UNKNOWN_VALUE};
use crate::source::At;
use pitwright_explorer::Variable;

/// The names that may stand in a condition or an effect.
pub struct Scope<'a> {
    pub variables: &'a [Variable],
    /// The index of an action and its number.
    bound: Option<(&'a str, i64)>,
}

impl<'a> Scope<'a> {
    pub fn of(variables: &'a [Variable]) -> Self {
        Self::bound(variables, None)
    }

    pub fn bound(variables: &'a [Variable], bound: Option<(&'a str, i64)>) -> Self {
        Self { variables, bound }
    }

    /// The variable of this name; the index of the action stands for its number: `cup.n`.
    pub(super) fn variable(&self, at: &At<String>, desk: &mut Desk) -> Option<usize> {
        let mut name = at.value.clone();
        if let (Some((index, number)), Some((family, member))) = (self.bound, at.value.split_once('.'))
            && let Some(offset) = member.strip_prefix(index).and_then(offset)
        {
            name = format!("{family}.{}", number + offset);
        }
        let found = self.variables.iter().position(|variable| variable.name == name);
        if found.is_none() {
            if self.is_family(&name) {
                desk.shape(
                    at,
                    format!("`{name}` is a family"),
                    format!("name one of it, as {name}.1, or all of it with `every: {{ {name}: … }}` or `some:`"),
                );
            } else {
                let known: Vec<&str> = self.variables.iter().map(|variable| variable.name.as_str()).collect();
                desk.unknown(&UNKNOWN_STATE, at.span(desk.file), &name, "variable", &known);
            }
        }
        found
    }

    pub(super) fn is_family(&self, name: &str) -> bool {
        self.family(name).next().is_some()
    }

    /// The members of a family.
    pub(super) fn family(&self, name: &str) -> impl Iterator<Item = usize> {
        self.variables.iter().enumerate().filter_map(move |(index, variable)| {
            variable
                .member
                .as_ref()
                .is_some_and(|(family, _)| family == name)
                .then_some(index)
        })
    }

    /// The members of a family that must be one.
    pub(super) fn must_family(&self, at: &At<String>, desk: &mut Desk) -> Vec<usize> {
        let members: Vec<usize> = self.family(&at.value).collect();
        if members.is_empty() {
            let mut known: Vec<&str> = self
                .variables
                .iter()
                .filter_map(|variable| variable.member.as_ref().map(|(family, _)| family.as_str()))
                .collect();
            known.dedup();
            desk.unknown(&UNKNOWN_STATE, at.span(desk.file), &at.value, "family", &known);
        }
        members
    }

    /// The index of a value of a variable.
    pub(super) fn value<T>(&self, variable: usize, word: &str, at: &At<T>, desk: &mut Desk) -> Option<usize> {
        let variable = &self.variables[variable];
        let found = variable.position(word);
        if found.is_none() {
            let known: Vec<&str> = variable.values.iter().map(String::as_str).collect();
            let sort = format!("value of {}", variable.name);
            desk.unknown(&UNKNOWN_VALUE, at.span(desk.file), word, &sort, &known);
        }
        found
    }
}

/// What stands after an index: nothing, `+1` or `-1`.
fn offset(text: &str) -> Option<i64> {
    match text {
        "" => Some(0),
        "+1" => Some(1),
        "-1" => Some(-1),
        _ => None,
    }
}
