//! What standing says, from nothing yet to lapsed and back.

use super::made::{Device, End, SEEDS, Shop, course, day, right, wrong};
use pitwright::record::{What, Witnessing};
use pitwright::standing::{Competence, May, Person, Standing, State, person};
use serde_json::{Value, json};

impl Shop {
    fn person(&self, on: &str) -> Person {
        let statements = self.register.statements().expect("the log can be read");
        person(
            "TM-1",
            &statements,
            self.register.markings(),
            &self.register.details().expect("they can be read"),
            &day(on),
        )
        .expect("a course is in force")
    }

    fn competence(&self, on: &str) -> Competence {
        self.person(on)
            .competence("lock-out")
            .expect("the course has it")
            .clone()
    }

    fn standing(&self, on: &str) -> Standing {
        self.competence(on).standing
    }

    /// A trainer watches TM-1: `m` met, `n` not met, `p` prompted.
    fn watch(&mut self, on: &str, how: char, real: bool) {
        self.watched("TM-1", on, how, real);
    }

    fn sign(&mut self, on: &str) {
        self.signed("TM-1", on);
    }

    /// A trainer watches somebody: `m` met, `n` not met, `p` prompted.
    pub fn watched(&mut self, who: &str, on: &str, how: char, real: bool) {
        let what = What::Witnessed(Witnessing {
            competency: "lock-out".to_owned(),
            met: how == 'm',
            prompted: how == 'p',
            real,
            out_of_turn: false,
            steps: Vec::new(),
        });
        self.now = self.now.max(day(on).end());
        self.enter(who, "TR-1", what, on).expect("it is entered");
    }

    pub fn signed(&mut self, who: &str, on: &str) {
        self.now = self.now.max(day(on).end());
        let what = What::SignedOff {
            competency: "lock-out".to_owned(),
            proof: None,
        };
        self.enter(who, "MG-1", what, on).expect("there is something to sign");
    }
}

/// TM-1, ready to sign on 2026-02-10 and signed on 2026-02-11.
fn signed() -> Shop {
    let mut shop = Shop::new();
    let mut device = Device::new("TM-1", &course(), "2026-02-01T08:00:00Z");
    shop.must_take(&device.studies_all());
    shop.watch("2026-02-09", 'm', false);
    shop.watch("2026-02-10", 'm', true);
    shop.sign("2026-02-11");
    shop
}

fn raised(what: &str) -> Value {
    let mut course = course();
    course[what][0]["edition"] = json!(2);
    course
}

#[test]
fn from_nothing_to_signed_and_lapsed() {
    let mut shop = Shop::new();
    assert_eq!(shop.standing("2026-02-01"), Standing::NothingYet);
    let mut device = Device::new("TM-1", &course(), "2026-02-01T08:00:00Z");
    shop.must_take(&[device.says("experienced", "lesson/lockout")]);
    assert_eq!(shop.standing("2026-02-01"), Standing::Studying);
    shop.must_take(&device.passes_bank());
    shop.must_take(&device.passes_scenario());
    let now = shop.competence("2026-02-01");
    assert_eq!(
        (now.standing, now.may),
        (Standing::Studying, May::Nothing),
        "not read to its end yet"
    );
    assert_eq!(now.missing[0], "read “Lockout” to its end");
    shop.must_take(&[device.read("lockout")]);
    let now = shop.competence("2026-02-01");
    assert_eq!(
        (now.standing, now.may),
        (Standing::ReadyToBeWitnessed, May::Accompanied)
    );
    assert_eq!(now.missing, ["be watched 2 more times, at least one on a real call"]);
    shop.watch("2026-02-08", 'm', false);
    shop.watch("2026-02-09", 'm', false);
    assert_eq!(
        shop.competence("2026-02-09").missing,
        ["be watched 1 more time, at least one on a real call"]
    );
    shop.watch("2026-02-10", 'm', true);
    let now = shop.competence("2026-02-10");
    assert_eq!((now.standing, now.may), (Standing::ReadyToSign, May::Accompanied));
    assert_eq!(now.missing, ["a signature, role: manager"]);
    shop.sign("2026-02-11");
    let now = shop.competence("2026-02-11");
    assert_eq!((now.standing, now.may), (Standing::Signed, May::Alone));
    assert_eq!(now.reasons[0], "signed off by MG-1 on 2026-02-11; lapses on 2027-02-11");
    assert_eq!(shop.standing("2027-02-10"), Standing::Signed);
    let then = shop.competence("2027-02-11");
    assert_eq!((then.standing, then.may), (Standing::Lapsed, May::Accompanied));
    for (on, due) in [
        ("2026-01-31", Standing::NothingYet),
        ("2026-02-05", Standing::ReadyToBeWitnessed),
        ("2026-02-10", Standing::ReadyToSign),
    ] {
        assert_eq!(shop.standing(on), due, "a past day is as it was then: {on}");
    }
}

