//! The record page: what is missing and why, what was handed in and when, and when somebody is reminded of it.

use super::page::Page;
use super::slip_centre::*;
use super::way::way;
use crate::browser_driver::{Browser, converse};
use crate::ground::demo_course;
use serde_json::{Value, json};
use std::fs;
use std::path::Path;

async fn unfold(page: &Page) {
    page.ask("document.querySelectorAll('main details').forEach((one) => { one.open = true; })")
        .await;
}

/// All that stands under a competency, by how its sentence begins.
async fn missing(page: &Page, says: &str) -> String {
    page.there("main .lack-lead").await;
    unfold(page).await;
    let text = page
        .ask(&format!(
            "return [...document.querySelectorAll('main .row:has(.lack-head)')].find((one) => one.innerText.startsWith({}))?.innerText",
            json!(says)
        ))
        .await;
    text.as_str()
        .unwrap_or_else(|| panic!("{says} is not on the page"))
        .to_owned()
}

fn has_all(text: &str, due: &[String]) {
    for due in due {
        assert!(text.contains(due.as_str()), "{due:?} in {text}");
    }
}

const LOCK_OUT: &str = "Locks out a pair";

#[test]
fn what_is_missing_is_told_with_its_reason() {
    let centre = Centre::open();
    let slip = centre.slip("T-07", "slip.json");
    converse(async {
        let page = centre.page(Browser::Chromium, 0).await;
        page.say_who("T-07").await;
        let none = json!({});
        // An empty record: all is open, and what a browser cannot know is not claimed.
        let text = missing(&page, LOCK_OUT).await;
        let mut due = Vec::new();
        for key in [
            "lack_missing",
            "lack_unread",
            "lack_untried",
            "lack_unknown",
            "lack_signature_unknown",
        ] {
            due.push(word(&page, key, none.clone()).await);
        }
        due.push(word(&page, "lack_watched_unknown", json!({ "times": 3 })).await);
        has_all(&text, &due);
        let alone = word(&page, "may_alone", none.clone()).await;
        let alone = alone.split('{').next().expect("a beginning");
        assert!(!page.text().await.contains(alone), "nobody may anything without a slip");

        // The record alone: read and passed, and still nothing of watching and signing.
        bring(&page, &centre.path("record-T-07.json")).await;
        let text = missing(&page, LOCK_OUT).await;
        for key in [
            "lack_nothing_here",
            "lack_done",
            "passed",
            "lack_unknown",
            "lack_signature_unknown",
        ] {
            has_all(&text, &[word(&page, key, none.clone()).await]);
        }
        assert!(
            text.contains("League night, lane 6") && text.contains("Try 1, "),
            "{text}"
        );
        for key in ["lack_missing", "lack_untried", "lack_unread"] {
            let not = word(&page, key, none.clone()).await;
            assert!(!text.contains(&not), "{not:?} in {text}");
        }
        assert!(!page.text().await.contains(alone), "nor by what was read and passed");

        // With the slip: how often watched, and until when the signature answers.
        bring(&page, &slip).await;
        let day = page
            .ask(&format!("return PITWRIGHT.day({})", issued(&slip).as_millisecond()))
            .await;
        let text = missing(&page, LOCK_OUT).await;
        has_all(
            &text,
            &[
                word(&page, "lack_watched", json!({ "got": 3, "times": 3, "slip": day })).await,
                word(&page, "lack_watched_real", json!({ "got": 1, "real": 1 })).await,
                word(&page, "lack_short_signed", none.clone()).await,
            ],
        );
        let other = missing(&page, "Finds a ball held").await;
        has_all(
            &other,
            &[
                word(&page, "lack_unread", none.clone()).await,
                word(&page, "lack_watched", json!({ "got": 0, "times": 3, "slip": day })).await,
                word(&page, "lack_signature_none", json!({ "slip": day })).await,
                word(&page, "lack_lines", json!({ "slip": day })).await,
            ],
        );
        assert!(page.text().await.contains(alone), "the slip says so");

        // Failed after the slip: it stands first, and the page no longer says what the slip says.
        page.begin("scenario/league-night.html").await;
        let marking = page.ask("return PITWRIGHT.marking").await;
        for choice in way(&marking, |ends, hurt, _| ends == "unsafe" && hurt) {
            page.answer(&choice).await;
        }
        page.until("!document.body.dataset.running").await;
        page.goto("record.html").await;
        let text = missing(&page, LOCK_OUT).await;
        let unsafe_word = word(&page, "lack_unsafe", none.clone()).await;
        has_all(
            &text,
            &[
                word(&page, "lack_signature_failed", json!({ "slip": day })).await,
                unsafe_word.split('{').next().expect("a beginning").to_owned(),
                "Try 1, ".to_owned(),
            ],
        );
        let first = page
            .ask("return document.querySelector('main .row:has(.lack-head)').innerText")
            .await;
        let failed = word(&page, "lack_short_failed", none.clone()).await;
        assert!(first.as_str().is_some_and(|first| first.contains(&failed)), "{first}");
        assert!(!page.text().await.contains(alone), "{}", page.text().await);
        // Nor does a page where hands go in.
        asks_the_trainer(
            &page,
            "extra-pin",
            &word(&page, "alone_failed", json!({ "date": day })).await,
        )
        .await;
        page.is_quiet().await;
        page.driver.kill();
    });
}

