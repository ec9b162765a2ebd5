//! Random banks, scenarios and responses, steered so that every kind of outcome comes up often.

use super::questions::{question, response};
use pitwright::marking::{Bank, Choice, Draw, Ending, FULL, Question, Scenario, Scene, Xoshiro128, draw};
use pitwright::score::mark;
use std::collections::BTreeMap;

/// Titles go into statements, so they are what canonical JSON finds hard.
const TITLES: [&str; 6] = [
    "Before you work alone",
    "Prüfung – \u{201c}allein\u{201d}",
    "back\\slash, \"quote\", tab\t, line\nend",
    "\u{1f3b3} \u{fb33} \u{2028} \u{7f}",
    "\u{0}\u{1f}",
    "é and e\u{301}",
];

pub struct Dice(pub Xoshiro128);

impl Dice {
    pub fn new(stream: u32) -> Self {
        Self(Xoshiro128::from_hex(&format!("{stream:08x}0bad5eedc0ffee0012345678")).expect("a seed"))
    }

    /// From `from` to `to`, both included.
    pub fn number(&mut self, from: u32, to: u32) -> u32 {
        from + self.0.below(to - from + 1)
    }

    pub fn one_in(&mut self, sides: u32) -> bool {
        self.0.below(sides) == 0
    }

    pub fn of<'a, T>(&mut self, items: &'a [T]) -> &'a T {
        &items[self.0.below(u32::try_from(items.len()).expect("few")) as usize]
    }

    pub fn seed(&mut self) -> String {
        (0..4).map(|_| format!("{:08x}", self.0.next_word())).collect()
    }

    pub fn title(&mut self) -> String {
        (*self.of(&TITLES)).to_owned()
    }
}

pub struct BankCase {
    pub bank: Bank,
    pub seed: String,
    pub responses: BTreeMap<String, String>,
}

/// A bank, a seed, and responses to the form that it draws. The pass mark often lies where the form ends up.
pub fn bank_case(dice: &mut Dice) -> BankCase {
    let (mut questions, mut rows) = (Vec::new(), Vec::new());
    for row in 0..dice.number(1, 4) {
        let competency = format!("c-{row}");
        let there = dice.number(1, 6);
        for place in 0..there {
            questions.push(question(dice, &format!("q-{row}-{place}"), &competency));
        }
        rows.push(Draw {
            competency,
            count: dice.number(1, there),
        });
    }
    // File order need not follow the blueprint.
    dice.0.shuffle(&mut questions);
    let mut bank = Bank {
        id: "alone".to_owned(),
        title: dice.title(),
        edition: dice.number(1, 9),
        pass: dice.number(1, 100),
        draw: rows,
        questions,
    };
    let seed = dice.seed();
    let mood = dice.number(0, 5);
    let form: Vec<&Question> = draw(&bank, &seed)
        .expect("a seed")
        .iter()
        .map(|asked| asked.question)
        .collect();
    let misses = dice.number(0, bank.count());
    let mut responses = BTreeMap::new();
    for (place, question) in form.iter().enumerate() {
        let right = match mood {
            0 => true,
            1 => false,
            2 => !question.critical,
            3 => question.critical || place >= misses as usize,
            _ => place >= misses as usize,
        };
        responses.insert(question.id.clone(), response(dice, question, right));
    }
    let parts: u32 = form
        .iter()
        .map(|question| mark(question, &responses[&question.id]))
        .sum();
    // At the mark exactly where the sum allows it, and at the first per cent above it.
    let exact = parts * 100 / (bank.count() * FULL);
    match dice.number(0, 3) {
        0 if exact >= 1 => bank.pass = exact,
        1 if exact < 100 => bank.pass = exact + 1,
        _ => {}
    }
    BankCase { bank, seed, responses }
}

pub struct ScenarioCase {
    pub scenario: Scenario,
    pub seed: String,
    pub responses: Vec<String>,
}

/// The most marks of a made-up scenario, and so the highest mark that the strata must hold.
pub const MOST: u32 = 9;

/// A call of `most` scenes in a row, each with a choice that earns a mark, one that does not, one that is unsafe and goes on, one that
/// is unsafe and ends it, one that goes round; and responses that earn a mark total chosen beforehand.
pub fn scenario_case(dice: &mut Dice) -> ScenarioCase {
    // Leaning to the top, which chance alone would seldom reach.
    let most = if dice.one_in(2) { MOST } else { dice.number(1, MOST) };
    let choice = |id: &str, to: String, marks: u32, hurts: bool| Choice {
        id: id.to_owned(),
        to,
        marks,
        hurts,
    };
    let mut scenes: Vec<Scene> = (0..most)
        .map(|scene| {
            let next = if scene + 1 == most {
                "end-safe".to_owned()
            } else {
                format!("s-{}", scene + 1)
            };
            let mut choices = vec![
                choice("earns", next.clone(), 1, false),
                choice("passes-by", next.clone(), 0, false),
                choice("lucky", next, 1, true),
                choice("struck", "end-unsafe".to_owned(), 0, true),
                choice("again", format!("s-{scene}"), 0, false),
            ];
            dice.0.shuffle(&mut choices);
            Scene {
                id: format!("s-{scene}"),
                ends: None,
                choices,
            }
        })
        .collect();
    for (id, ends) in [("end-safe", Ending::Safe), ("end-unsafe", Ending::Unsafe)] {
        scenes.push(Scene {
            id: id.to_owned(),
            ends: Some(ends),
            choices: Vec::new(),
        });
    }
    dice.0.shuffle(&mut scenes);
    let target = if dice.one_in(4) { most } else { dice.number(0, most) };
    let scenario = Scenario {
        id: "league-night".to_owned(),
        title: dice.title(),
        edition: dice.number(1, 9),
        competencies: vec!["lock-out".to_owned()],
        start: "s-0".to_owned(),
        pass: match dice.number(0, 2) {
            0 => target.max(1),
            1 => (target + 1).min(most),
            _ => dice.number(1, most),
        },
        most,
        scenes,
    };
    let mut turns: Vec<&str> = (0..most)
        .map(|turn| if turn < target { "earns" } else { "passes-by" })
        .collect();
    dice.0.shuffle(&mut turns);
    let at = dice.number(0, most - 1) as usize;
    match dice.number(0, 9) {
        0 => turns[at] = "lucky",
        1 => {
            turns.truncate(at);
            turns.push("struck");
        }
        2 => turns.truncate(at),
        3 => turns[at] = *dice.of(&["", "elsewhere", "Earns"]),
        4 => turns.push("earns"),
        5 => turns.insert(at, "again"),
        _ => {}
    }
    let responses = turns.into_iter().map(str::to_owned).collect();
    ScenarioCase {
        scenario,
        seed: dice.seed(),
        responses,
    }
}
