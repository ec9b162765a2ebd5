//! Machines and drills: known answers, a second explorer, stories.

mod agree;
mod alike;
mod chance;
mod contingent;
mod known;
mod made;
mod mutants;
mod naive;
mod naive_replay;
mod orders;
mod said;
mod strikes;
mod toy;
mod written;
