//! What is missing of a competency: the page, from what lies in the browser and in a slip, and the register, from all that is on
//! record, come to the same; and where the page cannot know, it never says more than the register would.

use super::Strata;
use super::invent::Dice;
use super::page::answers;
use crate::register::acts::{Act, Seen, Taught, Way};
use crate::register::made::day;
use crate::register::sequence::{Life, Room, WHO};
use jiff::{SignedDuration, Timestamp};
use pitwright::marking::{Evidence, Marking};
use pitwright::record::{Deed, Statement};
use pitwright::slip::slip;
use pitwright::standing::{Competence, Day, May, Person, Standing, State};
use serde_json::{Value, json};
use std::collections::{BTreeMap, BTreeSet};
use std::rc::Rc;

const LIVES: usize = 2_000;

/// When the slip was made that lies in the browser.
#[derive(Debug, Clone, Copy, PartialEq)]
enum SlipOf {
    Never,
    /// Before the last few acts.
    Earlier(Timestamp),
    Now,
}

fn act(dice: &mut Dice) -> Act {
    let at = *dice.of(&Taught::ASSESSED);
    match dice.number(0, 22) {
        0 => Act::Open,
        1..=3 => Act::Read { old: dice.one_in(8) },
        4..=13 => Act::Try {
            at,
            way: match dice.number(0, 7) {
                0..=3 => Way::Pass,
                4..=5 => Way::Fail,
                6 => Way::Left(i64::from(dice.number(0, 30))),
                _ => Way::Open,
            },
            old: dice.one_in(10),
        },
        14 => Act::Raise(*dice.of(&[Taught::Lesson, Taught::Bank, Taught::Scenario, Taught::Drill])),
        15 => Act::Release {
            at,
            more: dice.number(1, 2),
        },
        16 => *dice.of(&[Act::Withdraw, Act::Retrain]),
        17 => Act::Sign { by_manager: true },
        18 | 20 => Act::Partly {
            real: dice.one_in(2),
            // One step, mostly: with two of the three that are always done it does not count.
            unseen: *dice.of(&[0b0001, 0b0010, 0b0100, 0b1001, 0b1010, 0b0011]),
        },
        19 => *dice.of(&[Act::Void, Act::OutOfTurn { seen: Seen::Met }]),
        _ => Act::Watch {
            seen: *dice.of(&[Seen::Met, Seen::Met, Seen::Prompted, Seen::NotMet]),
            real: dice.one_in(2),
            by_trainer: true,
        },
    }
}

/// A random life: alone at the browser, or with a trainer who enters things, and who enters nothing after `cut` acts.
fn live(dice: &mut Dice, life: &mut Life, alone: bool, cut: u32, acts: u32) -> Option<Timestamp> {
    let mut at_cut = None;
    for turn in 0..acts {
        if turn == cut {
            life.wait(1);
            at_cut = Some(life.clock);
            // Long enough, at times, for a signature to run out.
            life.wait(if dice.one_in(4) { 24 * 33 } else { 1 });
        }
        life.wait(i64::from(*dice.of(&[0, 1, 3, 13, 26, 60])));
        let trainer = !alone && turn < cut;
        if trainer && dice.one_in(5) {
            life.studies();
            life.performs();
            life.act(Act::Sign { by_manager: true });
            continue;
        }
        if dice.one_in(8) {
            life.studies();
            continue;
        }
        match act(dice) {
            Act::Withdraw | Act::Retrain | Act::Sign { .. } | Act::Watch { .. } | Act::Release { .. } if !trainer => {}
            Act::Partly { .. } | Act::OutOfTurn { .. } | Act::Void if !trainer => {}
            act => life.act(act),
        }
    }
    at_cut
}

fn entered(statement: &Statement) -> bool {
    matches!(statement.deed, Deed::Entered(_))
}

