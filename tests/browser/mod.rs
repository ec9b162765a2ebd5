//! The main job in a real browser: a course opened from a folder under its policy, taken, handed in, gathered, printed.

mod main_job;
mod page;
