//! Every state that anybody can bring about: counted, with the shortest way to each hazard and to a cure.

mod moves;
mod seen;

use self::moves::{Led, Moves, Word};
use self::seen::{Dense, Hashed, MOST_HASHED, Met, Rows, Seen};
use super::drill::Drill;
use super::machine::{Hazards, Machine};
use super::situation::Stop;
use super::story::Told;
use super::word::State;

/// What there is to be reached.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Reach {
    /// States in which nobody is hurt.
    pub states: usize,
    /// Acts and others' acts that were tried and possible.
    pub transitions: u64,
    /// All hazards that can be met.
    pub met: Hazards,
    /// For each hazard, the shortest way in, if there is one.
    pub ways: Vec<Option<Vec<Step>>>,
    /// The shortest way to a cure, if there is one.
    pub cure: Option<Vec<Step>>,
}

/// One step of a way.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Step {
    Start(State),
    Act(usize),
    Other(usize),
}

/// How many states are looked at before it is given up.
pub const MOST: usize = 50_000_000;

/// Goes over all states that acts, reactions and others can lead to from the starts of a drill, the nearest first.
///
/// # Errors
/// [`Stop`]: the model has a flaw, or there are more than `most` states.
pub fn reach(machine: &Machine, drill: &Drill, most: usize) -> Result<Reach, Stop> {
    // A state takes no more bytes than its bits need.
    match machine.variables.iter().map(|variable| variable.bits).sum() {
        0..=32 => sized::<u32>(machine, drill, most),
        33..=64 => sized::<u64>(machine, drill, most),
        _ => sized::<u128>(machine, drill, most),
    }
}

fn sized<W: Word>(machine: &Machine, drill: &Drill, most: usize) -> Result<Reach, Stop> {
    let most = most.min(MOST_HASHED);
    match Dense::of(machine) {
        Some(seen) => {
            let moves = Moves::<W>::of(machine, drill, Some(&|state| seen.number_of(state)));
            Search::of(machine, &moves, most).run(drill, seen)
        }
        None => {
            let moves = Moves::<W>::of(machine, drill, None);
            Search::of(machine, &moves, most).run(drill, Hashed::new())
        }
    }
}

/// A search, breadth first.
struct Search<'s, 'm, W> {
    machine: &'m Machine,
    moves: &'s Moves<'m, W>,
    most: usize,
    /// A start comes from [`NOWHERE`].
    found: Met<W>,
}

const NOWHERE: u32 = u32::MAX;

/// So many states are followed before it is looked up which of their neighbours are new.
const TOGETHER: usize = 32;

impl<'s, 'm, W: Word> Search<'s, 'm, W> {
    fn of(machine: &'m Machine, moves: &'s Moves<'m, W>, most: usize) -> Self {
        Self {
            machine,
            moves,
            most,
            found: Met {
                states: Rows::new(),
                from: Rows::new(),
            },
        }
    }

    fn run<S: Seen<W>>(mut self, drill: &Drill, mut seen: S) -> Result<Reach, Stop> {
        let mut reach = Reach {
            states: 0,
            transitions: 0,
            met: 0,
            ways: vec![None; self.machine.hazards.len()],
            cure: None,
        };
        let mut led: Vec<Led<W, S::Place>> = Vec::new();
        for start in &drill.starts {
            let settled = self.machine.settle(*start)?;
            if settled.met & self.machine.to_person == 0 {
                let word = W::of(settled.state);
                led.push(Led {
                    word,
                    place: seen.place(word),
                    from: NOWHERE,
                });
                self.add(&mut led, &mut seen)?;
            }
        }
        // Hazards whose first way is to be told, each with the step that meets it.
        let mut fresh: Vec<(Step, Hazards)> = Vec::new();
        let mut next = 0;
        while next < self.found.states.len() {
            let end = self.found.states.len().min(next + TOGETHER);
            for at in next..end {
                let word = self.found.states.get(at);
                if reach.cure.is_none() && drill.cured.holds(word.state()) {
                    reach.cure = Some(self.way(at, None)?);
                }
                let known = &mut reach.met;
                reach.transitions += self.moves.follow(word, index(at), &seen, &mut led, |step, met| {
                    if met & !*known != 0 {
                        fresh.push((step, met & !*known));
                        *known |= met;
                    }
                })?;
                for (step, met) in fresh.drain(..) {
                    for (hazard, way) in reach.ways.iter_mut().enumerate() {
                        if (met >> hazard) & 1 == 1 {
                            *way = Some(self.way(at, Some(step))?);
                        }
                    }
                }
            }
            self.add(&mut led, &mut seen)?;
            next = end;
        }
        reach.states = self.found.states.len();
        Ok(reach)
    }

    /// Adds what is new of where moves led.
    fn add<S: Seen<W>>(&mut self, led: &mut Vec<Led<W, S::Place>>, seen: &mut S) -> Result<(), Stop> {
        seen.fresh(led, &mut self.found);
        led.clear();
        if self.found.states.len() > self.most {
            return Err(Stop::Budget);
        }
        Ok(())
    }

    /// The way to a state, and a last step. Which steps led there is found anew: they are few, and the states are many.
    fn way(&self, end: usize, last: Option<Step>) -> Result<Vec<Step>, Stop> {
        let mut steps: Vec<Step> = last.into_iter().collect();
        let mut at = end;
        loop {
            let from = self.found.from.get(at);
            let word = self.found.states.get(at);
            if from == NOWHERE {
                steps.push(Step::Start(word.state()));
                break;
            }
            steps.extend(self.moves.between(self.found.states.get(from as usize), word)?);
            at = from as usize;
        }
        steps.reverse();
        Ok(steps)
    }
}

fn index(number: usize) -> u32 {
    // More than [`MOST_HASHED`] states are never kept.
    u32::try_from(number).unwrap_or(NOWHERE)
}

impl Machine {
    /// A way as a story, with all that the machine does on it. Acts are numbered from 1.
    ///
    /// # Errors
    /// [`Stop`].
    pub fn told(&self, way: &[Step]) -> Result<Vec<Told>, Stop> {
        let world = super::situation::World::new(self);
        let mut lines = Vec::new();
        let mut state = self.rest;
        let mut number = 0;
        for step in way {
            match step {
                Step::Start(start) => {
                    state = *start;
                    lines.push(Told::Start(state));
                }
                Step::Act(act) => {
                    number += 1;
                    lines.push(Told::Step { number, act: *act });
                    state = world.tell(super::fire::What::Act(*act), state, &mut lines)?;
                }
                Step::Other(other) => {
                    lines.push(Told::Other(*other));
                    state = world.tell(super::fire::What::Other(*other), state, &mut lines)?;
                }
            }
        }
        Ok(lines)
    }
}
