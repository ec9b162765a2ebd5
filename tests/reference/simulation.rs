//! Exact chances against a million blind attempts, marked as real ones are.

use crate::ground::{demo, root};
use pitwright::chance::{Item, blind_form};
use pitwright::check::{Checked, check};
use pitwright::marking::{Bank, FULL, Question, Scenario, Xoshiro128, draw};
use pitwright::model::Course;
use pitwright::score::{bank_result, mark, scenario_result};
use pitwright::source::read;
use rayon::prelude::*;
use std::fs;
use std::path::Path;

const BLOCKS: u32 = 100;
const ATTEMPTS_PER_BLOCK: u32 = 10_000;

fn checked(folder: &Path) -> Checked {
    let sources = read(folder).expect("the course is there");
    check(&sources).unwrap_or_else(|findings| panic!("the course has findings: {findings:?}"))
}

/// The demo course with lower pass marks, and a rule that lets it be guessed: chances that a million attempts can see.
fn easier() -> Checked {
    let folder = demo();
    for (file, from, to) in [
        (
            "lessons/outline.yml",
            "blind-pass-at-most: 1%",
            "blind-pass-at-most: 100%",
        ),
        ("quizzes/banks/alone.yml", "pass: 80%", "pass: 40%"),
        ("quizzes/scenarios/league-night.yml", "pass: 12", "pass: 1"),
    ] {
        let path = folder.path().join(file);
        let text = fs::read_to_string(&path).expect("the copy is there");
        assert_eq!(text.matches(from).count(), 1, "{file} says `{from}` once");
        fs::write(&path, text.replace(from, to)).expect("the copy can be written");
    }
    checked(folder.path())
}

/// The generator of one block of attempts.
pub fn block(number: u32) -> Xoshiro128 {
    Xoshiro128::from_hex(&format!("{:08x}9e3779b97f4a7c15f39cc060", number + 1)).expect("a seed")
}

/// Counts the attempts that pass, over all blocks.
fn passed(attempt: impl Fn(&mut Xoshiro128) -> bool + Sync) -> u32 {
    (0..BLOCKS)
        .into_par_iter()
        .map(|number| {
            let mut random = block(number);
            let one = |_: &u32| attempt(&mut random);
            u32::try_from((0..ATTEMPTS_PER_BLOCK).filter(one).count()).expect("as many as there are attempts")
        })
        .sum()
}

/// Within four standard errors of the exact chance.
fn agrees(what: &str, passed: u32, chance: f64) {
    let attempts = f64::from(BLOCKS * ATTEMPTS_PER_BLOCK);
    let error = (chance * (1.0 - chance) / attempts).sqrt();
    let found = f64::from(passed) / attempts;
    assert!(
        (found - chance).abs() <= 4.0 * error,
        "{what}: {passed} passed, exact chance {chance}, {} standard errors apart",
        (found - chance).abs() / error
    );
}

fn blind_run(scenario: &Scenario, random: &mut Xoshiro128) -> bool {
    let mut turns = Vec::new();
    let mut at = scenario.start.as_str();
    while let Some(scene) = scenario.scene(at).filter(|scene| scene.ends.is_none()) {
        let choice = &scene.choices[random.below(u32::try_from(scene.choices.len()).expect("few")) as usize];
        turns.push((at, choice.id.as_str()));
        at = &choice.to;
    }
    scenario_result(scenario, &turns)
        .expect("every choice was offered")
        .passed
}

#[test]
fn blind_runs_of_the_scenario_pass_as_often_as_worked_out() {
    let mut chances = Vec::new();
    for (what, course) in [("as it is", checked(&root())), ("pass lowered", easier())] {
        let scenario = &course.marking().scenarios[0];
        let chance = course.odds().scenarios[0].once;
        agrees(what, passed(|random| blind_run(scenario, random)), chance);
        chances.push(chance);
    }
    // A chance that hardly ever comes true would hold nothing together.
    assert!(chances[1] > 1e-3, "the lowered pass mark is reached: {chances:?}");
}

/// A question as a blind guesser answers it: all responses that are equally likely, and its chance.
struct Guess<'a> {
    question: &'a Question,
    responses: Vec<String>,
    item: Item,
}

fn guesses<'a>(course: &Course, bank: &'a Bank) -> Vec<Guess<'a>> {
    let source = &course
        .banks
        .iter()
        .find(|one| one.id == bank.id)
        .expect("it was made from it")
        .value;
    bank.questions
        .iter()
        .map(|question| {
            let (_, written) = source
                .questions
                .iter()
                .find(|(id, _)| id.value == question.id)
                .expect("it was made from it");
            let responses = super::guessing::responses(&question.kind, &written.answer);
            Guess {
                question,
                item: Item {
                    marks: super::guessing::marks(question, &responses),
                    critical: question.critical,
                },
                responses,
            }
        })
        .collect()
}

fn needed(bank: &Bank) -> u64 {
    (u64::from(bank.pass) * u64::from(bank.count()) * u64::from(FULL)).div_ceil(100)
}

