//! A device whose clock is set back in the middle of an attempt: the record stays an honest one.

use super::page::Page;
use crate::browser_driver::{Browser, converse};
use crate::ground::demo_course;
use crate::ground::{out, pitwright};
use serde_json::{Value, json};

const AN_HOUR_BACK: &str = "const Real = Date; const now = () => Real.now() - 3600000; \
    globalThis.Date = class extends Real { constructor(...given) { given.length ? super(...given) : super(now()); } \
    static now() { return now(); } };";

#[test]
fn an_attempt_over_which_the_clock_was_set_back_is_gathered_clean() {
    let built = demo_course();
    let folder = tempfile::tempdir().expect("a temporary folder can be made");
    let profile = folder.path().join("profile");
    let statements = converse(async {
        let page = Page::open(
            Browser::Chromium,
            &built.path().join("course"),
            &profile,
            folder.path(),
            2,
        )
        .await;
        page.say_who("T-07").await;
        page.begin("bank/alone.html").await;
        for _ in 0..3 {
            page.answer_right().await;
        }
        page.ask(AN_HOUR_BACK).await;
        while page.ask("return Boolean(document.querySelector('.turn'))").await == json!(true) {
            page.answer_right().await;
        }
        page.until("!document.body.dataset.running").await;
        let kept = "const done = arguments[0]; \
            PITWRIGHT.keeper.statements('T-07').then((rows) => done(rows.map((row) => row.statement)), (error) => done(String(error)));";
        let kept = page
            .driver
            .execute_async(kept, Vec::new())
            .await
            .expect("the store answers");
        kept.json().clone()
    });
    let of_the_attempt: Vec<&Value> = statements
        .as_array()
        .unwrap_or_else(|| panic!("{statements}"))
        .iter()
        .filter(|statement| !statement["context"]["registration"].is_null())
        .collect();
    assert_eq!(of_the_attempt.len(), 17, "the beginning, 15 answers, the end");
    let record = folder.path().join("record.json");
    std::fs::write(&record, statements.to_string()).expect("it can be written");
    let marking = std::fs::read_dir(built.path())
        .expect("it was built")
        .filter_map(Result::ok)
        .map(|entry| entry.path())
        .find(|path| path.extension().is_some_and(|ending| ending == "json"))
        .expect("compile writes a marking file");
    let register = folder.path().join("house.register");
    let text = |path: &std::path::Path| path.to_str().expect("UTF-8").to_owned();
    let gathered = pitwright(
        folder.path(),
        &[
            "gather",
            &text(&record),
            "--marking",
            &text(&marking),
            "--register",
            &text(&register),
        ],
    );
    assert_eq!(gathered.status.code(), Some(0), "{}", out(&gathered));
}
