//! A page can be used from its first picture on: what is pressed or typed before its scripts run is not lost, and never taken for
//! another thing.

use super::drills::{CURED, act, seeded};
use super::page::Page;
use crate::browser_driver::converse;
use crate::ground::demo_course;
use serde_json::json;

/// Presses `PRESSED` as soon as it stands in the page, which is before any of the page's deferred scripts; once a tab.
const PRESS: &str = "if (!sessionStorage.early) new MutationObserver((_, watch) => { const press = document.querySelector(PRESSED); if (!press) return; \
    watch.disconnect(); sessionStorage.early = Boolean(globalThis.PITWRIGHT && PITWRIGHT.startParts); DEED; }) \
    .observe(document, { subtree: true, childList: true });";

/// Opens a page in whose first moment something is done.
async fn early(page: &Page, path: &str, pressed: &str, deed: &str) {
    page.goto("about.html").await;
    page.ask("sessionStorage.removeItem('early'); return 0").await;
    let script = PRESS
        .replace("PRESSED", &json!(pressed).to_string())
        .replace("DEED", deed);
    // Held back for every page but this one.
    let only = format!(
        "if (location.pathname.endsWith({})) {{ {script} }}",
        json!(path.split('#').next())
    );
    page.driver.before_every_page(&only).await;
    page.goto(path).await;
    page.until("sessionStorage.early").await;
    let after = page.ask("return sessionStorage.early").await;
    assert_eq!(after, json!("false"), "{path}: the scripts had run by then");
}

#[test]
fn a_break_s_length_that_is_pressed_at_once_makes_the_plan() {
    let (built, folder) = (demo_course(), tempfile::tempdir().expect("it can be made"));
    converse(async {
        let page = Page::phone(built.path(), folder.path()).await;
        page.say_who("T-07").await;
        early(&page, "index.html", ".break-length:nth-child(2)", "press.click()").await;
        page.there(".break-piece").await;
        page.there(".break-length:nth-child(2)[aria-pressed=true]:not([data-pressed])")
            .await;
        page.is_quiet().await;
    });
}

#[test]
fn a_sign_that_is_told_at_once_is_the_answer_to_the_question_that_stood_there() {
    let (built, folder) = (demo_course(), tempfile::tempdir().expect("it can be made"));
    converse(async {
        let page = Page::phone(built.path(), folder.path()).await;
        // Of several that are pressed the last counts, as it would later.
        let deed = "sessionStorage.first = press.closest('.apart-ask').outerHTML; press.click(); press.nextElementSibling.click()";
        let answers = "#ask .apart-answers:has([data-say=unseen]) [data-say=yes]";
        early(&page, "apart/marrowbell.html", answers, deed).await;
        page.there("[data-back]").await;
        let said = "return [...document.querySelectorAll('[data-of]')].map((one) => [one.dataset.of, one.querySelector('[aria-pressed=true]').dataset.change])";
        let said = page.ask(said).await;
        assert_eq!(said.as_array().map(Vec::len), Some(1), "{said}");
        assert_eq!(said[0][1], json!("no"));
        // What stood there was the script's own first question, word for word.
        page.press("[data-back]").await;
        let same = "const first = document.createElement('div'); first.innerHTML = sessionStorage.first; \
            const plain = (from) => [...from.children].slice(0, 4).map((one) => { const copy = one.cloneNode(true); \
                copy.removeAttribute('tabindex'); for (const press of copy.querySelectorAll('[data-early]')) press.removeAttribute('data-early'); \
                return copy.outerHTML.trim(); }); \
            return [plain(first.firstElementChild), plain(document.querySelector('.apart-ask'))]";
        let same = page.ask(same).await;
        assert_eq!(same[0].as_array().map(Vec::len), Some(4), "{same}");
        assert_eq!(same[0], same[1]);

        // Whoever comes back in the middle is asked something else: what was pressed for the first question is nobody's answer.
        let first = said[0][0].as_str().expect("a sign");
        let back = format!("apart/marrowbell.html#said={first}.unseen");
        early(&page, &back, "#ask [data-say=unseen]", "press.click()").await;
        page.there("[data-back]").await;
        assert_eq!(
            page.ask("return document.querySelectorAll('[data-of]').length").await,
            json!(1)
        );
        page.is_quiet().await;
    });
}

#[test]
fn practice_that_is_begun_at_once_begins_and_goes_on_where_it_stopped() {
    let (built, folder) = (demo_course(), tempfile::tempdir().expect("it can be made"));
    converse(async {
        let page = Page::phone(built.path(), folder.path()).await;
        page.say_who("T-07").await;
        let acts = seeded(&page, &CURED).await;
        let drill = format!("drill/{}.html", CURED.drill);
        early(&page, &drill, "[data-practise] button", "press.click()").await;
        page.there(".drill-act").await;
        act(&page, &acts[0]).await;
        let told = page
            .ask("return document.querySelector('.drill-happened').innerText")
            .await;
        early(&page, &drill, "[data-practise] button", "press.click()").await;
        page.there(".drill-happened").await;
        assert_eq!(
            page.ask("return document.querySelector('.drill-happened').innerText")
                .await,
            told,
            "it went on"
        );
        page.is_quiet().await;
    });
}

#[test]
fn what_is_typed_at_once_is_looked_for() {
    let (built, folder) = (demo_course(), tempfile::tempdir().expect("it can be made"));
    converse(async {
        let page = Page::phone(built.path(), folder.path()).await;
        early(&page, "find.html", "#find-field", "press.value = 'swep down'").await;
        page.there(".find-row").await;
        assert_eq!(
            page.ask("return document.querySelector('#find-field').value").await,
            json!("swep down")
        );
        page.is_quiet().await;
    });
}