/// The slip as the browser has it, checked.
fn good(life: &mut Life, at: Timestamp, hash: &str) -> Value {
    let until_then: Vec<Statement> = life
        .statements
        .iter()
        .filter(|one| one.timestamp <= at)
        .cloned()
        .collect();
    let all = life.markings.in_force.clone();
    life.markings.in_force.retain(|(from, _)| *from <= at);
    let today = day(&at.to_string()[..10]);
    let slip = slip(WHO, &until_then, &life.markings, &today, at).expect("a course is in force");
    life.markings.in_force = all;
    let silent = if slip.marking == hash { "" } else { "course" };
    let issued = at.as_millisecond();
    json!({ "slip": slip, "by": "TR-1", "issued": issued, "until": issued + 1_000 * 86_400_000, "silent": silent })
}

/// The marking without the machines, which are large and ask for nothing here.
fn outline(marking: &Marking) -> Value {
    let mut outline = json!(marking);
    outline["machines"] = json!([]);
    for drill in outline["drills"].as_array_mut().expect("a list") {
        *drill = json!({ "id": drill["id"], "edition": drill["edition"] });
    }
    outline
}

struct Case {
    asked: Value,
    slip: SlipOf,
    person: Person,
    /// What a browser has of the course, as far as this asks for it.
    marking: Rc<Value>,
    /// Whether the course changed after the slip was made.
    raised: bool,
}

impl Case {
    fn new(dice: &mut Dice, room: &mut Room, outlines: &mut BTreeMap<String, Rc<Value>>) -> Self {
        let mut life = Life::new(room, "2026-02-01");
        let acts = dice.number(2, 16);
        let kind = dice.number(0, 2);
        let cut = if kind == 1 { dice.number(1, acts - 1) } else { acts };
        let at_cut = live(dice, &mut life, kind == 0, cut, acts);
        let latest = life.statements.iter().map(|one| one.timestamp).max();
        let last = life.clock.max(latest.unwrap_or(life.clock)) + SignedDuration::from_mins(1);
        let today: Day = day(&last.to_string()[..10]);
        let now = today.end() - SignedDuration::from_secs(1);
        let (_, hash) = life.markings.in_force.last().cloned().expect("a course is in force");
        let outline = outlines
            .entry(hash.clone())
            .or_insert_with(|| Rc::new(outline(&life.markings.known[&hash])));
        let slip = match (kind, at_cut) {
            (0, _) => SlipOf::Never,
            (1, Some(at)) => SlipOf::Earlier(at),
            _ => SlipOf::Now,
        };
        let good = match slip {
            SlipOf::Never => Value::Null,
            SlipOf::Earlier(at) => good(&mut life, at, &hash),
            SlipOf::Now => good(&mut life, now, &hash),
        };
        let statements: Vec<Value> = life
            .statements
            .iter()
            .filter(|one| !entered(one))
            .map(|one| serde_json::from_str(&one.body).expect("a statement is JSON"))
            .collect();
        Self {
            raised: good["silent"] == "course",
            asked: json!({
                "kind": "missing", "statements": statements, "marking": **outline, "hash": hash, "good": good,
                "now": now.as_millisecond(),
            }),
            slip,
            person: life.person(&today.date.to_string()),
            marking: Rc::clone(outline),
        }
    }

    fn competence(&self) -> &Competence {
        &self.person.competencies[0]
    }

    fn agrees(&self, made: &Value, strata: &mut Strata) {
        let told = || format!("{made:#}\n{:#?}\n{:#?}", self.slip, self.competence());
        let names = |list: &Value| -> BTreeSet<String> {
            list.as_array()
                .expect("a list")
                .iter()
                .map(ToString::to_string)
                .collect()
        };
        let (here, there) = (names(&made["lacks"]), names(&json!(self.competence().lacks)));
        let standing = self.competence().standing;
        let signature = made["signature"].as_str().expect("a word");
        let (signed, when) = (
            signature == "signed",
            match self.slip {
                SlipOf::Never => "no slip",
                SlipOf::Earlier(_) => "a slip of before",
                SlipOf::Now => "a slip of now",
            },
        );
        strata.count(format!(
            "{when}: {}",
            if there.is_empty() {
                "nothing lacks"
            } else {
                "something lacks"
            }
        ));
        strata.count(format!("{when}: {standing}"));
        // Whatever else: never more than the register would say.
        assert!(!signed || self.competence().may == May::Alone, "{}", told());
        match self.slip {
            SlipOf::Never => {
                assert_eq!(signature, "unknown");
                assert_eq!(made["watched"], json!({ "met": null, "real": null, "unseen": [] }));
                assert_eq!(here, there, "{}", told());
            }
            SlipOf::Now => {
                assert_eq!(signed, standing == Standing::Signed, "{}", told());
                assert_eq!(made["watched"], json!(self.competence().watched), "{}", told());
                if !self.competence().watched.unseen.is_empty() {
                    strata.count("a slip of now: a step never seen");
                }
                assert_eq!(here, there, "{}", told());
            }
            // A signature whose day has passed since: the register asks anew for what the page cannot know of.
            SlipOf::Earlier(_) if signature == "over" => strata.count("a slip of before: over by now"),
            SlipOf::Earlier(_) => {
                assert!(here.is_superset(&there), "{}", told());
                // What was read or passed on the day of a withdrawal the page asks for again, sooner than claim it.
                if !self.raised && standing != Standing::Withdrawn {
                    assert_eq!(here, there, "{}", told());
                    strata.count("a slip of before: the same");
                }
            }
        }
        self.same_tries(made, &told);
    }

