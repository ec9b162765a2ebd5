//! How something came about: from one start, act by act, with what others did and what the machine then did by itself.

use super::fire::What;
use super::machine::{Hazard, Hazards, Machine};
use super::situation::{Situation, Stop, World};
use super::word::State;
use std::collections::{HashMap, VecDeque};

/// One thing in a story.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Told {
    /// What the stop is like at the beginning.
    Start(State),
    /// A step of the procedure, or an act of a drill, was done: its number on the page, the act.
    Step { number: usize, act: usize },
    /// The act was not possible, so nothing happened.
    Nothing { number: usize, act: usize },
    /// The machine did something by itself.
    Reaction(usize),
    /// Somebody else did something, or chance did.
    Other(usize),
    /// These hazards were met.
    Met(Hazards),
    /// What it is like in the end.
    Now(State),
}

/// How a point was come to: the point before it, and the other that acted, if one did.
type Came = Option<((State, bool), Option<usize>)>;

/// A moment of a replay: what could be the case, and which act led to it.
#[derive(Debug, Clone)]
pub struct Moment {
    pub situation: Situation,
    /// The step's number and the act; none at the beginning.
    pub by: Option<(usize, usize)>,
    /// Whether the act was possible.
    pub done: bool,
    /// What was seen then: bits and mask.
    pub seen: (State, State),
}

impl World<'_> {
    /// How a state of the last moment came about.
    ///
    /// # Errors
    /// [`Stop`].
    pub fn how(&self, starts: &[State], moments: &[Moment], state: State) -> Result<Vec<Told>, Stop> {
        let Some((last, before)) = moments.split_last() else {
            return Ok(vec![Told::Start(state)]);
        };
        // The states in which the act ended, each with the state from which it was done.
        let mut ends: Vec<(State, State)> = Vec::new();
        match (last.by, before.last()) {
            (Some((_, act)), Some(previous)) => {
                for (from, _) in &previous.situation {
                    match (self.machine.possible(act, *from), last.done) {
                        (true, true) => ends.push((self.machine.act(act, *from)?.state, *from)),
                        (false, false) => ends.push((*from, *from)),
                        _ => {}
                    }
                }
            }
            _ => {
                for start in starts {
                    ends.push((self.machine.settle(*start)?.state, *start));
                }
            }
        }
        let mut best: Option<(Vec<usize>, State)> = None;
        for (end, from) in ends {
            if let Some(path) = self.meanwhile_to(end, state, last.seen)?
                && best.as_ref().is_none_or(|(known, _)| path.len() < known.len())
            {
                best = Some((path, from));
            }
        }
        let Some((path, from)) = best else {
            return Ok(vec![Told::Start(state)]);
        };
        let mut now;
        let mut lines;
        match last.by {
            Some((number, act)) => {
                lines = self.how(starts, before, from)?;
                if last.done {
                    lines.push(Told::Step { number, act });
                    now = self.tell(What::Act(act), from, &mut lines)?;
                } else {
                    lines.push(Told::Nothing { number, act });
                    now = from;
                }
            }
            None => {
                lines = vec![Told::Start(from)];
                now = self.machine.settle(from)?.state;
            }
        }
        for other in path {
            lines.push(Told::Other(other));
            now = self.tell(What::Other(other), now, &mut lines)?;
        }
        Ok(lines)
    }

    /// Tells what the machine does after an act, and gives the state it ends in.
    ///
    /// # Errors
    /// [`Stop`].
    pub fn tell(&self, what: What, from: State, lines: &mut Vec<Told>) -> Result<State, Stop> {
        let mut now = from;
        for firing in self.machine.firings(what, from)? {
            if let What::Reaction(index) = firing.what {
                lines.push(Told::Reaction(index));
            }
            if firing.met != 0 {
                lines.push(Told::Met(firing.met));
            }
            now = firing.after;
        }
        Ok(now)
    }

    /// What others must do, in order, so that this state is the case after a look that showed `seen` on the way.
    fn meanwhile_to(&self, from: State, to: State, seen: (State, State)) -> Result<Option<Vec<usize>>, Stop> {
        let mut came: HashMap<(State, bool), Came> = HashMap::new();
        let begin = (from, false);
        came.insert(begin, None);
        let mut queue = VecDeque::from([begin]);
        while let Some(here) = queue.pop_front() {
            if here == (to, true) {
                let mut path = Vec::new();
                let mut at = here;
                while let Some(Some((before, other))) = came.get(&at) {
                    path.extend(other);
                    at = *before;
                }
                path.reverse();
                return Ok(Some(path));
            }
            let (state, looked) = here;
            let mut step = |next: (State, bool), by: Option<usize>, queue: &mut VecDeque<_>| {
                came.entry(next).or_insert_with(|| {
                    queue.push_back(next);
                    Some((here, by))
                });
            };
            if !looked && self.machine.seen(state) == seen {
                step((state, true), None, &mut queue);
            }
            for (index, other) in self.machine.others.iter().enumerate() {
                if other.when.holds(state) {
                    let outcome = self.machine.other(index, state)?;
                    if outcome.met & self.machine.to_person == 0 {
                        step((outcome.state, looked), Some(index), &mut queue);
                    }
                }
            }
        }
        Ok(None)
    }

    /// Adds to a story how an act that is done in this state comes to hurt somebody, be it by what others do after it.
    ///
    /// # Errors
    /// [`Stop`].
    pub fn how_it_hurts(&self, number: usize, act: usize, from: State, lines: &mut Vec<Told>) -> Result<Hazards, Stop> {
        let person = self.machine.to_person;
        lines.push(Told::Step { number, act });
        let outcome = self.machine.act(act, from)?;
        self.tell(What::Act(act), from, lines)?;
        if outcome.met & person != 0 {
            return Ok(outcome.met & person);
        }
        self.how_others_hurt(outcome.state, lines)
    }

    /// How somebody can be hurt at a start, before anything is done there; none if it is safe.
    ///
    /// # Errors
    /// [`Stop`].
    pub fn unsafe_start(&self, start: State) -> Result<Option<Vec<Told>>, Stop> {
        let settled = self.machine.settle(start)?;
        let mut lines = vec![Told::Start(start)];
        if settled.met & self.machine.to_person != 0 {
            lines.push(Told::Met(settled.met & self.machine.to_person));
            return Ok(Some(lines));
        }
        let met = self.how_others_hurt(settled.state, &mut lines)?;
        Ok((met != 0).then_some(lines))
    }

    /// Adds the shortest chain of what others do that ends in harm to a person; what is met, or nothing.
    fn how_others_hurt(&self, begin: State, lines: &mut Vec<Told>) -> Result<Hazards, Stop> {
        let person = self.machine.to_person;
        let mut came: HashMap<State, (State, usize)> = HashMap::new();
        let mut queue = VecDeque::from([begin]);
        while let Some(state) = queue.pop_front() {
            for (index, other) in self.machine.others.iter().enumerate() {
                if !other.when.holds(state) {
                    continue;
                }
                let next = self.machine.other(index, state)?;
                if next.met & person != 0 {
                    let mut chain = vec![(state, index)];
                    let mut at = state;
                    while at != begin {
                        let (before, other) = came[&at];
                        chain.push((before, other));
                        at = before;
                    }
                    for (state, other) in chain.into_iter().rev() {
                        lines.push(Told::Other(other));
                        self.tell(What::Other(other), state, lines)?;
                    }
                    return Ok(next.met & person);
                }
                if next.state != begin && !came.contains_key(&next.state) {
                    came.insert(next.state, (state, index));
                    queue.push_back(next.state);
                }
            }
        }
        Ok(0)
    }
}

