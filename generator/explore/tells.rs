//! The clauses in which stories tell of values.

use super::{Desk, UNKNOWN_STATE, UNKNOWN_VALUE};
use crate::model;
use pitwright_explorer::Variable;

/// Puts the machine's clauses beside the values that they tell of. `{n}` stands for the number of a member.
pub(super) fn put(source: &model::Machine, variables: &mut [Variable], desk: &mut Desk) {
    for (name, clauses) in source.tells.iter() {
        let own = |variable: &Variable| match &variable.member {
            Some((family, _)) => *family == name.value,
            None => variable.name == name.value,
        };
        if !variables.iter().any(own) {
            let known: Vec<&str> = source.state.keys().map(|key| key.value.as_str()).collect();
            desk.unknown(&UNKNOWN_STATE, name.span(desk.file), &name.value, "variable", &known);
            continue;
        }
        for (value, clause) in clauses.iter() {
            let mut found = false;
            for variable in variables.iter_mut().filter(|variable| own(variable)) {
                let Some(index) = variable.position(&value.value) else {
                    continue;
                };
                found = true;
                let number = variable.member.as_ref().map(|(_, number)| number.to_string());
                variable.tells[index] = clause.value.replace("{n}", &number.unwrap_or_default());
            }
            // What is told while it cannot be seen is for drills; no state has it.
            if !(found || value.value == "unseen" && source.hidden.get(name).is_some()) {
                let known: Vec<&str> = variables
                    .iter()
                    .find(|variable| own(variable))
                    .map(|variable| variable.values.iter().map(String::as_str).collect())
                    .unwrap_or_default();
                let sort = format!("value of {}", name.value);
                desk.unknown(&UNKNOWN_VALUE, value.span(desk.file), &value.value, &sort, &known);
            }
        }
    }
}
