//! Pitwright compiles lessons for pinsetter mechanics into an offline course, and keeps the competency record that comes back.
//!
//! The modules stand in the order in which data flows. A module names only modules above it; `tests/layering.rs` holds that.

#![forbid(unsafe_code)]

/// A compiled course's keys → the marking file, the forms it draws, its name.
pub mod marking;

/// A response and a question's key → a mark; an attempt → a result.
pub mod score;
