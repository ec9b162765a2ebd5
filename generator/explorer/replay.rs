//! Replaying a procedure from every start, whatever others do meanwhile.

use super::drill::Drill;
use super::graph::Graph;
use super::procedure::{Procedure, Step};
use super::rules::Progress;
use super::situation::{Situation, Stop, World, known, undisturbed};
use super::story::{Moment, Told};
use super::word::State;
use std::collections::HashSet;

/// How a procedure goes wrong, worst first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Class {
    /// Somebody can be hurt.
    Hurts,
    /// A rule of the law or the centre is broken.
    BreaksRule,
    /// The machine is harmed.
    HarmsMachine,
    /// A later step is not possible.
    Stuck,
    /// It ends, and the stop is not cured.
    NotCured,
    /// It ends handed over, where it could have been cured.
    HandedOver,
    /// Whether a step is due cannot be known by then.
    NotKnown,
    /// It never ends.
    Endless,
}

/// A way in which a procedure goes wrong.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Failure {
    pub class: Class,
    /// The number of the step at which it shows; none at the end.
    pub step: Option<usize>,
    /// The hazard's or the rule's index.
    pub what: Option<usize>,
    pub story: Vec<Told>,
}

/// What a replay came to.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Replayed {
    /// The worst that happened, told in the fewest lines; none for a proven procedure.
    pub failure: Option<Failure>,
    /// Pairs of step and situation that were looked at.
    pub pairs: usize,
}

/// How strictly a replay is taken.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Manner {
    /// As written: a step that is not possible fails, and so does what is not known.
    Proof,
    /// To see what a change comes to: steps that are not possible are passed over, an unknown `if` counts as false.
    Trial,
}

/// Replays a procedure. `graph` says where handing over is right.
///
/// # Errors
/// [`Stop`].
pub fn replay<'r, 'm>(
    world: &'r World<'m>,
    drill: &'r Drill,
    graph: Option<&'r Graph<'r, 'm>>,
    procedure: &'r Procedure,
    manner: Manner,
) -> Result<Replayed, Stop> {
    let begin = world.begin(drill)?;
    let mut run = Run {
        world,
        drill,
        graph,
        procedure,
        manner,
        visited: HashSet::new(),
        moments: Vec::new(),
        open: Vec::new(),
        worst: None,
    };
    for found in world.look(&begin)? {
        run.moments.push(Moment {
            situation: found.situation,
            by: None,
            done: true,
            seen: found.seen,
        });
        run.step(0, Progress::default())?;
        run.moments.pop();
    }
    Ok(Replayed {
        failure: run.worst,
        pairs: run.visited.len(),
    })
}

/// A moment in a procedure: the place, what can be the case, how far the rules are kept.
type Point = (usize, Situation, Progress);

struct Run<'r, 'm> {
    world: &'r World<'m>,
    drill: &'r Drill,
    graph: Option<&'r Graph<'r, 'm>>,
    procedure: &'r Procedure,
    manner: Manner,
    visited: HashSet<Point>,
    moments: Vec<Moment>,
    /// The points on the way here, to notice a loop.
    open: Vec<Point>,
    worst: Option<Failure>,
}

impl Run<'_, '_> {
    fn here(&self) -> &Situation {
        // A moment is pushed before every step.
        &self.moments[self.moments.len() - 1].situation
    }

    /// Notes a failure, unless a worse one is known, or a plainer story of it: one that does not begin with something amiss
    /// that nobody can see, and then the shorter one.
    fn fail(&mut self, class: Class, step: Option<usize>, what: Option<usize>, story: Vec<Told>) {
        let machine = self.world.machine;
        let key = |class: Class, story: &[Told]| {
            let amiss = story
                .iter()
                .any(|told| matches!(told, Told::Start(state) if machine.amiss(*state)));
            (class, amiss, story.len())
        };
        let better = self
            .worst
            .as_ref()
            .is_none_or(|known| key(class, &story) < key(known.class, &known.story));
        if better {
            self.worst = Some(Failure {
                class,
                step,
                what,
                story,
            });
        }
    }

    fn story(&self, state: State) -> Result<Vec<Told>, Stop> {
        self.world.how(&self.drill.starts, &self.moments, state)
    }

    fn any_state(&self) -> State {
        let here = self.here();
        undisturbed(here)
            .next()
            .or_else(|| here.first().map(|(state, _)| *state))
            .unwrap_or(0)
    }

    /// Goes on at a place.
    fn step(&mut self, place: usize, progress: Progress) -> Result<(), Stop> {
        let point = (place, self.here().clone(), progress);
        if self.open.contains(&point) {
            let story = self.story(self.any_state())?;
            let number = self.procedure.steps.get(place).map(|step| step.number);
            self.fail(Class::Endless, number, None, story);
            return Ok(());
        }
        if !self.visited.insert(point.clone()) {
            return Ok(());
        }
        self.world.spend(point.1.len())?;
        let Some(step) = self.procedure.steps.get(place).cloned() else {
            return self.end(progress);
        };
        self.open.push(point);
        let gone = self.at(place, &step, progress);
        self.open.pop();
        gone
    }

