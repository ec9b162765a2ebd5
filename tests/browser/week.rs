//! A trainee's first week on a phone: a break planned, a lesson, what fades, a page found, a stop told apart, a drill put away and gone
//! on with, what counts, the record handed in, the register's side, and the slip back in the course. From a folder, from the one file,
//! and from a server that is gone after the first visit.
//!
//! The competency is `raise-the-alarm`, which of all in the demo course takes the least: a test, a drill and one performance.

use super::drills::{CURED, Wanted, act, play, seeded};
use super::main_job::downloaded;
use super::page::{Page, WRONG};
use super::served::Served;
use super::slip_centre::{Centre, bring, word};
use crate::browser_driver::{Browser, converse};
use serde_json::{Value, json};
use std::fs;
use std::sync::atomic::Ordering;

const COMPETENCY: &str = "raise-the-alarm";

/// Ended as the one who finds somebody caught can end it: nobody made it worse, and those who can do more have come.
const ALARM: Wanted = Wanted {
    drill: "someone-caught",
    sort: "handed",
    hurt: None,
    acts: None,
};

enum Edition {
    Folder,
    OneFile,
    Served,
}

#[test]
fn a_first_week_from_a_folder() {
    week(&Edition::Folder);
}

#[test]
fn a_first_week_in_the_one_file() {
    week(&Edition::OneFile);
}

#[test]
fn a_first_week_without_the_server_after_the_first_visit() {
    week(&Edition::Served);
}

fn week(edition: &Edition) {
    let centre = Centre::empty();
    let [profile, downloads, phone] = ["profile", "downloads", "phone"].map(|name| centre.path(name));
    for folder in [&profile, &downloads, &phone] {
        fs::create_dir(folder).expect("it can be made");
    }
    let served = matches!(edition, Edition::Served).then(|| Served::start(centre.path("out/course")));
    let base = match (edition, &served) {
        (_, Some(served)) => served.address.clone(),
        (Edition::OneFile, _) => {
            // A folder that holds nothing else: what the file asked for would not be found.
            fs::copy(centre.path("out/course.html"), phone.join("course.html")).expect("it can be copied");
            format!("file://{}/course.html#", phone.display())
        }
        _ => format!("file://{}/", centre.path("out/course").display()),
    };
    let at = |hours_ago: i32| Page::at(Browser::Chromium, base.clone(), &profile, &downloads, hours_ago);
    converse(async {
        let page = at(120).await;
        page.goto("index.html").await;
        if let Some(served) = &served {
            page.until("navigator.serviceWorker.controller").await;
            served.cut.store(true, Ordering::SeqCst);
        }
        first_day(&page).await;
        page.driver.kill();
        let page = at(95).await;
        second_day(&page).await;
        drop(page);
        let page = at(48).await;
        what_counts(&page).await;
        drop(page);
        let page = at(1).await;
        page.hand_in().await;
        page.is_quiet().await;
    });

    let record = downloaded(&downloads);
    centre.run(&["gather", record.to_str().expect("UTF-8")]);
    centre.run(&["witness", "T-07", COMPETENCY, "--by", "TR-1", "--met", "--staged"]);
    centre.sign_off(COMPETENCY);
    let slip = centre.slip("T-07", "slip.json");

    converse(async {
        let page = at(0).await;
        page.goto("record.html").await;
        let told = bring(&page, &slip).await;
        assert!(told.starts_with("The slip of "), "{told}");
        page.there("main .slip-answers").await;
        let stands = format!(
            "const {{ says }} = PITWRIGHT.marking.competencies.find((one) => one.id === {}); \
             return [...document.querySelectorAll('main .row')].find((row) => row.innerText.includes(says) && row.querySelector('h3')).innerText",
            json!(COMPETENCY)
        );
        let stands = page.ask(&stands).await.as_str().expect("text").to_owned();
        let may = word(&page, "may_alone", json!({})).await;
        let due = format!("{}. {}", word(&page, "standing_signed", json!({})).await, before(&may));
        assert!(stands.contains(&due), "{due:?} in {stands:?}");
        page.is_quiet().await;
    });
}

/// What stands in words before the first value.
fn before(words: &str) -> &str {
    words.split('{').next().unwrap_or_default()
}

