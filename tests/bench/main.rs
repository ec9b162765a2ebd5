//! How fast the program is, each time against a yardstick that is run beside it: `cargo bench`, or `cargo bench -- PART`.
//!
//! Seconds differ from machine to machine and from day to day, so nothing here is a test: each line is a ratio with its goal, in
//! time on the clock and in time of the processors. Where other work goes on, believe the second.

mod compile;
mod corpus;
mod explore;
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
    if wanted("explore") {
        explore::run();
    }
    if wanted("prove") {
        prove::run();
    }
    if wanted("gather") {
        records::gather();
    }
    if wanted("standing") {
        records::standing();
    }
}
