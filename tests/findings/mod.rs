//! What the compiler refuses: every code with a course that it is found in, at its exact place, and the nearest one that is right.

mod again;
mod built;
pub mod fixture;
mod mutated;
mod near;
mod printed;
mod registry;
mod shown;
mod wording;
mod words;
