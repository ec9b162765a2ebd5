//! Runs through a drill: taken as they were played, played again from their seed, and refused where they do not fit.

use super::desk::Desk;
use super::drilled::{DRILL, by_the_book, drilled, then};
use super::life::staffed;
use super::made::{Device, End, HOME, SEEDS, Shop, X, course, seal_of};
use super::people::tm1;
use crate::keys;
use pitwright::marking::{Evidence, Marking};
use pitwright::register::Tidings;
use pitwright::standing::{AttemptLine, State};
use serde_json::{Value, json};

fn device() -> Device {
    Device::new("TM-1", &drilled(course()), "2026-02-01T08:00:00Z")
}

fn shop() -> Shop {
    let mut shop = Shop::new();
    shop.archive(&drilled(course()), true);
    shop
}

/// The only attempt on record, after it was taken whole.
fn taken(attempt: &[Value]) -> AttemptLine {
    let mut shop = shop();
    shop.must_take(attempt);
    let mut lines = tm1(&shop, "2026-03-01").attempts;
    assert_eq!(lines.len(), 1);
    let line = lines.remove(0);
    assert_eq!(line.assessment, Evidence::Drill(DRILL.to_owned()));
    assert_eq!((line.title.as_str(), line.max), ("The hook is stuck", 1.0));
    line
}

fn seed(number: u32) -> String {
    // The first number drawn hangs on the second word alone, so that one is spread.
    format!("{number:08x}{:08x}{:016x}", number.wrapping_mul(0x9E37_79B9), 77)
}

fn others(value: &Value) -> &Value {
    &value["context"]["extensions"][format!("{X}others")]
}

#[test]
fn a_run_by_the_book_is_taken_and_passes_whatever_others_do() {
    let (mut disturbed, mut ends) = (0, Vec::new());
    for number in 1..=24 {
        let attempt = device().drill(&seed(number), by_the_book, End::Closed);
        disturbed += attempt.iter().filter(|value| others(value).is_array()).count();
        let line = taken(&attempt);
        assert_eq!((line.state, line.marks), (State::Passed, 1.0), "{line:#?}");
        assert!(line.counts() && line.first_unsafe.is_none() && line.interval.is_none());
        assert_eq!(line.answers.len(), attempt.len() - 2);
        ends.push(
            line.answers
                .last()
                .map(|answer| answer.response.clone())
                .expect("it has acts"),
        );
    }
    assert!(disturbed > 3, "somebody else acted {disturbed} times");
    for end in ["take-lock", "call"] {
        assert!(ends.iter().any(|last| last == end), "{end} in {ends:?}");
    }
}

#[test]
fn an_act_that_is_unsafe_or_does_harm_ends_the_run_and_fails_it() {
    let first = device().drill(SEEDS[0], then(0, "go-in"), End::Closed);
    let line = taken(&first);
    assert_eq!((line.state, line.marks), (State::Failed, 0.0));
    assert_eq!(line.first_unsafe, Some(("go-in".to_owned(), "drawn-in".to_owned())));
    assert_eq!(line.first_unsafe_says().as_deref(), Some("unsafe act go-in (drawn-in)"));
    // Inside, at the hook, where what the lesson does not teach bends it: the first seed that comes so far.
    let harm = (1..40).find_map(|number| {
        let wind = |machine: &pitwright::explore::Machine, run: &pitwright::explore::Run| {
            let due = by_the_book(machine, run);
            if due == "free-latch" { "wind".to_owned() } else { due }
        };
        let attempt = device().drill(&seed(number), wind, End::Closed);
        let last = attempt[attempt.len() - 2]["result"]["response"] == json!("wind");
        last.then_some(attempt)
    });
    let line = taken(&harm.expect("some seed leads to the hook"));
    assert_eq!(line.state, State::Failed);
    assert_eq!(line.first_unsafe, Some(("wind".to_owned(), "bent-hook".to_owned())));
}

#[test]
fn giving_up_fails_and_so_does_leaving() {
    let attempt = device().drill(SEEDS[0], then(3, "leave-it"), End::Closed);
    let line = taken(&attempt);
    assert_eq!((line.state, line.marks, line.first_unsafe), (State::Failed, 0.0, None));
    assert_eq!(line.answers.last().map(|answer| answer.at.as_str()), Some("leave-it"));
    let line = taken(&device().drill(SEEDS[0], by_the_book, End::Left(3)));
    assert_eq!((line.state, line.marks), (State::Left, 0.0));
    // Left with the last act done, its end not put on record: left all the same, and nothing earned.
    let whole = device().drill(SEEDS[0], by_the_book, End::Closed).len() - 2;
    let line = taken(&device().drill(SEEDS[0], by_the_book, End::Left(whole)));
    assert_eq!((line.state, line.marks), (State::Left, 0.0));
    let line = taken(&device().drill(SEEDS[0], by_the_book, End::Open(3)));
    assert_eq!((line.state, line.counts()), (State::Open, false));
}

