//! Machines and drills: known answers, a second explorer, stories.

mod agree;
mod demo;
mod known;
mod made;
mod naive;
mod naive_replay;
mod toy;