/// Ten minutes are planned; the first lesson is read to its end, its questions answered, the first of them wrongly.
async fn first_day(page: &Page) {
    page.type_into("main .who-input", "t-07").await;
    page.press("main .who-form .press").await;
    page.press(".break-length:nth-child(2)").await;
    page.there(".break-piece").await;
    page.press(".break-link").await;
    page.on("lesson/orientation.html").await;
    page.there(".ask .press-main").await;
    let asks = page
        .ask(&format!(
            "return PITWRIGHT.marking.practice[0].questions.map((question) => \
             [question.id, PITWRIGHT.mark.right(question)[0], (() => {{ {WRONG} }})()])"
        ))
        .await;
    let asks: Vec<(String, String, String)> = serde_json::from_value(asks).expect("questions");
    assert!(asks.len() > 1);
    for (at, (id, right, wrong)) in asks.iter().enumerate() {
        let place = format!(".ask[data-ask={id}]");
        let (response, told) = if at == 0 { (wrong, "wrong") } else { (right, "right") };
        page.fill(&place, response).await;
        page.press(&format!("{place} .press-main")).await;
        page.there(&format!("{place} .told-{told}")).await;
    }
    read(page).await;
    page.is_quiet().await;
}

/// Reads the lesson that is open to its end.
async fn read(page: &Page) {
    page.press(".lesson-end .press-main").await;
    page.there(".read-done").await;
}

/// What fades comes back; a page is found; a stop is told apart, and its drill practised.
async fn second_day(page: &Page) {
    page.goto("index.html").await;
    page.press(".break-link[href='again.html']").await;
    page.on("again.html").await;
    page.there("#again-stem").await;
    page.answer_due().await;
    page.press("[data-part=again] > p .press-main").await;
    page.until("document.body.innerText.includes('The next question comes back on')")
        .await;

    page.goto("find.html").await;
    let query = "hand cuaght in mashine";
    page.type_into("#find-field", query).await;
    page.there(".find-row:first-child .find-link[href*=someone-caught]")
        .await;
    // The address keeps it: the phone is put away, and it is still there.
    page.until("PITWRIGHT.address.hash().startsWith('#q=hand%20')").await;
    page.again("find.html").await;
    page.until(&format!(
        "document.querySelector('#find-field')?.value === {}",
        json!(query)
    ))
    .await;
    page.press(".find-row:first-child .find-link").await;
    page.on("lesson/someone-caught.html").await;
    read(page).await;
    page.goto("lesson/desk-and-bowlers.html").await;
    read(page).await;
    page.is_quiet().await;

    told_apart(page, CURED.drill).await;
    read(page).await;

    // The drill of that stop, put away in the middle.
    let acts = seeded(page, &CURED).await;
    page.press("[data-practise] button").await;
    let (first, rest) = acts.split_at(acts.len() / 2);
    play(page, first).await;
    page.there(".drill-so-far, .drill-happened").await;
    page.again(&format!("drill/{}.html", CURED.drill)).await;
    page.until("document.querySelectorAll('[data-practise] button').length === 2")
        .await;
    page.press("[data-practise] .press-main").await;
    for name in rest {
        act(page, name).await;
    }
    page.there(".result-passed").await;
    page.is_quiet().await;
}

/// Answers sign by sign as the stop shows itself, with the phone put away after two, until it is named; goes on to its lesson.
async fn told_apart(page: &Page, stop: &str) {
    let path = "apart/marrowbell.html";
    page.goto(path).await;
    page.there(".apart-ask").await;
    let answer = format!(
        "const {{ signs, stops }} = PITWRIGHT.stopsHere; \
         const sign = signs.find(({{ id }}) => id === document.querySelector('.apart-ask .apart-sign')?.dataset.sign); \
         return sign ? (sign.shows[stops.findIndex(({{ id }}) => id === {})] >= 50 ? 'yes' : 'no') : null",
        json!(stop)
    );
    let mut said = 0;
    while let Value::String(answer) = page.ask(&answer).await {
        page.press(&format!("[data-say={answer}]")).await;
        said += 1;
        if said == 2 {
            page.again(path).await;
        }
        page.until(&format!(
            "document.querySelectorAll('.apart-said li').length === {said}"
        ))
        .await;
    }
    assert!(said > 2, "{said} answers");
    page.press(&format!("[data-end=stands-out] .apart-to[href*='/{stop}.html']"))
        .await;
    page.on(&format!("lesson/{stop}.html")).await;
}

/// A drill and a test that count.
async fn what_counts(page: &Page) {
    let acts = seeded(page, &ALARM).await;
    page.press("[data-begin] [data-go]").await;
    page.there(".drill-report").await;
    play(page, &acts).await;
    page.there(".result-passed").await;
    page.is_quiet().await;
    page.sit_well("bank/alone.html").await;
    page.there(".result-passed").await;
    page.is_quiet().await;
}
