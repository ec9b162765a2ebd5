//! What is refused, and the words for it.

use super::made::{Device, End, HOME, SEEDS, Shop, X, course, right, seal_of, wrong};
use pitwright::marking::sha256_hex;
use pitwright::register::Tidings;
use serde_json::{Value, json};

fn device() -> Device {
    Device::new("TM-1", &course(), "2026-02-01T08:00:00Z")
}

/// Takes an attempt that is to be refused whole, beside an honest one that is to be taken, and gives the reasons.
fn refused(attempt: &[Value]) -> Vec<String> {
    let mut shop = Shop::new();
    let mut other = Device::new("TM-2", &course(), "2026-02-01T08:00:00Z");
    let honest = other.passes_scenario();
    let all: Vec<Value> = attempt.iter().chain(&honest).cloned().collect();
    let told = shop.take(&all);
    assert_eq!(told.new.len(), honest.len(), "the honest attempt goes on: {told:#?}");
    assert_eq!(told.held.len(), 0, "{told:#?}");
    assert_eq!(items(&told), attempt.len(), "refused whole: {told:#?}");
    assert_eq!(shop.bodies().len(), honest.len());
    told.refused.into_iter().flat_map(|refusal| refusal.reasons).collect()
}

fn items(told: &Tidings) -> usize {
    told.refused.iter().map(|refusal| refusal.items.len()).sum()
}

/// Makes the seal fit again after a change, as a forger who knows the form would.
fn sealed_again(attempt: &mut [Value]) {
    let (closing, rest) = attempt.split_last_mut().expect("an attempt has a closing");
    closing["context"]["extensions"][format!("{X}seal")] = json!(seal_of(rest));
}

fn says(reasons: &[String], due: &str) {
    assert!(
        reasons.iter().any(|reason| reason.contains(due)),
        "{due:?} in {reasons:#?}"
    );
}

#[test]
fn marks_that_the_response_does_not_earn() {
    let mut all = device().bank(SEEDS[0], wrong, End::Closed);
    let (question, response) = (id_of(&all[1]), all[1]["result"]["response"].clone());
    all[1]["result"]["success"] = json!(true);
    all[1]["result"]["score"]["scaled"] = json!(1);
    sealed_again(&mut all);
    let reasons = refused(&all);
    says(
        &reasons,
        &format!(
            "question {question}: the record claims full marks, the response `{}` earns none",
            response.as_str().unwrap_or_default()
        ),
    );
}

fn id_of(answer: &Value) -> String {
    let id = answer["object"]["id"].as_str().unwrap_or_default();
    id.rsplit('/').next().unwrap_or_default().to_owned()
}

#[test]
fn a_response_changed_after_closing() {
    let mut all = device().bank(SEEDS[0], wrong, End::Closed);
    let numeric = all
        .iter()
        .position(|value| id_of(value) == "n")
        .expect("the form asks it");
    all[numeric]["result"] = json!({"response": "10", "success": true, "score": {"scaled": 1}});
    let reasons = refused(&all);
    says(
        &reasons,
        "the seal does not fit: something in this attempt was changed after it was closed",
    );
    says(&reasons, "the result claims a score of 0, the answers give 1");
}

#[test]
fn a_result_that_the_answers_do_not_give() {
    let mut all = device().bank(SEEDS[0], wrong, End::Closed);
    let closing = all.last_mut().expect("it has a closing");
    closing["verb"]["id"] = json!("http://adlnet.gov/expapi/verbs/passed");
    closing["result"] =
        json!({"completion": true, "success": true, "score": {"raw": 3, "min": 0, "max": 3, "scaled": 1}});
    let reasons = refused(&all);
    says(&reasons, "the record claims passed, the answers earn failed");
    says(&reasons, "the result claims a score of 3, the answers give 0");
}

