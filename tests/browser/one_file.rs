//! The one-file edition: one HTML file, opened from a folder, that asks for nothing and keeps the same record.

use super::main_job::downloaded;
use super::page::Page;
use crate::browser_driver::{Browser, converse};
use crate::ground::demo_course;
use serde_json::Value;

/// The most that the one file may weigh: it is sent to phones.
const MOST: u64 = 3_000_000;

async fn plays(browser: Browser) -> Value {
    let built = demo_course();
    let folder = tempfile::tempdir().expect("a temporary folder can be made");
    // A folder that holds nothing else: what the file asked for would not be found.
    let alone = folder.path().join("phone");
    std::fs::create_dir(&alone).expect("it can be made");
    std::fs::copy(built.path().join("course.html"), alone.join("course.html")).expect("it can be copied");
    let profile = folder.path().join("profile");
    std::fs::create_dir(&profile).expect("it can be made");
    let base = format!("file://{}/course.html#", alone.display());
    let page = Page::at(browser, base, &profile, folder.path(), 0).await;
    page.goto("").await;
    page.type_into("main .who-input", "T-07").await;
    page.press("main .who-form .press").await;
    page.there(".break-length").await;

    page.press("[data-lesson=orientation] .row-link").await;
    page.on("lesson/orientation.html").await;
    page.press(".lesson-end .press-main").await;
    page.there(".read-done").await;

    // A link to a heading of another page, and the way back.
    page.press(".lesson a[href*='first-ball.html']").await;
    page.on("lesson/first-ball.html").await;
    page.outer().await;
    page.ask("history.back()").await;
    page.on("lesson/orientation.html").await;

    // The same file opened again knows what was read.
    page.goto("index.html").await;
    page.until("document.querySelector('[data-lesson=orientation] [data-state]').textContent.startsWith('Read ')")
        .await;

    page.press(".module:has([data-drill=short-set]) summary").await;
    page.press("[data-drill=short-set] .row-link").await;
    page.on("drill/short-set.html").await;
    page.press("main .press").await;
    page.there(".drill-happened").await;

    // What a page keeps in its address stands in that of the file, and is there when the file is opened again.
    page.goto("apart/marrowbell.html").await;
    page.press("[data-say=no]").await;
    page.there(".apart-said li").await;
    page.press(".apart-ask [data-say=unseen]").await;
    page.until("document.querySelectorAll('.apart-said li').length === 2")
        .await;
    page.again("apart/marrowbell.html").await;
    page.until("document.querySelectorAll('.apart-said li').length === 2")
        .await;
    page.press("[data-anew]").await;
    page.again("apart/marrowbell.html").await;
    page.there(".apart-ask").await;
    page.until("!document.querySelector('.apart-said')").await;
    page.goto("find.html#q=100%25%20%23%20elevater").await;
    page.until(
        "document.querySelector('#find-field')?.value === '100% # elevater' && document.querySelector('.find-link')",
    )
    .await;

    page.press(".head-ways a[href*=record]").await;
    page.on("record.html").await;
    page.press("[data-part=record-page] .press-main").await;
    let file = downloaded(folder.path());
    page.outer().await;
    let complaints = page.driver.errors().await;
    assert!(complaints.is_empty(), "{complaints:?}");
    serde_json::from_slice(&std::fs::read(file).expect("it was saved")).expect("it is JSON")
}

#[test]
fn one_file_is_light_and_holds_nothing_but_itself() {
    let built = demo_course();
    let bytes = std::fs::read(built.path().join("course.html")).expect("it was built");
    assert!((bytes.len() as u64) < MOST, "{} bytes", bytes.len());
    let text = String::from_utf8(bytes).expect("it is text");
    assert!(!text.contains("src=\"http") && !text.contains("href=\"http"));
}

#[test]
fn one_file_in_chromium_keeps_a_record_that_can_be_handed_in() {
    let record = converse(plays(Browser::Chromium));
    assert!(record.to_string().contains("/lesson/orientation"));
}

#[test]
fn one_file_in_firefox_keeps_a_record_that_can_be_handed_in() {
    let record = converse(plays(Browser::Firefox));
    assert!(record.to_string().contains("/lesson/orientation"));
}
