//! The way back: slips made by the command, brought into the course by a real browser, refused where they must be, and
//! what a page where hands go in answers by them.

use super::page::Page;
use super::slip_centre::*;
use super::{accessible, valid};
use crate::browser_driver::{Browser, converse};
use crate::keys;
use jiff::SignedDuration;
use pitwright::record::stamp;
use serde_json::{Value, json};
use std::fs;
use std::path::Path;

#[test]
fn a_slip_comes_back_into_chromium() {
    back_into(Browser::Chromium);
}

#[test]
fn a_slip_comes_back_into_firefox() {
    back_into(Browser::Firefox);
}

fn back_into(browser: Browser) {
    let centre = Centre::open();
    let slip = centre.slip("T-07", "slip.json");
    converse(async {
        let page = centre.page(browser, 0).await;
        page.say_who("T-07").await;
        asks_the_trainer(&page, "extra-pin", &word(&page, "alone_none", json!({})).await).await;
        let told = bring(&page, &slip).await;
        let day = page
            .ask(&format!("return PITWRIGHT.day({})", issued(&slip).as_millisecond()))
            .await;
        assert_eq!(told, word(&page, "slip_taken", json!({ "date": day })).await);
        says_all(&page, &slip).await;
        page.is_quiet().await;
        page.driver.kill();

        let page = centre.page(browser, 0).await;
        page.goto("record.html").await;
        says_all(&page, &slip).await;
        let until = until(&page, &slip).await;
        let may = word(&page, "alone_may", json!({ "until": until })).await;
        for lesson in ["extra-pin", "lockout"] {
            let says = alone(&page, lesson).await;
            assert!(says.starts_with(&may), "{may:?} in {says:?}");
        }
        let not = word(&page, "alone_not", json!({ "date": day })).await;
        asks_the_trainer(&page, "ball-held-at-exit", &not).await;
        page.is_quiet().await;

        // Somebody else at the same PC.
        is_here(&page, "T-08").await;
        assert!(!page.text().await.contains(&until), "nothing of it is shown to another");
        asks_the_trainer(&page, "extra-pin", &word(&page, "alone_none", json!({})).await).await;
        let told = bring(&page, &slip).await;
        let due = word(&page, "slip_other_person", json!({ "code": "T-07", "mine": "T-08" })).await;
        assert!(told.contains(&due), "{due:?} in {told:?}");
        page.driver.kill();

        // By the clock it answers to the last hour, and no longer; and not before it was made.
        let days = i32::try_from(centre.marking["slipDays"].as_u64().expect("days")).expect("few");
        let page = centre.page(browser, -24 * days + 1).await;
        is_here(&page, "T-07").await;
        assert!(alone(&page, "extra-pin").await.starts_with(&may));
        page.driver.kill();
        let page = centre.page(browser, -24 * days - 1).await;
        let old = word(&page, "alone_old", json!({ "date": day, "days": days })).await;
        asks_the_trainer(&page, "extra-pin", &old).await;
        page.goto("record.html").await;
        page.there("main .slip-silent").await;
        let text = page.text().await;
        assert!(
            text.contains(&word(&page, "slip_no_longer", json!({ "days": days })).await),
            "{text}"
        );
        assert!(!text.contains(&until), "nobody may alone any more: {text}");
        let overdue = word(&page, "asked_overdue", json!({ "date": "" })).await;
        assert!(text.contains(&overdue), "{text}");
        let told = bring(&page, &slip).await;
        assert!(
            told.contains(&word(&page, "slip_old", json!({ "date": day, "days": days })).await),
            "{told}"
        );
        page.driver.kill();
        let page = centre.page(browser, 1).await;
        asks_the_trainer(&page, "extra-pin", &word(&page, "slip_future", json!({})).await).await;
        page.driver.kill();
    });
}

/// Until when the slip answers, as the page writes it.
async fn until(page: &Page, slip: &Path) -> String {
    let until = page
        .ask(&format!(
            "return PITWRIGHT.moment({} + PITWRIGHT.marking.slipDays * 86400000)",
            issued(slip).as_millisecond()
        ))
        .await;
    until.as_str().expect("text").to_owned()
}

/// The record page shows standing, what is missing, what was asked for and until when the slip answers.
async fn says_all(page: &Page, slip: &Path) {
    page.there("main .slip-answers").await;
    // What is not signed off is folded.
    page.ask("document.querySelectorAll('main details').forEach((one) => { one.open = true; })")
        .await;
    let text = page.text().await;
    let until = until(page, slip).await;
    let mut due = vec![
        word(page, "slip_answers", json!({ "until": until })).await,
        word(page, "may_alone", json!({ "until": until })).await,
        word(page, "asked_open", json!({})).await,
        word(page, "asked_due", json!({ "date": "" })).await,
    ];
    for key in ["standing_signed", "standing_studying", "may_nothing"] {
        due.push(word(page, key, json!({})).await);
    }
    due.push("read “Ball held at the exit” to its end".to_owned());
    for due in due {
        assert!(text.contains(&due), "{due:?} in {text}");
    }
}

