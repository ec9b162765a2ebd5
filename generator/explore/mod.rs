//! Machines and drills → what can happen: states, situations, par, traps, proofs of procedures, and the chance of blind acting.

mod blind;
mod compile;
mod condition;
mod drill;
mod fire;
mod graph;
mod judge;
mod machine;
mod order;
mod procedure;
mod reach;
mod replay;
mod rules;
mod situation;
mod skip;
mod story;
mod word;

pub use blind::{Blind, blind};
pub use compile::{codes, drill, machine};
pub use condition::{Effect, OutOfRange, Test};
pub use drill::Drill;
pub use fire::{Firing, Flaw, Outcome, What};
pub use graph::{Edge, Graph, Node};
pub use judge::Judged;
pub use machine::{Action, Happening, Hazard, Hazards, Machine, Rule, Strike};
pub use order::{MOST_ACTS, Next, Orders, Wrong, orders};
pub use procedure::{Procedure, Step};
pub use reach::{MOST, Reach, Step as WayStep, reach};
pub use replay::{Class, Failure, Manner, Replayed, replay};
pub use rules::Progress;
pub use situation::{BUDGET, Found, Meanwhile, Situation, Stop, World, known, undisturbed};
pub use skip::{Change, skips, swaps};
pub use story::{Line, Moment};
pub use word::{State, Variable};