/// Seals it again after a change, as a forger who knows the form would, and gives the reasons for refusing it whole.
fn refused(attempt: &mut [Value]) -> Vec<String> {
    let (closing, rest) = attempt.split_last_mut().expect("an attempt has a closing");
    closing["context"]["extensions"][format!("{X}seal")] = json!(seal_of(rest));
    reasons(&shop().take(attempt), attempt.len())
}

fn reasons(told: &Tidings, items: usize) -> Vec<String> {
    assert_eq!((told.new.len(), told.held.len()), (0, 0), "{told:#?}");
    let refused: usize = told.refused.iter().map(|refusal| refusal.items.len()).sum();
    assert_eq!(refused, items, "refused whole: {told:#?}");
    let all = told.refused.iter().flat_map(|refusal| &refusal.reasons);
    all.cloned().collect()
}

fn says(reasons: &[String], due: &str) {
    assert!(reasons.iter().any(|reason| reason == due), "{due:?} in {reasons:#?}");
}

/// A run by the book in which somebody else acted after the first act.
fn disturbed() -> Vec<Value> {
    (1..200)
        .map(|number| device().drill(&seed(number), by_the_book, End::Closed))
        .find(|attempt| others(&attempt[1]).is_array())
        .expect("one of them")
}

#[test]
fn others_that_the_seed_does_not_give_are_refused() {
    let mut kept_quiet = disturbed();
    let extensions = kept_quiet[1]["context"]["extensions"].as_object_mut();
    extensions.expect("an object").remove(&format!("{X}others"));
    says(
        &refused(&mut kept_quiet),
        "turn 0: the record claims that others then did nothing, the seed gives somebody-turns-on",
    );
    let mut attempt = disturbed();
    attempt[2]["context"]["extensions"][format!("{X}others")] = json!(["somebody-turns-on", "nobody"]);
    let reasons = refused(&mut attempt);
    assert!(
        reasons[0]
            .starts_with("turn 1: the record claims that others then did somebody-turns-on, nobody, the seed gives "),
        "{reasons:#?}"
    );
    attempt[2]["context"]["extensions"][format!("{X}others")] = json!("nobody");
    let told = shop().take(&attempt);
    let unread: Vec<String> = told.refused.into_iter().flat_map(|refusal| refusal.reasons).collect();
    says(&unread, "what others did must be a list of texts");
    // Another seed: another start, or others who act otherwise.
    let mut attempt = disturbed();
    attempt[0]["context"]["extensions"][format!("{X}seed")] = json!(SEEDS[0]);
    assert!(!refused(&mut attempt).is_empty());
    attempt[0]["context"]["extensions"][format!("{X}seed")] = json!("0");
    assert!(!refused(&mut attempt).is_empty());
}

#[test]
fn acts_that_nobody_can_have_done_are_refused() {
    // A run in which nobody else acts, so that nothing but the act is wrong.
    let quiet = (0..1_000).map(seed).find(|seed| {
        let attempt = device().drill(seed, by_the_book, End::Closed);
        attempt
            .iter()
            .all(|one| one["context"]["extensions"].get(format!("{X}others")).is_none())
    });
    let quiet = quiet.expect("others are still in some run");
    let whole = || device().drill(&quiet, by_the_book, End::Closed);
    let act = |attempt: &mut [Value], turn: usize, of: &str, response: &str| {
        attempt[turn + 1]["object"]["id"] = json!(format!("{HOME}/drill/{DRILL}/act/{of}"));
        attempt[turn + 1]["result"]["response"] = json!(response);
    };
    let mut attempt = whole();
    act(&mut attempt, 0, "fly", "fly");
    says(&refused(&mut attempt), "turn 0: the machine thrumble has no act `fly`");
    act(&mut attempt, 0, "turn-off", "turn-off.1");
    says(
        &refused(&mut attempt),
        "turn 0: the machine thrumble has no act `turn-off.1`",
    );
    act(&mut attempt, 0, "go-in", "turn-off");
    says(
        &refused(&mut attempt),
        "turn 0: `turn-off` is an act turn-off, the statement is about act go-in",
    );
    act(&mut attempt, 0, "free-latch", "free-latch");
    says(
        &refused(&mut attempt),
        "turn 0: the act `free-latch` was not offered there",
    );
    act(&mut attempt, 0, "go-in", "go-in");
    let reasons = refused(&mut attempt);
    assert!(
        reasons[0].ends_with("comes after the run's end, which was turn 0"),
        "{reasons:#?}"
    );
    act(&mut attempt, 0, "leave-it", "leave-it");
    let reasons = refused(&mut attempt);
    assert!(
        reasons[0].ends_with("comes after the run's end, which was turn 0"),
        "{reasons:#?}"
    );
    let mut attempt = whole();
    attempt[1]["object"]["id"] = json!(format!("{HOME}/drill/other/act/turn-off"));
    says(
        &refused(&mut attempt),
        "turn 0 answers act turn-off of drill other; the attempt was begun at drill stuck-latch",
    );
    let mut attempt = whole();
    for value in &mut attempt {
        let id = value["object"]["id"]
            .as_str()
            .expect("it has one")
            .replace(DRILL, "other");
        value["object"]["id"] = json!(id);
    }
    says(&refused(&mut attempt), "there is no drill other in this course");
}