#[test]
fn a_slip_that_is_not_good_is_refused_with_a_plain_sentence() {
    let centre = Centre::open();
    let good = centre.slip("T-07", "good.json");
    let at = |days: i64| stamp(issued(&good) + SignedDuration::from_hours(24 * days));
    let bytes = fs::read_to_string(&good).expect("it is there");
    // One byte, which is still the digit of a hash.
    let byte = centre.path("byte.json");
    let at_digit = bytes.find("\"marking\": \"").expect("it names its marking") + "\"marking\": \"".len();
    let other = if &bytes[at_digit..=at_digit] == "0" { "1" } else { "0" };
    fs::write(&byte, [&bytes[..at_digit], other, &bytes[at_digit + 1..]].concat()).expect("it can be written");
    let digit = centre.path("digit.json");
    fs::write(&digit, bytes.replacen("\"format\": 1", "\"format\": 2", 1)).expect("it can be written");
    let alone = |slip: &mut Value| {
        for stands in slip["standings"].as_array_mut().expect("a list") {
            stands["may"] = json!("alone");
            stands["until"] = json!("2099-01-01");
        }
    };
    let cases = [
        (byte, "slip_altered"),
        (digit, "slip_not_one"),
        // Forged: signed, but by a key that the course does not name; or with a key that is named, over something else.
        (
            centre.another(&good, "forged.json", Some("T-07"), alone),
            "slip_unknown_key",
        ),
        (centre.another(&good, "unsigned.json", None, alone), "slip_altered"),
        (
            centre.another(&good, "swapped.json", None, |slip| {
                slip["proof"]["verificationMethod"] = json!(keys::key("MG-1").public().method());
            }),
            "slip_altered",
        ),
        (
            centre.another(&good, "course.json", Some("TR-1"), |slip| {
                slip["course"] = json!("another")
            }),
            "slip_other_course",
        ),
        (
            centre.another(&good, "home.json", Some("TR-1"), |slip| {
                slip["home"] = json!("https://other.example")
            }),
            "slip_other_course",
        ),
        (
            centre.another(&good, "own.json", Some("TR-1"), |slip| slip["person"] = json!("TR-1")),
            "slip_own",
        ),
        (
            centre.another(&good, "future.json", Some("TR-1"), |slip| slip["issued"] = json!(at(1))),
            "slip_future",
        ),
        (
            centre.another(&good, "old.json", Some("TR-1"), |slip| slip["issued"] = json!(at(-400))),
            "slip_old",
        ),
        (
            centre.another(&good, "older.json", Some("TR-1"), |slip| slip["issued"] = json!(at(-1))),
            "slip_older",
        ),
        (
            centre.another(&good, "short.json", Some("TR-1"), |slip| {
                slip.as_object_mut().expect("an object").remove("tries");
            }),
            "slip_not_one",
        ),
    ];
    converse(async {
        let page = centre.page(Browser::Chromium, 0).await;
        page.say_who("T-07").await;
        let told = bring(&page, &good).await;
        assert_eq!(
            bring(&page, &good).await,
            word(&page, "slip_known", json!({})).await,
            "{told}"
        );
        for (file, key) in &cases {
            let told = bring(&page, file).await;
            // Up to the first value that is filled in.
            let words = word(&page, key, json!({})).await;
            let due = words.split('{').next().expect("a first part");
            assert!(due.len() > 5, "{key} begins with enough to be told by: {words}");
            let name = file.file_name().expect("it has a name").to_string_lossy().into_owned();
            assert!(told.contains(due) && told.contains(&name), "{key}, {due:?} in {told:?}");
            says_all(&page, &good).await;
        }
        // What lies in the store is not trusted either.
        for (file, key) in [("unsigned.json", "slip_altered"), ("forged.json", "slip_unknown_key")] {
            let slip = fs::read_to_string(centre.path(file)).expect("it is there");
            page.ask(&format!(
                "return PITWRIGHT.keeper.keepSlip('T-07', {slip}).then(() => true)"
            ))
            .await;
            asks_the_trainer(&page, "ball-held-at-exit", &word(&page, key, json!({})).await).await;
            page.goto("record.html").await;
            page.there("main .slip-silent").await;
            let text = page.text().await;
            assert!(text.contains(&word(&page, key, json!({})).await), "{text}");
            assert!(!text.contains("2099"), "nothing of it is shown: {text}");
        }
        // A good one takes its place again.
        let told = bring(&page, &good).await;
        assert!(
            told.starts_with(
                word(&page, "slip_taken", json!({}))
                    .await
                    .split('{')
                    .next()
                    .expect("a part")
            ),
            "{told}"
        );
        // Another state of the course: the slip answers nothing, and says so.
        page.ask("PITWRIGHT.course.markingHash = '0'.repeat(64); PITWRIGHT.here.set('T-08').then(() => PITWRIGHT.here.set('T-07'))")
            .await;
        page.there("main .slip-silent").await;
        let text = page.text().await;
        assert!(
            text.contains(&word(&page, "slip_other_edition", json!({})).await),
            "{text}"
        );
        page.is_quiet().await;
        page.driver.kill();
    });
}

