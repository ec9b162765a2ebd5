//! One trainee's day: read, sit the bank (and lose the browser in the middle of it), play the call into harm and then well,
//! hand in; then the trainer's side.

use super::kinds::marking_of;
use super::page::Page;
use super::way::{played, way};
use crate::browser_driver::{Browser, converse};
use crate::ground::{copy, demo_course, out, pitwright};
use serde_json::Value;
use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};

/// The record that was handed in, once it is whole.
pub fn downloaded(folder: &Path) -> PathBuf {
    let end = Instant::now() + Duration::from_secs(10);
    loop {
        let whole = std::fs::read_dir(folder)
            .expect("the folder is there")
            .filter_map(Result::ok)
            .find(|entry| {
                let name = entry.file_name().to_string_lossy().into_owned();
                name.starts_with("record-T-07-") && name.ends_with(".json")
            });
        if let Some(entry) = whole {
            return entry.path();
        }
        assert!(Instant::now() < end, "no record was handed in");
        std::thread::sleep(Duration::from_millis(50));
    }
}

#[test]
fn a_record_made_in_chromium_that_was_killed_is_gathered_and_stands() {
    main_job(Browser::Chromium);
}

#[test]
fn a_record_made_in_firefox_that_was_killed_is_gathered_and_stands() {
    main_job(Browser::Firefox);
}

fn main_job(browser: Browser) {
    let folder = tempfile::tempdir().expect("a temporary folder can be made");
    // A path as people have them.
    let built = folder.path().join("my course");
    copy(demo_course().path(), &built);
    let course = built.join("course");
    let (profile, downloads) = (folder.path().join("profile"), folder.path().join("downloads"));
    std::fs::create_dir(&profile).expect("it can be made");
    std::fs::create_dir(&downloads).expect("it can be made");
    converse(async {
        first_shift(browser, &course, &profile, &downloads).await;
        second_shift(browser, &course, &profile, &downloads).await;
    });
    let record = downloaded(&downloads);
    trainers_side(folder.path(), &built, &record);
}

/// Fourteen hours ago: read, lose the browser in mid-attempt, come back, play the call into harm.
async fn first_shift(browser: Browser, course: &Path, profile: &Path, downloads: &Path) {
    let page = Page::open(browser, course, profile, downloads, 14).await;
    page.goto("index.html").await;
    page.is_quiet().await;
    page.say_who(" t-07 ").await;
    page.is_quiet().await;
    page.goto("lesson/lockout.html").await;
    page.press("[data-part=read-to-end] .press-main").await;
    page.there(".read-done").await;
    page.is_quiet().await;

    page.begin("bank/alone.html").await;
    for _ in 0..3 {
        page.answer_right().await;
    }
    page.is_quiet().await;
    page.driver.kill();

    let page = Page::open(browser, course, profile, downloads, 14).await;
    page.goto("record.html").await;
    // Nothing is lost: who it was, what was read, the attempt with its three answers; and leaving it has failed it.
    page.there("main .rows .row").await;
    page.until("document.querySelector('[data-part=notices]').innerText.length > 0")
        .await;
    let text = page.text().await;
    let left = page.ask("return PITWRIGHT.word('record_left')").await;
    assert!(text.contains(left.as_str().expect("words")), "{text}");
    let three = page
        .ask("return PITWRIGHT.word('score_words', { got: 3, all: 15 })")
        .await;
    assert!(text.contains(three.as_str().expect("words")), "{text}");
    // A second try has to wait.
    page.goto("bank/alone.html").await;
    page.there(".begin-not").await;
    assert_eq!(
        page.ask("return document.querySelectorAll('[data-begin] [data-go]').length")
            .await,
        0
    );

    page.begin("scenario/league-night.html").await;
    let marking = page.ask("return PITWRIGHT.marking").await;
    let harm = way(&marking, |ends, hurt, _| ends == "unsafe" && hurt);
    for choice in &harm {
        page.answer(choice).await;
    }
    page.there("main h1").await;
    let failed = page.ask("return document.querySelector('main').innerText").await;
    let word = page.ask("return PITWRIGHT.word('failed')").await;
    let failed = failed.as_str().expect("text").to_lowercase();
    assert!(
        failed.contains(&word.as_str().expect("a word").to_lowercase()),
        "{failed}"
    );
    page.is_quiet().await;
}

/// An hour ago: both again, well; then hand in.
async fn second_shift(browser: Browser, course: &Path, profile: &Path, downloads: &Path) {
    let page = Page::open(browser, course, profile, downloads, 1).await;
    page.sit_well("bank/alone.html").await;
    page.is_quiet().await;

    page.begin("scenario/league-night.html").await;
    let marking = page.ask("return PITWRIGHT.marking").await;
    let pass = played(&marking)["pass"].as_u64().expect("a pass mark");
    let well = way(&marking, |ends, hurt, marks| ends == "safe" && !hurt && marks >= pass);
    for choice in &well {
        page.answer(choice).await;
    }
    page.until("!document.body.dataset.running").await;
    page.is_quiet().await;

    page.hand_in().await;
    page.is_quiet().await;
}

/// Runs the program on a house's own register in this folder.
pub fn house(folder: &Path) -> impl Fn(&[&str]) -> std::process::Output {
    let register = folder.join("house.register");
    move |arguments| {
        let mut all = arguments.to_vec();
        all.extend(["--register", register.to_str().expect("UTF-8")]);
        pitwright(register.parent().expect("it lies in a folder"), &all)
    }
}

fn trainers_side(folder: &Path, built: &Path, record: &Path) {
    let statements: Value = serde_json::from_slice(&std::fs::read(record).expect("it is there")).expect("it is JSON");
    let number = statements.as_array().expect("a list of statements").len();
    let (marking, _) = marking_of(built);
    let run = house(folder);
    let gather = [
        "--json",
        "gather",
        record.to_str().expect("UTF-8"),
        "--marking",
        marking.to_str().expect("UTF-8"),
    ];
    let first = run(&gather);
    assert!(
        first.status.success(),
        "{}{}",
        out(&first),
        String::from_utf8_lossy(&first.stderr)
    );
    let counts = |output: &std::process::Output| -> Value {
        serde_json::from_str(&out(output)).unwrap_or_else(|why| panic!("{why}: {}", out(output)))
    };
    let first = counts(&first);
    assert_eq!(
        first["files"][0]["new"]
            .as_array()
            .map(Vec::len)
            .or(first["files"][0]["new"].as_u64().map(|n| n as usize)),
        Some(number),
        "{first}"
    );
    let again = run(&gather);
    let again = counts(&again);
    assert_eq!(
        again["files"][0]["new"]
            .as_array()
            .map(Vec::len)
            .or(again["files"][0]["new"].as_u64().map(|n| n as usize)),
        Some(0),
        "{again}"
    );

    let standing = out(&run(&["standing", "T-07"]));
    for part in [
        "“Before you work alone” on",
        "with 15 of 15",
        "“League night, lane 6” on",
        "left",
        "3 of 15",
    ] {
        assert!(standing.contains(part), "{part} is missing from:\n{standing}");
    }
    let audit = run(&["audit"]);
    assert!(audit.status.success(), "{}", out(&audit));
}