async fn demo(folder: &Path, course: &Path) -> Page {
    let downloads = folder.join("downloads");
    fs::create_dir_all(&downloads).expect("it can be made");
    Page::open(Browser::Chromium, course, &folder.join("profile"), &downloads, 0).await
}

/// Makes a store as the version before the list of hand-ins left it.
const OLD_STORE: &str = "const [course, rows] = arguments; const done = arguments[2]; \
    const opening = indexedDB.open(`pitwright:${course}`, 3); \
    opening.onupgradeneeded = () => { const base = opening.result; \
        const statements = base.createObjectStore('statements', { keyPath: 'n', autoIncrement: true }); \
        statements.createIndex('id', 'id', { unique: true }); statements.createIndex('code', 'code'); \
        base.createObjectStore('sittings', { keyPath: 'registration' }); \
        for (const name of ['settings', 'slips', 'places']) base.createObjectStore(name); }; \
    opening.onerror = () => done(String(opening.error)); \
    opening.onsuccess = () => { const base = opening.result; \
        const all = base.transaction(['statements', 'settings', 'slips', 'places'], 'readwrite'); \
        rows.forEach((row) => all.objectStore('statements').add(row)); \
        all.objectStore('settings').put('T-07', 'who'); all.objectStore('slips').put({ kept: true }, 'T-07'); \
        all.objectStore('places').put(7, ['T-07', 'orientation']); \
        all.oncomplete = () => { base.close(); done(true); }; };";

/// A statement of reading, as far as a store and its folds ask for it.
fn reading(home: &str, number: u32, at: &str) -> Value {
    json!({
        "id": format!("00000000-0000-4000-8000-{number:012}"), "timestamp": at,
        "actor": { "account": { "homePage": home, "name": "T-07" } },
        "verb": { "id": "http://adlnet.gov/expapi/verbs/completed" },
        "object": { "id": format!("{home}/lesson/orientation") },
        "context": { "extensions": { "https://pitwright.example/xapi/edition": 1 } },
    })
}

#[test]
fn hand_ins_are_listed_and_a_store_of_before_loses_nothing() {
    let built = demo_course();
    let course = built.path().join("course");
    let folder = tempfile::tempdir().expect("a temporary folder can be made");
    fs::write(course.join("bare.html"), "<!doctype html><title>Bare</title>").expect("it can be written");
    let home = "https://thistlegauge.example";
    let now = jiff::Timestamp::now().to_string();
    let handed = [
        json!("2026-03-02T10:00:00.000Z"),
        json!("2026-03-02T10:00:00.000Z"),
        json!("2026-03-05T10:00:00.000Z"),
        Value::Null,
    ];
    let rows: Vec<Value> = (0..4)
        .map(|at| {
            let statement = reading(home, at, &now);
            json!({ "id": statement["id"], "code": "T-07", "statement": statement, "handed": handed[at as usize] })
        })
        .collect();
    converse(async {
        let page = demo(folder.path(), &course).await;
        page.goto("bare.html").await;
        let id = fs::read_to_string(course.join("store.html")).expect("it is there");
        let id = id
            .split("data-course=\"")
            .nth(1)
            .and_then(|rest| rest.split('"').next())
            .expect("it names its course");
        let made = page
            .driver
            .execute_async(OLD_STORE, vec![json!(id), json!(rows)])
            .await
            .expect("the script runs");
        assert_eq!(*made.json(), json!(true));

        page.goto("record.html").await;
        page.there("main .handed-item").await;
        let kept = page
            .ask(
                "return (async () => { const { keeper } = PITWRIGHT; return [await keeper.statements('T-07'), \
                 await keeper.slip('T-07'), await keeper.places('T-07'), await keeper.handings('T-07'), await keeper.who()]; })()",
            )
            .await;
        let due: Vec<Value> = rows
            .iter()
            .map(|row| json!({ "statement": row["statement"], "handed": row["handed"] }))
            .collect();
        assert_eq!(kept[0], json!(due), "every statement, and when it was handed in");
        assert_eq!(
            (&kept[1], &kept[2], &kept[4]),
            (&json!({ "kept": true }), &json!([["orientation", 7]]), &json!("T-07"))
        );
        assert_eq!(
            kept[3],
            json!([
                { "when": handed[0], "file": null, "count": 2 },
                { "when": handed[2], "file": null, "count": 1 },
            ])
        );
        unfold(&page).await;
        let text = page.text().await;
        has_all(
            &text,
            &[
                word(&page, "record_unhanded", json!({ "count": 1 })).await,
                word(&page, "handed_list", json!({ "count": 2 })).await,
                word(&page, "handed_no_name", json!({})).await,
                word(&page, "handed_count", json!({ "count": 2 })).await,
            ],
        );

        // Handed in now: at once on the list, by its file's name, and still there when the page is opened again.
        page.press("main .hand-press").await;
        page.until("document.querySelector('main .hand-told:not(:empty)')")
            .await;
        page.until("document.querySelectorAll('main .handed-item').length === 3")
            .await;
        page.goto("record.html").await;
        page.there("main .handed-item").await;
        unfold(&page).await;
        let items = page
            .ask("return [...document.querySelectorAll('main .handed-item')].map((one) => one.innerText)")
            .await;
        let newest = items[0].as_str().expect("text");
        assert!(
            newest.contains("record-T-07-") && newest.contains("entries: 4"),
            "{items}"
        );
        has_all(&page.text().await, &[word(&page, "record_handed", json!({})).await]);
        page.is_quiet().await;
        page.driver.kill();
    });
}