#[test]
fn what_was_taken_back_is_said_where_one_would_do_it() {
    let centre = Centre::open();
    let slip = centre.slip("T-07", "slip.json");
    let back = centre.another(&slip, "back.json", Some("TR-1"), |value| {
        let standings = value["standings"].as_array_mut().expect("a list");
        let one = standings.iter_mut().find(|one| one["competency"] == "clear-extra-pin");
        let one = one.expect("it has a standing").as_object_mut().expect("an object");
        one.insert("standing".into(), json!("withdrawn"));
        one.insert("may".into(), json!("nothing"));
        one.remove("until");
    });
    converse(async {
        let page = centre.page(Browser::Chromium, 0).await;
        page.say_who("T-07").await;
        bring(&page, &back).await;
        let day = page
            .ask(&format!("return PITWRIGHT.day({})", issued(&back).as_millisecond()))
            .await;
        let due = word(&page, "alone_back", json!({ "date": day })).await;
        asks_the_trainer(&page, "extra-pin", &due).await;
        // Another stop rests on other signatures.
        let not = word(&page, "alone_not", json!({ "date": day })).await;
        asks_the_trainer(&page, "ball-held-at-exit", &not).await;
        page.is_quiet().await;
        page.driver.kill();
    });
}

#[test]
fn without_a_way_to_check_signatures_the_trainer_is_asked() {
    let centre = Centre::open();
    let slip = centre.slip("T-07", "slip.json");
    converse(async {
        let page = centre.page(Browser::Chromium, 0).await;
        page.say_who("T-07").await;
        bring(&page, &slip).await;
        page.driver
            .before_every_page(
                "SubtleCrypto.prototype.importKey = () => Promise.reject(new DOMException('unknown', 'NotSupportedError'));",
            )
            .await;
        let due = word(&page, "slip_cannot_check", json!({})).await;
        asks_the_trainer(&page, "extra-pin", &due).await;
        let told = bring(&page, &slip).await;
        assert!(told.contains(&due), "{told}");
        page.driver.kill();
    });
}

#[test]
fn tries_that_a_trainer_released_can_be_begun() {
    let centre = Centre::open();
    let slip = centre.slip("T-09", "slip.json");
    converse(async {
        let page = centre.page(Browser::Chromium, 0).await;
        page.say_who("T-09").await;
        bring(&page, &centre.path("record-T-09.json")).await;
        page.goto("scenario/league-night.html").await;
        page.there(".begin-not").await;
        let text = page.text().await;
        assert!(text.contains(&word(&page, "tries_used", json!({})).await), "{text}");
        bring(&page, &slip).await;
        page.goto("scenario/league-night.html").await;
        page.there(".begin-tries").await;
        let text = page.text().await;
        assert!(
            text.contains(&word(&page, "tries_left", json!({ "count": 1 })).await),
            "{text}"
        );
        page.begin("scenario/league-night.html").await;
        // Left, it is used up.
        page.goto("record.html").await;
        page.there("main .standing").await;
        page.goto("scenario/league-night.html").await;
        page.there(".begin-not").await;
        page.is_quiet().await;
        page.driver.kill();
    });
}

#[test]
fn pages_with_a_slip_are_valid_and_accessible() {
    let centre = Centre::open();
    let slip = centre.slip("T-07", "slip.json");
    let complaints = converse(async {
        let page = centre.page(Browser::Chromium, 0).await;
        page.say_who("T-07").await;
        bring(&page, &slip).await;
        let (mut complaints, mut taken) = (Vec::new(), Vec::new());
        for (name, path, wait) in [
            ("record", "record.html", "main .slip-answers"),
            ("may", "lesson/extra-pin.html", ".alone-may"),
            ("ask", "lesson/short-set.html", ".alone-why"),
        ] {
            page.goto(path).await;
            page.there(wait).await;
            page.ask("document.querySelectorAll('main details').forEach((one) => { one.open = true; })")
                .await;
            // Tables that are laid out as blocks carry their roles for readers that forget them; the checker finds that idle.
            page.ask("document.querySelectorAll('table, table *').forEach((one) => one.removeAttribute('role'))")
                .await;
            let place = centre.path(&format!("{name}.html"));
            fs::write(&place, page.html().await).expect("it can be written");
            taken.push(place);
            complaints.extend(accessible::complaints(&page.driver, name).await);
        }
        complaints.extend(valid::complaints(&taken));
        page.driver.kill();
        complaints
    });
    assert!(complaints.is_empty(), "{}", complaints.join("\n"));
}
