//! A run through a drill with free hands: what is the case, what the person can know of it, what others did meanwhile, and
//! how it ended.

use super::drill::Drill;
use super::fire::What;
use super::judge::Judged;
use super::machine::{Hazards, Machine};
use super::rules::Progress;
use super::situation::{After, Situation, Stop, World, undisturbed};
use super::story::Told;
use super::word::State;

/// A run that is under way or has ended.
#[derive(Clone)]
pub struct Run<'w, 'm> {
    world: &'w World<'m>,
    drill: &'w Drill,
    real: State,
    situation: Situation,
    progress: Progress,
    turns: usize,
    end: Option<End>,
}

/// How a run ended.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum End {
    Cured,
    /// Handed over where it was beyond the person.
    HandedOver,
    /// The act was unsafe: what it can lead to, whether somebody was hurt this time, and a state from which it hurts.
    Unsafe {
        hazards: Hazards,
        hurt: bool,
        from: State,
    },
    /// A rule was broken: its index.
    BreaksRule(usize),
    /// The act can harm the machine, and a state from which it does.
    HarmsMachine {
        hazards: Hazards,
        from: State,
    },
}

impl End {
    pub fn passes(&self) -> bool {
        matches!(self, Self::Cured | Self::HandedOver)
    }
}

/// What came of an act.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Came {
    Done,
    /// It was not possible, and that was seen.
    Nothing,
    /// It belongs to what the drill leaves alone.
    Held,
}

/// One act of a run.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Turn {
    pub came: Came,
    /// What others then did, in order.
    pub others: Vec<usize>,
}

/// The number that a drawn word must stay below for something of these odds to happen.
pub fn threshold(odds: f64) -> u64 {
    // Odds lie between 0 and 1, so the product fits.
    (odds.clamp(0.0, 1.0) * 4_294_967_296.0) as u64
}

/// Of so many runs one begins with something amiss that nobody can see, where a drill has starts with and without. Were it
/// every other run, as the lists of starts have it, handing over without looking would pass as often.
pub const AMISS_ONE_IN: u32 = 5;

/// The starts of a drill apart: those with nothing amiss that nobody can see, and the others.
pub(super) fn apart(machine: &Machine, drill: &Drill) -> (Vec<usize>, Vec<usize>) {
    (0..drill.starts.len()).partition(|start| !machine.amiss(drill.starts[*start]))
}

/// Draws the start of a run: first, where there are both, whether something is amiss that nobody can see, then which of those
/// starts. `below` gives a whole number below the given one, each equally likely.
pub fn draw_start(machine: &Machine, drill: &Drill, below: &mut impl FnMut(u32) -> u32) -> usize {
    let (plain, amiss) = apart(machine, drill);
    let among = if plain.is_empty() || (!amiss.is_empty() && below(AMISS_ONE_IN) == 0) {
        amiss
    } else {
        plain
    };
    let many = u32::try_from(among.len()).unwrap_or(u32::MAX);
    among.get(below(many) as usize).copied().unwrap_or_default()
}

impl<'w, 'm> Run<'w, 'm> {
    /// Begins at one of the drill's starts. `None` if there is no such start.
    ///
    /// # Errors
    /// [`Stop`].
    pub fn begin(world: &'w World<'m>, drill: &'w Drill, start: usize) -> Result<Option<Self>, Stop> {
        let Some(start) = drill.starts.get(start) else {
            return Ok(None);
        };
        let real = world.machine.settle(*start)?.state;
        let mut run = Self {
            world,
            drill,
            real,
            situation: Situation::new(),
            progress: Progress::default(),
            turns: 0,
            end: None,
        };
        run.situation = run.seen_now(&world.begin(drill)?, true)?;
        Ok(Some(run))
    }

    /// What is the case, whether it can be seen or not.
    pub fn real(&self) -> State {
        self.real
    }

    /// All that may be the case, as far as the person can know.
    pub fn situation(&self) -> &Situation {
        &self.situation
    }

    /// How far the rules are kept.
    pub fn progress(&self) -> Progress {
        self.progress
    }

    /// How many acts were done or tried.
    pub fn turns(&self) -> usize {
        self.turns
    }

    pub fn end(&self) -> Option<&End> {
        self.end.as_ref()
    }

    /// The acts that are offered: possible in some state that the person cannot tell from the real one. None once it ended.
    pub fn offered(&self) -> Vec<usize> {
        if self.end.is_some() {
            return Vec::new();
        }
        let all = 0..self.world.machine.actions.len();
        all.filter(|act| self.world.offered(*act, &self.situation)).collect()
    }

