//! The main job in a real browser: a course opened from a folder under its policy, taken, handed in, gathered, printed.

mod accessible;
mod apart;
mod carried;
mod clock;
mod cycles;
mod drill_rows;
mod drill_states;
mod drills;
mod find;
pub mod hold_up;
mod kinds;
mod main_job;
mod one_file;
mod page;
pub mod printed;
mod served;
mod slip_centre;
mod slips;
mod states;
mod study;
mod tools;
mod valid;
mod way;
mod weight;

pub use tools::tool;
