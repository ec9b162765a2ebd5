//! One act in one situation: whether it is safe, what it breaks, and what can then be found.

use super::drill::Drill;
use super::machine::Hazards;
use super::rules::Progress;
use super::situation::{After, Situation, Stop, World};
use super::word::State;

/// What there is to say of an act in a situation.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Judged {
    /// Hazards to a person that the act, or others after it, can meet; and a state from which one is met.
    pub danger: Hazards,
    pub danger_from: Option<State>,
    /// Hazards to the machine that the act itself can meet.
    pub harm: Hazards,
    pub harm_from: Option<State>,
    /// The rules that bind it, whether kept or not: a bit for each.
    pub binds: u8,
    /// A rule that it breaks, and a state in which it does.
    pub broken: Option<(usize, State)>,
    /// Where it leads, before others act.
    pub after: Vec<After>,
    /// How far the rules are kept where it was possible.
    pub progress: Progress,
}

impl Judged {
    /// Safe, harmless, and by the rules.
    pub fn clean(&self) -> bool {
        self.danger == 0 && self.harm == 0 && self.broken.is_none()
    }
}

impl World<'_> {
    /// Whether an act is offered: it is possible in some state that the person cannot tell from the real one.
    pub fn offered(&self, act: usize, situation: &Situation) -> bool {
        situation.iter().any(|(state, _)| self.machine.possible(act, *state))
    }

    /// Whether an act would change what a drill leaves alone.
    pub fn held(&self, act: usize, drill: &Drill) -> bool {
        let writes = |state: u128, effect: &super::condition::Effect| state | effect.writes();
        self.machine.actions[act].does.iter().fold(0, writes) & drill.holds != 0
    }

    /// Judges an act.
    ///
    /// # Errors
    /// [`Stop`].
    pub fn judge(&self, act: usize, situation: &Situation, progress: Progress) -> Result<Judged, Stop> {
        let machine = self.machine;
        let mut judged = Judged {
            danger: 0,
            danger_from: None,
            harm: 0,
            harm_from: None,
            binds: 0,
            broken: None,
            after: Vec::with_capacity(situation.len()),
            progress: progress.after(machine, &machine.actions[act].id),
        };
        // The plainest story is kept: one in which nothing is amiss that nobody can see, and then one without others.
        let plain = |state: State, still: bool| (machine.amiss(state), !still);
        let (mut danger_plain, mut broken_plain) = ((true, true), (true, true));
        self.spend(situation.len())?;
        for (state, still) in situation {
            if !machine.possible(act, *state) {
                judged.after.push((*state, *still, false));
                continue;
            }
            let outcome = machine.act(act, *state)?;
            let mut danger = outcome.met & machine.to_person;
            if danger == 0 {
                danger = self.meanwhile(outcome.state)?.danger;
            }
            if danger != 0 && (judged.danger == 0 || plain(*state, *still) < danger_plain) {
                judged.danger_from = Some(*state);
                danger_plain = plain(*state, *still);
            }
            judged.danger |= danger;
            let harm = outcome.met & !machine.to_person;
            if harm != 0 && judged.harm == 0 {
                judged.harm_from = Some(*state);
            }
            judged.harm |= harm;
            for (index, rule) in machine.rules.iter().enumerate() {
                if !rule.when.holds(*state) && rule.when.holds(outcome.state) {
                    judged.binds |= 1 << index;
                    let plainer = judged.broken.is_none() || plain(*state, *still) < broken_plain;
                    if plainer && !progress.complete(index, rule) {
                        judged.broken = Some((index, *state));
                        broken_plain = plain(*state, *still);
                    }
                }
            }
            judged.after.push((outcome.state, *still, true));
        }
        Ok(judged)
    }
}