    /// The attempt that decides, which try it was, what was missed in it, and the tries that are left.
    fn same_tries(&self, made: &Value, told: &dyn Fn() -> String) {
        for found in made["tries"].as_array().expect("a list") {
            let wanted: Evidence = serde_json::from_value(found["thing"].clone()).expect("it is an assessment");
            let (list, id) = match &wanted {
                Evidence::Bank(id) => ("banks", id),
                Evidence::Scenario(id) => ("scenarios", id),
                Evidence::Drill(id) => ("drills", id),
            };
            let items = self.marking[list].as_array().expect("a list");
            let edition = items
                .iter()
                .find(|item| item["id"] == json!(id))
                .map(|item| item["edition"].clone());
            let mut lines = self.person.attempts.iter();
            let line = lines
                .rfind(|line| line.assessment == wanted && Some(json!(line.edition)) == edition && line.counts())
                .unwrap_or_else(|| panic!("the register counts none: {}", told()));
            assert_eq!(found["registration"], json!(line.registration), "{}", told());
            assert_eq!(found["number"], json!(line.number), "{}", told());
            if line.state == State::Left {
                continue;
            }
            match wanted {
                Evidence::Bank(_) => assert_eq!(found["slips"], json!(line.missed_critical.len()), "{}", told()),
                Evidence::Scenario(_) => assert_eq!(found["slips"] != 0, line.first_unsafe.is_some(), "{}", told()),
                Evidence::Drill(_) => {}
            }
            let left = self.person.tries.iter().find(|tries| tries.assessment == wanted);
            assert_eq!(found["left"], json!(left.map_or(2, |tries| tries.left)), "{}", told());
        }
    }
}

#[test]
fn the_page_finds_missing_what_the_register_does() {
    let mut dice = Dice::new(11);
    let (mut room, mut outlines) = (Room::default(), BTreeMap::new());
    let cases: Vec<Case> = (0..LIVES)
        .map(|_| Case::new(&mut dice, &mut room, &mut outlines))
        .collect();
    let asked: Vec<Value> = cases.iter().map(|case| case.asked.clone()).collect();
    let made = answers(&asked);
    let mut strata = Strata::default();
    for (case, made) in cases.iter().zip(&made) {
        case.agrees(made, &mut strata);
    }
    let [of_before, of_now] = ["a slip of before", "a slip of now"];
    let mut wanted = vec![format!("{of_before}: the same"), format!("{of_before}: over by now")];
    wanted.push(format!("{of_now}: a step never seen"));
    for when in ["no slip", of_before, of_now] {
        wanted.extend(
            ["nothing lacks", "something lacks", "studying", "ready to be witnessed"]
                .map(|what| format!("{when}: {what}")),
        );
    }
    for when in [of_before, of_now] {
        wanted.extend(["ready to sign", "signed", "lapsed", "withdrawn"].map(|standing| format!("{when}: {standing}")));
    }
    for what in wanted {
        let found = strata.0.get(&what).copied().unwrap_or_default();
        assert!(found >= 20, "{what} came up {found} times, of {:?}", strata.0);
    }
}
