//! The order in which a page is told to somebody who hears it: a lesson, a question of each kind and a drill. With `PITWRIGHT_HEARD`
//! set to a folder the texts are left there, to be read through.

use super::heard::{Heard, WORKED, as_text, heard};
use super::page::Page;
use crate::browser_driver::converse;
use crate::ground::demo_course;
use serde_json::json;
use std::path::PathBuf;

async fn told(page: &Page, name: &str) -> Vec<Heard> {
    let told = heard(&page.driver).await;
    if let Ok(folder) = std::env::var("PITWRIGHT_HEARD") {
        let place = PathBuf::from(folder).join(format!("{name}.txt"));
        std::fs::write(place, as_text(&told)).expect("it can be written");
    }
    for one in &told {
        assert!(
            !WORKED.contains(&one.role.as_str()) || !one.name.is_empty(),
            "{name}: {one:?} has no name"
        );
    }
    told
}

/// Where something is told for the first time.
fn place(told: &[Heard], what: &str, wanted: impl Fn(&Heard) -> bool) -> usize {
    let found = told.iter().position(wanted);
    found.unwrap_or_else(|| panic!("{what} is not told:\n{}", as_text(told)))
}

fn is(role: &'static str) -> impl Fn(&Heard) -> bool {
    move |one| one.role == role
}

/// Headings go down by one level at a time, and the first is the page's.
fn headings_are_in_order(name: &str, told: &[Heard]) {
    let levels: Vec<u32> = told
        .iter()
        .filter(|one| one.role == "heading")
        .map(|one| {
            one.state
                .trim_start_matches("level ")
                .chars()
                .take_while(char::is_ascii_digit)
                .collect::<String>()
        })
        .map(|level| level.parse().expect("a heading has a level"))
        .collect();
    assert_eq!(levels.first(), Some(&1), "{name}");
    assert_eq!(levels.iter().filter(|level| **level == 1).count(), 1, "{name}");
    assert!(
        levels.windows(2).all(|pair| pair[1] <= pair[0] + 1),
        "{name}: {levels:?}"
    );
}

#[test]
fn pages_are_told_in_the_order_in_which_they_are_meant() {
    let built = demo_course();
    let folder = tempfile::tempdir().expect("a temporary folder can be made");
    converse(async {
        let page = Page::phone(built.path(), folder.path()).await;
        page.say_who("T-07").await;
        lesson(&page).await;
        questions(&page).await;
        drill(&page).await;
    });
}

async fn lesson(page: &Page) {
    page.goto("lesson/pin-in-ball-exit.html").await;
    page.there(".lesson[data-far=none]").await;
    page.there("[data-ask] form").await;
    let told = told(page, "lesson").await;
    headings_are_in_order("lesson", &told);
    assert_eq!(
        told.iter().position(is("link")),
        Some(0),
        "the first thing leads past the head"
    );
    let main = place(&told, "main", is("main"));
    assert!(main < place(&told, "the title", is("heading")));
    // What can hurt is told before the step in which it can.
    let steps = page
        .ask("const words = (one) => one.textContent.replace(/\\s+/g, ' ').trim(); \
            return [...document.querySelectorAll('li.step')].filter((step) => step.querySelector('.caution')).map((step) => \
                [words(step.querySelector('.caution-hazard, .caution p')), words(step.querySelector('.step-says'))])")
        .await;
    let steps = steps.as_array().expect("a list");
    assert!(steps.len() > 4, "{steps:?}");
    let mut from = 0;
    for pair in steps {
        for text in pair.as_array().expect("two texts") {
            // A link in the words is told as a link: the first of them are enough.
            let first = text
                .as_str()
                .expect("words")
                .split(' ')
                .take(4)
                .collect::<Vec<_>>()
                .join(" ");
            let rest = &told[from..];
            from += place(rest, &first, |one| one.name.contains(&first));
        }
    }
}

async fn questions(page: &Page) {
    let mut kinds = std::collections::BTreeSet::new();
    for lesson in ["orientation", "first-ball", "lockout", "cycles", "energy"] {
        page.goto(&format!("lesson/{lesson}.html")).await;
        page.there(".lesson[data-far=none]").await;
        page.there("[data-ask] form").await;
        let told = told(page, &format!("questions-{lesson}")).await;
        let shown = page
            .ask("return PITWRIGHT.marking.practice.find((one) => one.lesson === document.body.dataset.id).questions.map((one) => one.kind)")
            .await;
        for kind in shown.as_array().expect("a list") {
            kinds.insert(kind.as_str().expect("a kind").to_owned());
        }
        // Each question is a group that is named by what it asks, and what can be done about it comes next.
        let stems = page
            .ask("return [...document.querySelectorAll('[data-ask] .stem')].map((one) => one.textContent.replace(/\\s+/g, ' ').trim())")
            .await;
        let stems = stems.as_array().expect("a list");
        assert!(!stems.is_empty(), "{lesson} asks nothing");
        let mut from = 0;
        for stem in stems {
            let stem = stem.as_str().expect("words");
            let rest = &told[from..];
            let asked = place(rest, stem, |one| {
                one.role == "group" && one.name == stem || one.role == "textbox" && one.state.contains(stem)
            });
            let answers = rest[asked..]
                .iter()
                .take_while(|one| one.role != "heading" && one.name != "Answer");
            assert!(
                answers.filter(|one| WORKED.contains(&one.role.as_str())).count() > 0,
                "{lesson}: {stem}"
            );
            from += asked + 1;
        }
    }
    assert_eq!(kinds.len(), 5, "{kinds:?}");
}

async fn drill(page: &Page) {
    page.goto("drill/extra-pin.html").await;
    page.press("[data-practise] button").await;
    page.there(".drill").await;
    let told = told(page, "drill").await;
    headings_are_in_order("drill", &told);
    let call = place(&told, "the call", is("heading"));
    let ask = place(&told, "what to do next", |one| {
        one.role == "heading" && one.name == "Your next act"
    });
    let acts = ask + place(&told[ask..], "the first acts", is("DisclosureTriangle"));
    let happened = place(&told, "what happened", |one| one.name == "What just happened");
    assert!(call < happened && happened < acts, "{}", as_text(&told));
    assert_eq!(
        page.ask("return document.activeElement.tagName").await,
        json!("H1"),
        "it begins with the call"
    );
}
