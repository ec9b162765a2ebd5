//! The way to help for somebody hurt: never out of sight on a long page, first where words sound like it, and before all else on the
//! pages that begin with it.

use super::page::Page;
use crate::browser_driver::converse;
use crate::ground::demo_course;
use serde_json::json;

/// What lies at the middle of an element, on top: whether it is that, or within it.
const ON_TOP: &str = "const box = document.querySelector(SELECTOR).getBoundingClientRect(); \
    const at = document.elementFromPoint(box.left + box.width / 2, box.top + box.height / 2); \
    return box.top >= 0 && box.bottom <= innerHeight && Boolean(at && at.closest(SELECTOR));";

fn on_top(selector: &str) -> String {
    ON_TOP.replace("SELECTOR", &json!(selector).to_string())
}

#[test]
fn it_stays_in_sight_and_lies_over_nothing_that_is_gone_to() {
    let (built, folder) = (demo_course(), tempfile::tempdir().expect("it can be made"));
    converse(async {
        let page = Page::phone(built.path(), folder.path()).await;
        for path in [
            "lesson/extra-pin.html",
            "glossary.html",
            "record.html",
            "bank/alone.html",
        ] {
            page.goto(path).await;
            page.ask("scrollTo({ top: document.body.scrollHeight, behavior: 'instant' }); return 0")
                .await;
            assert_eq!(page.ask(&on_top(".head-caught")).await, json!(true), "{path}");
            // Nothing may lie over the way past the head, which a keyboard comes to first.
            page.ask("scrollTo({ top: 0, behavior: 'instant' }); return 0").await;
            page.ask("document.querySelector('.skip').focus(); return 0").await;
            assert_eq!(page.ask(&on_top(".skip:focus")).await, json!(true), "{path}");
        }
        page.goto("lesson/extra-pin.html").await;
        page.press(".to-steps a").await;
        let below = "(() => { const bar = document.querySelector('.boards-way').getBoundingClientRect(); \
            const place = document.querySelector(document.querySelector('.to-steps a').getAttribute('href')).getBoundingClientRect(); \
            return place.top >= bar.bottom && place.top < bar.bottom + 60; })()";
        page.until(below).await;
        page.is_quiet().await;
    });
}

#[test]
fn words_of_somebody_hurt_bring_it_before_all_that_is_found() {
    let (built, folder) = (demo_course(), tempfile::tempdir().expect("it can be made"));
    converse(async {
        let page = Page::phone(built.path(), folder.path()).await;
        page.goto("find.html").await;
        page.there("#find-field").await;
        let first = "const way = document.querySelector('.find-list').parentElement.querySelector('.caught'); \
            return way.hidden ? null : [way.querySelector('a').getAttribute('href'), \
                Boolean(way.compareDocumentPosition(document.querySelector('.find-list')) & Node.DOCUMENT_POSITION_FOLLOWING)]";
        for (query, urgent) in [
            ("hand stuk", true),
            ("arm stuck in belt", true),
            ("blood", true),
            ("got zapped", true),
            ("first aid", true),
            ("hes in the machin", true),
            ("he is truoble trapped", true),
            ("somebdy", true),
            ("short set", false),
            ("ball wont come back", false),
            ("", false),
        ] {
            let typed = format!(
                "const field = document.querySelector('#find-field'); field.value = {}; \
                 field.dispatchEvent(new Event('input', {{ bubbles: true }})); {first}",
                json!(query)
            );
            let due = if urgent {
                json!(["lesson/someone-caught.html", true])
            } else {
                json!(null)
            };
            assert_eq!(page.ask(&typed).await, due, "{query}");
        }
        // Of an emergency the first step is shown, whatever was asked for.
        page.goto("find.html#q=street%20door%20crew").await;
        page.until("[...document.querySelectorAll('.find-row')].some((row) => row.innerText.includes('step 1 of 8'))")
            .await;
        let text = page.text().await;
        assert!(!text.contains("step 5 of 8"), "{text}");
        page.is_quiet().await;
    });
}

/// What comes late may not push away what somebody is about to press.
#[test]
fn a_notice_comes_after_it() {
    let (built, folder) = (demo_course(), tempfile::tempdir().expect("it can be made"));
    converse(async {
        let page = Page::phone(built.path(), folder.path()).await;
        for (path, first) in [("index.html", ".caught"), ("apart/marrowbell.html", "#at-once")] {
            page.goto(path).await;
            page.there(first).await;
            let moved = format!(
                "const way = document.querySelector({}); const before = way.getBoundingClientRect().top; \
                 PITWRIGHT.notice('test', 'A notice.'); const after = way.getBoundingClientRect().top; \
                 PITWRIGHT.unnotice('test'); return after - before",
                json!(first)
            );
            assert_eq!(page.ask(&moved).await, json!(0), "{path}");
        }
    });
}