#[test]
fn a_missed_critical_question_fails_however_good_the_rest() {
    // This seed's form asks the critical question, or the test would show nothing.
    let answers = |question: &str| if question == "a" { "no" } else { right(question) };
    let seed = (0..100)
        .map(|number: u32| sha256_hex(&number.to_be_bytes())[..32].to_owned())
        .find(|seed| {
            device()
                .bank(seed, right, End::Closed)
                .iter()
                .any(|value| id_of(value) == "a")
        })
        .expect("some form asks it");
    let mut all = device().bank(&seed, answers, End::Closed);
    assert_eq!(
        all.last().expect("it has a closing")["result"]["score"]["raw"],
        json!(2.0)
    );
    let mut shop = Shop::new();
    shop.must_take(&all.clone());
    let closing = all.last_mut().expect("it has a closing");
    closing["verb"]["id"] = json!("http://adlnet.gov/expapi/verbs/passed");
    closing["result"]["success"] = json!(true);
    says(&refused(&all), "the record claims passed, the answers earn failed");
}

#[test]
fn questions_that_the_seed_does_not_draw() {
    let mut all = device().passes_bank();
    all.swap(1, 2);
    for turn in [1, 2] {
        all[turn]["context"]["extensions"][format!("{X}turn")] = json!(turn - 1);
    }
    let (first, second) = (all[1]["timestamp"].clone(), all[2]["timestamp"].clone());
    all[1]["timestamp"] = second;
    all[2]["timestamp"] = first;
    sealed_again(&mut all);
    says(&refused(&all), "the seed draws question");
    let mut all = device().passes_bank();
    all[0]["context"]["extensions"][format!("{X}seed")] = json!("00000000000000000000000000000000");
    sealed_again(&mut all);
    says(&refused(&all), "the seed is not 32 hexadecimal digits, or is all zero");
}

#[test]
fn responses_that_were_never_offered() {
    let mut all = device().passes_bank();
    let choice = all
        .iter()
        .position(|value| value["result"]["response"] == json!("yes"))
        .expect("it has a choice");
    all[choice]["result"]["response"] = json!("maybe");
    sealed_again(&mut all);
    says(&refused(&all), "`maybe` is not one of its options");
    let mut all = device().passes_scenario();
    all[1]["result"]["response"] = json!("lock");
    sealed_again(&mut all);
    says(&refused(&all), "turn 0: scene call offers no choice `lock`");
    let mut all = device().passes_scenario();
    all[2]["object"]["id"] = json!(format!("{HOME}/scenario/night/scene/done"));
    sealed_again(&mut all);
    says(
        &refused(&all),
        "turn 1 answers scene done; the run stands in scene machine there",
    );
}

#[test]
fn an_unsafe_run_does_not_pass() {
    let mut all = device().scenario(&["run", "lock"], End::Closed);
    let closing = all.last_mut().expect("it has a closing");
    closing["verb"]["id"] = json!("http://adlnet.gov/expapi/verbs/passed");
    closing["result"]["success"] = json!(true);
    says(&refused(&all), "the record claims passed, the answers earn failed");
}

#[test]
fn two_answers_to_one_turn() {
    let mut all = device().passes_bank();
    all[2]["context"]["extensions"][format!("{X}turn")] = json!(0);
    sealed_again(&mut all);
    says(&refused(&all), "turn 0 is answered twice");
}

#[test]
fn times_out_of_order() {
    let mut all = device().passes_bank();
    all[3]["timestamp"] = json!("2026-02-01T07:00:00.000Z");
    sealed_again(&mut all);
    says(&refused(&all), "before what came before it");
}

#[test]
fn another_person_or_another_course_in_mid_attempt() {
    let mut all = device().passes_bank();
    all[2]["actor"]["account"]["name"] = json!("TM-9");
    sealed_again(&mut all);
    says(&refused(&all), "the attempt was begun by TM-1, this names TM-9");
    let mut all = device().passes_bank();
    all[1]["context"]["extensions"][format!("{X}edition")] = json!(2);
    sealed_again(&mut all);
    says(
        &refused(&all),
        "it says edition 2; on the course it was made on, this is edition 1",
    );
}

#[test]
fn an_attempt_that_was_left_is_never_a_pass() {
    let mut all = device().bank(SEEDS[0], right, End::Left(3));
    let closing = all.last_mut().expect("it has a closing");
    closing["verb"]["id"] = json!("http://adlnet.gov/expapi/verbs/passed");
    closing["result"]["success"] = json!(true);
    says(&refused(&all), "claims a pass for an attempt that was left");
}

