//! Where one answer of several is the best: the choices of a bank with one key, the scenes of a scenario with one best choice. What tells
//! that answer from the others without knowing anything is looked for here.

use crate::chance::at_least;
use crate::diagnostic::{Code, Finding};
use crate::model::{Answer, Bank, Choice, Course, Filed, Scenario, Text};
use crate::source::Span;

/// Several answers in the order of the file, and which is the best.
pub struct Pick<'a> {
    pub texts: Vec<&'a Text>,
    pub best: usize,
}

/// Everything in one bank or one scenario, and where it is named.
pub struct Set<'a> {
    pub title: Span,
    pub picks: Vec<Pick<'a>>,
}

/// Fewer answers than this say nothing about a habit of their author.
pub const LEAST: usize = 8;

/// A habit that comes about by chance less often than this is taken to be one.
pub const RARE: f64 = 0.01;

/// Every bank's set.
pub fn of_banks(course: &Course) -> impl Iterator<Item = Set<'_>> {
    course.banks.iter().map(bank)
}

/// Every scenario's set.
pub fn of_scenarios(course: &Course) -> impl Iterator<Item = Set<'_>> {
    course.scenarios.iter().map(scenario)
}

fn bank(bank: &Filed<Bank>) -> Set<'_> {
    let questions = bank.value.questions.values();
    Set {
        title: bank.span(&bank.value.title),
        picks: questions
            .filter_map(|question| match &question.answer {
                Answer::Choice { options, right, .. } if right.len() == 1 => Some(Pick {
                    best: options.keys().position(|key| *key == right[0])?,
                    texts: options.values().collect(),
                }),
                _ => None,
            })
            .collect(),
    }
}

fn scenario(scenario: &Filed<Scenario>) -> Set<'_> {
    let scenes = scenario.value.scenes.values();
    Set {
        title: scenario.span(&scenario.value.title),
        picks: scenes
            .filter_map(|scene| {
                let choices: Vec<&Choice> = scene.choices.values().collect();
                let worth = |choice: &Choice| (choice.hurts.is_none(), choice.marks());
                let most = choices.iter().map(|choice| worth(choice)).max()?;
                let best: Vec<usize> = (0..choices.len()).filter(|at| worth(choices[*at]) == most).collect();
                // Several equally good ones, or a scene in which nothing is better than another.
                let [best] = best[..] else { return None };
                Some(Pick {
                    texts: choices.iter().map(|choice| &choice.says).collect(),
                    best,
                })
            })
            .collect(),
    }
}

/// Refuses a set in which the best answer bears a mark more often than chance would plausibly allow.
///
/// Each pick in which the mark could tell something comes with the chance that the best answer bears it if the mark has nothing to do with being
/// the best, and whether it does. The number of those that do is then a sum of independent yes-or-no draws (a Poisson binomial), and the chance of
/// so many or more is exact.
pub fn refuse_habit<'a>(
    code: &'static Code,
    set: &Set<'a>,
    telling: &[(&Pick<'a>, f64, bool)],
    what: &str,
    help: &str,
) -> Option<Finding> {
    if set.picks.len() < LEAST {
        return None;
    }
    let chances: Vec<f64> = telling.iter().map(|(_, chance, _)| *chance).collect();
    let bearing: Vec<&Pick> = telling
        .iter()
        .filter(|(_, _, bears)| *bears)
        .map(|(pick, ..)| *pick)
        .collect();
    let tail = at_least(&chances, bearing.len());
    (tail < RARE).then(|| {
        let finding = Finding::new(
            code,
            set.title,
            format!(
                "the best answer {what} in {} of {}; by chance so many or more come about {:.2}% of the time",
                bearing.len(),
                telling.len(),
                tail * 100.0
            ),
            help,
        );
        let shown = bearing.into_iter().take(5);
        shown.fold(finding, |finding, pick| {
            finding.also(pick.texts[pick.best].span(set.title.file), "here")
        })
    })
}
