//! A machine as written → a machine that can be run, or all that is wrong with its words.

mod condition;
mod drill;
mod effect;
mod procedure;
mod scope;
mod sequence;
mod state;
mod tells;

use crate::diagnostic::{Code, Finding};
use crate::load::nearest;
use crate::marking::LEAVE_IT;
use crate::model::{self, Filed, Id, Tree, Victim};
use crate::source::{At, FileId, Span};

pub use drill::drill;
pub use pitwright_explorer::*;
pub use procedure::procedure;
pub use scope::Scope;
pub use sequence::{Sequence, sequence};

pub static UNKNOWN_STATE: Code = Code {
    name: "unknown-state",
    title: "a name that the machine does not have",
    explanation: "Conditions and effects name variables of the machine's `state`, members of a family as `cup.3`, and places, hazards and actions that it \
        lists. A name that is not there would be a condition that never holds, and a proof that proves nothing. Mend the name, or add it to the machine.",
};

pub static UNKNOWN_VALUE: Code = Code {
    name: "unknown-value",
    title: "a value that the variable cannot have",
    explanation: "A variable has the values that `state` lists for it and no others. Mend the value, or add it to the list.",
};

pub static MODEL_SHAPE: Code = Code {
    name: "model-shape",
    title: "a part of a machine or a drill is not written as it should be",
    explanation: "A condition is `name: value`, a list of values, `{ at-least: n }`, `{ at-most: n }`, `{ not: value }` or `{ same-as: name }`; `every:` and `some:` \
        take a family, `any:` takes a list of conditions. An effect is `name: value` or `name: { add: n }`; a list of effects happens in order, each perhaps with an `if`. \
        A variable is a list of values, a range 0..10, `{ places: [...] }`, or a family `{ each: 1..10, of: [...] }`.",
};

pub static MODEL_TOO_BIG: Code = Code {
    name: "model-too-big",
    title: "a machine with more than the program holds",
    explanation: "A machine's whole state fits one word of 128 bits, a variable has at most 64 values, a machine at most 64 hazards and 8 rules. Leave out what the drill \
        does not need, or use fewer values: a model says what matters for safety, not everything.",
};

/// The codes of this stage, for the registry.
pub fn codes() -> Vec<&'static Code> {
    vec![&UNKNOWN_STATE, &UNKNOWN_VALUE, &MODEL_SHAPE, &MODEL_TOO_BIG]
}

/// Where findings of one file go.
pub(super) struct Desk<'a> {
    pub file: FileId,
    pub findings: &'a mut Vec<Finding>,
}

impl Desk<'_> {
    pub fn shape<T>(&mut self, at: &At<T>, message: impl Into<String>, help: impl Into<String>) {
        self.findings
            .push(Finding::new(&MODEL_SHAPE, at.span(self.file), message, help));
    }

    /// A name that is not among those that may stand there.
    pub fn unknown(&mut self, code: &'static Code, at: Span, name: &str, sort: &str, known: &[&str]) {
        let help = match nearest(name, known.iter().copied()) {
            Some(near) => format!("did you mean `{near}`?"),
            None if known.is_empty() => format!("there is no {sort} at all"),
            None => format!(
                "there are {}",
                known.iter().take(16).copied().collect::<Vec<_>>().join(", ")
            ),
        };
        self.findings
            .push(Finding::new(code, at, format!("`{name}` is no {sort} here"), help));
    }
}

/// Compiles a machine. `None` if it has no state at all, or if anything in it could not be read; then there are findings.
pub fn machine(filed: &Filed<model::Machine>, findings: &mut Vec<Finding>) -> Option<Machine> {
    let source = &filed.value;
    if source.state.is_empty() {
        return None;
    }
    let before = findings.len();
    let mut desk = Desk {
        file: filed.file,
        findings,
    };
    let mut variables = state::variables(source, &mut desk);
    tells::put(source, &mut variables, &mut desk);
    if pack(&mut variables) > BITS {
        let first = source.state.keys().next()?;
        desk.findings.push(Finding::new(
            &MODEL_TOO_BIG,
            filed.span(first),
            format!("the state takes more than {BITS} bits"),
            "leave out variables that no drill needs, or give them fewer values",
        ));
        return None;
    }
    if desk.findings.len() > before {
        // Every condition would only repeat what is wrong with the state.
        return None;
    }
    let hazards = hazards(source, &variables, &mut desk);
    let (plain, hidden) = state::seen(source, &variables, &mut desk);
    let mut machine = Machine {
        id: filed.id.clone(),
        plain,
        hidden,
        hazards,
        to_person: 0,
        actions: Vec::new(),
        reactions: Vec::new(),
        others: Vec::new(),
        rules: Vec::new(),
        rest: 0,
        variables,
    };
    for (index, hazard) in source.hazards.values().enumerate().take(HAZARDS) {
        if hazard.to.value == Victim::Person {
            machine.to_person |= 1 << index;
        }
    }
    for (id, action) in source.actions.iter() {
        let made = actions(id, action, &machine, source, &mut desk);
        machine.actions.extend(made);
    }
    machine.reactions = happenings(&source.reactions, &machine, source, &mut desk);
    machine.others = happenings(&source.others, &machine, source, &mut desk);
    machine.rules = rules(source, &machine, &mut desk);
    (desk.findings.len() == before).then_some(machine)
}

