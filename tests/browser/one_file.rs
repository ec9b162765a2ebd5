//! The one-file edition: one HTML file, opened from a folder, that asks for nothing and keeps the same record.

use super::main_job::downloaded;
use super::page::Page;
use crate::browser_driver::{Browser, converse};
use crate::ground::demo_course;
use serde_json::Value;

/// The most that the one file may weigh: it is sent to phones.
const MOST: u64 = 3_000_000;

/// Goes into the frame that shows the page, once that page is there.
async fn inside(page: &Page, part_of_address: &str) {
    page.driver.enter_default_frame().await.expect("there is an outer page");
    page.until(&format!(
        "decodeURIComponent(location.hash).includes({part_of_address:?}) && document.querySelector('iframe') \
         && document.querySelector('iframe').contentDocument.querySelector('main')"
    ))
    .await;
    page.driver.enter_frame(0).await.expect("there is a frame");
    let path = part_of_address.split('#').next().unwrap_or_default();
    page.until(&format!(
        "globalThis.PITWRIGHT_PLACE && PITWRIGHT_PLACE.path.includes({path:?})"
    ))
    .await;
}

async fn plays(browser: Browser) -> Value {
    let built = demo_course();
    let folder = tempfile::tempdir().expect("a temporary folder can be made");
    // A folder that holds nothing else: what the file asked for would not be found.
    let alone = folder.path().join("phone");
    std::fs::create_dir(&alone).expect("it can be made");
    std::fs::copy(built.path().join("course.html"), alone.join("course.html")).expect("it can be copied");
    let profile = folder.path().join("profile");
    std::fs::create_dir(&profile).expect("it can be made");
    let page = Page::open(browser, &alone, &profile, folder.path(), 0).await;
    page.goto("course.html").await;
    inside(&page, "").await;
    page.type_into("main .who-input", "T-07").await;
    page.press("main .who-form .press").await;
    page.there(".break-length").await;

    page.press("[data-lesson=orientation] .row-link").await;
    inside(&page, "lesson/orientation.html").await;
    page.press(".lesson-end .press-main").await;
    page.there(".read-done").await;

    // A link to a heading of another page, and the way back.
    page.press(".lesson a[href*='first-ball.html']").await;
    inside(&page, "lesson/first-ball.html").await;
    page.driver.enter_default_frame().await.expect("there is an outer page");
    page.ask("history.back()").await;
    inside(&page, "lesson/orientation.html").await;

    // The same file opened again knows what was read.
    page.driver.enter_default_frame().await.expect("there is an outer page");
    page.goto("course.html#index.html").await;
    page.driver.refresh().await.expect("it opens again");
    inside(&page, "index.html").await;
    page.until("document.querySelector('[data-lesson=orientation] [data-state]').textContent.startsWith('Read ')")
        .await;

    page.press("[data-drill=short-set] .row-link").await;
    inside(&page, "drill/short-set.html").await;
    page.press("main .press").await;
    page.there(".drill-happened").await;

    page.press(".head-ways a[href*=record]").await;
    inside(&page, "record.html").await;
    page.press("[data-part=record-page] .press-main").await;
    let file = downloaded(folder.path());
    page.driver.enter_default_frame().await.expect("there is an outer page");
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
