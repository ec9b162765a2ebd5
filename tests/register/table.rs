//! The table of standings: what every event does in every standing, and nothing else.

use super::acts::{Act, Seen, Taught, Way};
use super::made::at;
use super::naive;
use super::sequence::{Life, Room};
use pitwright::standing::{May, Standing};

const fn attempt(at: Taught, way: Way) -> Act {
    Act::Try { at, way, old: false }
}

const fn watch(seen: Seen, real: bool) -> Act {
    Act::Watch {
        seen,
        real,
        by_trainer: true,
    }
}

const fn partly(real: bool, unseen: u8) -> Act {
    Act::Partly { real, unseen }
}

const READ: Act = Act::Read { old: false };
const SIGN: Act = Act::Sign { by_manager: true };

/// The standings, some of them just before what leads on. Each column of the table is one.
const BEFORE: [&str; 15] = [
    "nothing yet",
    "all passed, not read",
    "all but the scenario",
    "all but the drill",
    "ready to be witnessed",
    "one real performance short",
    "ready to sign",
    "signed",
    "signed, all but one performance done anew",
    "signed, all done anew",
    "lapsed, retraining due",
    "lapsed, one performance short",
    "withdrawn",
    "withdrawn, one performance short",
    "withdrawn, all done anew",
];

/// What each event leads to, column by column as in [`BEFORE`]: N nothing yet, S studying, W ready to be witnessed, R
/// ready to sign, G signed, L lapsed, X withdrawn; a small letter where it may be signed anew.
const TABLE: [(&str, &str); 35] = [
    // before:                   N  S  S  S  W  W  R  G  G  G  L  L  X  X  X
    ("nothing", "                N  S  S  S  W  W  R  G  G  g  L  L  X  X  x"),
    ("opens", "                  S  S  S  S  W  W  R  G  G  g  L  L  X  X  x"),
    ("reads", "                  S  W  S  S  W  W  R  G  G  g  L  L  X  X  x"),
    ("passes the bank", "        S  S  S  S  W  W  R  G  G  g  L  L  X  X  x"),
    ("fails the bank", "         S  S  S  S  S  S  S  L  L  L  L  L  X  X  X"),
    ("leaves the bank", "        S  S  S  S  S  S  S  L  L  L  L  L  X  X  X"),
    ("begins the bank", "        S  S  S  S  W  W  R  G  G  g  L  L  X  X  x"),
    ("passes the scenario", "    S  S  W  S  W  W  R  G  G  g  L  L  X  X  x"),
    ("fails the scenario", "     S  S  S  S  S  S  S  L  L  L  L  L  X  X  X"),
    ("passes the drill", "       S  S  S  W  W  W  R  G  G  g  L  L  X  X  x"),
    ("fails the drill", "        S  S  S  S  S  S  S  L  L  L  L  L  X  X  X"),
    ("leaves the drill", "       S  S  S  S  S  S  S  L  L  L  L  L  X  X  X"),
    ("met on a real call", "     S  S  S  S  W  R  R  G  g  g  L  R  X  x  x"),
    ("met, staged", "            S  S  S  S  W  W  R  G  G  g  L  L  X  X  x"),
    ("prompted", "               S  S  S  S  W  W  R  G  G  g  L  L  X  X  x"),
    ("not met", "                S  S  S  S  W  W  W  L  L  L  L  L  X  X  X"),
    (
        "met twice, one step unseen",
        "S  S  S  S  W  R  R  G  g  g  L  R  X  x  x",
    ),
    (
        "each sees what one did not",
        "S  S  S  S  R  R  R  G  g  g  L  R  X  x  x",
    ),
    (
        "met twice, most steps unseen",
        "S  S  S  S  W  W  R  G  G  g  L  L  X  X  x",
    ),
    ("met, out of turn", "       S  S  S  S  W  W  R  G  G  g  L  L  X  X  x"),
    ("not met, out of turn", "   S  S  S  S  W  W  W  L  L  L  L  L  X  X  X"),
    ("not met, by mistake", "    N  S  S  S  W  W  R  G  G  g  L  L  X  X  x"),
    ("met, not by a trainer", "  S  S  S  S  W  W  R  G  G  g  L  L  X  X  x"),
    ("signed off", "             N  S  S  S  W  W  G  G  G  G  L  L  X  X  G"),
    ("signed by another role", " N  S  S  S  W  W  R  G  G  g  L  L  X  X  x"),
    ("withdrawn", "              X  X  X  X  X  X  X  X  X  X  X  X  X  X  X"),
    ("must retrain", "           N  S  S  S  S  S  S  L  L  L  L  L  X  X  X"),
    ("joins", "                  N  S  S  S  W  W  R  G  G  g  L  L  X  X  x"),
    ("leaves and comes back", "  N  S  S  S  S  S  S  L  L  L  L  L  X  X  X"),
    ("more tries, asked, told", "N  S  S  S  W  W  R  G  G  g  L  L  X  X  x"),
    ("lesson raised", "          N  S  S  S  S  S  S  L  L  L  L  L  X  X  X"),
    ("bank raised", "            N  S  S  S  S  S  S  L  L  L  L  L  X  X  X"),
    ("scenario raised", "        N  S  S  S  S  S  S  L  L  L  L  L  X  X  X"),
    ("drill raised", "           N  S  S  S  S  S  S  L  L  L  L  L  X  X  X"),
    ("its time runs out", "      N  S  S  S  W  W  R  L  L  R  L  L  X  X  x"),
];