fn blind_form_passes(bank: &Bank, form: &[&Guess], random: &mut Xoshiro128) -> bool {
    let marks: Vec<(&Question, u32)> = form
        .iter()
        .map(|guess| {
            let at = random.below(u32::try_from(guess.responses.len()).expect("few"));
            (guess.question, mark(guess.question, &guess.responses[at as usize]))
        })
        .collect();
    bank_result(bank, &marks).passed
}

/// The easiest form, found without the library: from many random forms, questions are exchanged for others of their competency as
/// long as that makes it easier.
fn easiest<'a>(bank: &Bank, guesses: &'a [Guess<'a>]) -> Vec<&'a Guess<'a>> {
    let chance = |form: &[&Guess]| {
        let items: Vec<&Item> = form.iter().map(|guess| &guess.item).collect();
        blind_form(&items, FULL, needed(bank))
    };
    (0..40u32)
        .into_par_iter()
        .map(|number| {
            let mut random = block(number + 1000);
            let mut form: Vec<&Guess> = Vec::new();
            for row in &bank.draw {
                let mut pool: Vec<&Guess> = of(guesses, &row.competency).collect();
                random.shuffle(&mut pool);
                form.extend(pool.into_iter().take(row.count as usize));
            }
            let mut best = chance(&form);
            loop {
                let before = best;
                for place in 0..form.len() {
                    for other in of(guesses, &form[place].question.competency) {
                        if form.iter().any(|taken| taken.question.id == other.question.id) {
                            continue;
                        }
                        let kept = std::mem::replace(&mut form[place], other);
                        let now = chance(&form);
                        if now > best {
                            best = now;
                        } else {
                            form[place] = kept;
                        }
                    }
                }
                if best <= before {
                    break;
                }
            }
            (best, form)
        })
        .max_by(|(a, _), (b, _)| a.total_cmp(b))
        .expect("a bank has a form")
        .1
}

fn of<'a>(guesses: &'a [Guess<'a>], competency: &str) -> impl Iterator<Item = &'a Guess<'a>> {
    guesses
        .iter()
        .filter(move |guess| guess.question.competency == competency)
}

#[test]
fn blind_forms_of_the_bank_pass_as_often_as_worked_out() {
    for (what, course, seen) in [("as it is", checked(&root()), false), ("pass lowered", easier(), true)] {
        let bank = &course.marking().banks[0];
        let guesses = guesses(course.course(), bank);
        let form = easiest(bank, &guesses);
        let items: Vec<&Item> = form.iter().map(|guess| &guess.item).collect();
        let odds = &course.odds().banks[0];
        assert!(odds.exact);
        let own = blind_form(&items, FULL, needed(bank));
        assert!(
            (own - odds.once).abs() < 1e-14,
            "{what}: easiest form {own}, the library's {}",
            odds.once
        );
        let count = passed(|random| blind_form_passes(bank, &form, random));
        agrees(what, count, odds.once);
        assert!(!seen || count > 1000, "the lowered pass mark is reached: {count}");
    }
}

/// Whole attempts: a form drawn by a seed, then guessed. Each form has its own chance, so what is compared is the sum.
#[test]
fn blind_attempts_on_drawn_forms_pass_as_often_as_worked_out() {
    let course = easier();
    let bank = &course.marking().banks[0];
    let guesses = guesses(course.course(), bank);
    let easiest = course.odds().banks[0].once;
    let (passed, expected, variance) = (0..BLOCKS)
        .into_par_iter()
        .map(|number| {
            let mut random = block(number + BLOCKS);
            let (mut passed, mut expected, mut variance) = (0.0, 0.0, 0.0);
            for _ in 0..100 {
                let seed: String = (0..4).map(|_| format!("{:08x}", random.next_word())).collect();
                let form: Vec<&Guess> = draw(bank, &seed)
                    .expect("a seed")
                    .iter()
                    .map(|asked| {
                        guesses
                            .iter()
                            .find(|guess| guess.question.id == asked.question.id)
                            .expect("every question has its guess")
                    })
                    .collect();
                let items: Vec<&Item> = form.iter().map(|guess| &guess.item).collect();
                let chance = blind_form(&items, FULL, needed(bank));
                assert!(chance <= easiest + 1e-14, "a form is easier than the easiest");
                for _ in 0..100 {
                    passed += f64::from(u8::from(blind_form_passes(bank, &form, &mut random)));
                    expected += chance;
                    variance += chance * (1.0 - chance);
                }
            }
            (passed, expected, variance)
        })
        .reduce(|| (0.0, 0.0, 0.0), |a, b| (a.0 + b.0, a.1 + b.1, a.2 + b.2));
    assert!(
        (passed - expected).abs() <= 4.0 * f64::sqrt(variance),
        "{passed} passed, {expected} expected"
    );
    assert!(expected > 100.0, "enough pass to be seen: {expected}");
}
