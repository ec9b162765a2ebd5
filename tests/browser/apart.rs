//! What stopped it? The page beside a stopped lane in a real browser: by taps and by keys, changed answers, what comes first, whether
//! one may clear it, and all of it without a record.

use super::page::Page;
use super::slip_centre::{Centre, bring, word};
use super::{accessible, valid};
use crate::agreement::apart::demo;
use crate::browser_driver::{Browser, converse};
use crate::ground::demo_course;
use pitwright::apart::{Answer, End, Stops, look};
use serde_json::{Value, json};
use thirtyfour::Key;

const PAGE: &str = "apart/marrowbell.html";

/// The answer to be expected of a sign at a stop.
fn expected(stops: &Stops, sign: usize, stop: usize) -> Answer {
    if stops.signs[sign].shows[stop] >= 50 {
        Answer::Yes
    } else {
        Answer::No
    }
}

fn word_of(answer: Answer) -> &'static str {
    match answer {
        Answer::Yes => "yes",
        Answer::No => "no",
        Answer::CannotSee => "unseen",
    }
}

/// The sign that is asked about, or how asking ended.
async fn shown(page: &Page) -> (Option<String>, Option<String>) {
    let shown = page
        .ask(
            "return [document.querySelector('.apart-ask .apart-sign')?.dataset.sign ?? null, \
             document.querySelector('.apart-end')?.dataset.end ?? null]",
        )
        .await;
    let text = |at: usize| shown[at].as_str().map(str::to_owned);
    (text(0), text(1))
}

async fn focused(page: &Page) -> String {
    let at = page
        .ask("const at = document.activeElement; return at.tagName + ' ' + at.textContent.trim()")
        .await;
    at.as_str().expect("text").to_owned()
}

#[test]
fn every_stop_of_the_demo_is_found_as_the_library_finds_it() {
    let (built, folder) = (demo_course(), tempfile::tempdir().expect("it can be made"));
    let all = demo();
    let stops = &all[0];
    converse(async {
        let page = Page::phone(built.path(), folder.path()).await;
        page.goto(PAGE).await;
        for (stop, id) in stops.stops.iter().enumerate() {
            let mut answers = vec![None; stops.signs.len()];
            page.there(".apart-ask").await;
            let end = loop {
                let (asked, ended) = shown(&page).await;
                let now = look(stops, &answers);
                match now.next {
                    Ok(sign) => {
                        assert_eq!((asked.as_deref(), ended), (Some(stops.signs[sign].id.as_str()), None));
                        let answer = expected(stops, sign, stop);
                        page.press(&format!("[data-say={}]", word_of(answer))).await;
                        answers[sign] = Some(answer);
                        assert!(focused(&page).await.starts_with("H2 "), "the focus is lost");
                    }
                    Err(end) => {
                        assert_eq!((asked, ended.as_deref()), (None, Some(end.word())));
                        break (end, now.order[0]);
                    }
                }
            };
            if end.0 == End::StandsOut {
                assert_eq!(end.1, stop, "{id}");
                let to = page.ask("return document.querySelector('.apart-to').href").await;
                assert!(
                    to.as_str()
                        .expect("an address")
                        .ends_with(&format!("/lesson/{id}.html"))
                );
                let first = page
                    .ask("return document.querySelector('.apart-rank li').dataset.stop")
                    .await;
                assert_eq!(first, json!(id));
            }
            // Nobody is here, so nobody may.
            let says = page
                .ask("return document.querySelector('.alone-answer')?.textContent")
                .await;
            if end.0 != End::AtOnce {
                assert_eq!(says, json!(word(&page, "alone_ask", json!({})).await), "{id}");
            }
            page.press("[data-anew]").await;
        }
        // While it asks no stop is a way on. Back from a stop's page everything is as it was left.
        page.press("[data-say=yes]").await;
        page.there(".apart-rank li").await;
        assert_eq!(
            page.ask("return document.querySelector('.apart-rank a')").await,
            Value::Null
        );
        page.goto("about.html").await;
        page.goto(&format!(
            "{PAGE}#said=two-in-one-cup.yes,cup-empty.no,counter-abreast.no,cups-doubled.no"
        ))
        .await;
        page.there(".apart-end").await;
        let before = shown(&page).await;
        page.press(".apart-rank a").await;
        page.there(".signs-apart a").await;
        page.ask("history.back()").await;
        page.there(".apart-said").await;
        assert_eq!(shown(&page).await, before);
        page.is_quiet().await;
        page.goto("index.html").await;
        page.press(".index-apart a").await;
        page.there(".apart-ask").await;
        page.is_quiet().await;
    });
}

