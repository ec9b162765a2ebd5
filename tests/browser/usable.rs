//! A thumb, a phone, poor light: targets of 44 px (WCAG 2.2, 2.5.5), text of 17 px, contrast of 7 (1.4.6), in light and in dark.

use super::page::Page;
use crate::browser_driver::{Browser, converse};
use crate::ground::demo_course;
use serde_json::{Value, json};

/// Looks at the whole page that is open.
const LOOK: &str = include_str!("usable.js");

/// What may be as small as 15 px: what stands beside the text and is not read for what to do.
const SMALL_PRINT: &str = include_str!("small-print.txt");

/// Fails where the page has anything that is too small or too faint, light or dark. Returns how many texts were looked at.
async fn look(page: &Page, name: &str, complaints: &mut Vec<String>) -> u64 {
    page.lay_out_all().await;
    let script = LOOK.replace("SMALL_PRINT", &SMALL_PRINT.trim().replace('\n', ", "));
    let mut texts = 0;
    for scheme in ["dark", "light"] {
        let media = json!({ "features": [{ "name": "prefers-color-scheme", "value": scheme }] });
        page.driver.devtools("Emulation.setEmulatedMedia", media).await;
        let answer = page.ask(&script).await;
        let found = answer[0].as_array().expect("a list of what is wrong");
        complaints.extend(
            found
                .iter()
                .filter_map(Value::as_str)
                .map(|found| format!("{name}, {scheme}: {found}")),
        );
        texts = answer[1].as_u64().expect("how many texts were looked at");
        assert!(texts > 5, "{name} shows {texts} texts");
    }
    texts
}

#[test]
fn every_kind_of_page_can_be_used_with_a_thumb_and_read_in_poor_light() {
    let built = demo_course();
    let folder = tempfile::tempdir().expect("a temporary folder can be made");
    let complaints = converse(async {
        let page = Page::phone(built.path(), folder.path()).await;
        let mut complaints = Vec::new();
        let still = [
            "index.html",
            "record.html",
            "glossary.html",
            "about.html",
            "lesson/lockout.html",
            "lesson/short-set.html",
            "lesson/cycles.html",
            "lesson/orientation.html",
            "bank/alone.html",
            "scenario/league-night.html",
            "drill/short-set.html",
            "apart/marrowbell.html",
            "parts.html",
        ];
        for name in still {
            page.goto(name).await;
            page.there(".who-press, .who-form").await;
            look(&page, name, &mut complaints).await;
        }
        page.goto("find.html#q=pin").await;
        page.there(".find-text, .find-alone").await;
        look(&page, "find, found", &mut complaints).await;

        page.say_who("T-07").await;
        look(&page, "record, nothing yet", &mut complaints).await;
        page.begin("bank/alone.html").await;
        while page.ask("return Boolean(document.querySelector('.turn'))").await == json!(true) {
            look(&page, "bank, a question", &mut complaints).await;
            page.answer_wrong().await;
        }
        page.until("!document.body.dataset.running").await;
        look(&page, "bank, failed", &mut complaints).await;
        page.goto("drill/short-set.html").await;
        page.press("[data-practise] .press-main").await;
        page.there(".drill-act").await;
        look(&page, "drill, during", &mut complaints).await;
        page.goto("index.html").await;
        page.press(".break-length").await;
        page.there(".break-piece").await;
        look(&page, "index, with a plan", &mut complaints).await;
        page.goto("record.html").await;
        page.there("main .rows .row").await;
        look(&page, "record, with an attempt", &mut complaints).await;
        complaints
    });
    assert!(complaints.is_empty(), "{}", complaints.join("\n"));
}

#[test]
fn what_is_too_small_or_too_faint_is_found_out() {
    let folder = tempfile::tempdir().expect("a temporary folder can be made");
    let page_of = |body: &str| {
        format!(
            "<!doctype html><html lang=\"en\"><head><meta charset=\"utf-8\"><title>A page</title><style>html {{ background: #fff; \
             color: #000; font-size: 18px }} button {{ min-width: 44px; min-height: 44px; font: inherit; background: #fff; color: #000 }} \
             a {{ color: #000 }}</style></head><body><h1>One</h1><p>Two</p><p>Three</p><p>Four</p><p>Five</p><p>Six</p>{body}</body></html>"
        )
    };
    let cases = [
        (
            "good.html",
            "<p>A <a href=\"#\">link</a> in a sentence. <button>Press</button></p>",
            None,
        ),
        ("alone.html", "<p><a href=\"#\">A link alone</a></p>", Some("target of")),
        (
            "press.html",
            "<button style=\"min-height: 43px; line-height: 1; padding: 0\">x</button>",
            Some("target of"),
        ),
        (
            "small.html",
            "<p style=\"font-size: 16px\">Small</p>",
            Some("text of 16px"),
        ),
        (
            "hint.html",
            "<p class=\"hint\" style=\"font-size: 14px\">Small</p>",
            Some("text of 14px"),
        ),
        (
            "faint.html",
            "<p style=\"color: #666\">Faint</p>",
            Some("contrast of 5.74"),
        ),
    ];
    for (name, body, _) in cases {
        std::fs::write(folder.path().join(name), page_of(body)).expect("it can be written");
    }
    converse(async {
        let page = Page::open(
            Browser::Chromium,
            folder.path(),
            &folder.path().join("profile"),
            folder.path(),
            0,
        )
        .await;
        for (name, _, what) in cases {
            page.goto(name).await;
            let mut found = Vec::new();
            look(&page, name, &mut found).await;
            match what {
                None => assert_eq!(found, Vec::<String>::new(), "{name}"),
                Some(what) => assert!(
                    found.len() == 2 && found.iter().all(|line| line.contains(what)),
                    "{name}: {found:?}"
                ),
            }
        }
    });
}
