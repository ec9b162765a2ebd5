//! Situations, each gone over once: what every act that is offered there comes to, whatever rules were kept on the way.

use super::drill::Drill;
use super::judge::Judged;
use super::machine::Hazards;
use super::rules::Progress;
use super::situation::{Situation, Stop, World, undisturbed};
use super::symmetry::{Symmetry, Turned};
use super::word::State;
use std::collections::HashMap;
use std::rc::Rc;

/// The situations met so far.
pub struct Table<'w, 'm> {
    world: &'w World<'m>,
    drill: &'w Drill,
    symmetry: Symmetry,
    rows: Vec<Row>,
    known: HashMap<Rc<Situation>, u32>,
}

/// One situation.
struct Row {
    situation: Rc<Situation>,
    facts: Facts,
    acts: Option<Rc<[Offer]>>,
}

/// What is plain of a situation at once.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Facts {
    /// Some state in it is reached with others still.
    pub undisturbed: bool,
    /// Cured in all of those.
    pub cured: bool,
    /// Cured in some of those.
    pub some_cured: bool,
    /// Handed over in all of those.
    pub handed_over: bool,
    /// Beyond the person in all of those, as the drill says.
    pub beyond: bool,
}

/// An act that is offered in a situation.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Offer {
    pub act: usize,
    /// It belongs to what the drill leaves alone: nothing comes of it.
    pub held: bool,
    pub danger: Hazards,
    pub harm: Hazards,
    /// The rules that bind it: a bit for each.
    pub binds: u8,
    /// The situations that can follow: whether the act was possible, and which.
    pub to: Vec<(bool, u32)>,
    /// The same, each with what shows there.
    pub shows: Vec<Shows>,
}

/// What can be found after an act.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Shows {
    /// Whether the act was possible.
    pub done: bool,
    /// What shows, before alike members are turned.
    pub seen: (State, State),
    pub situation: u32,
    pub turned: Turned,
}

impl Offer {
    /// Neither dangerous nor harmful, and something may come of it.
    pub fn clean(&self) -> bool {
        !self.held && self.danger == 0 && self.harm == 0
    }
}

impl<'w, 'm> Table<'w, 'm> {
    pub fn new(world: &'w World<'m>, drill: &'w Drill) -> Self {
        Self {
            world,
            drill,
            symmetry: Symmetry::of(world.machine, drill),
            rows: Vec::new(),
            known: HashMap::new(),
        }
    }

    /// A state turned as its situation was.
    pub fn turn(&self, state: State, turned: &Turned) -> State {
        self.symmetry.turn(state, turned)
    }

    /// The number of a situation, and how its alike members were turned.
    pub fn number(&mut self, situation: Situation) -> (u32, Turned) {
        let (situation, turned) = self.symmetry.canonical(situation);
        if let Some(number) = self.known.get(&situation) {
            return (*number, turned);
        }
        let number = u32::try_from(self.rows.len()).unwrap_or(u32::MAX);
        let kept = Rc::new(situation);
        let calm = || undisturbed(&kept);
        let is = calm().next().is_some();
        let handed = self.drill.handed_over.as_ref();
        let beyond = self.drill.beyond.as_ref();
        self.rows.push(Row {
            facts: Facts {
                undisturbed: is,
                cured: is && calm().all(|state| self.drill.cured.holds(state)),
                some_cured: calm().any(|state| self.drill.cured.holds(state)),
                handed_over: is && handed.is_some_and(|test| calm().all(|state| test.holds(state))),
                beyond: is && beyond.is_none_or(|test| calm().all(|state| test.holds(state))),
            },
            situation: kept.clone(),
            acts: None,
        });
        self.known.insert(kept, number);
        (number, turned)
    }

    /// The number of a situation that was met, if it was.
    pub fn find(&self, situation: &Situation) -> Option<u32> {
        self.known.get(&self.symmetry.canonical(situation.clone()).0).copied()
    }

    pub fn situation(&self, number: u32) -> &Rc<Situation> {
        &self.rows[number as usize].situation
    }

    pub fn facts(&self, number: u32) -> Facts {
        self.rows[number as usize].facts
    }

    pub fn len(&self) -> usize {
        self.rows.len()
    }

    /// The acts offered in a situation that was gone over; none otherwise.
    pub fn known_offers(&self, number: u32) -> &[Offer] {
        self.rows[number as usize].acts.as_deref().unwrap_or_default()
    }

    /// The acts offered in a situation.
    ///
    /// # Errors
    /// [`Stop`].
    pub fn offers(&mut self, number: u32) -> Result<Rc<[Offer]>, Stop> {
        if let Some(acts) = &self.rows[number as usize].acts {
            return Ok(acts.clone());
        }
        let situation = self.situation(number).clone();
        let mut offers = Vec::new();
        for act in 0..self.world.machine.actions.len() {
            if !self.world.offered(act, &situation) {
                continue;
            }
            let mut offer = Offer {
                act,
                held: self.world.held(act, self.drill),
                danger: 0,
                harm: 0,
                binds: 0,
                to: Vec::new(),
                shows: Vec::new(),
            };
            if !offer.held {
                let judged = self.world.judge(act, &situation, Progress::default())?;
                (offer.danger, offer.harm, offer.binds) = (judged.danger, judged.harm, judged.binds);
                if judged.danger == 0 && judged.harm == 0 {
                    offer.shows = self.follow(&judged)?;
                    for shows in &offer.shows {
                        let next = (shows.done, shows.situation);
                        if !offer.to.contains(&next) {
                            offer.to.push(next);
                        }
                    }
                }
            }
            offers.push(offer);
        }
        let offers: Rc<[Offer]> = offers.into();
        self.rows[number as usize].acts = Some(offers.clone());
        Ok(offers)
    }

    fn follow(&mut self, judged: &Judged) -> Result<Vec<Shows>, Stop> {
        let found = self.world.look(&judged.after)?;
        Ok(found
            .into_iter()
            .map(|found| {
                let (situation, turned) = self.number(found.situation);
                Shows {
                    done: found.done,
                    seen: found.seen,
                    situation,
                    turned,
                }
            })
            .collect())
    }
}