#[test]
fn by_keys_alone_answers_are_given_changed_and_taken_back() {
    let (built, folder) = (demo_course(), tempfile::tempdir().expect("it can be made"));
    converse(async {
        let page = Page::phone(built.path(), folder.path()).await;
        page.goto(PAGE).await;
        page.there(".apart-ask").await;
        page.ask("document.querySelector('.apart-ask [data-say=yes]').focus()")
            .await;
        let first = shown(&page).await;
        press_key(&page, Key::Enter).await;
        assert_ne!(shown(&page).await, first);
        assert!(focused(&page).await.starts_with("H2 "));
        // From the question one goes on to its answers: the second is No.
        for key in [Key::Tab, Key::Tab] {
            press_key(&page, key).await;
        }
        assert_eq!(focused(&page).await, "BUTTON No");
        press_key(&page, " ").await;
        let said =
            "return [...document.querySelectorAll('.apart-said [aria-pressed=true]')].map((one) => one.dataset.change)";
        assert_eq!(page.ask(said).await, json!(["yes", "no"]));
        let third = shown(&page).await;

        // Another answer to the first: the focus stays on it, what came of it is told.
        page.press(".apart-said li:first-child [data-change=no]").await;
        assert_eq!(focused(&page).await, "BUTTON No");
        assert_eq!(page.ask(said).await, json!(["no", "no"]));
        let told = page
            .ask("return document.querySelector('[data-part=said]').textContent")
            .await;
        assert!(told.as_str().expect("text").starts_with("Now first"), "{told}");
        page.press(".apart-said li:first-child [data-change=yes]").await;
        assert_eq!(shown(&page).await, third);
        page.press("[data-back]").await;
        page.press("[data-back]").await;
        assert_eq!(shown(&page).await, first);
        assert!(focused(&page).await.starts_with("H2 "));
        page.is_quiet().await;
    });
}

async fn press_key(page: &Page, key: impl Into<thirtyfour::TypingData>) {
    let at = page.driver.active_element().await.expect("something has the focus");
    at.send_keys(key).await.expect("a key can be pressed");
}

#[test]
fn nothing_is_ranked_by_what_nobody_could_see() {
    let (built, folder) = (demo_course(), tempfile::tempdir().expect("it can be made"));
    converse(async {
        let page = Page::phone(built.path(), folder.path()).await;
        page.goto(PAGE).await;
        for said in 1..=3 {
            page.press("[data-say=unseen]").await;
            page.until(&format!("document.querySelectorAll('[data-of]').length === {said}"))
                .await;
            assert_eq!(
                page.ask("return document.querySelectorAll('.apart-rank').length").await,
                json!(0)
            );
        }
        page.press("[data-say=no]").await;
        page.there(".apart-rank").await;
        page.is_quiet().await;
    });
}

#[test]
fn what_comes_first_is_always_in_sight_and_ends_the_asking() {
    let (built, folder) = (demo_course(), tempfile::tempdir().expect("it can be made"));
    converse(async {
        let page = Page::phone(built.path(), folder.path()).await;
        page.goto(PAGE).await;
        page.there(".apart-ask").await;
        let first = "return [...document.querySelectorAll('main > section, main > div[id]')].map((one) => one.id)";
        assert_eq!(page.ask(first).await, json!(["at-once", "ask"]));
        // Somebody hurt, heat, bare wire, and the way to the questions: all of it on the first screen of a phone, and a number to call.
        let rows = "return [...document.querySelectorAll('.apart-reason summary, .apart-none a')].map((one) => \
            one.getBoundingClientRect()).map((box) => box.height >= 56 && box.bottom <= innerHeight)";
        assert_eq!(page.ask(rows).await, json!([true, true, true, true]));
        let calls = "return document.querySelector('#at-once').innerText";
        let text = page.ask(calls).await;
        for part in ["extension 11", "Someone is caught", "smoke", "Wire is bare"] {
            assert!(text.as_str().expect("text").contains(part), "{part} in {text}");
        }
        page.ask("document.querySelectorAll('.apart-reason details').forEach((one) => { one.open = true; })")
            .await;
        let text = page.ask(calls).await;
        for part in [
            "extension 11",
            "extension 14",
            "STOP on both panels",
            "Someone is caught",
        ] {
            assert!(text.as_str().expect("text").contains(part), "{part} in {text}");
        }
        let bar = "const box = document.querySelector('.apart-bar').getBoundingClientRect(); \
            const at = document.elementFromPoint(box.left + 20, box.top + 20); \
            return box.top >= 0 && box.bottom <= innerHeight && box.bottom < 120 && Boolean(at.closest('.apart-bar'))";
        for _ in 0..4 {
            page.press("[data-say=no]").await;
            page.until(&format!("(() => {{ {bar} }})()")).await;
            let hidden = page
                .ask(
                    "const bar = document.querySelector('.apart-bar').getBoundingClientRect(); \
                     const sign = document.querySelector('.apart-sign').getBoundingClientRect(); return sign.top < bar.bottom",
                )
                .await;
            assert_eq!(hidden, json!(false), "the bar lies over the question");
        }
        // Answers that were kept in the address, one of them an alarm: no stop is named, and what to do stands there.
        for (sign, part) in [
            ("heat-or-smoke", "Whoever is inside comes out"),
            ("hangs-loose", "Touch no guard"),
        ] {
            page.goto("about.html").await;
            page.goto(&format!(
                "{PAGE}#said=cup-empty.yes,{sign}.yes,nothing.yes,no-set.perhaps"
            ))
            .await;
            page.there(".apart-end[data-end=at-once]").await;
            let text = page.ask("return document.querySelector('.apart-end').innerText").await;
            assert!(text.as_str().expect("text").contains(part), "{text}");
            assert_eq!(
                page.ask("return document.querySelector('.apart-to, .alone, .apart-rank')")
                    .await,
                Value::Null
            );
        }
        page.is_quiet().await;
    });
}