impl Machine {
    /// A story in words, one sentence a line; each hazard with its id, by which an author finds it.
    pub fn words(&self, lines: &[Told]) -> Vec<String> {
        self.told_as(lines, |hazard| format!("{}: {}", hazard.id, sentence(&hazard.harm)))
    }

    /// A story in words for who learns, without ids.
    pub fn plain_words(&self, lines: &[Told]) -> Vec<String> {
        self.told_as(lines, |hazard| sentence(&hazard.harm))
    }

    fn told_as(&self, lines: &[Told], met: impl Fn(&Hazard) -> String) -> Vec<String> {
        lines
            .iter()
            .map(|line| match line {
                Told::Start(state) => format!("It begins so: {}.", self.differs(*state)),
                Told::Now(state) => format!("It is then so: {}.", self.differs(*state)),
                Told::Step { number, act } => format!("Step {number}: {}", sentence(&self.actions[*act].says)),
                Told::Nothing { number, act } => {
                    format!(
                        "Step {number}: {} It cannot be done here; nothing happens.",
                        sentence(&self.actions[*act].says)
                    )
                }
                Told::Reaction(index) => format!("The machine: {}", sentence(&self.reactions[*index].says)),
                Told::Other(index) => format!("Meanwhile: {}", sentence(&self.others[*index].says)),
                Told::Met(hazards) => self
                    .hazards
                    .iter()
                    .enumerate()
                    .filter(|(index, _)| (hazards >> index) & 1 == 1)
                    .map(|(_, hazard)| met(hazard))
                    .collect::<Vec<_>>()
                    .join(" "),
            })
            .collect()
    }
}

/// A text with a full stop.
fn sentence(text: &str) -> String {
    let text = text.trim();
    if text.ends_with(['.', '!', '?']) {
        text.to_owned()
    } else {
        format!("{text}.")
    }
}
