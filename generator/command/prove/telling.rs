//! How well the stops of a machine are told apart, in lines and as JSON.

use crate::apart::{self, Cost};
use crate::model::Course;
use serde_json::{Value, json};

use super::super::Voice;
use super::share;

/// One line a machine: the questions that its page asks, against the fewest.
pub fn lines(course: &Course, voice: &mut Voice) {
    for stops in apart::stops(course) {
        let Cost {
            mean,
            right,
            optimum,
            bound,
            by_chance,
        } = apart::cost(&stops);
        let many = stops.stops.len();
        let least = optimum.map_or(
            format!(
                "the fewest for more than {} stops are not worked out",
                apart::MOST_STOPS
            ),
            |optimum| format!("the fewest that could do are {optimum:.2}"),
        );
        let chance = by_chance.map_or("too many ways to follow by chance".to_owned(), |(asked, right)| {
            format!(
                "by the course's chances {asked:.2}, and the right stop first with {}",
                share(right)
            )
        });
        voice.say(format!(
            "stops of {}: {many} by {} signs; {mean:.2} questions on average if every sign shows as it mostly does, and {right} of {many} found; {least}, \
             and log2 of the stops is {bound:.2}; {chance}.",
            stops.machine,
            stops.signs.len(),
        ));
    }
}

/// The same for other programs.
pub fn json(course: &Course) -> Vec<Value> {
    let stops = apart::stops(course);
    let one = |stops: &apart::Stops| {
        let cost = apart::cost(stops);
        json!({
            "machine": stops.machine, "stops": stops.stops.len(), "signs": stops.signs.len(), "meanQuestions": cost.mean, "found": cost.right,
            "fewestQuestions": cost.optimum, "entropyBound": cost.bound, "meanByChance": cost.by_chance.map(|(asked, _)| asked),
            "rightByChance": cost.by_chance.map(|(_, right)| right),
        })
    };
    stops.iter().map(one).collect()
}
