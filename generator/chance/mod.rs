//! What blind clicking would earn: exact chances of passing without knowing anything.

mod alike;
mod forms;
pub mod guess;
mod markov;
mod tally;

pub use alike::shared_at_least;
pub use forms::{Item, Pool, WorstForm, blind_form, worst_form};
pub use markov::{Absorption, Chain, NoExit};
pub use tally::at_least;

/// The chance of passing at least once in `tries` tries that each pass with chance `once`: 1 − (1 − p)^k.
pub fn over_tries(once: f64, tries: u32) -> f64 {
    1.0 - (1.0 - once).powf(f64::from(tries))
}
