//! Effects: trees of words → changes of packed states.

use super::{Desk, Scope, condition};
use crate::model::{Keyed, Tree};
use crate::source::At;
use pitwright_explorer::{Add, Effect, Test};

/// Effects in their order. What could not be read has its finding and is left out.
pub(super) fn read(tree: &At<Tree>, scope: &Scope, desk: &mut Desk) -> Vec<Effect> {
    let list: Vec<&At<Tree>> = match &tree.value {
        Tree::List(list) => list.iter().collect(),
        _ => vec![tree],
    };
    list.into_iter().filter_map(|one| effect(one, scope, desk)).collect()
}

fn effect(tree: &At<Tree>, scope: &Scope, desk: &mut Desk) -> Option<Effect> {
    let Tree::Map(map) = &tree.value else {
        desk.shape(
            tree,
            format!("{} where an effect is due", tree.value.kind()),
            "write { name: value }",
        );
        return None;
    };
    let mut effect = Effect {
        when: Test::ALWAYS,
        mask: 0,
        value: 0,
        add: Vec::new(),
    };
    for (key, value) in map.iter() {
        match key.value.as_str() {
            "if" => effect.when = condition::read(value, scope, desk)?,
            "every" => {
                let Tree::Map(families) = &value.value else {
                    desk.shape(
                        value,
                        format!("{} where a family is due", value.value.kind()),
                        "write every: { cup: empty }",
                    );
                    return None;
                };
                let families: &Keyed<At<Tree>> = families;
                for (name, value) in families.iter() {
                    for member in scope.must_family(name, desk) {
                        set(member, value, scope, desk, &mut effect)?;
                    }
                }
            }
            _ => {
                let variable = scope.variable(key, desk)?;
                set(variable, value, scope, desk, &mut effect)?;
            }
        }
    }
    Some(effect)
}

fn set(variable: usize, tree: &At<Tree>, scope: &Scope, desk: &mut Desk, effect: &mut Effect) -> Option<()> {
    let known = &scope.variables[variable];
    match &tree.value {
        Tree::Word(word) => {
            let index = scope.value(variable, word, tree, desk)?;
            effect.mask |= known.mask();
            effect.value = (effect.value & !known.mask()) | known.word(index);
            Some(())
        }
        Tree::Map(map) if map.len() == 1 && map.get("add").is_some() => {
            let by = map.get("add").and_then(|add| match &add.value {
                Tree::Word(word) => word.parse::<i64>().ok(),
                _ => None,
            });
            let Some(by) = by.filter(|by| known.counts && by.abs() < 64) else {
                desk.shape(
                    tree,
                    format!("nothing can be added to {} so", known.name),
                    "write { add: 1 } for a variable whose values are numbers",
                );
                return None;
            };
            effect.add.push(Add {
                variable,
                shift: known.shift,
                bits: known.bits,
                values: u32::try_from(known.values.len()).unwrap_or(u32::MAX),
                by,
            });
            Some(())
        }
        other => {
            desk.shape(
                tree,
                format!("{} where one value is due", other.kind()),
                "write name: value, or name: { add: 1 }",
            );
            None
        }
    }
}
