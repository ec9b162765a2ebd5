//! What to do with ten minutes: the plan, the questions that come back, and going on where one stopped.

use super::page::Page;
use crate::browser_driver::{Browser, converse};
use crate::ground::demo_course;
use pitwright::marking::Xoshiro128;
use serde_json::{Value, json};
use std::collections::BTreeMap;

const HOME: &str = "https://thistlegauge.example";
const DAY: i64 = 86_400_000;
/// Milliseconds since 1970 of some morning.
const START: i64 = 1_790_000_000_000;
/// The widths of the five compartments in S. Leitner, "So lernt man lernen", 1972, in centimetres; the demo course takes
/// them as days. From memory, by way of an encyclopedia's article on the system.
const BOXES: [i64; 5] = [1, 2, 5, 8, 14];

/// One thing that a person did, as a statement holds it.
fn did(verb: &str, what: &str, at: i64, right: bool) -> Value {
    let time = chrono_like(at);
    let mut statement = json!({
        "verb": { "id": format!("{HOME}/verb/{verb}") },
        "object": { "id": format!("{HOME}/{what}") },
        "timestamp": time,
    });
    if verb == "answered" {
        statement["result"] = json!({ "success": right });
    }
    statement
}

/// Milliseconds as RFC 3339 in UTC.
fn chrono_like(at: i64) -> String {
    jiff::Timestamp::from_millisecond(at)
        .expect("it is in range")
        .to_string()
}

/// Leitner's rule, as slowly as it can be written: box of each question, and the day when it comes back.
fn slow(events: &[(i64, &str, bool)]) -> BTreeMap<String, (usize, i64)> {
    let mut cards: BTreeMap<String, (usize, i64)> = BTreeMap::new();
    for (at, ask, right) in events {
        let before = cards.get(*ask).copied();
        let box_now = match (before, right) {
            (_, false) => 0,
            (None, true) => 1,
            (Some((place, due)), true) if *at >= due => (place + 1).min(BOXES.len() - 1),
            (Some(_), true) => continue,
        };
        cards.insert((*ask).to_owned(), (box_now, at + BOXES[box_now] * DAY));
    }
    cards
}

async fn opened(built: &std::path::Path, folder: &std::path::Path) -> Page {
    let course = built.join("course");
    Page::open(Browser::Chromium, &course, &folder.join("profile"), folder, 0).await
}

async fn run(page: &Page, script: &str, given: Value) -> Value {
    let answer = page.driver.execute(script, vec![given]).await.expect("the script runs");
    answer.json().clone()
}

#[test]
fn questions_move_between_the_boxes_by_leitners_rule() {
    let built = demo_course();
    let folder = tempfile::tempdir().expect("a temporary folder can be made");
    converse(async {
        let page = opened(built.path(), folder.path()).await;
        page.goto("index.html").await;
        let study = page.ask("return PITWRIGHT.study").await;
        assert_eq!(study["boxes"], json!(BOXES));
        let asks: Vec<&str> = study["lessons"]["short-set"]["asks"]
            .as_array()
            .expect("it has questions")
            .iter()
            .map(|ask| ask.as_str().expect("an id"))
            .collect();
        let mut random = Xoshiro128::from_hex("000102030405060708090a0b0c0d0e0f").expect("a seed");
        let (mut last, mut back) = (0, 0);
        for _ in 0..2_000 {
            let mut at = START;
            let events: Vec<(i64, &str, bool)> = (0..1 + random.next_word() % 24)
                .map(|_| {
                    at += i64::from(random.next_word() % 6) * DAY / 2;
                    let ask = asks[random.next_word() as usize % asks.len()];
                    (at, ask, !random.next_word().is_multiple_of(5))
                })
                .collect();
            let statements: Vec<Value> = events
                .iter()
                .map(|(at, ask, right)| did("answered", &format!("lesson/short-set/ask/{ask}"), *at, *right))
                .collect();
            let given = json!({ "statements": statements });
            let script =
                "return PITWRIGHT.review.fold(arguments[0].statements, PITWRIGHT.course.home, PITWRIGHT.study)";
            let cards = run(&page, script, given).await;
            let found: BTreeMap<String, (usize, i64)> = cards
                .as_array()
                .expect("a list")
                .iter()
                .map(|card| {
                    let place = card["box"].as_u64().expect("a box") as usize;
                    let ask = card["ask"].as_str().expect("an id");
                    (ask.to_owned(), (place, card["due"].as_i64().expect("a time")))
                })
                .collect();
            last += usize::from(found.values().any(|(place, _)| *place == BOXES.len() - 1));
            back += usize::from(found.values().any(|(place, _)| *place == 0));
            assert_eq!(found, slow(&events), "{events:?}");
        }
        assert!(last > 50 && back > 50, "last box {last}, first box {back}");
    });
}

