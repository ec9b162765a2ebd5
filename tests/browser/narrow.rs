//! No page has to be moved sideways: on the narrowest screen, and enlarged twice on a phone and on a desk (WCAG 2.2, success criteria
//! 1.4.4 and 1.4.10).

use super::page::Page;
use crate::browser_driver::converse;
use crate::ground::demo_course;
use serde_json::{Value, json};

/// Width and height in CSS pixels, and by how much all text is enlarged. 1280 px at 400 % are the 320 px of 1.4.10; enlarging a page
/// of 390 px twice leaves 195 px, narrower than any screen, so there the text alone is made twice as large.
const LOOKS: [(u32, u32, u32); 4] = [(320, 640, 100), (390, 844, 200), (640, 400, 100), (1280, 800, 200)];

/// What sticks out to the right of the screen, or whose words are cut off, by up to three examples. What scrolls by itself, as a wide
/// table does, may be wider inside.
const OUT: &str = "const wide = document.documentElement.clientWidth; \
    const scrolls = (one) => { for (let at = one; at && at !== document.body; at = at.parentElement) { \
        if (['auto', 'scroll'].includes(getComputedStyle(at).overflowX)) return true; } return false; }; \
    const name = (one) => `${one.tagName.toLowerCase()}.${one.className && one.className.baseVal === undefined ? one.className : ''}: ${one.textContent.trim().slice(0, 40)}`; \
    const shown = (one) => one.getClientRects().length > 0 && getComputedStyle(one).visibility === 'visible' && !one.closest('.unseen, .skip'); \
    const all = [...document.querySelectorAll('body *:not(svg *)')].filter(shown); \
    const out = all.filter((one) => one.getBoundingClientRect().right > wide + 1 && !scrolls(one)); \
    const cut = all.filter((one) => one.tagName !== 'INPUT' && ['hidden', 'clip'].includes(getComputedStyle(one).overflowX) && one.scrollWidth > one.clientWidth + 1 && one.clientWidth > 1); \
    return { pages: document.scrollingElement.scrollWidth, wide, \
        found: [...out.slice(0, 3).map((one) => `sticks out: ${name(one)}`), ...cut.slice(0, 3).map((one) => `is cut off: ${name(one)}`)] };";

async fn sticking_out(page: &Page, name: &str) -> Vec<String> {
    page.lay_out_all().await;
    let mut found = Vec::new();
    for (width, height, percent) in LOOKS {
        let size = json!({ "width": width, "height": height, "deviceScaleFactor": 1, "mobile": false });
        page.driver.devtools("Emulation.setDeviceMetricsOverride", size).await;
        let style = format!("document.documentElement.style.fontSize = '{percent}%'; document.body.offsetWidth;");
        page.ask(&style).await;
        let answer = page.ask(OUT).await;
        let look = format!("{name}, {width} px, text at {percent} %");
        assert_eq!(
            answer["wide"].as_u64().map(|wide| wide > u64::from(width) - 20),
            Some(true),
            "{look}: {answer}"
        );
        if answer["pages"].as_u64() > answer["wide"].as_u64() {
            found.push(format!(
                "{look}: moves sideways, {} px of {}",
                answer["pages"], answer["wide"]
            ));
        }
        let out = answer["found"].as_array().cloned().unwrap_or_default();
        found.extend(
            out.iter()
                .filter_map(Value::as_str)
                .map(|what| format!("{look}: {what}")),
        );
    }
    found
}

#[test]
fn no_page_has_to_be_moved_sideways() {
    let built = demo_course();
    let course = built.path().join("course");
    let folder = tempfile::tempdir().expect("a temporary folder can be made");
    let mut pages: Vec<String> = walkdir::WalkDir::new(&course)
        .sort_by_file_name()
        .into_iter()
        .map(|entry| entry.expect("the course can be walked").into_path())
        .filter(|path| path.extension().is_some_and(|ending| ending == "html"))
        .map(|path| {
            path.strip_prefix(&course)
                .expect("it lies in there")
                .display()
                .to_string()
        })
        .collect();
    assert!(pages.len() > 60, "{} pages", pages.len());
    // The store's page is never seen, and the parts page is for whoever keeps the course, at a desk.
    pages.retain(|page| page != "store.html" && page != "parts.html");
    let found = converse(async {
        let page = Page::phone(built.path(), folder.path()).await;
        page.say_who("T-07").await;
        let mut found = Vec::new();
        for name in &pages {
            page.goto(name).await;
            page.until("document.readyState === 'complete'").await;
            found.extend(sticking_out(&page, name).await);
        }
        page.begin("bank/alone.html").await;
        let mut kinds = std::collections::BTreeSet::new();
        while page.ask("return Boolean(document.querySelector('.turn'))").await == json!(true) {
            let kind = page.kind().await;
            if kinds.insert(kind.clone()) {
                found.extend(sticking_out(&page, &format!("a question of kind {kind}")).await);
            }
            page.answer_right().await;
        }
        found.extend(sticking_out(&page, "a test that is done").await);
        page.goto("drill/extra-pin.html").await;
        page.press("[data-practise] button").await;
        page.there(".drill").await;
        found.extend(sticking_out(&page, "a drill that runs").await);
        page.goto("find.html#q=swep%20down").await;
        page.there(".find-row").await;
        found.extend(sticking_out(&page, "what was found").await);
        found
    });
    assert!(found.is_empty(), "{} found\n{}", found.len(), found.join("\n"));
}
