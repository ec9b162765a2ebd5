//! Where a drill stands on the first page and on the record, after runs that ended in each way.

use super::page::Page;
use crate::browser_driver::{Browser, converse};
use crate::ground::demo_course;
use serde_json::{Value, json};

/// Puts runs on record as the drill page does: the drill, its acts, and how it ended.
const RUNS: &str = "const done = arguments[arguments.length - 1]; (async () => { \
    const { statement, marking, course, keeper } = PITWRIGHT; \
    const runs = [['extra-pin', ['tell-desk', 'lift-extra-pin.3'], 'passed'], ['short-set', ['tell-desk', 'leave-it'], 'failed'], \
        ['no-cycle', ['tell-desk'], 'left'], ['lock-out', ['tell-desk'], 'open']]; \
    for (const [id, acts, how] of runs) { \
        const { title, edition } = marking.drills.find((one) => one.id === id); \
        const frame = statement.frame(course, 'T-07'); \
        const sitting = { ...frame, registration: statement.uuid(), kind: 'drill', id, title, edition, seed: '0'.repeat(31) + '1', max: 1 }; \
        const all = [statement.begun(sitting)]; \
        await keeper.begin(sitting, all[0]); \
        for (const act of acts) { \
            all.push(statement.answered(sitting, all, act.split('.')[0], act, null, [])); \
            await keeper.answer(sitting.registration, all[all.length - 1]); \
        } \
        const passed = how === 'passed'; \
        if (how === 'open') await keeper.hold(sitting.registration); \
        else if (how !== 'left') await keeper.end(sitting.registration, await statement.ended(sitting, all, { passed, raw: passed ? 1 : 0 })); \
    } \
    await PITWRIGHT.settleLeft(); await PITWRIGHT.here.set(null); await PITWRIGHT.here.set('T-07'); })().then(() => done(null), (error) => done(String(error.stack)));";

async fn texts(page: &Page, selector: &str) -> Vec<String> {
    let script = format!(
        "return Array.from(document.querySelectorAll({}), (one) => one.textContent)",
        json!(selector)
    );
    let found = page.ask(&script).await;
    let all = found.as_array().expect("a list").iter();
    all.map(|text| text.as_str().unwrap_or_default().to_owned()).collect()
}

async fn state_of(page: &Page, drill: &str) -> String {
    let all = texts(page, &format!("[data-drill={drill}] [data-state]")).await;
    all.concat()
}

#[test]
fn drills_stand_on_the_first_page_and_on_the_record_as_they_went() {
    let built = demo_course();
    let folder = tempfile::tempdir().expect("a temporary folder can be made");
    converse(async {
        let (profile, course) = (folder.path().join("profile"), built.path().join("course"));
        let page = Page::open(Browser::Chromium, &course, &profile, folder.path(), 0).await;
        page.say_who("T-07").await;
        page.goto("index.html").await;
        page.until("document.querySelector('[data-drill=extra-pin] [data-pin] svg')")
            .await;
        let told = page
            .driver
            .execute_async(RUNS, Vec::new())
            .await
            .expect("the script runs");
        assert_eq!(*told.json(), Value::Null);
        // The one that is not over is held by this page, so it is looked at before any other page is opened.
        page.until("document.querySelector('[data-drill=extra-pin] [data-state]').textContent.startsWith('Passed ')")
            .await;
        let passed = state_of(&page, "extra-pin").await;
        assert!(!passed.contains(" of "), "a run has no score: {passed}");
        assert!(state_of(&page, "short-set").await.starts_with("Not passed on "));
        assert!(state_of(&page, "no-cycle").await.starts_with("Not passed on "));
        assert!(state_of(&page, "lock-out").await.starts_with("Not over"));
        let drills = page.ask("return PITWRIGHT.marking.drills.length").await;
        assert!(page.text().await.contains(&format!("1 of {drills} drills passed")));
        page.is_quiet().await;

        page.goto("record.html").await;
        page.there("main .rows .row-title").await;
        let rows = texts(&page, "main li.row:has(details)").await;
        let row = |title: &str| {
            let found = rows.iter().find(|row| row.starts_with(title));
            found.unwrap_or_else(|| panic!("{title} in {rows:?}")).clone()
        };
        for (title, parts) in [
            ("Extra pin: two in one cup: Passed", ["Drill · ", "Acts: 2."]),
            (
                "Short set: fewer than ten in the cups: Not passed",
                ["Acts: 1.", "Given up."],
            ),
            (
                "No cycle: the sweep motor has tripped: Not passed",
                ["Left before its end", "Acts: 1."],
            ),
        ] {
            let row = row(title);
            assert!(parts.iter().all(|part| row.contains(part)), "{parts:?} in {row}");
            assert!(!row.contains(" of 1"), "a run has no score: {row}");
        }
        page.is_quiet().await;
    });
}
