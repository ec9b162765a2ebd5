//! A performance that a trainer watched, as a statement holds it.

use super::fields::{Fault, Fields, texts};
use super::statement::short;
use super::vocabulary::term;
use std::fmt;

/// A performance that a trainer watched.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Witnessing {
    pub competency: String,
    pub met: bool,
    /// The person needed a hint.
    pub prompted: bool,
    /// On a real call rather than a staged one.
    pub real: bool,
    /// The person might not do it at all that day, not even accompanied; why it was done is among the details.
    pub out_of_turn: bool,
    /// How each step of the sheet went; empty where no sheet was used.
    pub steps: Vec<StepSeen>,
}

/// How one step of a witnessed performance went, from what says least against it to what says most.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum StepSeen {
    /// It did not come up, or was only told.
    NotSeen,
    Met,
    Prompted,
    NotMet,
}

impl StepSeen {
    pub const ALL: [Self; 4] = [Self::Met, Self::Prompted, Self::NotMet, Self::NotSeen];

    pub fn word(self) -> &'static str {
        match self {
            Self::NotSeen => "not-seen",
            Self::Met => "met",
            Self::Prompted => "prompted",
            Self::NotMet => "not-met",
        }
    }

    /// The word read back.
    pub fn from_word(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|seen| seen.word() == word)
    }
}

impl Witnessing {
    /// What the steps add up to: met and prompted. One step not met is a performance not met; one that was not seen says nothing.
    pub fn of_steps(steps: &[StepSeen]) -> (bool, bool) {
        let worst = steps.iter().max().copied().unwrap_or(StepSeen::Met);
        (worst == StepSeen::Met, worst == StepSeen::Prompted)
    }

    /// The numbers of the steps that went one way, counted from 1.
    pub fn steps_that(&self, went: StepSeen) -> Vec<usize> {
        let numbered = self.steps.iter().zip(1..);
        numbered.filter(|(how, _)| **how == went).map(|(_, n)| n).collect()
    }
}

/// How it was set and how it went, in a few words.
impl fmt::Display for Witnessing {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(if self.real { "on a real call" } else { "staged" })?;
        f.write_str(match (self.met, self.prompted) {
            (_, true) => ", prompted",
            (true, false) => ", met",
            (false, false) => ", not met",
        })?;
        if self.out_of_turn {
            f.write_str(", out of turn")?;
        }
        for how in [StepSeen::Prompted, StepSeen::NotMet, StepSeen::NotSeen] {
            let steps: Vec<String> = self.steps_that(how).iter().map(ToString::to_string).collect();
            if !steps.is_empty() {
                let word = if steps.len() == 1 { "step" } else { "steps" };
                write!(f, "; {}: {word} {}", how.word().replace('-', " "), steps.join(", "))?;
            }
        }
        Ok(())
    }
}

/// Reads what a statement says of a performance.
pub(super) fn read(competency: String, all: Fields) -> Result<Witnessing, Fault> {
    let result = all.must_object("result", "result")?;
    let extensions = result.must_object("extensions", "result.extensions")?;
    let met = result.truth("success")?.ok_or("`result.success` is missing")?;
    let real = match extensions.must_text(&term("setting"))? {
        "real" => true,
        "staged" => false,
        other => return Err(format!("the setting is `{}`; it is `real` or `staged`", short(other))),
    };
    let steps = match extensions.get(&term("steps")) {
        None => Vec::new(),
        steps => texts(steps, "the steps")?
            .into_iter()
            .map(|word| StepSeen::from_word(word).ok_or_else(|| format!("a step cannot be `{}`", short(word))))
            .collect::<Result<_, _>>()?,
    };
    let prompted = extensions.truth(&term("prompted"))?.unwrap_or(false);
    if !steps.is_empty() && steps.iter().all(|step| *step == StepSeen::NotSeen) {
        return Err("none of its steps was seen".to_owned());
    }
    if !steps.is_empty() && Witnessing::of_steps(&steps) != (met, prompted) {
        return Err("what the steps add up to is not what the statement says of the whole".to_owned());
    }
    Ok(Witnessing {
        competency,
        met,
        prompted,
        real,
        out_of_turn: extensions.truth(&term("out-of-turn"))?.unwrap_or(false),
        steps,
    })
}