fn hazards(source: &model::Machine, variables: &[Variable], desk: &mut Desk) -> Vec<Hazard> {
    if let Some((id, _)) = source.hazards.iter().nth(HAZARDS) {
        desk.findings.push(Finding::new(
            &MODEL_TOO_BIG,
            id.span(desk.file),
            format!("this is hazard {} of at most {HAZARDS}", HAZARDS + 1),
            "put hazards together that do the same harm in the same way",
        ));
    }
    source
        .hazards
        .iter()
        .map(|(id, hazard)| Hazard {
            id: id.value.clone(),
            when: hazard
                .when
                .as_ref()
                .and_then(|when| condition::read(when, &Scope::of(variables), desk)),
            harm: hazard.harm.value.clone(),
            source: hazard.source.as_ref().map(|source| source.value.clone()),
        })
        .collect()
}

fn actions(
    id: &Id,
    action: &model::Action,
    machine: &Machine,
    source: &model::Machine,
    desk: &mut Desk,
) -> Vec<Action> {
    if id.value == LEAVE_IT {
        desk.shape(
            id,
            format!("`{LEAVE_IT}` stands in a record for a run that was given up"),
            "give the action another name",
        );
    }
    let mut index = None;
    for (name, range) in action.each.iter() {
        if index.is_some() {
            desk.shape(
                name,
                "an action has one index at most",
                "write one action for each, or use one index",
            );
        }
        match state::range(&range.value) {
            Some(range) if range.clone().count() <= 64 => index = Some((name.value.as_str(), range)),
            _ => desk.shape(
                range,
                format!("`{}` is no range of at most 64 numbers", range.value),
                "write it like 1..10",
            ),
        }
    }
    let takes = match &action.takes {
        None => 1,
        Some(text) => seconds(&text.value).unwrap_or_else(|| {
            desk.shape(
                text,
                format!("`{}` is no time", text.value),
                "write it like 10s or 2min",
            );
            1
        }),
    };
    let instances: Vec<Option<(&str, i64)>> = match index {
        None => vec![None],
        Some((name, range)) => range.map(|number| Some((name, number))).collect(),
    };
    let mut made = Vec::new();
    for bound in instances {
        let scope = Scope::bound(&machine.variables, bound);
        let before = desk.findings.len();
        let mut needs = Vec::new();
        if let Some(at) = &action.at {
            needs.extend(condition::at(at, &scope, desk));
        }
        let at = Test::all(needs.clone());
        if let Some(tree) = &action.needs {
            needs.extend(condition::read(tree, &scope, desk));
        }
        made.push(Action {
            id: id.value.clone(),
            index: bound.map(|(_, number)| number),
            says: said(&action.says.value, bound),
            at,
            needs: Test::all(needs),
            does: action
                .does
                .as_ref()
                .map(|tree| effect::read(tree, &scope, desk))
                .unwrap_or_default(),
            strikes: strikes(&action.strikes, &scope, source, desk),
            takes,
        });
        if desk.findings.len() > before {
            // The other instances would say the same once more.
            break;
        }
    }
    made
}

/// `{n}` in the words of an action stands for its index.
fn said(words: &str, bound: Option<(&str, i64)>) -> String {
    match bound {
        Some((name, number)) => words.replace(&format!("{{{name}}}"), &number.to_string()),
        None => words.to_owned(),
    }
}

fn seconds(text: &str) -> Option<u32> {
    let (number, unit) = text.split_at(text.find(|letter: char| !letter.is_ascii_digit())?);
    let number: u32 = number.parse().ok()?;
    match unit.trim() {
        "s" => Some(number),
        "min" => number.checked_mul(60),
        _ => None,
    }
}

