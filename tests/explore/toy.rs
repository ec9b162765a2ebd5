//! Random small machines: as values for the naive explorer, and as YAML for the real one.

use std::fmt::Write;

/// Values by variable.
pub type Values = Vec<usize>;

/// All listed variables have one of the listed values, or, with `any`, one of the alternatives holds.
#[derive(Debug, Clone, Default)]
pub struct Cond {
    pub all: Vec<(usize, Vec<usize>)>,
    pub any: Vec<(usize, Vec<usize>)>,
}

#[derive(Debug, Clone)]
pub struct Change {
    pub when: Option<Cond>,
    pub set: Vec<(usize, usize)>,
}

#[derive(Debug, Clone)]
pub struct Fire {
    pub when: Cond,
    pub does: Vec<Change>,
    pub strikes: Vec<(Cond, usize)>,
    pub takes: u32,
    pub odds: (u32, u32),
}

#[derive(Debug, Clone)]
pub struct Rule {
    pub when: Cond,
    pub order: Vec<Vec<usize>>,
    pub again_after: Vec<usize>,
}

#[derive(Debug, Clone)]
pub struct Step {
    pub act: usize,
    pub only: Option<Cond>,
    pub repeat: Option<Cond>,
}

/// A machine, a drill, and a procedure.
#[derive(Debug, Clone)]
pub struct Toy {
    /// How many values each variable has.
    pub sizes: Vec<usize>,
    pub hidden: Vec<(usize, Option<Cond>)>,
    /// Condition, and whether it is to a person.
    pub hazards: Vec<(Option<Cond>, bool)>,
    pub actions: Vec<Fire>,
    pub reactions: Vec<Fire>,
    pub others: Vec<Fire>,
    pub rules: Vec<Rule>,
    pub starts: Vec<(usize, Vec<usize>)>,
    pub cured: Cond,
    pub handed: Option<Cond>,
    pub steps: Vec<Step>,
}

/// A source of random numbers for tests: SplitMix64 (S. Vigna, public domain; from memory).
pub struct Dice(pub u64);

impl Dice {
    pub fn below(&mut self, most: usize) -> usize {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        usize::try_from((z ^ (z >> 31)) % most as u64).expect("it is small")
    }

    pub fn one_in(&mut self, many: usize) -> bool {
        self.below(many) == 0
    }
}

impl Toy {
    pub fn roll(seed: u64) -> Self {
        let dice = &mut Dice(seed);
        let sizes: Vec<usize> = (0..2 + dice.below(3)).map(|_| 2 + dice.below(2)).collect();
        let mut hidden = Vec::new();
        for variable in 0..sizes.len() {
            if dice.one_in(4) {
                let until = (!dice.one_in(3)).then(|| cond(dice, &sizes));
                hidden.push((variable, until));
            }
        }
        let mut hazards: Vec<(Option<Cond>, bool)> = (0..1 + dice.below(2))
            .map(|_| (Some(narrow(dice, &sizes)), !dice.one_in(3)))
            .collect();
        // One that only strikes meet.
        hazards.push((None, !dice.one_in(3)));
        let count = hazards.len();
        let fires = |dice: &mut Dice, many: usize, acts: bool| -> Vec<Fire> {
            (0..many).map(|_| fire(dice, &sizes, count, acts)).collect()
        };
        let many = 3 + dice.below(3);
        let actions = fires(dice, many, true);
        let many = dice.below(3);
        let reactions = fires(dice, many, false);
        let many = dice.below(3);
        let others = fires(dice, many, false);
        let mut rules = Vec::new();
        if dice.one_in(2) {
            let acts = actions.len();
            let order = (0..1 + dice.below(2))
                .map(|_| {
                    let first = dice.below(acts);
                    let second = dice.below(acts);
                    if first != second && dice.one_in(2) {
                        vec![first, second]
                    } else {
                        vec![first]
                    }
                })
                .collect();
            let again_after = if dice.one_in(2) {
                vec![dice.below(acts)]
            } else {
                Vec::new()
            };
            rules.push(Rule {
                when: narrow(dice, &sizes),
                order,
                again_after,
            });
        }
        let mut starts = Vec::new();
        for (variable, size) in sizes.iter().enumerate() {
            if dice.one_in(2) {
                let all: Vec<usize> = (0..*size).collect();
                starts.push(if dice.one_in(2) {
                    (variable, all)
                } else {
                    (variable, vec![dice.below(*size)])
                });
            }
        }
        let steps = (0..1 + dice.below(5))
            .map(|_| Step {
                act: dice.below(many_of(&actions)),
                only: dice.one_in(4).then(|| cond(dice, &sizes)),
                repeat: dice.one_in(5).then(|| cond(dice, &sizes)),
            })
            .collect();
        Self {
            cured: cond(dice, &sizes),
            handed: dice.one_in(2).then(|| cond(dice, &sizes)),
            sizes,
            hidden,
            hazards,
            actions,
            reactions,
            others,
            rules,
            starts,
            steps,
        }
    }

