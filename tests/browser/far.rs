//! What of a lesson is far from the screen is laid out later than what is near; nobody who goes somewhere in it, or listens to it, notices.

use super::page::Page;
use crate::browser_driver::{Browser, converse};
use crate::ground::demo_course;
use serde_json::json;

/// Counts, when the page can first be used, the blocks of a lesson that have words and are not laid out, of how many.
const FIRST: &str = "document.addEventListener('DOMContentLoaded', () => requestAnimationFrame(() => { \
    const all = [...document.querySelectorAll('.lesson > .body > *')].filter((one) => one.firstElementChild); \
    globalThis.farAtFirst = [all.filter((one) => !one.firstElementChild.checkVisibility({ contentVisibilityAuto: true })).length, all.length]; }));";

#[test]
fn a_long_lesson_is_laid_out_near_the_screen_first_and_whole_a_little_later() {
    let (built, folder) = (demo_course(), tempfile::tempdir().expect("it can be made"));
    converse(async {
        let page = Page::phone(built.path(), folder.path()).await;
        page.driver.before_every_page(FIRST).await;
        page.goto("lesson/lockout.html").await;
        page.until("globalThis.farAtFirst").await;
        let far = page.ask("return farAtFirst").await;
        let count = |at: usize| far[at].as_u64().expect("a number");
        assert!(count(1) > 20 && count(0) * 3 > count(1), "{far}");
        page.there(".lesson[data-far=none]").await;
        let left = "return [...document.querySelectorAll('.lesson *')] \
            .filter((one) => one.checkVisibility() && !one.checkVisibility({ contentVisibilityAuto: true })).length";
        assert_eq!(page.ask(left).await, json!(0));
        page.is_quiet().await;
    });
}

/// Where the place `ID` stands below the bar that stays in sight, in pixels; null while it is out of sight.
const BELOW: &str = "(() => { const bar = document.querySelector('.boards-way').getBoundingClientRect(); \
    const { top } = document.getElementById(ID).getBoundingClientRect(); \
    return top >= bar.bottom - 1 && top < bar.bottom + 60 && Math.round(scrollY); })()";

#[test]
fn every_heading_and_step_of_a_long_lesson_is_found_by_its_address_and_stays_in_sight() {
    stays_in_sight(Browser::Chromium);
}

#[test]
fn so_it_is_in_another_browser() {
    stays_in_sight(Browser::Firefox);
}

fn stays_in_sight(browser: Browser) {
    let (built, folder) = (demo_course(), tempfile::tempdir().expect("it can be made"));
    let (course, profile) = (built.path().join("course"), folder.path().join("profile"));
    std::fs::create_dir(&profile).expect("it can be made");
    converse(async {
        let page = Page::open(browser, &course, &profile, folder.path(), 0).await;
        let mut places = 0;
        for lesson in ["lesson/lockout.html", "lesson/extra-pin.html"] {
            page.goto(lesson).await;
            let ids = "return [...document.querySelectorAll('.body h2[id], .body .procedure[id], .body [id^=steps]')].map(({ id }) => id)";
            let ids = page.ask(ids).await;
            let ids = ids.as_array().expect("a list").clone();
            for (turn, id) in ids.iter().enumerate() {
                let id = id.as_str().expect("an id");
                // By an address from outside, and by a link on the page. Under its driver Firefox undoes what a script scrolls after such
                // a link, whatever is far; so there each by its address.
                if turn % 2 == 0 || matches!(browser, Browser::Firefox) {
                    page.goto("index.html").await;
                    page.goto(&format!("{lesson}#{id}")).await;
                } else {
                    page.ask("scrollTo(0, 0); return 0").await;
                    let link = "const link = document.createElement('a'); link.href = '#ID'; document.body.append(link); link.click(); link.remove(); return 0";
                    page.ask(&link.replace("ID", id)).await;
                }
                let below = BELOW.replace("ID", &json!(id).to_string());
                page.until(&below).await;
                // It is read from there for a while: it must not move away when what is above it gets its real height.
                tokio::time::sleep(std::time::Duration::from_millis(400)).await;
                let stands = page.ask(&format!("return {below}")).await;
                assert!(stands.is_u64(), "{lesson}#{id}: {stands}");
                // A thumb goes up a screen: the screen moves by as much as the thumb.
                let up = "const marks = [...document.querySelectorAll('.body > *')]; \
                    const seen = marks.find((one) => one.getBoundingClientRect().bottom > innerHeight / 2); \
                    const before = seen.getBoundingClientRect().top; scrollBy(0, -300); \
                    const done = arguments[0]; setTimeout(() => done(seen.getBoundingClientRect().top - before), 300);";
                let moved = page.driver.execute_async(up, Vec::new()).await.expect("it scrolls");
                let moved = moved.json().as_f64().expect("pixels");
                assert!((moved - 300.0).abs() < 3.0, "{lesson}#{id}: went {moved} px");
                places += 1;
            }
        }
        assert!(places > 12, "{places} places");
        page.is_quiet().await;
    });
}