#[test]
fn without_a_store_it_asks_all_the_same() {
    let (built, folder) = (demo_course(), tempfile::tempdir().expect("it can be made"));
    converse(async {
        let page = Page::phone(built.path(), folder.path()).await;
        page.driver
            .before_every_page(
                "Object.defineProperty(globalThis, 'indexedDB', { get() { throw new DOMException('no', 'SecurityError'); } });",
            )
            .await;
        page.goto(&format!(
            "{PAGE}#said=two-in-one-cup.yes,cup-empty.no,counter-abreast.no,cups-doubled.no"
        ))
        .await;
        page.there(".apart-end").await;
        page.until("document.querySelector('.alone-why')").await;
        let text = page.text().await;
        assert!(text.contains(&word(&page, "alone_ask", json!({})).await), "{text}");
        page.press("[data-anew]").await;
        page.press("[data-say=unseen]").await;
        page.there(".apart-said").await;
    });
}

#[test]
fn only_a_slip_that_answers_says_that_one_may_clear_it() {
    let centre = Centre::open();
    let slip = centre.slip("T-07", "slip.json");
    let stand = |id: &str| match id {
        "extra-pin" => "two-in-one-cup.yes,cup-empty.no,counter-abreast.no,cups-doubled.no",
        _ => "ball-not-back.yes,heap-at-exit.yes,pin-past-door.no",
    };
    converse(async {
        let page = centre.page(Browser::Chromium, 0).await;
        page.say_who("T-07").await;
        bring(&page, &slip).await;
        let ask = word(&page, "alone_ask", json!({})).await;
        for (id, may) in [("extra-pin", true), ("ball-held-at-exit", false)] {
            page.goto("about.html").await;
            page.goto(&format!("{PAGE}#said={}", stand(id))).await;
            page.there(".apart-end[data-end=stands-out]").await;
            page.until("document.querySelector('.alone-why')").await;
            tokio::time::sleep(std::time::Duration::from_millis(700)).await;
            let to = page.ask("return document.querySelector('.apart-to').href").await;
            assert!(to.as_str().expect("an address").contains(id), "{to}");
            let says = page
                .ask("return document.querySelector('.alone-answer').textContent")
                .await;
            assert_eq!(says == json!(ask), !may, "{id}: {says}");
            assert_eq!(
                page.ask("return document.querySelectorAll('.alone-may').length").await,
                json!(u8::from(may))
            );
        }
        page.driver.kill();
        // A day after it has run out.
        let days = i32::try_from(centre.marking["slipDays"].as_u64().expect("days")).expect("few");
        let page = centre.page(Browser::Chromium, -24 * (days + 1)).await;
        page.goto(&format!("{PAGE}#said={}", stand("extra-pin"))).await;
        page.there(".apart-end[data-end=stands-out]").await;
        page.until("document.querySelector('.alone-why')").await;
        tokio::time::sleep(std::time::Duration::from_millis(700)).await;
        assert_eq!(
            page.ask("return document.querySelector('.alone-answer').textContent")
                .await,
            json!(ask)
        );
        page.driver.kill();
    });
}

#[test]
fn every_state_of_it_is_valid_and_accessible() {
    let (built, folder) = (demo_course(), tempfile::tempdir().expect("it can be made"));
    let complaints = converse(async {
        let page = Page::phone(built.path(), folder.path()).await;
        let (mut complaints, mut taken) = (Vec::new(), Vec::new());
        for (name, said) in [
            ("asking", "cup-empty.yes,two-in-one-cup.unseen"),
            (
                "found",
                "two-in-one-cup.yes,cup-empty.no,counter-abreast.no,cups-doubled.no",
            ),
            ("left", "nothing"),
            ("leave", "hangs-loose.yes"),
        ] {
            page.goto("about.html").await;
            page.goto(&format!("{PAGE}#said={said}")).await;
            page.there("#ask > section").await;
            if name == "left" {
                page.ask("let one; while ((one = document.querySelector('[data-say=unseen]'))) one.click();")
                    .await;
                page.there("[data-end=nothing-tells]").await;
            }
            page.ask("document.querySelectorAll('details').forEach((one) => { one.open = true; })")
                .await;
            let place = folder.path().join(format!("{name}.html"));
            std::fs::write(&place, page.html().await).expect("it can be written");
            taken.push(place);
            complaints.extend(accessible::complaints(&page.driver, name).await);
        }
        complaints.extend(valid::complaints(&taken));
        complaints
    });
    assert!(complaints.is_empty(), "{}", complaints.join("\n"));
}
