//! What a marking file says of a machine → a machine that can be run. The file may come from anywhere: what does not hold
//! together is refused, never run.

use super::machine::{BadModel, Drill, Effect, Hidden, Model, Strike, Test, read};
use pitwright_explorer as explorer;

/// More names in one place of a rule's order are not told apart.
const NAMES: usize = 8;
/// More places in a rule's order are not counted.
const PLACES: usize = 15;

/// From what is written down to what can be run.
struct Reader<'a>(&'a [explorer::Variable]);

impl Reader<'_> {
    fn variable(&self, index: usize) -> Result<&explorer::Variable, BadModel> {
        self.0
            .get(index)
            .ok_or_else(|| BadModel(format!("there is no variable {index}")))
    }

    fn value(&self, variable: usize, value: usize) -> Result<explorer::State, BadModel> {
        let known = self.variable(variable)?;
        if value < known.values.len() {
            Ok(known.word(value))
        } else {
            Err(BadModel(format!("`{}` has no value {value}", known.name)))
        }
    }

    fn test(&self, test: &Test) -> Result<explorer::Test, BadModel> {
        Ok(match test {
            Test::All(tests) => explorer::Test::all(self.tests(tests)?),
            Test::Any { any } => explorer::Test::Any(self.tests(any)?),
            Test::Is { is } => {
                let (variable, values) = is
                    .split_first()
                    .ok_or_else(|| BadModel("a condition names no variable".to_owned()))?;
                let mut set = 0u64;
                for value in values {
                    self.value(*variable, *value)?;
                    set |= 1 << value;
                }
                explorer::Test::one_of(self.variable(*variable)?, set)
            }
            Test::Same { same: (one, other) } => {
                let (one, other) = (self.variable(*one)?, self.variable(*other)?);
                explorer::Test::Same {
                    one: one.shift,
                    other: other.shift,
                    bits: one.bits.max(other.bits),
                }
            }
        })
    }

    fn tests(&self, tests: &[Test]) -> Result<Vec<explorer::Test>, BadModel> {
        tests.iter().map(|test| self.test(test)).collect()
    }

    fn effects(&self, effects: &[Effect]) -> Result<Vec<explorer::Effect>, BadModel> {
        effects.iter().map(|effect| self.effect(effect)).collect()
    }

    fn effect(&self, effect: &Effect) -> Result<explorer::Effect, BadModel> {
        let mut made = explorer::Effect {
            when: match &effect.when {
                Some(when) => self.test(when)?,
                None => explorer::Test::ALWAYS,
            },
            mask: 0,
            value: 0,
            add: Vec::new(),
        };
        for (variable, value) in &effect.set {
            let mask = self.variable(*variable)?.mask();
            made.value = (made.value & !mask) | self.value(*variable, *value)?;
            made.mask |= mask;
        }
        for (variable, by) in &effect.add {
            let known = self.variable(*variable)?;
            if by.abs() >= explorer::VALUES as i64 {
                return Err(BadModel(format!("`{}` cannot be counted by {by}", known.name)));
            }
            made.add.push(explorer::Add {
                variable: *variable,
                shift: known.shift,
                bits: known.bits,
                values: u32::try_from(known.values.len()).unwrap_or(u32::MAX),
                by: *by,
            });
        }
        Ok(made)
    }

    fn strikes(&self, strikes: &[Strike], hazards: usize) -> Result<Vec<explorer::Strike>, BadModel> {
        strikes
            .iter()
            .map(|strike| {
                if strike.hazard >= hazards {
                    return Err(BadModel(format!("there is no hazard {}", strike.hazard)));
                }
                Ok(explorer::Strike {
                    when: self.test(&strike.when)?,
                    hazard: 1 << strike.hazard,
                })
            })
            .collect()
    }
}

fn variables(model: &Model) -> Result<Vec<explorer::Variable>, BadModel> {
    let mut variables: Vec<explorer::Variable> = Vec::new();
    for variable in &model.variables {
        if variable.values.is_empty() || variable.values.len() > explorer::VALUES {
            return Err(BadModel(format!("`{}` has no values, or too many", variable.name)));
        }
        variables.push(explorer::Variable {
            name: variable.name.clone(),
            member: None,
            values: variable.values.clone(),
            tells: Vec::new(),
            counts: false,
            inside: vec![false; variable.values.len()],
            shift: 0,
            bits: 0,
        });
    }
    if explorer::pack(&mut variables) > explorer::BITS {
        return Err(BadModel("the state is too big".to_owned()));
    }
    Ok(variables)
}

