//! Marking file → the exact chance that blind clicking passes each assessment.

use super::{Odds, walk};
use crate::chance::{Chain, Item, Pool, guess, over_tries, shared_at_least, worst_form};
use crate::marking::{FULL, Marking};
use crate::model::{Answer, Bank, Course, Question, Scenario};
use crate::safety::Proofs;

/// What a blind guesser can do with a bank.
#[derive(Debug, Clone, PartialEq)]
pub struct BankOdds {
    pub id: String,
    /// The chance of one form, the easiest to guess that can be drawn.
    pub once: f64,
    /// Whether `once` is exact; else it is a bound from above.
    pub exact: bool,
    /// The chance over all allowed tries.
    pub over_tries: f64,
    /// The chance that two forms, drawn independently, share at least half of their questions.
    pub alike: f64,
}

/// What a blind clicker can do with a scenario.
#[derive(Debug, Clone, PartialEq)]
pub struct ScenarioOdds {
    pub id: String,
    pub once: f64,
    pub over_tries: f64,
    /// Mean number of choices until an ending.
    pub mean_choices: f64,
    pub most: u32,
    pub least: u32,
    pub shortest: usize,
    /// `None` where a way can go round.
    pub longest: Option<usize>,
}

/// For every assessment of a checked course.
pub fn odds(marking: &Marking, course: &Course, proofs: &Proofs) -> Odds {
    let tries = marking.attempts.tries;
    Odds {
        banks: course
            .banks
            .iter()
            .map(|bank| {
                let right = |question: &str| proofs.order(bank.file, question).map(|order| order.right);
                bank_odds(&bank.id, &bank.value, tries, &right)
            })
            .collect(),
        scenarios: course
            .scenarios
            .iter()
            .filter_map(|scenario| scenario_odds(&scenario.id, &scenario.value, tries))
            .collect(),
    }
}

/// How a guesser who knows nothing fares with a question. `right` is the number of right orders where a machine marks them.
fn item(question: &Question, right_orders: Option<u64>) -> Item {
    let small = |number: usize| u32::try_from(number).unwrap_or(u32::MAX);
    let marks = match &question.answer {
        Answer::Choice {
            options,
            right,
            partial,
        } => match (right.len(), partial) {
            (1, _) => guess::one_of(1, options.len() as u64, FULL),
            (_, false) => guess::subset(small(options.len()), FULL),
            (keys, true) => guess::subset_shared(small(options.len()), small(keys), FULL),
        },
        Answer::Matching { pairs } => guess::matching(small(pairs.len()), FULL),
        Answer::Sequencing { steps, .. } => guess::orders(right_orders.unwrap_or(1), small(steps.len()), FULL),
        Answer::Numeric {
            answer,
            tolerance,
            guess: grid,
            ..
        } => guess::one_of(grid.right(answer.value, tolerance.value), grid.points(), FULL),
        Answer::Place { spots, right } => guess::one_of(right.len() as u64, spots.len() as u64, FULL),
    };
    Item {
        marks,
        critical: question.critical,
    }
}

#[expect(clippy::cast_precision_loss, reason = "grids and option counts are far below 2^52")]
fn count(number: u64) -> f64 {
    number as f64
}

/// The odds of a bank over its easiest form. Its blueprint can be filled, and its questions are sound.
/// `right_orders` gives the number of right orders of a question that a machine marks.
pub fn bank_odds(id: &str, bank: &Bank, tries: u32, right_orders: &dyn Fn(&str) -> Option<u64>) -> BankOdds {
    let pools: Vec<Pool> = bank
        .draw
        .iter()
        .map(|(competency, count)| Pool {
            count: count.value as usize,
            items: bank
                .questions
                .iter()
                .filter(|(_, question)| question.competency.value == competency.value)
                .map(|(id, question)| item(question, right_orders(&id.value)))
                .collect(),
        })
        .collect();
    let sizes: Vec<(usize, usize)> = pools.iter().map(|pool| (pool.items.len(), pool.count)).collect();
    let asked: u64 = bank.draw.values().map(|count| u64::from(count.value)).sum();
    // sum · 100 ≥ pass · n · FULL, as marks are counted.
    let needed = (u64::from(bank.pass.value) * asked * u64::from(FULL)).div_ceil(100);
    let worst = worst_form(&pools, FULL, needed);
    BankOdds {
        id: id.to_owned(),
        once: worst.chance,
        exact: worst.exact,
        over_tries: over_tries(worst.chance, tries),
        alike: shared_at_least(&sizes, usize::try_from(asked.div_ceil(2)).unwrap_or(usize::MAX)),
    }
}

/// The odds of a scenario: the walk over its states is an absorbing Markov chain in which each choice is equally likely.
/// `None` if the scenario cannot be walked, which the rules report.
pub fn scenario_odds(id: &str, scenario: &Scenario, tries: u32) -> Option<ScenarioOdds> {
    let ways = walk::ways(scenario)?;
    let mut chain = Chain::new(ways.states.len());
    for (from, (_, successors)) in ways.states.iter().enumerate() {
        for to in successors {
            chain.step(from, *to, 1.0 / count(successors.len() as u64));
        }
    }
    let absorbed = chain.absorb(|state| ways.states[state].0.passes(scenario)).ok()?;
    Some(ScenarioOdds {
        id: id.to_owned(),
        once: absorbed.chance[0],
        over_tries: over_tries(absorbed.chance[0], tries),
        mean_choices: absorbed.steps[0],
        most: ways.most,
        least: ways.least,
        shortest: ways.shortest,
        longest: ways.longest,
    })
}
