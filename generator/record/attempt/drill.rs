//! Replaying a run through a drill: from its seed and its acts alone, with all that others did meanwhile.

use super::super::statement::{Deed, Statement};
use super::{Answer, Marked, Marks, Ordered};
use crate::marking::{Drill, LEAVE_IT, Marking, Xoshiro128};
use pitwright_explorer::{End, Machine, Run, Stop, World, draw_start};

pub(super) fn mark(marking: &Marking, id: &str, ordered: &Ordered, misfits: &mut Vec<String>) -> Option<Marked> {
    let drill = marking.drill(id)?;
    match replayed(marking, drill, ordered) {
        Ok(marked) => Some(marked),
        Err(why) => {
            misfits.push(why);
            None
        }
    }
}

fn replayed(marking: &Marking, drill: &Drill, ordered: &Ordered) -> Result<Marked, String> {
    let cannot = |why: &dyn std::fmt::Display| format!("drill {} cannot be played again: {why}", drill.id);
    let model = marking
        .machine(&drill.machine)
        .and_then(|machine| machine.model.as_ref())
        .ok_or_else(|| cannot(&format!("the course has no model of {}", drill.machine)))?;
    let machine = model.runnable(&drill.machine).map_err(|why| cannot(&why))?;
    let stop = drill.runnable(&machine).map_err(|why| cannot(&why))?;
    let mut chance = Xoshiro128::from_hex(ordered.seed).map_err(|why| why.to_string())?;
    let world = World::new(&machine);
    let start = draw_start(&machine, &stop, &mut |bound| chance.below(bound));
    let mut run = Run::begin(&world, &stop, start)
        .map_err(|why| cannot(&words(why)))?
        .ok_or_else(|| cannot(&"it has no start"))?;
    let mut replay = Replay {
        machine: &machine,
        ended: None,
        gave_up: false,
    };
    let mut answers = Vec::new();
    for (turn, statement) in ordered.answers.iter().enumerate() {
        answers.push(replay.turn(turn, statement, ordered, &mut run, &mut || chance.next_word())?);
    }
    let passed = run.end().is_some_and(End::passes);
    // A run that was left earned nothing, wherever it stood: its device does not play it again to see.
    let left = ordered.closing.is_some_and(|(_, closing)| closing.left);
    Ok(Marked {
        title: drill.title.clone(),
        edition: drill.edition,
        marks: Marks::Drill {
            passed: passed && !left,
            acts: u32::try_from(run.turns()).unwrap_or(u32::MAX),
        },
        passed,
        complete: run.end().is_some() || replay.gave_up,
        lacking: "the run that has been handed in does not reach an end".to_owned(),
        missed_critical: Vec::new(),
        first_unsafe: answers.last().zip(run.end()).and_then(|(last, end)| {
            let what = amiss(&machine, end)?;
            Some((last.response.clone(), what.to_owned()))
        }),
        answers,
    })
}

struct Replay<'m> {
    machine: &'m Machine,
    /// The turn that ended the run.
    ended: Option<usize>,
    gave_up: bool,
}

impl Replay<'_> {
    /// Does one act again, or says how it does not fit.
    fn turn(
        &mut self,
        turn: usize,
        statement: &Statement,
        ordered: &Ordered,
        run: &mut Run,
        chance: &mut impl FnMut() -> u32,
    ) -> Result<Answer, String> {
        let Deed::Answered {
            at, response, others, ..
        } = &statement.deed
        else {
            return Err(format!("turn {turn} is no act"));
        };
        if at.of != *ordered.assessment {
            return Err(format!(
                "turn {turn} answers {at}; the attempt was begun at {}",
                ordered.assessment
            ));
        }
        if let Some(end) = self.ended {
            return Err(format!(
                "turn {turn}: `{response}` comes after the run's end, which was turn {end}"
            ));
        }
        let did = if response == LEAVE_IT && at.part == LEAVE_IT {
            self.gave_up = true;
            self.ended = Some(turn);
            Vec::new()
        } else {
            let index = self.act(turn, &at.part, response)?;
            if !run.offered().contains(&index) {
                return Err(format!("turn {turn}: the act `{response}` was not offered there"));
            }
            let came = run
                .act(index, chance)
                .map_err(|why| format!("turn {turn}: `{response}` cannot be done again: {}", words(why)))?;
            self.ended = run.end().map(|_| turn);
            came.others
        };
        let due: Vec<&str> = did
            .iter()
            .map(|other| self.machine.others[*other].id.as_str())
            .collect();
        if *others != due {
            return Err(format!(
                "turn {turn}: the record claims that others then did {}, the seed gives {}",
                listed(others),
                listed(&due)
            ));
        }
        Ok(Answer {
            at: at.part.clone(),
            response: response.clone(),
            earned: 0,
        })
    }

    /// The act that a response names.
    fn act(&self, turn: usize, part: &str, response: &str) -> Result<usize, String> {
        let found = self
            .machine
            .actions
            .iter()
            .position(|action| action.word() == *response);
        let index =
            found.ok_or_else(|| format!("turn {turn}: the machine {} has no act `{response}`", self.machine.id))?;
        let action = &self.machine.actions[index].id;
        if action == part {
            Ok(index)
        } else {
            Err(format!(
                "turn {turn}: `{response}` is an act {action}, the statement is about act {part}"
            ))
        }
    }
}

/// What was wrong with the last act: the id of a hazard or of a rule.
fn amiss<'m>(machine: &'m Machine, end: &End) -> Option<&'m str> {
    match end {
        End::Cured | End::HandedOver => None,
        End::Unsafe { hazards, .. } | End::HarmsMachine { hazards, .. } => machine
            .hazards
            .get(hazards.trailing_zeros() as usize)
            .map(|hazard| hazard.id.as_str()),
        End::BreaksRule(rule) => machine.rules.get(*rule).map(|rule| rule.id.as_str()),
    }
}

fn listed(names: &[impl AsRef<str>]) -> String {
    let names: Vec<&str> = names.iter().map(AsRef::as_ref).collect();
    if names.is_empty() {
        "nothing".to_owned()
    } else {
        names.join(", ")
    }
}

fn words(why: Stop) -> &'static str {
    match why {
        Stop::Flaw(_) => "the model does what no machine can do",
        Stop::Budget => "there is more to look at than the budget allows",
    }
}
