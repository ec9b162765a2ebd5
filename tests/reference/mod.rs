//! What the library computes against values that others have published, and against counting things out the long way.

mod chance;
mod contrast;
pub mod deck;
mod guessing;
mod intervals;
mod lockout;
mod random;
mod reading;
mod signatures;
mod simulation;
