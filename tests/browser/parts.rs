//! The page of parts: every part that the style names has its example there, usable by everybody, and none of it is kept.

use super::accessible;
use super::page::Page;
use crate::browser_driver::converse;
use crate::ground::{demo_course, root};
use serde_json::{Value, json};
use std::collections::BTreeSet;

/// Styles whose parts have no example, each with the reason.
const ELSEWHERE: [(&str, &str); 12] = [
    ("print.css", "what paper leaves out"),
    ("report.css", "pages made of a register, not of a course"),
    ("report-print.css", "the same on paper"),
    (
        "sheet.css",
        "a job sheet is one whole for paper; each lesson with steps leads to its own",
    ),
    ("sheet-urgent.css", "the same for an emergency"),
    ("staging.css", "the same for the trainer who sets a stop"),
    ("witness.css", "the same for the trainer who watches"),
    (
        "cards.css",
        "cards are one whole for paper; each machine with stops has its own",
    ),
    ("code.css", "a code stands on cards and labels only"),
    ("labels.css", "labels are one whole for paper"),
    ("paper.css", "what leads on from pages made for paper"),
    ("wall.css", "a wall sheet is one whole for paper"),
];

/// Parts without an example, each with the reason.
const WITHOUT: &[(&str, &str)] = &[
    ("lesson-call", "the number at the head of an emergency's page"),
    (
        "procedure-urgent",
        "a procedure under that number: any other, with a lower head",
    ),
    ("whom", "the centre's numbers, on the first page and on Find"),
    ("whom-list", "what is in it"),
    ("hand-due", "made of a record, on My record"),
    ("hand-press", "made of a record, on My record"),
    ("handed", "made of a record, on My record"),
    ("handed-item", "made of a record, on My record"),
    ("lack-head", "made of a record, on My record"),
    ("lack-lead", "made of a record, on My record"),
    ("lack-link", "made of a record, on My record"),
    ("lack-list", "made of a record, on My record"),
    ("lack-why", "made of a record, on My record"),
    ("apart-h1", "the heading of one page"),
    ("index-title", "the heading of one page"),
    ("what-for", "the end of My record: a list, and a way of its own"),
    ("hand-state", "made by record-page.js of a record, which no example has"),
    ("hand-told", "the same"),
    ("drop", "the same"),
    ("deck-drawing", "the picture of the pins on About"),
    (
        "lesson",
        "a whole lesson, of which only what is far from the screen is meant",
    ),
    ("cycle-drawing", "a drawing over a chart: any other drawing, less high"),
];

/// Notes the classes of all that stands on the page now.
const NOTE: &str = "globalThis.noted = globalThis.noted || new Set(); \
    for (const one of document.querySelectorAll('[class]')) for (const name of one.classList) noted.add(name); \
    return Array.from(noted)";

/// The classes that a style names in its selectors.
fn named(style: &str) -> BTreeSet<String> {
    let mut plain = String::new();
    let mut rest = style;
    while let Some((before, after)) = rest.split_once("/*") {
        plain.push_str(before);
        rest = after.split_once("*/").map_or("", |(_, after)| after);
    }
    plain.push_str(rest);
    let mut classes = BTreeSet::new();
    for rule in plain.split('{') {
        let selector = rule.rsplit(['}', ';']).next().unwrap_or_default();
        if selector.trim_start().starts_with('@') {
            continue;
        }
        let bare: String = selector.split('"').step_by(2).collect();
        for part in bare.split('.').skip(1) {
            let name: String = part
                .chars()
                .take_while(|letter| letter.is_ascii_alphanumeric() || *letter == '-')
                .collect();
            if name.starts_with(|letter: char| letter.is_ascii_lowercase()) {
                classes.insert(name);
            }
        }
    }
    classes
}

#[test]
fn classes_are_read_off_selectors_alone() {
    let style = "/* .no */ .a > .b-c:hover, d.e2::after { width: 1.5rem; content: \".f\" }\na[href=\"x.html\"] { top: 0 }\n@media (min-width: 4.5rem) {\n.g { top: 0.25rem }\n}";
    let found: Vec<String> = named(style).into_iter().collect();
    assert_eq!(found, ["a", "b-c", "e2", "g"]);
}

