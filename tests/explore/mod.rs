//! Machines and drills: known answers, a second explorer, stories.

mod agree;
mod alike;
mod chance;
mod contingent;
pub(crate) mod demo;
mod known;
pub(crate) mod made;
mod mutants;
mod naive;
mod naive_replay;
mod orders;
mod said;
mod strikes;
pub(crate) mod toy;
mod ways;
mod written;
