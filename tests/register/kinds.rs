//! Answers to every kind of question: taken as given, or refused where no page can have given them.

use super::made::{Device, SEEDS, Shop, X, course, given};
use pitwright::marking::{FORMAT, draw};
use pitwright::register::GivenMarking;
use pitwright::score::{figure, mark};
use serde_json::{Value, json};

/// The invented course, with a practice question of each kind.
fn course_of_kinds() -> Value {
    let mut course = course();
    course["format"] = json!(2);
    let question = |id: &str, key: Value| {
        let mut question = json!({"id": id, "competency": "lock-out", "critical": false});
        question
            .as_object_mut()
            .expect("an object")
            .extend(key.as_object().expect("an object").clone());
        question
    };
    course["practice"][0]["questions"] = json!([
        question(
            "several",
            json!({"kind": "choice", "options": ["b", "a", "c"], "right": ["c", "a"]})
        ),
        question(
            "shared",
            json!({"kind": "choice", "options": ["b", "a", "c"], "right": ["c", "a"], "partial": true})
        ),
        question("matching", json!({"kind": "matching", "pairs": ["b", "a", "c"]})),
        question("order", json!({"kind": "sequencing", "steps": ["b", "a", "c"]})),
        question("place", json!({"kind": "place", "spots": ["b", "a"], "right": ["a"]})),
        question(
            "number",
            json!({"kind": "numeric", "answer": "10", "tolerance": "0", "unit": "pins"})
        ),
    ]);
    course
}

fn device() -> Device {
    Device::new("TM-1", &course_of_kinds(), "2026-02-01T08:00:00Z")
}

fn answer(device: &mut Device, question: &str, response: &str, scaled: f64) -> Vec<Value> {
    let mut answer = device.says("answered", &format!("lesson/lockout/ask/{question}"));
    answer["result"] =
        json!({"response": response, "success": (scaled - 1.0).abs() < 1e-12, "score": {"scaled": scaled}});
    answer["context"]["extensions"][format!("{}practice", X)] = json!(true);
    vec![answer]
}

#[test]
fn answers_of_every_kind_are_taken_with_what_they_earn() {
    let mut shop = Shop::new();
    shop.archive(&course_of_kinds(), true);
    let mut device = device();
    for (question, response, scaled) in [
        ("several", "a[,]c", 1.0),
        ("several", "a", 0.0),
        ("shared", "a", 0.5),
        ("shared", "a[,]b[,]c", 0.5),
        ("matching", "b[.]b[,]a[.]c[,]c[.]a", 1.0 / 3.0),
        ("order", "b[,]a[,]c", 1.0),
        ("order", "a[,]b[,]c", 0.0),
        ("place", "a", 1.0),
        ("place", "b", 0.0),
        ("number", "10.0", 1.0),
    ] {
        shop.must_take(&answer(&mut device, question, response, scaled));
    }
}

#[test]
fn answers_that_no_page_can_have_given_are_refused_with_the_reason() {
    let mut shop = Shop::new();
    shop.archive(&course_of_kinds(), true);
    let mut device = device();
    for (question, response, why) in [
        ("several", "c[,]a", "is no choice among its options"),
        ("several", "", "is no choice among its options"),
        ("shared", "a[,]z", "is no choice among its options"),
        (
            "matching",
            "b[.]b[,]a[.]a",
            "does not put each of its pairs together once",
        ),
        (
            "matching",
            "b[.]b[,]a[.]b[,]c[.]c",
            "does not put each of its pairs together once",
        ),
        ("order", "b[,]a", "is no order of its steps"),
        ("place", "c", "is not one of its spots"),
        ("number", "ten", "is no number as a page writes one"),
    ] {
        let told = shop.take(&answer(&mut device, question, response, 0.0));
        assert_eq!((told.new.len(), told.held.len()), (0, 0), "{question}: {told:#?}");
        let reasons: Vec<String> = told.refused.into_iter().flat_map(|refusal| refusal.reasons).collect();
        let due = format!("question {question}: `{response}` {why}");
        assert!(
            reasons.iter().any(|reason| reason.starts_with(&due)),
            "{due:?} in {reasons:#?}"
        );
    }
}

/// The forms that the invented course's bank draws, worked out in another program from the published generator and shuffle.
const FORMS: [[(&str, &[&str]); 3]; 2] = [
    [("a", &["ask", "no", "yes"]), ("n", &[]), ("b", &["no", "ask", "yes"])],
    [("b", &["no", "yes", "ask"]), ("a", &["ask", "yes", "no"]), ("n", &[])],
];

/// A marking of format 1, made before there were other kinds: as it was then, with `right` a list of one and nothing of parts.
#[test]
fn a_marking_of_format_1_is_read_drawn_and_marked_as_it_was() {
    let first = course();
    assert_eq!(first["format"], 1);
    let read = given(&first, true).marking;
    // Nothing is added to it when it is written again, so its name stays the same.
    assert_eq!(serde_json::to_value(&read).expect("JSON"), first);
    for (seed, wanted) in SEEDS.iter().zip(FORMS) {
        let form = draw(&read.banks[0], seed).expect("a seed");
        let found: Vec<(&str, &[&str])> = form
            .iter()
            .map(|asked| (asked.question.id.as_str(), asked.shown.as_slice()))
            .collect();
        assert_eq!(found, wanted);
        for asked in form {
            let right = if asked.question.id == "n" { "10.5" } else { "yes" };
            assert_eq!((mark(asked.question, right), mark(asked.question, "no")), (2520, 0));
        }
    }
    let newer = FORMAT + 1;
    let refused = GivenMarking::from_bytes(json!({ "format": newer }).to_string().as_bytes(), "a test", true);
    let due = format!("a newer Pitwright (format {newer})");
    assert!(refused.is_err_and(|why| why.to_string().contains(&due)));
}

#[test]
fn a_score_in_parts_is_shown_with_two_places_and_never_rounded_up() {
    let parts = |parts: u32| figure(f64::from(parts) / 2520.0);
    // 12 questions less one part, twelve, and 4 + 7/9.
    assert_eq!(
        (parts(12 * 2520 - 1), parts(12 * 2520)),
        ("11.99".to_owned(), "12".to_owned())
    );
    assert_eq!((parts(4 * 2520 + 1960), parts(0)), ("4.77".to_owned(), "0".to_owned()));
    // A third three times over, as a device may add it up.
    assert_eq!(figure(1.0 / 3.0 + 1.0 / 3.0 + 1.0 / 3.0), "1");
    assert_eq!(figure(0.1 + 0.2), "0.3");
}
