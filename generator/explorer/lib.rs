//! Machines and drills → what can happen: states, situations, par, traps, proofs of procedures, and the chance of blind acting.

#![forbid(unsafe_code)]

mod bits;
mod blind;
mod condition;
mod drill;
mod fire;
mod graph;
mod judge;
mod keeping;
mod machine;
mod order;
mod planning;
mod procedure;
mod reach;
mod replay;
mod rules;
mod run;
mod situation;
mod skip;
mod story;
mod symmetry;
mod table;
mod way;
mod word;

pub use bits::MOST as MOST_KEEPING;
pub use blind::{Blind, blind};
pub use condition::{Add, Effect, OutOfRange, Test};
pub use drill::Drill;
pub use fire::{Firing, Flaw, Outcome, What};
pub use graph::{Graph, Node};
pub use judge::Judged;
pub use machine::{Action, HAZARDS, Happening, Hazard, Hazards, Machine, RULES, Rule, Strike};
pub use order::{MOST_ACTS, Next, Orders, Wrong, orders};
pub use procedure::{Procedure, Step};
pub use reach::{MOST, Reach, Step as WayStep, reach};
pub use replay::{Class, Failure, Manner, Replayed, replay};
pub use rules::Progress;
pub use run::{AMISS_ONE_IN, Came, End, Run, Turn, draw_start, threshold};
pub use situation::{BUDGET, Found, Meanwhile, Situation, Stop, World, known, undisturbed};
pub use skip::{Change, skips, swaps};
pub use story::{Moment, Told};
pub use symmetry::Symmetry;
pub use table::{Facts, Offer};
pub use way::par_ways;
pub use word::{BITS, State, VALUES, Variable, pack};
