//! Steps that leave their words to the machine.

use crate::model::{Course, Filed, Machine, Procedure, Tree, TypedBlock};
use crate::source::At;

/// Puts the machine's own words into each step that has acts and says nothing.
pub fn of_acts(course: &mut Course) {
    let machines = std::mem::take(&mut course.machines);
    for lesson in course.lessons.iter_mut() {
        let machine = lesson.value.front.machine.as_ref().and_then(|id| machines.get(id));
        for block in &mut lesson.value.body.blocks {
            if let TypedBlock::Procedure(procedure) = &mut block.block {
                fill(procedure, machine);
            }
        }
    }
    course.machines = machines;
}

fn fill(procedure: &mut Procedure, machine: Option<&Filed<Machine>>) {
    for step in &mut procedure.steps {
        if !step.says.value.is_empty() {
            continue;
        }
        let Some(acts) = &step.acts else {
            // It says nothing and does nothing: the finding needs a place.
            if step.says.end == 0 {
                step.says = At {
                    value: String::new(),
                    start: procedure.title.start,
                    end: procedure.title.end,
                };
            }
            continue;
        };
        let words: Vec<&str> = names(&acts.value)
            .into_iter()
            .map(|name| {
                let id = name.split_once('.').map_or(name, |(id, _)| id);
                let action = machine.and_then(|machine| machine.value.actions.get(id));
                // A name that the machine does not have has its finding, and needs no second one for having no words.
                action.map_or(name, |action| action.says.value.as_str())
            })
            .collect();
        step.says = At {
            value: words.iter().map(|words| sentence(words)).collect::<Vec<_>>().join(" "),
            start: acts.start,
            end: acts.end,
        };
    }
}

/// The names of the acts, whatever else is wrong with them.
fn names(tree: &Tree) -> Vec<&str> {
    match tree {
        Tree::Word(name) => vec![name],
        Tree::List(list) => list.iter().flat_map(|one| names(&one.value)).collect(),
        // Without a name in the right place, what stands there is at least some word.
        Tree::Map(map) => map
            .get("act")
            .or(map.values().next())
            .map(|act| names(&act.value))
            .unwrap_or_default(),
    }
}

fn sentence(words: &str) -> String {
    format!("{}.", words.trim_end_matches('.'))
}