#[test]
fn single_statements_are_held_against_their_course_too() {
    let mut shop = Shop::new();
    let mut device = device();
    let mut practised = device.practised("no");
    practised["result"]["score"]["scaled"] = json!(1);
    let mut read = device.read("lockout");
    read["context"]["extensions"][format!("{X}edition")] = json!(7);
    let mut unknown = device.read("lockout");
    unknown["object"]["id"] = json!(format!("{HOME}/lesson/juggling"));
    let mut elsewhere = device.read("lockout");
    elsewhere["actor"]["account"]["homePage"] = json!("https://other.example");
    elsewhere["object"]["id"] = json!("https://other.example/lesson/lockout");
    let told = shop.take(&[practised, read, unknown, elsewhere, device.read("sweep")]);
    assert_eq!((told.new.len(), told.refused.len()), (1, 4), "{told:#?}");
    let reasons: Vec<String> = told
        .refused
        .iter()
        .flat_map(|refusal| refusal.reasons.clone())
        .collect();
    says(
        &reasons,
        "question p: the record claims full marks, the response `no` earns none",
    );
    says(
        &reasons,
        "it says edition 7 of lesson lockout; on the course it was made on, this is edition 1",
    );
    says(&reasons, "this course has no lesson juggling");
    says(&reasons, "it belongs to a course at https://other.example");
}

#[test]
fn nobody_hands_in_what_only_the_register_says() {
    let mut shop = Shop::new();
    let mut forged = device().read("lockout");
    forged["verb"]["id"] = json!(format!("{X}was-signed-off"));
    forged["object"]["id"] = json!(format!("{HOME}/competency/lock-out"));
    forged["authority"] = json!({"account": {"homePage": HOME, "name": "MG-1"}});
    let mut seen = device().read("lockout");
    seen["verb"]["id"] = json!(format!("{X}was-witnessed"));
    seen["object"]["id"] = json!(format!("{HOME}/competency/lock-out"));
    seen["context"]["instructor"] = json!({"account": {"homePage": HOME, "name": "TR-1"}});
    seen["result"] =
        json!({"success": true, "extensions": {format!("{X}prompted"): false, format!("{X}setting"): "real"}});
    seen["id"] = json!("00000000-0000-4000-8000-000000000001");
    let told = shop.take(&[forged, seen]);
    assert_eq!((told.new.len(), told.refused.len()), (0, 2), "{told:#?}");
    says(
        &told.refused[0].reasons,
        "only the register itself makes such a statement",
    );
}

#[test]
fn the_same_id_with_other_content() {
    let mut shop = Shop::new();
    let mut device = device();
    let read = device.read("lockout");
    shop.must_take(std::slice::from_ref(&read));
    let mut other = read.clone();
    other["timestamp"] = json!("2026-01-31T08:00:00.000Z");
    let told = shop.take(std::slice::from_ref(&other));
    says(
        &told.refused[0].reasons,
        "a statement with this id that says something else",
    );
    assert_eq!(told.refused[0].items[0].id, read["id"].as_str().unwrap_or_default());
    let mut new = device.read("sweep");
    let id = new["id"].clone();
    let first = new.clone();
    new["timestamp"] = json!("2026-01-31T08:00:00.000Z");
    let told = shop.take(&[first, new]);
    assert_eq!(told.refused.len(), 2, "either may be the changed one: {told:#?}");
    says(&told.refused[0].reasons, "stands twice in this file");
    assert_eq!(json!(told.refused[1].items[0].id), id);
}

#[test]
fn nothing_is_added_to_an_attempt_that_is_closed() {
    let mut shop = Shop::new();
    let mut device = device();
    let all = device.bank(SEEDS[0], right, End::Left(1));
    shop.must_take(&all);
    let mut more = all[1].clone();
    more["id"] = json!("00000000-0000-4000-8000-000000000002");
    more["context"]["extensions"][format!("{X}turn")] = json!(1);
    let told = shop.take(&[more]);
    says(&told.refused[0].reasons, "closed already");
}