    pub fn machine_yaml(&self) -> String {
        let mut text = String::from("state:\n");
        for (variable, size) in self.sizes.iter().enumerate() {
            let _ = writeln!(text, "  v{variable}: [{}]", list(&(0..*size).collect::<Vec<_>>()));
        }
        if !self.hidden.is_empty() {
            text.push_str("hidden:\n");
            for (variable, until) in &self.hidden {
                let until = until
                    .as_ref()
                    .map(|until| format!(" until: {} ", yaml(until)))
                    .unwrap_or_default();
                let _ = writeln!(text, "  v{variable}: {{{until}}}");
            }
        }
        text.push_str("hazards:\n");
        for (index, (when, person)) in self.hazards.iter().enumerate() {
            let when = when
                .as_ref()
                .map(|when| format!("when: {}, ", yaml(when)))
                .unwrap_or_default();
            let to = if *person { "person" } else { "machine" };
            let _ = writeln!(text, "  h{index}: {{ {when}to: {to}, harm: H, severity: critical }}");
        }
        for (name, fires, key) in [
            ("actions", &self.actions, "needs"),
            ("reactions", &self.reactions, "when"),
            ("others", &self.others, "when"),
        ] {
            if fires.is_empty() {
                continue;
            }
            let _ = writeln!(text, "{name}:");
            for (index, fire) in fires.iter().enumerate() {
                let _ = write!(
                    text,
                    "  {}{index}: {{ says: S, {key}: {}, does: [",
                    &name[..1],
                    yaml(&fire.when)
                );
                for change in &fire.does {
                    let mut parts: Vec<String> = change.set.iter().map(|(v, x)| format!("v{v}: w{x}")).collect();
                    if let Some(when) = &change.when {
                        parts.insert(0, format!("if: {}", yaml(when)));
                    }
                    let _ = write!(text, " {{ {} }},", parts.join(", "));
                }
                text.push_str(" ], strikes: [");
                for (when, hazard) in &fire.strikes {
                    let _ = write!(text, " {{ when: {}, hazard: h{hazard} }},", yaml(when));
                }
                text.push_str(" ]");
                match name {
                    "actions" => {
                        let _ = write!(text, ", takes: {}s", fire.takes);
                    }
                    "others" => {
                        let _ = write!(text, ", odds: {}/{}", fire.odds.0, fire.odds.1);
                    }
                    _ => {}
                }
                text.push_str(" }\n");
            }
        }
        if !self.rules.is_empty() {
            text.push_str("rules:\n");
            for (index, rule) in self.rules.iter().enumerate() {
                let places: Vec<String> = rule
                    .order
                    .iter()
                    .map(|place| {
                        format!(
                            "[{}]",
                            place.iter().map(|act| format!("a{act}")).collect::<Vec<_>>().join(", ")
                        )
                    })
                    .collect();
                let again: Vec<String> = rule.again_after.iter().map(|act| format!("a{act}")).collect();
                let _ = writeln!(
                    text,
                    "  r{index}: {{ when: {}, order: [{}], again-after: [{}], source: S }}",
                    yaml(&rule.when),
                    places.join(", "),
                    again.join(", ")
                );
            }
        }
        text
    }