#[test]
fn a_plan_fits_its_break_and_puts_first_things_first() {
    let built = demo_course();
    let folder = tempfile::tempdir().expect("a temporary folder can be made");
    converse(async {
        let page = opened(built.path(), folder.path()).await;
        page.goto("index.html").await;
        let study = page.ask("return PITWRIGHT.study").await;
        let lessons: Vec<String> = page
            .ask("return PITWRIGHT.marking.lessons.map((lesson) => lesson.id)")
            .await
            .as_array()
            .expect("a list")
            .iter()
            .map(|id| id.as_str().expect("an id").to_owned())
            .collect();
        let mut random = Xoshiro128::from_hex("0f0e0d0c0b0a09080706050403020100").expect("a seed");
        let (mut parts, mut asked_first, mut again) = (0, 0, 0);
        for _ in 0..1_000 {
            let done = random.next_word() as usize % (lessons.len() + 1);
            let read: Vec<&String> = lessons.iter().take(done).collect();
            let statements: Vec<Value> = read
                .iter()
                .map(|id| {
                    let mut read = did("completed", &format!("lesson/{id}"), START, true);
                    read["context"] = json!({ "extensions": { format!("{HOME}/extension/edition"): 1 } });
                    read
                })
                .collect();
            let wanted = &lessons[random.next_word() as usize % lessons.len()];
            let assigned = random.next_word().is_multiple_of(2);
            let minutes = [5, 10, 15, 20][random.next_word() as usize % 4];
            let begun = &lessons[random.next_word() as usize % lessons.len()];
            let given = json!({
                "minutes": minutes, "statements": statements, "begun": begun,
                "read": read, "assigned": assigned.then_some(wanted), "now": START + i64::from(random.next_word() % 4) * DAY,
            });
            let plan = run(&page, PLAN, given.clone()).await;
            let pieces = plan["pieces"].as_array().expect("a list");
            let seconds: u64 = pieces
                .iter()
                .map(|piece| piece["seconds"].as_u64().expect("whole seconds"))
                .sum();
            assert!(seconds <= minutes * 60, "{given}\n{plan}");
            assert_eq!(
                seconds + plan["left"].as_u64().expect("whole seconds"),
                minutes * 60,
                "{given}\n{plan}"
            );
            let mut known: Vec<&str> = read.iter().map(|id| id.as_str()).collect();
            let mut seen = Vec::new();
            for (place, piece) in pieces.iter().enumerate() {
                let (kind, id) = (
                    piece["kind"].as_str().expect("a kind"),
                    piece["id"].as_str().expect("an id"),
                );
                assert!(!seen.contains(&(kind, id)), "{id} twice\n{plan}");
                seen.push((kind, id));
                assert!(!piece["why"].as_str().expect("a reason").is_empty());
                again += usize::from(kind == "again");
                if kind != "lesson" {
                    continue;
                }
                assert!(!known.contains(&id), "{id} is read\n{given}\n{plan}");
                let after = study["lessons"][id]["after"].as_array().expect("a list");
                // What was begun may have been begun out of turn, and is gone on with all the same.
                if piece["why"] != "why_begun" {
                    for before in after {
                        assert!(
                            known.contains(&before.as_str().expect("an id")),
                            "{id} before {before}\n{given}\n{plan}"
                        );
                    }
                }
                if piece["part"] == json!(true) {
                    parts += 1;
                } else {
                    known.push(id);
                }
                if place == 0 && assigned && !read.contains(&wanted) {
                    let why = piece["why"].as_str().expect("a reason");
                    assert!(["why_asked_by", "why_before"].contains(&why), "{given}\n{plan}");
                    asked_first += 1;
                }
            }
        }
        assert!(
            parts > 50 && asked_first > 50 && again > 50,
            "{parts} parts, {asked_first} asked first, {again} again"
        );
    });
}