/// Rows as `[verb, hours ago, handed in]`, how many of them, and what it comes to.
const DUE: &str = "return arguments[0].map((lists) => { const now = 1790000000000; \
    const rows = lists.flatMap(([count, verb, hours, handed]) => Array.from({ length: count }, () => ({ \
        handed: handed ? 'x' : null, statement: { verb: { id: `v/${verb}` }, timestamp: new Date(now - hours * 3600000).toISOString() } }))); \
    return PITWRIGHT.waiting(rows, now); })";

#[test]
fn somebody_is_reminded_of_handing_in_when_it_is_time() {
    let built = demo_course();
    let folder = tempfile::tempdir().expect("a temporary folder can be made");
    converse(async {
        let page = demo(folder.path(), &built.path().join("course")).await;
        page.goto("index.html").await;
        let cases = [
            (json!([]), 0, ""),
            (json!([[24, "answered", 1, false]]), 24, ""),
            (json!([[25, "answered", 1, false]]), 25, "many"),
            (json!([[24, "answered", 1, false], [9, "answered", 300, true]]), 24, ""),
            (json!([[1, "completed", 167, false]]), 1, ""),
            (json!([[1, "completed", 168, false]]), 1, "old"),
            (json!([[1, "completed", 168, true]]), 0, ""),
            (json!([[1, "failed", 23, false]]), 1, ""),
            (json!([[1, "failed", 24, false]]), 1, "tried"),
            (json!([[1, "passed", 24, false]]), 1, "tried"),
            (json!([[1, "passed", 24, true]]), 0, ""),
            // Begun and answered, but not over: nothing to hand in yet that a trainer waits for.
            (json!([[1, "attempted", 30, false], [5, "answered", 30, false]]), 6, ""),
            (
                json!([[30, "answered", 200, false], [1, "passed", 24, false]]),
                31,
                "tried",
            ),
            (json!([[30, "answered", 200, false]]), 30, "old"),
        ];
        let asked: Vec<&Value> = cases.iter().map(|(rows, ..)| rows).collect();
        let made = page
            .driver
            .execute(DUE, vec![json!(asked)])
            .await
            .expect("the script runs");
        for ((rows, count, due), made) in cases.iter().zip(made.json().as_array().expect("a list")) {
            assert_eq!(*made, json!({ "count": count, "due": due }), "{rows}");
        }

        page.say_who("T-07").await;
        page.ask(
            "return (async () => { const { statement, course, keeper } = PITWRIGHT; \
             const sitting = { ...statement.frame(course, 'T-07'), registration: statement.uuid(), kind: 'bank', id: 'alone', title: 'x', edition: 1, seed: '0', max: 1 }; \
             const all = [statement.begun(sitting)]; all.push(await statement.ended(sitting, all, { passed: false, raw: 0 })); \
             for (const one of all) { one.timestamp = new Date(Date.now() - 25 * 3600000).toISOString(); await keeper.add(one); } return true; })()",
        )
        .await;
        page.goto("record.html").await;
        page.there("main .hand-due").await;
        let tried = word(&page, "unhanded_tried", json!({})).await;
        has_all(
            &page.text().await,
            &[
                tried.clone(),
                word(&page, "record_unhanded", json!({ "count": 2 })).await,
            ],
        );
        assert!(
            page.ask("return !document.querySelector('[data-notice=unhanded]')")
                .await
                == json!(true),
            "the record page says it in its own place"
        );
        page.goto("index.html").await;
        page.there("[data-notice=unhanded]").await;
        has_all(
            &page.text().await,
            &[tried, word(&page, "unhanded_only_here", json!({ "count": 2 })).await],
        );
        page.press("[data-notice=unhanded] .press").await;
        page.until("document.querySelector('[data-notice=unhanded]').innerText.includes('record-T-07-')")
            .await;
        page.goto("record.html").await;
        page.there("main .handed-item").await;
        assert!(page.ask("return !document.querySelector('.hand-due')").await == json!(true));
        page.goto("index.html").await;
        page.there("main .standing-pins").await;
        assert!(
            page.ask("return !document.querySelector('[data-notice=unhanded]')")
                .await
                == json!(true)
        );
        page.is_quiet().await;
        page.driver.kill();
    });
}