fn passes(life: &mut Life, all: &[Taught]) {
    for at in all {
        life.act(attempt(*at, Way::Pass));
    }
}

fn life<'r>(room: &'r mut Room, before: &str) -> Life<'r> {
    let mut life = Life::new(room, "2026-02-01");
    let signed = |life: &mut Life| {
        life.studies();
        life.performs();
        life.act(SIGN);
        life.wait(48);
    };
    let short = |life: &mut Life| {
        life.act(READ);
        passes(life, &Taught::ASSESSED);
        life.act(watch(Seen::Met, false));
    };
    match before {
        "nothing yet" => {}
        "all passed, not read" => {
            passes(&mut life, &Taught::ASSESSED);
        }
        "all but the scenario" => {
            life.act(READ);
            passes(&mut life, &[Taught::Bank, Taught::Drill]);
        }
        "all but the drill" => {
            life.act(READ);
            passes(&mut life, &[Taught::Bank, Taught::Scenario]);
        }
        "ready to be witnessed" => life.studies(),
        "one real performance short" => {
            life.studies();
            life.act(watch(Seen::Met, false));
        }
        "ready to sign" => {
            life.studies();
            life.performs();
        }
        "signed" => signed(&mut life),
        "signed, all but one performance done anew" => {
            signed(&mut life);
            short(&mut life);
        }
        "signed, all done anew" => {
            signed(&mut life);
            life.studies();
            life.performs();
        }
        "lapsed, retraining due" => {
            signed(&mut life);
            life.act(Act::Retrain);
        }
        "lapsed, one performance short" => {
            signed(&mut life);
            life.act(Act::Retrain);
            short(&mut life);
        }
        "withdrawn" => {
            signed(&mut life);
            life.act(Act::Withdraw);
        }
        "withdrawn, one performance short" => {
            signed(&mut life);
            life.act(Act::Withdraw);
            life.wait(24);
            short(&mut life);
        }
        _ => {
            signed(&mut life);
            life.act(Act::Withdraw);
            life.wait(24);
            life.studies();
            life.performs();
        }
    }
    // The wait between two tries is over.
    life.wait(24);
    life
}

fn happens(life: &mut Life, event: &str) {
    let acts: &[Act] = match event {
        "nothing" => &[],
        "opens" => &[Act::Open],
        "reads" => &[READ],
        "passes the bank" => &[attempt(Taught::Bank, Way::Pass)],
        "fails the bank" => &[attempt(Taught::Bank, Way::Fail)],
        "leaves the bank" => &[attempt(Taught::Bank, Way::Left(1))],
        "begins the bank" => &[attempt(Taught::Bank, Way::Open)],
        "passes the scenario" => &[attempt(Taught::Scenario, Way::Pass)],
        "fails the scenario" => &[attempt(Taught::Scenario, Way::Fail)],
        "passes the drill" => &[attempt(Taught::Drill, Way::Pass)],
        "fails the drill" => &[attempt(Taught::Drill, Way::Fail)],
        "leaves the drill" => &[attempt(Taught::Drill, Way::Left(1))],
        "met on a real call" => &[watch(Seen::Met, true)],
        "met, staged" => &[watch(Seen::Met, false)],
        "prompted" => &[watch(Seen::Prompted, true)],
        "not met" => &[watch(Seen::NotMet, true)],
        "met twice, one step unseen" => &[partly(true, 0b0001), partly(false, 0b1001)],
        "each sees what one did not" => &[partly(true, 0b0001), partly(false, 0b0100)],
        "met twice, most steps unseen" => &[partly(true, 0b0011), partly(false, 0b1110)],
        "met, out of turn" => &[Act::OutOfTurn { seen: Seen::Met }],
        "not met, out of turn" => &[Act::OutOfTurn { seen: Seen::NotMet }],
        "not met, by mistake" => &[watch(Seen::NotMet, true), Act::Void],
        "met, not by a trainer" => &[Act::Watch {
            seen: Seen::Met,
            real: true,
            by_trainer: false,
        }],
        "signed off" => &[SIGN],
        "signed by another role" => &[Act::Sign { by_manager: false }],
        "withdrawn" => &[Act::Withdraw],
        "must retrain" => &[Act::Retrain],
        "joins" => &[Act::Join],
        "leaves and comes back" => &[Act::Leave, Act::Join],
        "more tries, asked, told" => &[
            Act::Release {
                at: Taught::Bank,
                more: 1,
            },
            Act::Assign,
            Act::Inspect,
            Act::GiveSlip,
            Act::Erase,
        ],
        "lesson raised" => &[Act::Raise(Taught::Lesson)],
        "bank raised" => &[Act::Raise(Taught::Bank)],
        "scenario raised" => &[Act::Raise(Taught::Scenario)],
        "drill raised" => &[Act::Raise(Taught::Drill)],
        _ => {
            life.wait(24 * 31);
            &[]
        }
    };
    acts.iter().for_each(|act| life.act(*act));
}

