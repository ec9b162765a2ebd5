//! Wrong answers that can be told by their absolute words.

use super::Rule;
use crate::check::picks::{Pick, of_banks, of_scenarios, refuse_habit};
use crate::check::wording::{is_english, words};
use crate::diagnostic::{Code, Finding};
use crate::model::Course;

pub static ABSOLUTES_TELL: Code = Code {
    name: "absolutes-tell",
    title: "absolute words give the wrong answers away",
    explanation: "Few things are always or never so, and readers know it: an option with `always`, `never`, `only`, `all`, `none`, `nothing` or the like is most often wrong, and can be struck out without knowing the machine. For each \
        question in which some options hold such a word and some do not, the best one holds none by chance as often as the share of options without one. From 8 questions or scenes on, a set is refused if as many or more \
        would come about by chance less than once in a hundred times (exact, one-sided). Take the words out of some wrong options, or let a right one say them where it is true. The list of words is English: in other languages this is not looked for.",
};

/// Words that leave no exception.
const ABSOLUTE: [&str; 18] = [
    "all",
    "always",
    "completely",
    "each",
    "entirely",
    "every",
    "everybody",
    "everyone",
    "everything",
    "impossible",
    "must",
    "never",
    "nobody",
    "none",
    "nothing",
    "only",
    "totally",
    "whatever",
];

pub const RULE: Rule = Rule {
    codes: &[&ABSOLUTES_TELL],
    check,
};

fn check(course: &Course, findings: &mut Vec<Finding>) {
    if !is_english(course) {
        return;
    }
    for set in of_banks(course).chain(of_scenarios(course)) {
        let telling: Vec<(&Pick, f64, bool)> = set
            .picks
            .iter()
            .filter_map(|pick| {
                let absolute: Vec<bool> = pick.texts.iter().map(|text| is_absolute(text)).collect();
                let free = absolute.iter().filter(|absolute| !**absolute).count();
                let telling = (1..absolute.len()).contains(&free);
                telling.then(|| (pick, share(free, absolute.len()), !absolute[pick.best]))
            })
            .collect();
        findings.extend(refuse_habit(
            &ABSOLUTES_TELL,
            &set,
            &telling,
            "holds no absolute word where others do",
            "take such words out of wrong answers beside those shown",
        ));
    }
}

fn is_absolute(text: &str) -> bool {
    words(text).iter().any(|word| ABSOLUTE.contains(&word.as_str()))
}

fn share(of: usize, all: usize) -> f64 {
    let count = |number: usize| f64::from(u32::try_from(number).unwrap_or(u32::MAX));
    count(of) / count(all)
}
