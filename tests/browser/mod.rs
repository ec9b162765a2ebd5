//! The main job in a real browser: a course opened from a folder under its policy, taken, handed in, gathered, printed.

mod accessible;
mod answers;
mod apart;
mod carried;
mod clock;
mod cycles;
mod drill_rows;
mod drill_states;
mod drills;
mod far;
mod find;
mod heard;
mod help;
pub mod hold_up;
mod kinds;
mod main_job;
mod narrow;
mod one_file;
mod page;
mod parts;
mod practice;
pub mod printed;
mod reading;
mod records;
mod served;
mod slip_centre;
mod slips;
mod states;
mod study;
mod tools;
mod usable;
mod valid;
mod way;
mod week;
mod weight;

pub use tools::tool;