#[test]
fn a_claim_that_the_run_does_not_bear_out_is_refused() {
    for last in ["go-in", "leave-it"] {
        let mut attempt = device().drill(SEEDS[0], then(0, last), End::Closed);
        let closing = attempt.last_mut().expect("it has an end");
        closing["verb"]["id"] = json!("http://adlnet.gov/expapi/verbs/passed");
        closing["result"] =
            json!({"completion": true, "success": true, "score": {"raw": 1, "min": 0, "max": 1, "scaled": 1}});
        let reasons = refused(&mut attempt);
        says(&reasons, "the record claims passed, the answers earn failed");
        says(&reasons, "the result claims a score of 1, the answers give 0");
    }
    // The acts of a run that has not ended cannot be closed; they wait.
    let mut attempt = device().drill(SEEDS[0], by_the_book, End::Closed);
    attempt.remove(attempt.len() - 2);
    let told = shop().take(&attempt);
    assert!(told.refused.is_empty() && !told.held.is_empty(), "{told:#?}");
    assert!(
        format!("{told:?}").contains("the run that has been handed in does not reach an end"),
        "{told:#?}"
    );
}

/// A marking may come from anywhere: what does not hold together is told of and not run.
#[test]
fn a_model_that_cannot_be_run_is_a_reason_and_no_crash() {
    type Spoil = fn(&mut Value);
    let spoilt: [(Spoil, &str); 5] = [
        (
            |course| course["drills"][0]["starts"] = json!(["9"]),
            "`9` is no state of this machine",
        ),
        (|course| course["drills"][0]["starts"] = json!([]), "it has no start"),
        (
            |course| course["drills"][0]["machine"] = json!("nowhere"),
            "the course has no model of nowhere",
        ),
        (
            |course| course["drills"][0]["cured"] = json!({ "is": [99, 0] }),
            "there is no variable 99",
        ),
        (
            |course| {
                let part = json!({ "id": "on-and-on", "when": [], "does": [{ "set": [[0, 0]] }] });
                course["machines"][0]["model"]["reactions"] = json!([part]);
            },
            "the model does what no machine can do",
        ),
    ];
    for (spoil, why) in spoilt {
        let mut course = drilled(course());
        spoil(&mut course);
        let mut shop = Shop::new();
        shop.archive(&course, true);
        let marking: Marking = serde_json::from_value(course).expect("it is a marking");
        let hash = marking.hash().expect("it is canonical");
        let mut attempt = device().drill(SEEDS[0], by_the_book, End::Closed);
        for value in &mut attempt {
            value["context"]["extensions"][format!("{X}marking")] = json!(hash);
        }
        let (closing, rest) = attempt.split_last_mut().expect("an attempt has a closing");
        closing["context"]["extensions"][format!("{X}seal")] = json!(seal_of(rest));
        says(
            &reasons(&shop.take(&attempt), attempt.len()),
            &format!("drill {DRILL} cannot be played again: {why}"),
        );
    }
}

