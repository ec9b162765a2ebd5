//! Machines and drills in the marking file: all that is needed to play a run again, in Rust and in a browser alike.
//!
//! A variable is named by its place in the list, a value by its place among the variable's values. A state is one
//! character a variable: the value's place added to the character `0`.

use pitwright_explorer as explorer;
use serde::{Deserialize, Serialize};
use std::fmt;

/// What a record says in the place of an act where a run was given up. No action may have this name.
pub const LEAVE_IT: &str = "leave-it";

/// A machine as it moves.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "camelCase", deny_unknown_fields)]
pub struct Model {
    pub variables: Vec<Variable>,
    pub hazards: Vec<Hazard>,
    pub actions: Vec<Action>,
    pub reactions: Vec<Happening>,
    pub others: Vec<Other>,
    pub rules: Vec<Rule>,
    /// All at rest.
    pub rest: String,
}

/// Something that has one of a few values.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Variable {
    pub name: String,
    pub values: Vec<String>,
    /// When it is seen, if not always.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub hidden: Option<Hidden>,
}

/// When something hidden is seen.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(untagged)]
pub enum Hidden {
    Until(Test),
    Always(bool),
}

/// A condition.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(untagged)]
pub enum Test {
    /// All of them; none at all always holds.
    All(Vec<Test>),
    /// The variable (first) has one of these values.
    Is {
        is: Vec<usize>,
    },
    /// Two variables have the same value.
    Same {
        same: (usize, usize),
    },
    Any {
        any: Vec<Test>,
    },
}

/// What can hurt.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Hazard {
    pub id: String,
    /// To a person, not only to the machine.
    pub person: bool,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub when: Option<Test>,
}

/// One possible act.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Action {
    pub id: String,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub index: Option<i64>,
    /// Where it is done, as far as the machine says so.
    pub at: Test,
    /// What is physically needed, the place among it.
    pub needs: Test,
    pub does: Vec<Effect>,
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub strikes: Vec<Strike>,
    /// Seconds.
    pub takes: u32,
}

/// What the machine does by itself.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Happening {
    pub id: String,
    pub when: Test,
    pub does: Vec<Effect>,
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub strikes: Vec<Strike>,
}

/// What somebody else may do.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Other {
    pub id: String,
    pub when: Test,
    pub does: Vec<Effect>,
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub strikes: Vec<Strike>,
    /// After each act it happens if a drawn word of 32 bits stays below this.
    pub below: u64,
}

/// What happens to a state: values set, numbers counted up or down.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Effect {
    #[serde(default, rename = "if", skip_serializing_if = "Option::is_none")]
    pub when: Option<Test>,
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub set: Vec<(usize, usize)>,
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub add: Vec<(usize, i64)>,
}

/// A hazard of the moment: its place in the list.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Strike {
    pub when: Test,
    pub hazard: usize,
}

/// An order that law or centre fixes.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "camelCase", deny_unknown_fields)]
pub struct Rule {
    pub id: String,
    pub when: Test,
    pub order: Vec<Vec<String>>,
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub again_after: Vec<String>,
}

/// A stop put into a machine.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "camelCase", deny_unknown_fields)]
pub struct Drill {
    pub id: String,
    pub title: String,
    pub edition: u32,
    pub machine: String,
    pub competencies: Vec<String>,
    pub starts: Vec<String>,
    pub cured: Test,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub handed_over: Option<Test>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub beyond: Option<Test>,
    /// Variables that are left alone.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub holds: Vec<usize>,
}

/// A model that cannot be run, and why.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct BadModel(pub String);

impl fmt::Display for BadModel {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

impl std::error::Error for BadModel {}

/// The character of a variable's first value.
const FIRST: u8 = b'0';

/// A state as text, one character a variable.
pub fn written(variables: &[explorer::Variable], state: explorer::State) -> String {
    variables
        .iter()
        // A variable has at most 64 values: '0' to 'o'.
        .map(|variable| char::from(FIRST + variable.index(state) as u8))
        .collect()
}

/// A state from its text.
///
/// # Errors
/// [`BadModel`] if it is no state of these variables.
pub fn read(variables: &[explorer::Variable], text: &str) -> Result<explorer::State, BadModel> {
    let bad = || BadModel(format!("`{text}` is no state of this machine"));
    if text.len() != variables.len() {
        return Err(bad());
    }
    let mut state = 0;
    for (variable, letter) in variables.iter().zip(text.bytes()) {
        let value = usize::from(letter.checked_sub(FIRST).ok_or_else(bad)?);
        if value >= variable.values.len() {
            return Err(bad());
        }
        state |= variable.word(value);
    }
    Ok(state)
}

/// From what can be run to what is written down.
struct Writer<'a>(&'a [explorer::Variable]);

