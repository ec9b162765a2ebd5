//! Drills in a real browser, opened from a file: cured, handed over, unsafe and hurt, unsafe and lucky; by taps, by keys alone, with
//! reduced motion; handed in, gathered, played again and marked the same.

use super::kinds::marking_of;
use super::main_job::{downloaded, house};
use super::page::Page;
use crate::browser_driver::{Browser, converse};
use crate::ground::demo_course;
use crate::ground::out;
use serde_json::{Value, json};
use std::path::Path;
use thirtyfour::Key;

/// Finds a seed with which these acts, done one after another (or the way of par, where none are given), end as wanted: `found`
/// holds the seed and the names of the acts. Engine, model and ways are the page's own.
const FIND: &str = "const seedOf = (number) => [0x9e3779b9, 0x85ebca6b, 0xc2b2ae35, 0x27d4eb2f] \
        .map((factor) => (Math.imul(number, factor) >>> 0).toString(16).padStart(8, '0')).join(''); \
    const find = (sort, hurt, given) => { \
    const drill = PITWRIGHT.marking.drills.find((one) => one.id === document.body.dataset.id); \
    const { model } = PITWRIGHT.marking.machines.find((one) => one.id === drill.machine); \
    const play = PITWRIGHT.play(model, drill); \
    const name = (act) => model.actions[act].id + (model.actions[act].index === undefined ? '' : '.' + model.actions[act].index); \
    const names = model.actions.map((_, act) => name(act)); \
    for (let number = 1; number < 20000; number += 1) { \
        const seed = seedOf(number); \
        const random = PITWRIGHT.random.fromHex(seed); \
        const start = play.draw(random); \
        let run = play.begin(start); \
        const acts = given ? given.map((one) => names.indexOf(one)) : PITWRIGHT.drillWords.ways[PITWRIGHT.drillWords.wayOf[start]]; \
        for (const act of acts) run = play.step(run, act, random.next).run; \
        if (run.end && run.end.sort === sort && run.turns === acts.length && (hurt === null || run.end.hurt === hurt)) \
            return { seed, acts: acts.map(name) }; \
    } };";

/// How a run is to end, and its acts where they are not the way of par.
pub(super) struct Wanted {
    pub(super) drill: &'static str,
    pub(super) sort: &'static str,
    pub(super) hurt: Option<bool>,
    pub(super) acts: Option<&'static [&'static str]>,
}

/// Seeds the page so that the next run ends as wanted; its acts.
pub(super) async fn seeded(page: &Page, wanted: &Wanted) -> Vec<String> {
    page.goto(&format!("drill/{}.html", wanted.drill)).await;
    page.there("[data-practise] button").await;
    let found = page
        .ask(&format!(
            "{FIND} const found = find({}, {}, {}); PITWRIGHT.random.seed = () => found.seed; return found;",
            json!(wanted.sort),
            json!(wanted.hurt),
            json!(wanted.acts)
        ))
        .await;
    let acts = found["acts"]
        .as_array()
        .unwrap_or_else(|| panic!("{}: no seed ends so", wanted.drill));
    acts.iter().filter_map(|act| act.as_str().map(str::to_owned)).collect()
}

/// Does an act as a thumb would: its group is opened first, if it is shut. The focus is never lost.
pub(super) async fn act(page: &Page, name: &str) {
    let button = format!("[data-act={}]", json!(name));
    page.there(&button).await;
    let shut = format!("details:not([open]):has({button}) > summary");
    if page
        .ask(&format!("return Boolean(document.querySelector({}))", json!(shut)))
        .await
        == json!(true)
    {
        page.press(&shut).await;
    }
    page.press(&button).await;
    page.until("document.activeElement && document.activeElement !== document.body")
        .await;
}

pub(super) async fn play(page: &Page, acts: &[String]) {
    for (place, name) in acts.iter().enumerate() {
        act(page, name).await;
        if place + 1 < acts.len() {
            page.until("document.activeElement.matches('.drill-happened')").await;
        }
    }
}

pub(super) const CURED: Wanted = Wanted {
    drill: "short-set",
    sort: "cured",
    hurt: None,
    acts: None,
};
pub(super) const HANDED: Wanted = Wanted {
    drill: "extra-pin",
    sort: "handed",
    hurt: None,
    acts: None,
};
pub(super) const LUCKY: Wanted = Wanted {
    drill: "ball-held-at-exit",
    sort: "unsafe",
    hurt: Some(false),
    acts: Some(&[
        "look-first",
        "read-procedure",
        "hold-bowlers",
        "tell-desk",
        "shut-down",
        "turn-a-off",
        "turn-b-off",
        "hang-locks",
        "open-hatch",
    ]),
};
pub(super) const HURT: Wanted = Wanted {
    drill: "no-cycle",
    sort: "unsafe",
    hurt: Some(true),
    acts: Some(&["look-first", "go-to-sweep"]),
};