#[test]
fn a_drill_is_assigned_failed_released_and_on_the_slip() {
    let course = drilled(staffed());
    let desk = Desk::with(&course);
    keys::files(desk.folder.path(), "TR-1");
    let mut device = Device::new("TM-1", &course, "2026-02-01T08:00:00Z");
    let mut all = vec![device.read("lockout")];
    for _ in 0..2 {
        all.extend(device.drill(SEEDS[0], then(2, "go-in"), End::Closed));
        device.wait(24);
    }
    all.extend(device.drill(SEEDS[0], then(2, "leave-it"), End::Closed));
    desk.hand_in("record.json", &all);
    for arguments in [
        &["gather", "record.json"][..],
        &["assign", "TM-1", "--by", "TR-1", "--drill", DRILL],
        &["release", "TM-1", DRILL, "--by", "TR-1", "--more", "2"],
        &["release", "TM-1", "drill:stuck-latch", "--by", "TR-1"],
    ] {
        let (code, out, err) = desk.run(arguments);
        assert_eq!(code, 0, "{arguments:?}: {out}{err}");
    }
    let (code, out, err) = desk.run(&["standing", "TM-1"]);
    assert_eq!(code, 0, "{err}");
    for due in [
        "failed “The hook is stuck” on 2026-02-02 after 3 acts; unsafe act go-in (drawn-in)",
        "first unsafe act go-in (drawn-in)",
        "2 tries are allowed before a trainer releases another",
        "was given 2 more at drill stuck-latch by TR-1",
        "pass “The hook is stuck”",
    ] {
        assert!(out.contains(due), "{due:?} in {out}");
    }
    let (code, out, err) = desk.run(&["standing", "TM-1", "--into", "pages"]);
    assert_eq!(code, 0, "{out}{err}");
    let page = std::fs::read_to_string(desk.folder.path().join("pages/person-TM-1.html")).expect("it was written");
    assert!(page.contains("Unsafe act: go-in (drawn-in)."), "{page}");
    let signed = ["--key", "TR-1.pem", "--passphrase-file", "passphrase"];
    let (code, told) = desk.json(&[&["slip", "TM-1", "--by", "TR-1"], &signed[..]].concat());
    assert_eq!(code, 0, "{told:#}");
    let slip = &told["slip"];
    assert_eq!(slip["assignments"][0]["thing"], json!({ "drill": DRILL }));
    for (index, more) in [(0, 2), (1, 1)] {
        assert_eq!(slip["tries"][index]["assessment"], json!({ "drill": DRILL }));
        assert_eq!(slip["tries"][index]["more"], json!(more));
    }
    let mut device = Device::new("TM-1", &course, "2026-03-01T13:00:00Z");
    desk.hand_in("passed.json", &device.passes_drill());
    let desk = Desk {
        now: "2026-03-02T12:00:00Z",
        ..desk
    };
    assert_eq!(desk.run(&["gather", "passed.json"]).0, 0);
    let (_, told) = desk.json(&["standing", "TM-1"]);
    let person = &told["people"][0];
    assert_eq!(person["assignments"][0]["state"], json!("done"), "{person:#}");
    let missing = person["competencies"][0]["missing"].to_string();
    assert!(
        missing.contains("pass “Alone”") && !missing.contains("The hook is stuck"),
        "{missing}"
    );
    assert_eq!(desk.run(&["audit"]).0, 0);
}

#[test]
fn a_bank_a_scenario_and_a_drill_of_one_name_are_told_apart() {
    let mut course = drilled(staffed());
    course["banks"][0]["id"] = json!(DRILL);
    course["competencies"][0]["evidence"][0] = json!({ "bank": DRILL });
    let desk = Desk::with(&course);
    let mut device = Device::new("TM-1", &course, "2026-02-01T08:00:00Z");
    desk.hand_in("record.json", &[device.read("lockout")]);
    assert_eq!(desk.run(&["gather", "record.json"]).0, 0);
    let (code, _, err) = desk.run(&["release", "TM-1", DRILL, "--by", "TR-1"]);
    assert_eq!(code, 2);
    assert!(
        err.contains("`stuck-latch` is a bank and a drill: write bank:stuck-latch or drill:stuck-latch"),
        "{err}"
    );
    let (code, told) = desk.json(&["release", "TM-1", "drill:stuck-latch", "--by", "TR-1"]);
    assert_eq!(code, 0, "{told:#}");
    assert_eq!(told["entered"]["object"]["id"], json!(format!("{HOME}/drill/{DRILL}")));
}

/// An edition of a drill that goes down is told of, and a marking with a raised one comes into force by itself.
#[test]
fn the_edition_of_a_drill_counts_among_the_course_s() {
    let mut raised = drilled(course());
    raised["drills"][0]["edition"] = json!(2);
    let mut shop = shop();
    let told = |shop: &mut Shop, course: &Value, current: bool| {
        let given = super::made::given(course, current);
        shop.register
            .archive(&[given], shop.now)
            .expect("it is taken")
            .remove(0)
    };
    assert!(told(&mut shop, &raised, false).came_into_force);
    let back = told(&mut shop, &drilled(course()), true);
    assert_eq!(
        back.warning.as_deref(),
        Some("an edition went down: drill “The hook is stuck” from 2 to 1")
    );
}