impl Writer<'_> {
    fn at(&self, shift: u32) -> usize {
        let found = self
            .0
            .iter()
            .position(|variable| variable.bits > 0 && variable.shift == shift);
        found.unwrap_or_default()
    }

    fn test(&self, test: &explorer::Test) -> Test {
        match test {
            explorer::Test::Is { mask, value } => {
                let mut parts: Vec<Test> = (self.0.iter().enumerate())
                    .filter(|(_, variable)| variable.bits > 0 && variable.mask() & mask != 0)
                    .map(|(index, variable)| Test::Is {
                        is: vec![index, variable.index(*value)],
                    })
                    .collect();
                if parts.len() == 1 {
                    parts.remove(0)
                } else {
                    Test::All(parts)
                }
            }
            explorer::Test::In { shift, set, .. } => {
                let variable = self.at(*shift);
                let values = (0..self.0[variable].values.len()).filter(|value| (set >> value) & 1 == 1);
                Test::Is {
                    is: std::iter::once(variable).chain(values).collect(),
                }
            }
            explorer::Test::Same { one, other, .. } => Test::Same {
                same: (self.at(*one), self.at(*other)),
            },
            explorer::Test::All(tests) => Test::All(tests.iter().map(|test| self.test(test)).collect()),
            explorer::Test::Any(tests) => Test::Any {
                any: tests.iter().map(|test| self.test(test)).collect(),
            },
        }
    }

    fn effects(&self, effects: &[explorer::Effect]) -> Vec<Effect> {
        effects
            .iter()
            .map(|effect| Effect {
                when: (effect.when != explorer::Test::ALWAYS).then(|| self.test(&effect.when)),
                set: (self.0.iter().enumerate())
                    .filter(|(_, variable)| variable.bits > 0 && variable.mask() & effect.mask != 0)
                    .map(|(index, variable)| (index, variable.index(effect.value)))
                    .collect(),
                add: effect.add.iter().map(|add| (add.variable, add.by)).collect(),
            })
            .collect()
    }

    fn strikes(&self, strikes: &[explorer::Strike]) -> Vec<Strike> {
        strikes
            .iter()
            .map(|strike| Strike {
                when: self.test(&strike.when),
                hazard: strike.hazard.trailing_zeros() as usize,
            })
            .collect()
    }
}

impl Model {
    /// A machine that can be run, written down.
    pub fn of(machine: &explorer::Machine) -> Self {
        let writer = Writer(&machine.variables);
        let hidden = |variable: &explorer::Variable| {
            if variable.mask() & machine.plain == variable.mask() {
                return None;
            }
            let until = machine.hidden.iter().find(|(bits, _)| bits & variable.mask() != 0);
            Some(until.map_or(Hidden::Always(true), |(_, until)| Hidden::Until(writer.test(until))))
        };
        Self {
            variables: machine
                .variables
                .iter()
                .map(|variable| Variable {
                    name: variable.name.clone(),
                    values: variable.values.clone(),
                    hidden: hidden(variable),
                })
                .collect(),
            hazards: (machine.hazards.iter().enumerate())
                .map(|(index, hazard)| Hazard {
                    id: hazard.id.clone(),
                    person: (machine.to_person >> index) & 1 == 1,
                    when: hazard.when.as_ref().map(|when| writer.test(when)),
                })
                .collect(),
            actions: (machine.actions.iter())
                .map(|action| Action {
                    id: action.id.clone(),
                    index: action.index,
                    at: writer.test(&action.at),
                    needs: writer.test(&action.needs),
                    does: writer.effects(&action.does),
                    strikes: writer.strikes(&action.strikes),
                    takes: action.takes,
                })
                .collect(),
            reactions: (machine.reactions.iter())
                .map(|one| Happening {
                    id: one.id.clone(),
                    when: writer.test(&one.when),
                    does: writer.effects(&one.does),
                    strikes: writer.strikes(&one.strikes),
                })
                .collect(),
            others: (machine.others.iter())
                .map(|one| Other {
                    id: one.id.clone(),
                    when: writer.test(&one.when),
                    does: writer.effects(&one.does),
                    strikes: writer.strikes(&one.strikes),
                    below: explorer::threshold(one.odds),
                })
                .collect(),
            rules: (machine.rules.iter())
                .map(|rule| Rule {
                    id: rule.id.clone(),
                    when: writer.test(&rule.when),
                    order: rule.order.clone(),
                    again_after: rule.again_after.clone(),
                })
                .collect(),
            rest: written(&machine.variables, machine.rest),
        }
    }
}

impl Drill {
    /// What a drill comes to on a machine, written down; the rest of it is for the caller to fill in.
    pub fn of(machine: &explorer::Machine, drill: &explorer::Drill) -> Self {
        let writer = Writer(&machine.variables);
        Self {
            id: drill.id.clone(),
            title: String::new(),
            edition: 1,
            machine: machine.id.clone(),
            competencies: Vec::new(),
            starts: (drill.starts.iter().map(|start| written(&machine.variables, *start))).collect(),
            cured: writer.test(&drill.cured),
            handed_over: drill.handed_over.as_ref().map(|test| writer.test(test)),
            beyond: drill.beyond.as_ref().map(|test| writer.test(test)),
            holds: (machine.variables.iter().enumerate())
                .filter(|(_, variable)| variable.mask() & drill.holds != 0)
                .map(|(index, _)| index)
                .collect(),
        }
    }
}