#[test]
fn a_prompted_performance_does_not_count_and_one_not_met_starts_anew() {
    let mut shop = Shop::new();
    let mut device = Device::new("TM-1", &course(), "2026-02-01T08:00:00Z");
    shop.must_take(&device.studies_all());
    shop.watch("2026-02-02", 'm', true);
    shop.watch("2026-02-03", 'p', true);
    assert_eq!(shop.standing("2026-02-03"), Standing::ReadyToBeWitnessed);
    shop.watch("2026-02-04", 'n', false);
    shop.watch("2026-02-05", 'm', true);
    assert_eq!(shop.standing("2026-02-05"), Standing::ReadyToBeWitnessed);
    shop.watch("2026-02-06", 'm', false);
    assert_eq!(shop.standing("2026-02-06"), Standing::ReadyToSign);
}

#[test]
fn the_latest_counted_attempt_decides() {
    let mut shop = Shop::new();
    let mut device = Device::new("TM-1", &course(), "2026-02-01T08:00:00Z");
    shop.must_take(&device.studies_all());
    assert_eq!(shop.standing("2026-02-01"), Standing::ReadyToBeWitnessed);
    device.wait(24);
    shop.must_take(&device.bank(SEEDS[1], wrong, End::Closed));
    let now = shop.competence("2026-02-02");
    assert_eq!(now.standing, Standing::Studying);
    assert!(
        now.reasons
            .iter()
            .any(|reason| reason.contains("failed “Alone” on 2026-02-02 with 0 of 3")),
        "{now:#?}"
    );
    let lines = shop.person("2026-02-02").attempts;
    let bank: Vec<_> = lines.iter().filter(|line| line.title == "Alone").collect();
    assert_eq!((bank[0].state, bank[1].state), (State::Passed, State::Failed));
    let interval = bank[0].interval.expect("a closed bank attempt has one");
    // Wilson, 3 of 3 at 95 %: 3/(3 + 1.96²) to 1 (closed form of the interval at p = 1).
    assert!(
        (interval.low - 3.0 / (3.0 + 1.959_963_984_540_054_f64.powi(2))).abs() < 1e-12 && interval.high > 0.999_999
    );
}

#[test]
fn leaving_is_failing_and_an_open_attempt_is_neither() {
    let mut shop = Shop::new();
    let mut device = Device::new("TM-1", &course(), "2026-02-01T08:00:00Z");
    shop.must_take(&device.studies_all());
    device.wait(24);
    let open = device.bank(SEEDS[1], right, End::Left(2));
    shop.must_take(&open[..3]);
    assert_eq!(shop.standing("2026-02-02"), Standing::ReadyToBeWitnessed);
    let line = shop.person("2026-02-02").attempts.pop().expect("it has attempts");
    assert_eq!(
        (line.state, line.number, line.not_counted.as_deref()),
        (State::Open, None, Some("it is still open"))
    );
    shop.must_take(&open[3..]);
    let now = shop.competence("2026-02-02");
    assert_eq!(now.standing, Standing::Studying);
    assert!(
        now.reasons
            .iter()
            .any(|reason| reason.contains("left “Alone” on 2026-02-02, which is failing it"))
    );
}

#[test]
fn tries_beyond_the_allowed_are_shown_and_not_counted() {
    let mut shop = Shop::new();
    let mut device = Device::new("TM-1", &course(), "2026-02-01T08:00:00Z");
    for _ in 0..2 {
        shop.must_take(&device.bank(SEEDS[1], wrong, End::Closed));
        device.wait(24);
    }
    shop.must_take(&device.passes_bank());
    let who = shop.person("2026-02-20");
    let numbers: Vec<_> = who.attempts.iter().map(|line| line.number).collect();
    assert_eq!(numbers, [Some(1), Some(2), None]);
    assert_eq!(who.attempts[2].state, State::Passed, "it is shown as it was");
    assert!(
        who.attempts[2]
            .not_counted
            .as_deref()
            .is_some_and(|why| why.contains("2 tries are allowed"))
    );
    let competence = who.competence("lock-out").expect("the course has it");
    assert!(
        competence
            .missing
            .iter()
            .any(|line| line.contains("a trainer must release another")),
        "{competence:#?}"
    );
}

#[test]
fn a_pass_gives_the_tries_back_and_haste_does_not_count() {
    let mut shop = Shop::new();
    let mut device = Device::new("TM-1", &course(), "2026-02-01T08:00:00Z");
    shop.must_take(&device.bank(SEEDS[1], wrong, End::Closed));
    device.wait(1);
    shop.must_take(&device.bank(SEEDS[0], right, End::Closed));
    device.wait(12);
    shop.must_take(&device.bank(SEEDS[0], right, End::Closed));
    shop.must_take(&device.bank(SEEDS[1], wrong, End::Closed));
    let lines = shop.person("2026-02-20").attempts;
    let numbers: Vec<_> = lines.iter().map(|line| line.number).collect();
    assert_eq!(numbers, [Some(1), None, Some(2), Some(1)]);
    assert!(
        lines[1]
            .not_counted
            .as_deref()
            .is_some_and(|why| why.contains("less than 12 hours"))
    );
}