/// Makes a plan from what is given, with an edition and a progress as the first page has them.
const PLAN: &str = "const { minutes, statements, begun, read, assigned, now } = arguments[0]; \
    const { marking, study, course } = PITWRIGHT; \
    const progress = PITWRIGHT.progress.fold([], marking); \
    for (const id of read) progress.lessons.set(id, { state: 'read', at: '2026-09-01' }); \
    const cards = PITWRIGHT.review.fold(statements, course.home, study); \
    return PITWRIGHT.plan.plan({ minutes, study, marking, progress, due: PITWRIGHT.review.due(cards, now), \
        begun: new Map([[`lesson/${begun}`, 0.4]]), pace: 1, mayTry: () => true, title: (kind, id) => id, day: (text) => text, \
        assignments: assigned ? [{ thing: { lesson: assigned }, due: '2026-10-01', done: false }] : [] });";

#[test]
fn a_break_is_planned_study_goes_on_where_it_stopped_and_questions_come_back_a_day_later() {
    let built = demo_course();
    let folder = tempfile::tempdir().expect("a temporary folder can be made");
    converse(async {
        let page = opened(built.path(), folder.path()).await;
        page.goto("index.html").await;
        page.say_who("T-07").await;
        page.goto("index.html").await;
        page.press(".break-length:nth-child(2)").await;
        page.there(".break-piece").await;
        page.until("document.activeElement.matches('.break-length[aria-pressed=true]')")
            .await;
        assert!(page.text().await.contains("Next in line"));
        page.press(".break-link").await;
        page.there(".lesson[data-far=none]").await;
        page.ask(
            "scrollTo({ top: document.querySelector('.lesson .body').children[9].offsetTop, behavior: 'instant' })",
        )
        .await;
        tokio::time::sleep(std::time::Duration::from_millis(1500)).await;
        // Where that paragraph stands on the screen. How far down the page is may change: what is far from the screen has no height yet.
        let stands = "document.querySelector('.lesson .body').children[9].getBoundingClientRect().top";
        let stopped = page.ask(&format!("return {stands}")).await.as_f64().expect("a number");

        // The length of the break is still known, and so is the place.
        page.goto("index.html").await;
        page.until(
            "document.querySelector('.break-piece') && document.body.innerText.includes('You stopped in the middle.')",
        )
        .await;
        page.press(".break-link").await;
        page.until(&format!("scrollY > 0 && Math.abs({stands} - {stopped}) < 4"))
            .await;
        page.press(".lesson-end .press-main").await;
        page.there(".read-done").await;

        page.goto("again.html").await;
        page.until("document.body.innerText.includes('The next question comes back on')")
            .await;
        page.is_quiet().await;
        let tomorrow = "const Real = Date; const ahead = 90000000; \
            globalThis.Date = class extends Real { constructor(...given) { given.length ? super(...given) : super(Real.now() + ahead); } \
            static now() { return Real.now() + ahead; } };";
        page.driver.before_every_page(tomorrow).await;
        page.goto("index.html").await;
        page.until(
            "document.querySelector('.break-piece') && document.body.innerText.includes('Questions that fade: ')",
        )
        .await;
        page.press(".break-link").await;
        page.there("#again-stem").await;
        let left = "Number(document.querySelector('.over').innerText.match(/\\d+/)[0])";
        let before = page.ask(&format!("return {left}")).await.as_u64().expect("a number");
        page.answer_due().await;
        page.press("[data-part=again] > p .press-main").await;
        page.until(&format!("document.querySelector('.over') && {left} === {}", before - 1))
            .await;
        page.until("document.activeElement.id === 'again-stem'").await;
        page.is_quiet().await;
    });
}
