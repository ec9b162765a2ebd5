//! The variables of a machine, what of them is seen, and the values that a drill starts from.

use super::condition;
use super::{Desk, MODEL_TOO_BIG, Scope, UNKNOWN_STATE};
use crate::diagnostic::Finding;
use crate::load::is_id;
use crate::model::{self, Tree};
use crate::source::At;
use pitwright_explorer::Test;
use pitwright_explorer::{State, VALUES, Variable};
use std::ops::RangeInclusive;

/// `1..10` as the numbers 1 to 10, both included.
pub(super) fn range(text: &str) -> Option<RangeInclusive<i64>> {
    let (from, to) = text.split_once("..")?;
    let (from, to): (i64, i64) = (from.trim().parse().ok()?, to.trim().parse().ok()?);
    (from <= to && to - from < 1_000).then_some(from..=to)
}

/// The variables that `state` declares, families spread out.
pub(super) fn variables(source: &model::Machine, desk: &mut Desk) -> Vec<Variable> {
    let mut variables = Vec::new();
    for (name, tree) in source.state.iter() {
        if !is_id(&name.value) {
            desk.shape(
                name,
                format!("`{}` cannot name a variable", name.value),
                "use lower-case letters, digits and single hyphens",
            );
        }
        if let Tree::Map(map) = &tree.value
            && let Some(each) = map.get("each")
        {
            family(name, each, map, source, desk, &mut variables);
        } else {
            variables.extend(one(&name.value, None, tree, source, desk));
        }
    }
    variables
}

fn family(
    name: &At<String>,
    each: &At<Tree>,
    map: &model::Keyed<At<Tree>>,
    source: &model::Machine,
    desk: &mut Desk,
    variables: &mut Vec<Variable>,
) {
    let numbers = match &each.value {
        Tree::Word(text) => range(text),
        _ => None,
    };
    let Some(numbers) = numbers.filter(|numbers| numbers.clone().count() <= VALUES) else {
        desk.shape(each, "`each` is no range of at most 64 numbers", "write it like 1..10");
        return;
    };
    let Some(of) = map.get("of").filter(|_| map.len() == 2) else {
        desk.shape(
            name,
            "a family has `each` and `of`",
            "write { each: 1..10, of: [empty, one, two] }",
        );
        return;
    };
    for number in numbers {
        let member = Some((name.value.clone(), number));
        match one(&format!("{}.{number}", name.value), member, of, source, desk) {
            Some(variable) => variables.push(variable),
            None => return,
        }
    }
}

fn one(
    name: &str,
    member: Option<(String, i64)>,
    tree: &At<Tree>,
    source: &model::Machine,
    desk: &mut Desk,
) -> Option<Variable> {
    let mut places = false;
    let listed = match &tree.value {
        Tree::Word(text) => range(text).map(|numbers| numbers.map(|number| number.to_string()).collect::<Vec<_>>()),
        Tree::List(list) => words(list),
        Tree::Map(map) if map.len() == 1 => {
            places = true;
            match map.get("places").map(|tree| &tree.value) {
                Some(Tree::List(list)) => words(list),
                _ => None,
            }
        }
        Tree::Map(_) => None,
    };
    let Some(values) = listed.filter(|values| !values.is_empty()) else {
        desk.shape(
            tree,
            format!("these are no values for {name}"),
            "write a list of words, a range like 0..10, { places: [...] }, or { each: 1..10, of: [...] }",
        );
        return None;
    };
    if values.len() > VALUES {
        desk.findings.push(Finding::new(
            &MODEL_TOO_BIG,
            tree.span(desk.file),
            format!("{name} has {} values of at most {VALUES}", values.len()),
            "put values together that make no difference to safety",
        ));
        return None;
    }
    for (index, value) in values.iter().enumerate() {
        if values[..index].contains(value) {
            desk.shape(tree, format!("`{value}` stands here twice"), "take one of the two out");
            return None;
        }
        if places && source.places.get(value).is_none() {
            let known: Vec<&str> = source.places.keys().map(|id| id.value.as_str()).collect();
            desk.unknown(&UNKNOWN_STATE, tree.span(desk.file), value, "place", &known);
            return None;
        }
    }
    let inside = values
        .iter()
        .map(|value| places && source.places.get(value).is_some_and(|place| place.inside))
        .collect();
    let counts = values.iter().enumerate().all(|(index, value)| {
        let first: Option<i64> = values[0].parse().ok();
        let this: Option<i64> = value.parse().ok();
        first
            .zip(this)
            .is_some_and(|(first, this)| this == first + index as i64)
    });
    Some(Variable {
        name: name.to_owned(),
        member,
        tells: vec![String::new(); values.len()],
        values,
        counts,
        inside,
        shift: 0,
        bits: 0,
    })
}

fn words(list: &[At<Tree>]) -> Option<Vec<String>> {
    list.iter()
        .map(|item| match &item.value {
            Tree::Word(word) if !word.is_empty() => Some(word.clone()),
            _ => None,
        })
        .collect()
}