#[test]
fn runs_that_count_are_handed_in_played_again_and_marked_the_same() {
    let built = demo_course();
    let folder = tempfile::tempdir().expect("a temporary folder can be made");
    let (profile, downloads) = (folder.path().join("profile"), folder.path().join("downloads"));
    std::fs::create_dir(&downloads).expect("it can be made");
    let acts = converse(async {
        let page = Page::open(Browser::Chromium, &built.path().join("course"), &profile, &downloads, 0).await;
        page.say_who("T-07").await;
        let mut done = 0;
        for (wanted, passed) in [(&CURED, true), (&HANDED, true), (&LUCKY, false), (&HURT, false)] {
            let acts = seeded(&page, wanted).await;
            page.press("[data-begin] [data-go]").await;
            page.there(".drill-report").await;
            play(&page, &acts).await;
            page.there(if passed { ".result-passed" } else { ".result-failed" })
                .await;
            let text = page.text().await;
            let lucky = page.ask("return PITWRIGHT.word('drill_lucky')").await;
            let lucky = text.contains(lucky.as_str().expect("words"));
            assert_eq!(lucky, wanted.hurt == Some(false), "{}: {text}", wanted.drill);
            // Harm, severity and source stand with the unsafe act.
            assert!(
                passed || text.contains("Source: 29 CFR 1910.147"),
                "{}: {text}",
                wanted.drill
            );
            done += acts.len();
            page.is_quiet().await;
        }
        // One is left as it is: that ends it, and it is not passed.
        page.goto("drill/lock-out.html").await;
        page.press("[data-begin] [data-go]").await;
        act(&page, "look-first").await;
        page.press(".drill-more .press").await;
        page.there(".result-failed").await;
        page.hand_in().await;
        done
    });
    gathered(folder.path(), built.path(), &downloaded(&downloads), acts);
}

fn gathered(folder: &Path, built: &Path, record: &Path, acts: usize) {
    let statements: Value = serde_json::from_slice(&std::fs::read(record).expect("it is there")).expect("it is JSON");
    let kept = statements.as_array().expect("statements").iter();
    let kept = kept
        .filter(|one| one["object"]["id"].as_str().is_some_and(|id| id.contains("/act/")))
        .count();
    assert_eq!(kept, acts + 2, "every act is kept, also the leaving");
    let (marking, _) = marking_of(built);
    let run = house(folder);
    let gather = [
        "gather",
        record.to_str().expect("UTF-8"),
        "--marking",
        marking.to_str().expect("UTF-8"),
    ];
    let output = run(&gather);
    assert!(
        output.status.success(),
        "{}{}",
        out(&output),
        String::from_utf8_lossy(&output.stderr)
    );
    let said = out(&run(&["standing", "T-07", "--json"]));
    let standing: Value = serde_json::from_str(&said).unwrap_or_else(|why| panic!("{why}: {said}"));
    let attempts = standing["people"][0]["attempts"]
        .as_array()
        .unwrap_or_else(|| panic!("{standing:#}"));
    for (drill, passed) in [
        ("short-set", true),
        ("extra-pin", true),
        ("ball-held-at-exit", false),
        ("no-cycle", false),
        ("lock-out", false),
    ] {
        let line = attempts
            .iter()
            .find(|line| line.to_string().contains(&format!("\"{drill}\"")))
            .unwrap_or_else(|| panic!("{drill} is missing: {standing:#}"));
        assert_eq!(line.to_string().contains("passed"), passed, "{line:#}");
    }
    assert!(run(&["audit"]).status.success());
}

#[test]
fn a_whole_drill_is_played_by_keys_alone() {
    let built = demo_course();
    let folder = tempfile::tempdir().expect("a temporary folder can be made");
    converse(async {
        let page = Page::phone(built.path(), folder.path()).await;
        let wanted = Wanted {
            drill: "lock-out",
            sort: "cured",
            hurt: None,
            acts: None,
        };
        let acts = seeded(&page, &wanted).await;
        tab_to(&page, "[data-practise] button").await;
        key(&page, Key::Enter).await;
        page.there(".drill-report").await;
        for name in &acts {
            let button = format!("[data-act={}]", json!(name));
            let open = format!("details[open] {button}");
            if page
                .ask(&format!("return Boolean(document.querySelector({}))", json!(open)))
                .await
                != json!(true)
            {
                tab_to(&page, &format!("details:has({button}) > summary")).await;
                key(&page, Key::Enter).await;
            }
            tab_to(&page, &button).await;
            key(&page, Key::Enter).await;
        }
        page.there(".result-passed").await;
        // The look back begins where the eye begins.
        page.until("document.activeElement.matches('h1')").await;
        page.is_quiet().await;
    });
}

/// Presses Tab until the focus is there.
async fn tab_to(page: &Page, selector: &str) {
    for _ in 0..80 {
        if page
            .ask(&format!("return document.activeElement.matches({})", json!(selector)))
            .await
            == json!(true)
        {
            return;
        }
        key(page, Key::Tab).await;
    }
    panic!("Tab never comes to {selector}");
}

async fn key(page: &Page, key: Key) {
    let element = page.driver.active_element().await.expect("something has the focus");
    element.send_keys(key + "").await.expect("it takes a key");
}

#[test]
fn practice_explains_the_first_unsafe_act_and_takes_it_back_with_reduced_motion() {
    let built = demo_course();
    let folder = tempfile::tempdir().expect("a temporary folder can be made");
    converse(async {
        let page = Page::phone(built.path(), folder.path()).await;
        let media = json!({ "features": [{ "name": "prefers-reduced-motion", "value": "reduce" }] });
        page.driver.devtools("Emulation.setEmulatedMedia", media).await;
        let acts = seeded(&page, &LUCKY).await;
        page.press("[data-practise] button").await;
        play(&page, &acts).await;
        page.there(".result-failed .first-unsafe").await;
        assert_eq!(page.ask("return document.getAnimations().length").await, json!(0));
        // Going on from before the act, on the same run: the drawing is the one of the walkway again, and the act is open again.
        page.press(".ways-on .press").await;
        page.there("[data-act='open-hatch']").await;
        assert_eq!(
            page.ask("return document.querySelector('.drill-drawing [data-part=gate]') !== null")
                .await,
            json!(true)
        );
        act(&page, "throw-levers").await;
        act(&page, "read-procedure").await;
        // Nothing of it is on any record.
        page.say_who("T-07").await;
        let kept = "return PITWRIGHT.keeper.statements('T-07').then((all) => all.length)";
        assert_eq!(page.ask(kept).await, json!(0));
        page.is_quiet().await;
    });
}