#[test]
fn a_raised_edition_lapses_what_was_signed_on_the_old_one() {
    for (what, missing) in [
        ("banks", "pass “Alone” again, edition 2"),
        ("lessons", "read “Lockout” again: edition 2 is taught now"),
    ] {
        let mut shop = signed();
        shop.now = day("2026-03-01").end();
        shop.archive(&raised(what), true);
        assert_eq!(shop.standing("2026-03-01"), Standing::Signed, "the day before it came");
        let now = shop.competence("2026-03-02");
        assert_eq!((now.standing, now.may), (Standing::Lapsed, May::Accompanied), "{what}");
        assert!(now.missing.iter().any(|line| line == missing), "{now:#?}");
        assert!(
            now.reasons
                .iter()
                .any(|line| line.contains("is edition 2 now; this was signed on edition 1")),
            "{now:#?}"
        );
    }
}

#[test]
fn what_was_passed_again_on_the_new_edition_can_be_signed_again() {
    let mut shop = signed();
    shop.now = day("2026-03-01").end();
    shop.archive(&raised("banks"), true);
    let mut device = Device::new("TM-1", &raised("banks"), "2026-03-05T08:00:00Z");
    shop.must_take(&device.passes_bank());
    assert_eq!(
        shop.standing("2026-03-05"),
        Standing::ReadyToSign,
        "what was watched stands while the lessons do"
    );
    shop.sign("2026-03-06");
    assert_eq!(shop.standing("2026-03-06"), Standing::Signed);
}

#[test]
fn a_new_edition_of_the_lesson_wants_new_watching() {
    let mut shop = signed();
    shop.now = day("2026-03-01").end();
    shop.archive(&raised("lessons"), true);
    let mut device = Device::new("TM-1", &raised("lessons"), "2026-03-05T08:00:00Z");
    shop.must_take(&[device.read("lockout")]);
    let now = shop.competence("2026-03-05");
    assert_eq!(now.standing, Standing::Lapsed);
    assert_eq!(now.missing, ["be watched 2 more times, at least one on a real call"]);
    shop.watch("2026-03-06", 'm', true);
    shop.watch("2026-03-07", 'm', false);
    assert_eq!(shop.standing("2026-03-07"), Standing::ReadyToSign);
}

#[test]
fn a_mended_typing_error_changes_nothing() {
    let mut shop = signed();
    shop.now = day("2026-03-01").end();
    let mut mended = course();
    mended["title"] = json!("Test house, mended");
    mended["banks"][0]["questions"][1]["right"] = json!(["ask"]);
    shop.archive(&mended, true);
    assert_eq!(shop.standing("2026-03-02"), Standing::Signed);
}

#[test]
fn a_later_fail_or_a_performance_not_met_lapses_a_signature() {
    let mut shop = signed();
    let mut device = Device::new("TM-1", &course(), "2026-03-05T08:00:00Z");
    shop.must_take(&device.bank(SEEDS[1], wrong, End::Closed));
    assert_eq!(shop.standing("2026-03-04"), Standing::Signed);
    assert_eq!(shop.standing("2026-03-05"), Standing::Lapsed);
    let mut shop = signed();
    shop.watch("2026-03-05", 'n', true);
    assert_eq!(shop.standing("2026-03-04"), Standing::Signed);
    let now = shop.competence("2026-03-05");
    assert_eq!(now.standing, Standing::Lapsed);
    assert_eq!(now.missing, ["be watched 2 more times, at least one on a real call"]);
}

#[test]
fn a_renewal_wants_everything_anew() {
    let mut shop = signed();
    let mut device = Device::new("TM-1", &course(), "2027-01-20T08:00:00Z");
    shop.now = day("2027-01-20").end();
    shop.must_take(&device.passes_bank());
    shop.must_take(&device.passes_scenario());
    shop.watch("2027-01-21", 'm', true);
    let before = shop.competence("2027-01-21");
    assert!(before.standing == Standing::Signed && !before.renewable);
    assert_eq!(shop.standing("2027-02-11"), Standing::Lapsed);
    shop.watch("2027-01-22", 'm', false);
    let ready = shop.competence("2027-01-22");
    assert!(ready.standing == Standing::Signed && ready.renewable, "{ready:#?}");
    assert_eq!(
        shop.standing("2027-02-11"),
        Standing::ReadyToSign,
        "unsigned, it runs out all the same"
    );
    shop.sign("2027-01-23");
    assert_eq!(shop.standing("2027-02-11"), Standing::Signed);
    assert_eq!(shop.standing("2028-01-23"), Standing::Lapsed);
}

#[test]
fn the_shorter_holds_decides() {
    let mut shop = signed();
    let mut shorter = course();
    shorter["competencies"][0]["holdsMonths"] = json!(6);
    shop.now = day("2026-03-01").end();
    shop.archive(&shorter, true);
    assert_eq!(shop.standing("2026-08-10"), Standing::Signed);
    assert_eq!(shop.standing("2026-08-11"), Standing::Lapsed);
}
