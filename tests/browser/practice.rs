//! Practice of a drill that was put away in the middle: offered again, gone on with as it was, dropped where it cannot be.

use super::drills::{CURED, HURT, Wanted, act, seeded};
use super::page::Page;
use crate::browser_driver::converse;
use crate::ground::demo_course;
use serde_json::{Value, json};

/// All that a person sees of a run, the order of the acts included.
async fn seen(page: &Page) -> Value {
    page.there(".drill-report").await;
    page.ask(
        "const text = (what) => document.querySelector(what).innerText; \
         return [...['.drill-report', '.drill-happened', '.drill-place', '.drill-known'].map(text), \
            [...document.querySelectorAll('.drill-act')].map((one) => one.dataset.act)]",
    )
    .await
}

/// How many ways into practice the page offers, once it knows who is here.
async fn offers(page: &Page, many: usize) {
    page.until("PITWRIGHT.here.code && document.querySelector('[data-begin] .begin-as')")
        .await;
    page.until(&format!(
        "document.querySelectorAll('[data-practise] button').length === {many}"
    ))
    .await;
}

async fn places(page: &Page) -> Value {
    page.ask("return PITWRIGHT.keeper.places('T-07').then((all) => all.map(([page]) => page).filter((page) => page.startsWith('drill/')))")
        .await
}

const TAKEN_BACK: Wanted = Wanted {
    drill: "lock-out",
    ..CURED
};

#[test]
fn practice_that_was_put_away_goes_on_where_it_stopped() {
    let built = demo_course();
    let folder = tempfile::tempdir().expect("a temporary folder can be made");
    converse(async {
        let page = Page::phone(built.path(), folder.path()).await;
        page.say_who("T-07").await;

        // Acts, one of them taken back; the page is loaded again; all stands as it stood, and the last act can be taken back.
        let acts = seeded(&page, &TAKEN_BACK).await;
        offers(&page, 1).await;
        page.press("[data-practise] button").await;
        for name in &acts[..3] {
            act(&page, name).await;
        }
        page.press(".drill-more .press").await;
        act(&page, &acts[2]).await;
        let before = seen(&page).await;
        page.driver.refresh().await.expect("it opens again");
        offers(&page, 2).await;
        let text = page.text().await;
        assert!(
            text.contains("Go on where you stopped") && text.contains("Begin anew"),
            "{text}"
        );
        page.press("[data-practise] .press-main").await;
        assert_eq!(seen(&page).await, before);
        page.press(".drill-more .press").await;
        page.press(".drill-more .press:last-child").await;
        page.there(".result-failed").await;
        assert!(page.text().await.contains("Taken back: 2."), "{}", page.text().await);
        assert_eq!(places(&page).await, json!([]), "practice that is over has no place");

        // The browser is killed in the middle; the plan of a break offers it first, and leads straight on.
        let acts = seeded(&page, &CURED).await;
        page.press("[data-practise] button").await;
        let (first, rest) = acts.split_at(acts.len() / 2);
        for name in first {
            act(&page, name).await;
        }
        let before = seen(&page).await;
        page.is_quiet().await;
        page.driver.kill();

        let page = Page::phone(built.path(), folder.path()).await;
        page.goto("index.html").await;
        page.press(".break-length:nth-child(2)").await;
        page.there(".break-piece").await;
        let plan = page
            .ask("return document.querySelector('.break-piece').innerText")
            .await;
        assert!(
            plan.as_str()
                .is_some_and(|text| text.contains("You stopped in the middle of practising it.")),
            "{plan}"
        );
        page.press(".break-link").await;
        assert_eq!(seen(&page).await, before);
        for name in rest {
            act(&page, name).await;
        }
        page.there(".result-passed").await;
        assert_eq!(places(&page).await, json!([]));
        assert_eq!(
            page.ask("return PITWRIGHT.keeper.statements('T-07').then((all) => all.length)")
                .await,
            json!(0),
            "practice is on no record"
        );

        // Stopped at an unsafe act, it is the stop that stands there again, and the act can be taken back.
        let acts = seeded(&page, &HURT).await;
        page.press("[data-practise] button").await;
        for name in &acts {
            act(&page, name).await;
        }
        page.there(".first-unsafe").await;
        page.driver.refresh().await.expect("it opens again");
        offers(&page, 2).await;
        page.press("[data-practise] .press-main").await;
        page.there(".first-unsafe").await;
        page.press(".ways-on .press").await;
        seen(&page).await;

        // It is the person's own, and of this state of the course.
        page.ask("PITWRIGHT.keeper.setWho('T-08')").await;
        page.driver.refresh().await.expect("it opens again");
        offers(&page, 1).await;
        page.ask("PITWRIGHT.here.set('T-07')").await;
        offers(&page, 2).await;
        let change = "const [, place] = all.find(([page]) => page === 'drill/no-cycle');";
        for what in ["marking: '0'", "at: '1 0'", "log: [-1]", "seed: ''"] {
            page.ask(&format!(
                "return PITWRIGHT.keeper.places('T-07').then((all) => {{ {change} return PITWRIGHT.keeper.keepPlace('T-07', 'drill/no-cycle', {{ ...place, {what} }}); }})"
            ))
            .await;
            page.driver.refresh().await.expect("it opens again");
            offers(&page, 1).await;
            assert_eq!(places(&page).await, json!([]), "{what}");
            // Quietly: the page says nothing of it, and practice begins.
            assert!(!page.text().await.contains("Go on where you stopped"));
            seeded(&page, &HURT).await;
            page.press("[data-practise] button").await;
            act(&page, "look-first").await;
        }
        page.is_quiet().await;
    });
}

#[test]
fn what_was_done_before_its_turn_is_named_as_often_as_it_stops_one() {
    let (built, folder) = (demo_course(), tempfile::tempdir().expect("it can be made"));
    let unheld = Wanted {
        drill: "extra-pin",
        sort: "rule",
        hurt: None,
        acts: Some(&[
            "look-first",
            "read-procedure",
            "tell-desk",
            "shut-down",
            "turn-a-off",
            "turn-b-off",
            "hang-locks",
            "throw-levers",
            "try-out",
        ]),
    };
    converse(async {
        let page = Page::phone(built.path(), folder.path()).await;
        let acts = seeded(&page, &unheld).await;
        page.press("[data-practise] button").await;
        for name in &acts {
            act(&page, name).await;
        }
        let early = "[...document.querySelectorAll('.first-unsafe p')].some((one) => one.innerText.startsWith('Came too early') \
            && one.innerText.includes('Tell the desk and the walkway that the pair goes dark'))";
        page.until(early).await;
        let missing = "return document.querySelector('.first-unsafe ul')?.innerText ?? ''";
        let missing = page.ask(missing).await;
        assert!(
            missing.as_str().is_some_and(|text| text.contains("hold the bowlers")),
            "{missing}"
        );
        // Held now, but after what it belongs before: nothing is missing, and what does not count is still named.
        page.press(".ways-on .press-main").await;
        act(&page, "hold-bowlers").await;
        act(&page, "try-out").await;
        page.until(early).await;
        page.is_quiet().await;
    });
}
