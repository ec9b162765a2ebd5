//! Conditions: trees of words → tests on packed states.

use super::{Desk, Scope, UNKNOWN_STATE};
use crate::model::{self, Keyed, Tree};
use crate::source::At;
use pitwright_explorer::Test;

/// A condition; `None` if it could not be read, and then there is a finding.
pub(super) fn read(tree: &At<Tree>, scope: &Scope, desk: &mut Desk) -> Option<Test> {
    let Tree::Map(map) = &tree.value else {
        desk.shape(
            tree,
            format!("{} where a condition is due", tree.value.kind()),
            "write { name: value }",
        );
        return None;
    };
    let tests = map
        .iter()
        .map(|(key, value)| entry(key, value, scope, desk))
        .collect::<Vec<_>>();
    Some(Test::all(tests.into_iter().collect::<Option<Vec<_>>>()?))
}

/// A rule's condition: as any other, and `{ you: { enters: inside } }` for any place past a guard.
pub(super) fn read_rule(tree: &At<Tree>, scope: &Scope, source: &model::Machine, desk: &mut Desk) -> Option<Test> {
    if let Tree::Map(map) = &tree.value
        && map.len() == 1
        && let Some((key, value)) = map.iter().next()
        && let Tree::Map(inner) = &value.value
        && let Some(enters) = inner.get("enters")
    {
        let variable = scope.variable(key, desk)?;
        let known = &scope.variables[variable];
        match &enters.value {
            Tree::Word(word) if word == "inside" => {
                let set = known
                    .inside
                    .iter()
                    .enumerate()
                    .fold(0, |set, (index, inside)| set | (u64::from(*inside) << index));
                return Some(Test::one_of(known, set));
            }
            Tree::Word(word) if source.places.get(word).is_some() => {
                let index = scope.value(variable, word, enters, desk)?;
                return Some(Test::is(known, index));
            }
            _ => {
                desk.shape(
                    enters,
                    "`enters` names a place, or `inside` for every place past a guard",
                    "write { enters: inside }",
                );
                return None;
            }
        }
    }
    read(tree, scope, desk)
}

/// Where an action is done: a place of `you`, or a list of them.
pub(super) fn at(tree: &At<Tree>, scope: &Scope, desk: &mut Desk) -> Option<Test> {
    let you = scope.variables.iter().position(|variable| variable.name == "you");
    let Some(you) = you else {
        desk.shape(
            tree,
            "`at` needs a variable `you` with places",
            "add you: { places: [...] } to the state",
        );
        return None;
    };
    values(you, tree, scope, desk)
}

fn entry(key: &At<String>, value: &At<Tree>, scope: &Scope, desk: &mut Desk) -> Option<Test> {
    match key.value.as_str() {
        "any" => {
            let Tree::List(list) = &value.value else {
                desk.shape(
                    value,
                    format!("{} where a list of conditions is due", value.value.kind()),
                    "write any: [ { … }, { … } ]",
                );
                return None;
            };
            let tests: Vec<Option<Test>> = list.iter().map(|one| read(one, scope, desk)).collect();
            Some(Test::Any(tests.into_iter().collect::<Option<_>>()?))
        }
        "every" => Some(Test::all(over(value, scope, desk)?.into_iter().flatten().collect())),
        "some" => {
            // Several families: of each of them some member.
            let families = over(value, scope, desk)?;
            Some(Test::all(families.into_iter().map(Test::Any).collect()))
        }
        _ => {
            let variable = scope.variable(key, desk)?;
            values(variable, value, scope, desk)
        }
    }
}

/// For each family that the mapping names, a test for each of its members.
fn over(tree: &At<Tree>, scope: &Scope, desk: &mut Desk) -> Option<Vec<Vec<Test>>> {
    let Tree::Map(map) = &tree.value else {
        desk.shape(
            tree,
            format!("{} where a family is due", tree.value.kind()),
            "write every: { cup: one }",
        );
        return None;
    };
    let map: &Keyed<At<Tree>> = map;
    map.iter()
        .map(|(name, value)| {
            let members = scope.must_family(name, desk);
            if members.is_empty() {
                return None;
            }
            members
                .into_iter()
                .map(|member| values(member, value, scope, desk))
                .collect()
        })
        .collect()
}

/// What one variable must be.
fn values(variable: usize, tree: &At<Tree>, scope: &Scope, desk: &mut Desk) -> Option<Test> {
    let known = &scope.variables[variable];
    if let Tree::Map(map) = &tree.value
        && let Some(other) = map.get("same-as")
    {
        return same(variable, other, scope, desk);
    }
    Some(Test::one_of(known, set(variable, tree, scope, desk)?))
}

/// The values that are meant, a bit for each.
fn set(variable: usize, tree: &At<Tree>, scope: &Scope, desk: &mut Desk) -> Option<u64> {
    let known = &scope.variables[variable];
    match &tree.value {
        Tree::Word(word) => Some(1 << scope.value(variable, word, tree, desk)?),
        Tree::List(list) => {
            let sets: Vec<Option<u64>> = list.iter().map(|one| set(variable, one, scope, desk)).collect();
            sets.into_iter().try_fold(0, |all, one| Some(all | one?))
        }
        Tree::Map(map) => {
            let all = if known.values.len() == 64 {
                u64::MAX
            } else {
                (1 << known.values.len()) - 1
            };
            let mut meant = all;
            for (key, value) in map.iter() {
                meant &= match key.value.as_str() {
                    "not" => all & !set(variable, value, scope, desk)?,
                    "at-least" | "at-most" => {
                        let bound = bound(variable, value, scope, desk)?;
                        let below = (1u64 << bound) - 1;
                        if key.value == "at-least" {
                            all & !below
                        } else {
                            below | (1 << bound)
                        }
                    }
                    _ => {
                        desk.unknown(
                            &UNKNOWN_STATE,
                            key.span(desk.file),
                            &key.value,
                            "test",
                            &["not", "at-least", "at-most", "same-as"],
                        );
                        return None;
                    }
                };
            }
            Some(meant)
        }
    }
}

fn bound(variable: usize, tree: &At<Tree>, scope: &Scope, desk: &mut Desk) -> Option<usize> {
    if !scope.variables[variable].counts {
        desk.shape(
            tree,
            format!("{} is no number", scope.variables[variable].name),
            "list the values that are meant",
        );
        return None;
    }
    match &tree.value {
        Tree::Word(word) => scope.value(variable, word, tree, desk),
        other => {
            desk.shape(
                tree,
                format!("{} where a number is due", other.kind()),
                "write { at-least: 3 }",
            );
            None
        }
    }
}

fn same(variable: usize, other: &At<Tree>, scope: &Scope, desk: &mut Desk) -> Option<Test> {
    let Tree::Word(name) = &other.value else {
        desk.shape(other, "`same-as` names a variable", "write { same-as: NAME }");
        return None;
    };
    let named = At {
        value: name.clone(),
        start: other.start,
        end: other.end,
    };
    let found = scope.variable(&named, desk)?;
    let (one, two) = (&scope.variables[variable], &scope.variables[found]);
    if one.values != two.values {
        desk.shape(
            other,
            format!("{} and {} have other values", one.name, two.name),
            "compare variables that have the same list of values",
        );
        return None;
    }
    Some(Test::Same {
        one: one.shift,
        other: two.shift,
        bits: one.bits,
    })
}