fn letter(standing: Standing, renewable: bool) -> char {
    let letter = match standing {
        Standing::NothingYet => 'N',
        Standing::Studying => 'S',
        Standing::ReadyToBeWitnessed => 'W',
        Standing::ReadyToSign => 'R',
        Standing::Signed => 'G',
        Standing::Lapsed => 'L',
        Standing::Withdrawn => 'X',
    };
    if renewable { letter.to_ascii_lowercase() } else { letter }
}

#[test]
fn every_event_does_in_every_standing_what_the_table_says() {
    let mut room = Room::default();
    for (event, row) in TABLE {
        let found: Vec<String> = BEFORE
            .iter()
            .map(|before| {
                let mut life = life(&mut room, before);
                happens(&mut life, event);
                let date = life.today();
                let says = life.says(&date.to_string());
                assert_eq!(says.may, says.standing.may(), "{event} when {before}");
                let naive = naive::on(&life.facts, date);
                assert_eq!(
                    (says.standing, says.renewable),
                    (naive.standing, naive.renewable),
                    "{event} when {before}: the naive fold sees it otherwise: {says:#?}"
                );
                letter(says.standing, says.renewable).to_string()
            })
            .collect();
        let due: Vec<&str> = row.split_whitespace().collect();
        assert_eq!(found, due, "{event}, of {BEFORE:?}");
    }
}

/// A signature stands on what it was given for: if one of the performances is voided, it falls, whenever that happens; and it comes
/// back by nothing but a new one.
#[test]
fn what_a_signature_stood_on_takes_it_along_when_it_is_voided() {
    let mut room = Room::default();
    let mut life = life(&mut room, "signed");
    let before = life.today().to_string();
    life.wait(48);
    life.act(Act::Void);
    assert_eq!(life.says(&before).standing, Standing::Signed, "it was not known then");
    let says = life.says(&life.today().to_string());
    assert_eq!(says.standing, Standing::ReadyToBeWitnessed, "{says:#?}");
    let told = |words: &str| says.reasons.iter().any(|line| line.contains(words));
    assert!(told("does not count: there was nothing to sign yet"), "{says:#?}");
    life.act(watch(Seen::Met, false));
    assert_eq!(life.says(&life.today().to_string()).standing, Standing::ReadyToSign);
}

#[test]
fn nobody_who_has_left_may_do_anything() {
    let mut room = Room::default();
    for before in BEFORE {
        let mut life = life(&mut room, before);
        let standing = life.says(&life.today().to_string()).standing;
        life.act(Act::Leave);
        let says = life.says(&life.today().to_string());
        assert_eq!((says.standing, says.may), (standing, May::Nothing), "{before}");
        life.wait(24 * 40);
        assert_eq!(
            life.says(&life.today().to_string()).may,
            May::Nothing,
            "{before}, later"
        );
    }
}

#[test]
fn the_day_of_a_withdrawal_counts_no_evidence() {
    let mut room = Room::default();
    let mut life = Life::new(&mut room, "2026-02-01");
    life.studies();
    life.performs();
    life.act(SIGN);
    life.wait(24);
    life.act(Act::Withdraw);
    life.studies();
    life.performs();
    assert!(!life.says("2026-02-02").renewable, "all of it is from the day itself");
    life.act(SIGN);
    let says = life.says("2026-02-03");
    assert_eq!(says.standing, Standing::Withdrawn);
    assert!(
        says.reasons
            .iter()
            .any(|line| line.contains("does not count: there was nothing to sign yet")),
        "{says:#?}"
    );
    life.clock = at("2026-02-03T00:00:00Z");
    passes(&mut life, &Taught::ASSESSED);
    life.performs();
    assert!(
        life.says("2026-02-03").renewable,
        "the reading of the day before stands"
    );
    life.act(SIGN);
    assert_eq!(life.says("2026-02-03").standing, Standing::Signed);
}
