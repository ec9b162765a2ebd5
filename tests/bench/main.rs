//! How fast the program is, each time against a yardstick that is run beside it: `cargo bench`, or `cargo bench -- PART`.
//!
//! Seconds differ from machine to machine and from day to day, so nothing here is a test: each line is a ratio with its goal, in
//! time on the clock and in time of the processors. Where other work goes on, believe the second.

/// Where the browser's driver looks for its tools.
mod browser {
    pub use super::tools::tool;
}
/// A real browser, as the tests drive it.
#[allow(dead_code)]
#[path = "../browser_driver/mod.rs"]
mod browser_driver;
mod compile;
mod corpus;
mod drill;
mod explore;
#[allow(dead_code)]
#[path = "../ground.rs"]
mod ground;
/// The tests' own keys.
#[allow(dead_code)]
#[path = "../keys.rs"]
mod keys;
/// The tests' own invented course and its honest devices.
#[allow(dead_code)]
#[path = "../register/made.rs"]
mod made;
mod measure;
/// Machines and drills from text, as the tests read them.
#[allow(dead_code)]
#[path = "../explore/made.rs"]
mod models;
mod prove;
mod records;
#[allow(dead_code)]
#[path = "../browser/tools.rs"]
mod tools;
mod usable;
mod yardstick;

fn main() {
    let arguments: Vec<String> = std::env::args().skip(1).filter(|word| word != "--bench").collect();
    // The yardsticks are processes of their own, as the program is.
    if let [first, rest @ ..] = arguments.as_slice()
        && first == yardstick::WORD
    {
        return yardstick::run(rest);
    }
    let wanted = |part: &str| arguments.is_empty() || arguments.iter().any(|word| word == part);
    if wanted("compile") {
        compile::run();
    }
    if wanted("drill") {
        drill::run();
    }
    if wanted("explore") {
        explore::run();
    }
    if wanted("prove") {
        prove::run();
    }
    if wanted("usable") {
        usable::run();
    }
    if wanted("gather") {
        records::gather();
    }
    if wanted("standing") {
        records::standing();
    }
}
