//! What a practice question shows of an answer: on its rows, in its verdict, and for how long. A test shows nothing of it.

use super::page::{Page, WRONG};
use crate::browser_driver::converse;
use crate::ground::demo_course;
use serde_json::{Value, json};

/// The marks on the rows of the first choice of a lesson, by option; the press; whether the verdict is in sight, and where the focus is.
const SEEN: &str = "const form = document.querySelector('.marked form'); const told = document.querySelector('.marked .told'); \
    const box = told.getBoundingClientRect(); const press = form.querySelector('[type=submit]'); \
    return { marks: Object.fromEntries([...form.querySelectorAll('.choice')].map((row) => [row.querySelector('input').value, \
            row.querySelector('.choice-mark')?.textContent ?? '']).filter(([, says]) => says)), \
        press: press.textContent, quiet: press.matches('.press-quiet'), told: told.textContent, \
        inSight: told.textContent !== '' && box.top >= 0 && box.bottom <= innerHeight + 1, focus: document.activeElement === press, \
        chosen: form.querySelectorAll('input:checked').length }";

async fn settled(page: &Page) -> Value {
    // What was told is brought into sight, and may move while what is above it is laid out.
    tokio::time::sleep(std::time::Duration::from_millis(300)).await;
    page.ask(SEEN).await
}

#[test]
fn an_answer_is_marked_on_its_rows_until_it_is_tried_again() {
    let (built, folder) = (demo_course(), tempfile::tempdir().expect("it can be made"));
    converse(async {
        let page = Page::phone(built.path(), folder.path()).await;
        page.say_who("T-07").await;
        page.goto("lesson/someone-caught.html").await;
        page.there("[data-ask] form").await;
        let asked = page
            .ask(&format!(
                "const question = PITWRIGHT.marking.practice[0].questions.find((one) => one.kind === 'choice' && one.right.length === 1); \
                 document.querySelector(`[data-ask=\"${{question.id}}\"]`).classList.add('marked'); \
                 return [PITWRIGHT.mark.right(question)[0], (() => {{ {WRONG} }})()]"
            ))
            .await;
        let (right, wrong): (String, String) = serde_json::from_value(asked).expect("two ids");
        page.fill(".marked", &wrong).await;
        page.press(".marked .press-main").await;
        page.there(".marked .told-wrong").await;
        let seen = settled(&page).await;
        assert_eq!(seen["marks"], json!({ &right: "✓ right", &wrong: "✗ yours" }), "{seen}");
        assert_eq!(
            (&seen["press"], &seen["quiet"], &seen["inSight"], &seen["focus"]),
            (&json!("Try again"), &json!(true), &json!(true), &json!(true)),
            "{seen}"
        );
        page.press(".marked [type=submit]").await;
        let seen = settled(&page).await;
        assert_eq!(
            (
                &seen["marks"],
                &seen["told"],
                &seen["chosen"],
                &seen["press"],
                &seen["quiet"]
            ),
            (&json!({}), &json!(""), &json!(0), &json!("Answer"), &json!(false)),
            "{seen}"
        );
        page.fill(".marked", &right).await;
        page.press(".marked .press-main").await;
        page.there(".marked .told-right").await;
        assert_eq!(settled(&page).await["marks"], json!({ &right: "✓ yours, right" }));
        // Another is chosen without a press: what was told of the last one goes.
        page.fill(".marked", &wrong).await;
        assert_eq!(settled(&page).await["marks"], json!({}));
        page.press(".marked .press-main").await;
        page.there(".marked .told-wrong").await;
        page.is_quiet().await;
    });
}

/// The drawing above the answers may be taller than the screen.
#[test]
fn what_is_missing_in_an_answer_is_said_in_sight() {
    let (built, folder) = (demo_course(), tempfile::tempdir().expect("it can be made"));
    converse(async {
        let page = Page::phone(built.path(), folder.path()).await;
        page.goto("lesson/orientation.html").await;
        page.there(".lesson[data-far=none]").await;
        let mark = "const form = [...document.querySelectorAll('[data-ask] form')].find((one) => one.querySelector('.drawing-tapped')); \
            form.classList.add('tapped'); const press = form.querySelector('[type=submit]'); \
            scrollBy(0, press.getBoundingClientRect().top - 500); return form.getBoundingClientRect().height";
        let height = page.ask(mark).await;
        assert!(height.as_f64().is_some_and(|height| height > 500.0), "{height}");
        page.press(".tapped [type=submit]").await;
        page.until("document.querySelector('.tapped .problem').textContent")
            .await;
        let seen = "const { top, bottom } = document.querySelector('.tapped .problem').getBoundingClientRect(); \
            return top >= 0 && bottom <= innerHeight";
        assert_eq!(page.ask(seen).await, json!(true));
    });
}

#[test]
fn what_is_to_be_put_in_order_never_stands_in_order_already() {
    let (built, folder) = (demo_course(), tempfile::tempdir().expect("it can be made"));
    converse(async {
        let page = Page::phone(built.path(), folder.path()).await;
        page.goto("lesson/pin-in-ball-exit.html").await;
        page.there("[data-ask] form").await;
        // Of two steps every second shuffle is the right order.
        let shown = "const { marking, texts } = PITWRIGHT; \
            const lesson = marking.practice.find((one) => one.lesson === document.body.dataset.id); \
            const known = lesson.questions.find((one) => one.kind === 'sequencing'); \
            const question = { ...known, steps: known.steps.slice(0, 2) }; \
            const words = document.createElement('div'); \
            return Array.from({ length: 60 }, () => { const { form } = PITWRIGHT.practice({ lesson: marking.lessons[0], question, \
                text: texts.asks[known.id], drawings: texts.drawings, labelledBy: 'main' }); \
                const places = question.steps.map((step) => { words.innerHTML = texts.asks[known.id].shown[step]; \
                    return form.textContent.indexOf(words.textContent); }); \
                return places.every((place) => place >= 0) ? places[0] > places[1] : null; })";
        let shown = page.ask(shown).await;
        assert_eq!(shown, json!(vec![true; 60]));
    });
}