impl Model {
    /// A machine that can be run. Its words are left out: it marks, it tells nothing.
    ///
    /// # Errors
    /// [`BadModel`].
    pub fn runnable(&self, id: &str) -> Result<explorer::Machine, BadModel> {
        let variables = variables(self)?;
        let reader = Reader(&variables);
        if self.hazards.len() > explorer::HAZARDS || self.rules.len() > explorer::RULES {
            return Err(BadModel("there are too many hazards or rules".to_owned()));
        }
        let many = self.hazards.len();
        let mut to_person = 0;
        for (index, hazard) in self.hazards.iter().enumerate() {
            to_person |= u64::from(hazard.person) << index;
        }
        let (mut plain, mut hidden) = (0, Vec::new());
        for (variable, known) in self.variables.iter().zip(&variables) {
            match &variable.hidden {
                None | Some(Hidden::Always(false)) => plain |= known.mask(),
                Some(Hidden::Always(true)) => {}
                Some(Hidden::Until(until)) => hidden.push((known.mask(), reader.test(until)?)),
            }
        }
        let hazards = self.hazards.iter().map(|hazard| {
            Ok(explorer::Hazard {
                id: hazard.id.clone(),
                when: hazard.when.as_ref().map(|when| reader.test(when)).transpose()?,
                harm: String::new(),
                source: None,
            })
        });
        let actions = self.actions.iter().map(|action| {
            Ok(explorer::Action {
                id: action.id.clone(),
                index: action.index,
                says: String::new(),
                at: reader.test(&action.at)?,
                needs: reader.test(&action.needs)?,
                does: reader.effects(&action.does)?,
                strikes: reader.strikes(&action.strikes, many)?,
                takes: action.takes,
            })
        });
        let happening = |id: &str, when: &Test, does: &[Effect], strikes: &[Strike], odds: f64| {
            Ok(explorer::Happening {
                id: id.to_owned(),
                says: String::new(),
                when: reader.test(when)?,
                does: reader.effects(does)?,
                strikes: reader.strikes(strikes, many)?,
                odds,
            })
        };
        let reactions = self.reactions.iter();
        let reactions = reactions.map(|one| happening(&one.id, &one.when, &one.does, &one.strikes, 1.0));
        let others = self.others.iter();
        let others = others.map(|one| {
            happening(
                &one.id,
                &one.when,
                &one.does,
                &one.strikes,
                one.below as f64 / 4_294_967_296.0,
            )
        });
        let rules = self.rules.iter().map(|rule| {
            if rule.order.len() > PLACES || rule.order.iter().any(|names| names.len() > NAMES) {
                return Err(BadModel(format!("the rule `{}` has too long an order", rule.id)));
            }
            Ok(explorer::Rule {
                id: rule.id.clone(),
                says: None,
                when: reader.test(&rule.when)?,
                order: rule.order.clone(),
                again_after: rule.again_after.clone(),
                source: String::new(),
            })
        });
        Ok(explorer::Machine {
            id: id.to_owned(),
            plain,
            hidden,
            hazards: hazards.collect::<Result<_, BadModel>>()?,
            to_person,
            actions: actions.collect::<Result<_, BadModel>>()?,
            reactions: reactions.collect::<Result<_, BadModel>>()?,
            others: others.collect::<Result<_, BadModel>>()?,
            rules: rules.collect::<Result<_, BadModel>>()?,
            rest: read(&variables, &self.rest)?,
            variables,
        })
    }
}

impl Drill {
    /// A drill that can be run on its machine.
    ///
    /// # Errors
    /// [`BadModel`].
    pub fn runnable(&self, machine: &explorer::Machine) -> Result<explorer::Drill, BadModel> {
        let reader = Reader(&machine.variables);
        let optional = |test: &Option<Test>| test.as_ref().map(|test| reader.test(test)).transpose();
        let mut holds = 0;
        for index in &self.holds {
            holds |= reader.variable(*index)?.mask();
        }
        let starts = self.starts.iter().map(|start| read(&machine.variables, start));
        Ok(explorer::Drill {
            id: self.id.clone(),
            starts: starts.collect::<Result<_, BadModel>>()?,
            cured: reader.test(&self.cured)?,
            handed_over: optional(&self.handed_over)?,
            beyond: optional(&self.beyond)?,
            holds,
        })
    }
}