    pub fn drill_yaml(&self) -> String {
        let starts: Vec<String> = self
            .starts
            .iter()
            .map(|(v, values)| format!("v{v}: [{}]", list(values)))
            .collect();
        let mut text = format!("start: {{ {} }}\ncured: {}\n", starts.join(", "), yaml(&self.cured));
        if let Some(handed) = &self.handed {
            let _ = writeln!(text, "handed-over: {}", yaml(handed));
        }
        text
    }
}

fn many_of(actions: &[Fire]) -> usize {
    actions.len()
}

fn list(values: &[usize]) -> String {
    values
        .iter()
        .map(|value| format!("w{value}"))
        .collect::<Vec<_>>()
        .join(", ")
}

pub fn yaml(cond: &Cond) -> String {
    let mut parts: Vec<String> = cond
        .all
        .iter()
        .map(|(v, values)| format!("v{v}: [{}]", list(values)))
        .collect();
    if !cond.any.is_empty() {
        let any: Vec<String> = cond
            .any
            .iter()
            .map(|(v, values)| format!("{{ v{v}: [{}] }}", list(values)))
            .collect();
        parts.push(format!("any: [ {} ]", any.join(", ")));
    }
    format!("{{ {} }}", parts.join(", "))
}

fn some_values(dice: &mut Dice, size: usize) -> Vec<usize> {
    let values: Vec<usize> = (0..size).filter(|_| dice.one_in(2)).collect();
    if values.is_empty() {
        vec![dice.below(size)]
    } else {
        values
    }
}

fn cond(dice: &mut Dice, sizes: &[usize]) -> Cond {
    let mut cond = Cond::default();
    for (variable, size) in sizes.iter().enumerate() {
        if dice.one_in(3) {
            cond.all.push((variable, some_values(dice, *size)));
        }
    }
    if dice.one_in(4) {
        for _ in 0..2 {
            let variable = dice.below(sizes.len());
            cond.any.push((variable, some_values(dice, sizes[variable])));
        }
    }
    cond
}

/// One that holds in few states.
fn narrow(dice: &mut Dice, sizes: &[usize]) -> Cond {
    let mut cond = Cond::default();
    for (variable, size) in sizes.iter().enumerate() {
        if !dice.one_in(3) {
            cond.all.push((variable, vec![dice.below(*size)]));
        }
    }
    if cond.all.is_empty() {
        cond.all.push((0, vec![dice.below(sizes[0])]));
    }
    cond
}

fn fire(dice: &mut Dice, sizes: &[usize], hazards: usize, acts: bool) -> Fire {
    let when = if acts { cond(dice, sizes) } else { narrow(dice, sizes) };
    let does = (0..1 + dice.below(2))
        .map(|_| {
            let mut set: Vec<(usize, usize)> = Vec::new();
            for (variable, size) in sizes.iter().enumerate() {
                if dice.one_in(2) {
                    set.push((variable, dice.below(*size)));
                }
            }
            Change {
                when: dice.one_in(4).then(|| cond(dice, sizes)),
                set,
            }
        })
        .collect();
    let strikes = if dice.one_in(5) {
        vec![(narrow(dice, sizes), dice.below(hazards))]
    } else {
        Vec::new()
    };
    Fire {
        when,
        does,
        strikes,
        takes: u32::try_from(1 + dice.below(5)).expect("it is small"),
        odds: (1, u32::try_from(1 + dice.below(4)).expect("it is small")),
    }
}