fn strikes(listed: &[model::Strike], scope: &Scope, source: &model::Machine, desk: &mut Desk) -> Vec<Strike> {
    listed
        .iter()
        .filter_map(|strike| {
            let hazard = source.hazards.keys().position(|id| id.value == strike.hazard.value);
            if hazard.is_none() {
                let known: Vec<&str> = source.hazards.keys().map(|id| id.value.as_str()).collect();
                desk.unknown(
                    &UNKNOWN_STATE,
                    strike.hazard.span(desk.file),
                    &strike.hazard.value,
                    "hazard",
                    &known,
                );
            }
            Some(Strike {
                when: match &strike.when {
                    Some(tree) => condition::read(tree, scope, desk)?,
                    None => Test::ALWAYS,
                },
                hazard: 1 << hazard.filter(|index| *index < HAZARDS)?,
            })
        })
        .collect()
}

fn happenings(
    listed: &model::Keyed<model::Reaction>,
    machine: &Machine,
    source: &model::Machine,
    desk: &mut Desk,
) -> Vec<Happening> {
    let scope = Scope::of(&machine.variables);
    listed
        .iter()
        .filter_map(|(id, reaction)| {
            let odds = match &reaction.odds {
                None => 0.25,
                Some(text) => share(&text.value).unwrap_or_else(|| {
                    desk.shape(text, format!("`{}` is no chance", text.value), "write it like 1/4");
                    0.25
                }),
            };
            let when = condition::read(&reaction.when, &scope, desk);
            let does = effect::read(&reaction.does, &scope, desk);
            let strikes = strikes(&reaction.strikes, &scope, source, desk);
            Some(Happening {
                id: id.value.clone(),
                says: reaction.says.value.clone(),
                when: when?,
                does,
                strikes,
                odds,
            })
        })
        .collect()
}

/// A chance written as a fraction.
fn share(text: &str) -> Option<f64> {
    let (top, bottom) = text.split_once('/')?;
    let (top, bottom): (u32, u32) = (top.trim().parse().ok()?, bottom.trim().parse().ok()?);
    (bottom > 0 && top <= bottom).then(|| f64::from(top) / f64::from(bottom))
}

fn rules(source: &model::Machine, machine: &Machine, desk: &mut Desk) -> Vec<Rule> {
    if let Some((id, _)) = source.rules.iter().nth(RULES) {
        desk.findings.push(Finding::new(
            &MODEL_TOO_BIG,
            id.span(desk.file),
            format!("this is rule {} of at most {RULES}", RULES + 1),
            "put rules together that bind the same acts",
        ));
    }
    let known: Vec<&str> = source.actions.keys().map(|id| id.value.as_str()).collect();
    let action = |at: Span, name: &str, desk: &mut Desk| {
        if !known.contains(&name) {
            desk.unknown(&UNKNOWN_STATE, at, name, "action", &known);
        }
        name.to_owned()
    };
    let mut rules = Vec::new();
    for (id, rule) in source.rules.iter() {
        let Some(when) = condition::read_rule(&rule.when, &Scope::of(&machine.variables), source, desk) else {
            continue;
        };
        let mut order = Vec::new();
        match &rule.order.value {
            Tree::List(places) => {
                for place in places {
                    let any: Vec<&At<Tree>> = match &place.value {
                        Tree::List(any) => any.iter().collect(),
                        _ => vec![place],
                    };
                    let mut names = Vec::new();
                    for one in any {
                        match &one.value {
                            Tree::Word(name) => names.push(action(one.span(desk.file), name, desk)),
                            other => {
                                desk.shape(
                                    one,
                                    format!("{} where an action is due", other.kind()),
                                    "name an action",
                                );
                            }
                        }
                    }
                    order.push(names);
                }
            }
            other => desk.shape(
                &rule.order,
                format!("{} where a list of actions is due", other.kind()),
                "write the actions in their order",
            ),
        }
        if order.len() > 15 || order.iter().any(|place| place.len() > 8 || place.is_empty()) {
            desk.shape(
                &rule.order,
                "an order has at most 15 places of at most 8 actions",
                "split the rule",
            );
        }
        rules.push(Rule {
            id: id.value.clone(),
            says: rule.says.as_ref().map(|says| says.value.clone()),
            when,
            order,
            again_after: rule
                .again_after
                .iter()
                .map(|id| action(id.span(desk.file), &id.value, desk))
                .collect(),
            source: rule.source.value.clone(),
        });
    }
    rules
}