#[test]
fn every_part_has_its_example_usable_by_everybody_and_nothing_is_kept() {
    let built = demo_course();
    let folder = tempfile::tempdir().expect("a temporary folder can be made");
    let (shown, complaints) = converse(async {
        let page = Page::phone(built.path(), folder.path()).await;
        page.goto("parts.html").await;
        page.there(".find-text, .find-alone").await;
        page.there(".told-wrong .told-word").await;
        page.ask(NOTE).await;
        drive(&page).await;
        page.is_quiet().await;
        // As it opens it is looked at with all other pages.
        let complaints = accessible::complaints(&page.driver, "parts, after use").await;
        let kept = page
            .driver
            .execute_async("indexedDB.databases().then(arguments[0])", Vec::new())
            .await
            .expect("the browser answers")
            .json()
            .clone();
        assert_eq!(kept, json!([]), "an example was kept");
        assert_eq!(
            page.ask("return document.querySelectorAll('iframe').length").await,
            json!(0)
        );
        // The one shown on purpose.
        assert_eq!(
            page.ask("return document.querySelectorAll('.part-failed').length")
                .await,
            json!(1)
        );
        (page.ask(NOTE).await, complaints)
    });
    assert!(complaints.is_empty(), "{}", complaints.join("\n"));

    let shown: BTreeSet<&str> = shown
        .as_array()
        .expect("a list")
        .iter()
        .filter_map(Value::as_str)
        .collect();
    let mut named_somewhere = BTreeSet::new();
    let mut missing = Vec::new();
    for entry in std::fs::read_dir(root().join("theme/style")).expect("the theme has styles") {
        let path = entry.expect("it can be listed").path();
        let file = path
            .file_name()
            .and_then(|name| name.to_str())
            .expect("UTF-8")
            .to_owned();
        if ELSEWHERE.iter().any(|(name, _)| *name == file) {
            continue;
        }
        for class in named(&std::fs::read_to_string(&path).expect("a style is text")) {
            let excused = WITHOUT.iter().any(|(name, _)| *name == class);
            if !shown.contains(class.as_str()) && !excused {
                missing.push(format!("{file}: .{class}"));
            }
            named_somewhere.insert(class);
        }
    }
    assert!(
        named_somewhere.len() > 200,
        "only {} classes were read",
        named_somewhere.len()
    );
    missing.sort();
    assert!(
        missing.is_empty(),
        "without an example on the page of parts (theme/pages/parts*.html), and without a reason in WITHOUT:\n{}",
        missing.join("\n")
    );
    let idle: Vec<_> = WITHOUT
        .iter()
        .filter(|(name, _)| !named_somewhere.contains(*name) || shown.contains(name))
        .collect();
    assert!(idle.is_empty(), "excused for nothing: {idle:?}");
}

/// Uses what can be used, so that each part is seen in the states that only use brings about.
async fn drive(page: &Page) {
    // A person, a plan, a lesson read.
    page.press("[data-part=break] .break-length").await;
    page.there(".break-piece").await;
    page.press("[data-part=read-to-end] .press-main").await;
    page.there(".read-done").await;
    page.ask(NOTE).await;
    page.press(".who-press").await;
    page.press(".who-open .press").await;
    page.ask(NOTE).await;
    page.type_into(".who-open .who-input", "E-8").await;
    page.press(".who-open .press").await;
    page.there(".who-code").await;
    // What stopped it: until it says, once each way.
    for answer in ["yes", "unseen"] {
        while page.ask("return Boolean(document.querySelector('.apart-ask'))").await == json!(true) {
            page.press(&format!("[data-say={answer}]")).await;
            page.ask(NOTE).await;
        }
        page.press("[data-anew]").await;
    }
    // A call, and a drill in practice.
    page.press("[data-part=scenario-attempt] [data-begin] [data-go]").await;
    page.there(".turn .choice").await;
    page.ask(NOTE).await;
    for _ in 0..2 {
        page.press(".turn .choice label").await;
        page.press(".turn .press-main").await;
    }
    page.until("!document.body.dataset.running").await;
    // One in which the plate is right and nobody comes along.
    page.ask("PITWRIGHT.random.seed = () => '3c6ef362'.repeat(4)").await;
    page.press("[data-practise] .press-main").await;
    page.there("[data-part=drill-run] .drill-act").await;
    page.ask(NOTE).await;
    let act = async |id: &str| {
        let button = format!("[data-part=drill-run] [data-act={id}]");
        page.there(&button).await;
        page.ask(&format!("document.querySelector('{button}').click()")).await;
    };
    page.ask("document.querySelectorAll('.drill-in-words').forEach((one) => (one.open = true))")
        .await;
    for id in [
        "tell-shop",
        "switch-off",
        "hang-lock",
        "set-strut",
        "try-it",
        "let-go",
        "open-lid",
    ] {
        act(id).await;
        page.there(".drill-happened b").await;
        page.ask(NOTE).await;
    }
    page.there(".drill-inside").await;
    page.there(".drill-facts").await;
    page.ask(NOTE).await;
    act("blow-it-out").await;
    page.there("[data-part=drill-run] .result").await;
    page.ask(NOTE).await;
    // Something that nobody can find.
    page.ask("const field = document.querySelector('#find-field'); field.value = 'elebatorrr'; field.dispatchEvent(new Event('input', { bubbles: true }))")
        .await;
    page.there(".find-rest p").await;
    page.ask(NOTE).await;
}