/// The bits that are always seen, and those that are seen while a condition holds.
pub(super) fn seen(source: &model::Machine, variables: &[Variable], desk: &mut Desk) -> (State, Vec<(State, Test)>) {
    let scope = Scope::of(variables);
    let mut plain = variables.iter().fold(0, |all, variable| all | variable.mask());
    let mut hidden = Vec::new();
    for (name, tree) in source.hidden.iter() {
        let members: Vec<usize> = if scope.is_family(&name.value) {
            scope.family(&name.value).collect()
        } else {
            scope.variable(name, desk).into_iter().collect()
        };
        let bits = members.iter().fold(0, |all, index| all | variables[*index].mask());
        plain &= !bits;
        let Tree::Map(map) = &tree.value else {
            desk.shape(
                tree,
                "what is hidden is `{}` or `{ until: CONDITION }`",
                "write {} if it is never seen",
            );
            continue;
        };
        match (map.len(), map.get("until")) {
            (0, _) => {}
            (1, Some(until)) => {
                if let Some(test) = condition::read(until, &scope, desk) {
                    hidden.push((bits, test));
                }
            }
            _ => desk.shape(
                tree,
                "what is hidden is `{}` or `{ until: CONDITION }`",
                "write {} if it is never seen",
            ),
        }
    }
    (plain, hidden)
}

/// The states that one mapping of a drill's `start` allows, the rest at rest: every combination of the listed values.
///
/// `every: { cup: one }` sets a whole family, `some: { cup: two }` one member of it, each in turn, and `for: { n: 1..9 }`
/// gives a number to names such as `cup.n` and `cup.n+1`.
pub(super) fn starts(tree: &At<Tree>, variables: &[Variable], rest: State, desk: &mut Desk) -> Vec<State> {
    let Tree::Map(map) = &tree.value else {
        desk.shape(
            tree,
            format!("{} where a mapping is due", tree.value.kind()),
            "write { name: value }",
        );
        return Vec::new();
    };
    let mut bounds: Vec<Option<(&str, i64)>> = vec![None];
    if let Some(each) = map.get("for") {
        let Tree::Map(each) = &each.value else {
            desk.shape(each, "`for` names an index and its range", "write for: { n: 1..9 }");
            return Vec::new();
        };
        bounds.clear();
        for (name, numbers) in each.iter() {
            match &numbers.value {
                Tree::Word(text) if range(text).is_some() => {
                    bounds.extend(
                        range(text)
                            .into_iter()
                            .flatten()
                            .map(|number| Some((name.value.as_str(), number))),
                    );
                }
                _ => desk.shape(numbers, "this is no range", "write it like 1..9"),
            }
        }
    }
    let before = desk.findings.len();
    let mut states = Vec::new();
    for bound in bounds {
        let scope = Scope::bound(variables, bound);
        let mut made = vec![rest];
        for (key, value) in map.iter() {
            match key.value.as_str() {
                "for" => {}
                "every" | "some" => {
                    let Tree::Map(families) = &value.value else {
                        desk.shape(value, "here a family and its value are due", "write some: { cup: two }");
                        continue;
                    };
                    for (name, value) in families.iter() {
                        let members = scope.must_family(name, desk);
                        if key.value == "every" {
                            for member in members {
                                made = spread(&made, &[member], value, &scope, desk);
                            }
                        } else {
                            made = spread(&made, &members, value, &scope, desk);
                        }
                    }
                }
                _ => {
                    let variable: Vec<usize> = scope.variable(key, desk).into_iter().collect();
                    made = spread(&made, &variable, value, &scope, desk);
                }
            }
        }
        states.extend(made);
        if desk.findings.len() > before {
            return Vec::new();
        }
    }
    states
}

/// The bits that a mapping of variables to single values fixes, and what they are.
pub(super) fn mask(tree: &At<Tree>, variables: &[Variable], desk: &mut Desk) -> Option<(State, State)> {
    let Tree::Map(map) = &tree.value else {
        desk.shape(
            tree,
            format!("{} where a mapping is due", tree.value.kind()),
            "write { name: value }",
        );
        return None;
    };
    let scope = Scope::of(variables);
    let (mut mask, mut wanted) = (0, 0);
    for (name, value) in map.iter() {
        let variable = scope.variable(name, desk)?;
        let Tree::Word(word) = &value.value else {
            desk.shape(value, "one value is due here", "write a single value");
            return None;
        };
        let index = scope.value(variable, word, value, desk)?;
        mask |= variables[variable].mask();
        wanted |= variables[variable].word(index);
    }
    Some((mask, wanted))
}

/// Each state once for each of these variables and each of the values.
fn spread(states: &[State], variables: &[usize], tree: &At<Tree>, scope: &Scope, desk: &mut Desk) -> Vec<State> {
    let values: Vec<&At<Tree>> = match &tree.value {
        Tree::List(list) => list.iter().collect(),
        _ => vec![tree],
    };
    let mut spread = Vec::new();
    for variable in variables {
        for value in &values {
            let Tree::Word(word) = &value.value else {
                desk.shape(
                    value,
                    format!("{} where a value is due", value.value.kind()),
                    "write a value, or a list of values",
                );
                return Vec::new();
            };
            let Some(index) = scope.value(*variable, word, value, desk) else {
                return Vec::new();
            };
            let known = &scope.variables[*variable];
            spread.extend(states.iter().map(|state| (state & !known.mask()) | known.word(index)));
        }
    }
    spread
}