    /// Does an act that is offered. Afterwards each of the others acts that can, in the order listed, if the next word of
    /// `chance` stays below its odds. An act that is not offered, or that comes after the end, is nothing at all.
    ///
    /// # Errors
    /// [`Stop`].
    pub fn act(&mut self, act: usize, chance: &mut impl FnMut() -> u32) -> Result<Turn, Stop> {
        let (world, machine) = (self.world, self.world.machine);
        let mut turn = Turn {
            came: Came::Nothing,
            others: Vec::new(),
        };
        if self.end.is_some() || !world.offered(act, &self.situation) {
            return Ok(turn);
        }
        self.turns += 1;
        if world.held(act, self.drill) {
            turn.came = Came::Held;
            return Ok(turn);
        }
        let possible = machine.possible(act, self.real);
        let judged = world.judge(act, &self.situation, self.progress)?;
        let mut met = 0;
        if possible {
            let outcome = machine.act(act, self.real)?;
            (self.real, met) = (outcome.state, outcome.met & machine.to_person);
            self.progress = judged.progress;
            turn.came = Came::Done;
        }
        let wrong = wrong(&judged);
        if wrong.is_none() {
            let now = self.seen_now(&judged.after, possible)?;
            self.end = self.passed(&now);
            self.situation = now;
        }
        if self.end.is_some() {
            return Ok(turn);
        }
        for (index, other) in machine.others.iter().enumerate() {
            if met != 0 || !other.when.holds(self.real) || u64::from(chance()) >= threshold(other.odds) {
                continue;
            }
            let outcome = machine.other(index, self.real)?;
            (self.real, met) = (outcome.state, outcome.met & machine.to_person);
            turn.others.push(index);
        }
        self.end = match wrong {
            Some(End::Unsafe { hazards, from, .. }) => Some(End::Unsafe {
                hazards,
                hurt: met != 0,
                from,
            }),
            Some(end) => Some(end),
            None => {
                if !turn.others.is_empty() {
                    self.situation = self.seen_now(&judged.after, possible)?;
                }
                self.passed(&self.situation)
            }
        };
        Ok(turn)
    }

    /// What the person can know after all these states may be the case, by what now shows. Where that is possible only by
    /// what others did, it is taken as it is from now on: they are still until they are seen to act again.
    fn seen_now(&self, after: &[After], done: bool) -> Result<Situation, Stop> {
        let machine = self.world.machine;
        let seen = machine.seen(self.real);
        let found = self.world.look(after)?;
        let Some(mut now) = found.into_iter().find(|found| found.done == done && found.seen == seen) else {
            // The real state is always among those that may be the case.
            return Ok(vec![(self.real, true)]);
        };
        if undisturbed(&now.situation).next().is_none() {
            for (state, still) in &mut now.situation {
                *still = machine.seen(*state) == seen;
            }
        }
        Ok(now.situation)
    }

    /// Whether the run is a pass as it stands: so in truth, and as far as the person can know.
    fn passed(&self, now: &Situation) -> Option<End> {
        let known =
            |test: &super::condition::Test| test.holds(self.real) && undisturbed(now).all(|state| test.holds(state));
        if known(&self.drill.cured) {
            return Some(End::Cured);
        }
        let over = self.drill.handed_over.as_ref().is_some_and(known);
        let beyond = self.drill.beyond.as_ref().is_none_or(known);
        (over && beyond).then_some(End::HandedOver)
    }

    /// How the end of this run can hurt somebody or the machine: from a state that the person could not tell from the real
    /// one, the act and all that follows. Empty where nothing can.
    ///
    /// # Errors
    /// [`Stop`].
    pub fn how(&self, act: usize) -> Result<Vec<Told>, Stop> {
        let mut lines = Vec::new();
        match self.end {
            Some(End::Unsafe { from, .. }) => {
                lines.push(Told::Start(from));
                self.world.how_it_hurts(self.turns, act, from, &mut lines)?;
            }
            Some(End::HarmsMachine { from, .. }) => {
                lines.push(Told::Start(from));
                lines.push(Told::Step {
                    number: self.turns,
                    act,
                });
                self.world.tell(What::Act(act), from, &mut lines)?;
            }
            _ => {}
        }
        Ok(lines)
    }
}

/// What is wrong with an act; whether somebody was hurt is not known yet.
fn wrong(judged: &Judged) -> Option<End> {
    if let (danger @ 1.., Some(from)) = (judged.danger, judged.danger_from) {
        return Some(End::Unsafe {
            hazards: danger,
            hurt: false,
            from,
        });
    }
    if let Some((rule, _)) = judged.broken {
        return Some(End::BreaksRule(rule));
    }
    match (judged.harm, judged.harm_from) {
        (harm @ 1.., Some(from)) => Some(End::HarmsMachine { hazards: harm, from }),
        _ => None,
    }
}