    fn at(&mut self, place: usize, step: &Step, progress: Progress) -> Result<(), Stop> {
        for test in [&step.only, &step.repeat].into_iter().flatten() {
            match known(self.here(), |state| test.holds(state)) {
                Some(true) => {}
                Some(false) => return self.step(place + 1, progress),
                None => {
                    let story = self.story(self.any_state())?;
                    self.fail(Class::NotKnown, Some(step.number), None, story);
                    // In a trial an unknown condition counts as false.
                    return match self.manner {
                        Manner::Trial => self.step(place + 1, progress),
                        Manner::Proof => Ok(()),
                    };
                }
            }
        }
        if step.acts.is_empty() {
            return if step.ends {
                self.end(progress)
            } else {
                self.step(place + 1, progress)
            };
        }
        let acts: Vec<usize> = step
            .acts
            .iter()
            .copied()
            .filter(|act| self.world.offered(*act, self.here()))
            .collect();
        if acts.is_empty() {
            // Only others can have made it impossible: that run is over, and safe.
            if undisturbed(self.here()).next().is_none() {
                return Ok(());
            }
            let state = self.any_state();
            let mut story = self.story(state)?;
            story.push(Told::Nothing {
                number: step.number,
                act: step.acts[0],
            });
            story.push(Told::Now(state));
            self.fail(Class::Stuck, Some(step.number), None, story);
            return match self.manner {
                Manner::Trial => self.step(place + 1, progress),
                Manner::Proof => Ok(()),
            };
        }
        for act in acts {
            self.act(place, step, act, progress)?;
        }
        Ok(())
    }

    fn act(&mut self, place: usize, step: &Step, act: usize, progress: Progress) -> Result<(), Stop> {
        let judged = self.world.judge(act, self.here(), progress)?;
        if let Some(from) = judged.danger_from {
            let mut story = self.story(from)?;
            let met = self.world.how_it_hurts(step.number, act, from, &mut story)?;
            self.fail(
                Class::Hurts,
                Some(step.number),
                Some(met.trailing_zeros() as usize),
                story,
            );
            return Ok(());
        }
        if let Some((rule, from)) = judged.broken {
            let mut story = self.story(from)?;
            story.push(Told::Step {
                number: step.number,
                act,
            });
            self.fail(Class::BreaksRule, Some(step.number), Some(rule), story);
            if self.manner == Manner::Proof {
                return Ok(());
            }
        }
        if let Some(from) = judged.harm_from {
            let mut story = self.story(from)?;
            story.push(Told::Step {
                number: step.number,
                act,
            });
            self.world.tell(super::fire::What::Act(act), from, &mut story)?;
            self.fail(
                Class::HarmsMachine,
                Some(step.number),
                Some(judged.harm.trailing_zeros() as usize),
                story,
            );
            if self.manner == Manner::Proof {
                return Ok(());
            }
        }
        // A step that is not possible only because others acted ends that run, safe; with others still, it is stuck.
        let stuck = judged
            .after
            .iter()
            .zip(self.here())
            .find(|((_, still, done), _)| *still && !*done);
        if let Some((_, (from, _))) = stuck {
            let mut story = self.story(*from)?;
            story.push(Told::Nothing {
                number: step.number,
                act,
            });
            story.push(Told::Now(*from));
            self.fail(Class::Stuck, Some(step.number), None, story);
        }
        let going: Vec<_> = judged
            .after
            .iter()
            .filter(|(_, still, done)| *done || (*still && self.manner == Manner::Trial))
            .copied()
            .collect();
        for found in self.world.look(&going)? {
            let done = found.done;
            self.moments.push(Moment {
                situation: found.situation,
                by: Some((step.number, act)),
                done,
                seen: found.seen,
            });
            let progress = if done { judged.progress } else { progress };
            let next = if step.repeat.is_some() && done {
                place
            } else {
                place + 1
            };
            let gone = if step.ends {
                self.end(progress)
            } else {
                self.step(next, progress)
            };
            self.moments.pop();
            gone?;
        }
        Ok(())
    }

    /// The procedure is over.
    fn end(&mut self, progress: Progress) -> Result<(), Stop> {
        let here = self.here().clone();
        let cured = |state: &State| self.drill.cured.holds(*state);
        let Some(left) = undisturbed(&here).find(|state| !cured(state)) else {
            return Ok(());
        };
        let handed = |state: State| self.drill.handed_over.as_ref().is_some_and(|test| test.holds(state));
        if undisturbed(&here).all(handed) {
            let node = self.graph.and_then(|graph| graph.find(&here, progress));
            if node.is_some_and(|node| self.graph.is_some_and(|graph| !graph.curable(node))) {
                return Ok(());
            }
            let mut story = self.story(left)?;
            story.push(Told::Now(left));
            self.fail(Class::HandedOver, None, None, story);
            return Ok(());
        }
        let mut story = self.story(left)?;
        story.push(Told::Now(left));
        self.fail(Class::NotCured, None, None, story);
        Ok(())
    }
}
