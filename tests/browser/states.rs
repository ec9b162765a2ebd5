//! What scripts make of a page, before, during and after: as valid and as accessible as the page that was sent.

use super::page::Page;
use super::way::{played, way};
use super::{accessible, valid};
use crate::browser_driver::{Browser, converse};
use crate::ground::demo_course;
use serde_json::json;

/// The pages as they looked on the way, to be checked for validity in one go, and what was found at once.
struct Album<'a> {
    page: &'a Page,
    folder: tempfile::TempDir,
    taken: Vec<std::path::PathBuf>,
    complaints: Vec<String>,
}

impl Album<'_> {
    async fn take(&mut self, name: &str) {
        let place = self.folder.path().join(format!("{name}.html"));
        std::fs::write(&place, self.page.html().await).expect("it can be written");
        self.taken.push(place);
        self.complaints
            .extend(accessible::complaints(&self.page.driver, name).await);
    }
}

/// Answers every practice question of a lesson, wrongly as a rule.
const PRACTISE: &str = "document.querySelectorAll('[data-ask] form').forEach((form) => { \
    const has = (what) => form.querySelector(what); \
    if (form.closest('[data-ask]').querySelector('.told-word')) return; \
    if (has('[type=radio], [type=checkbox]')) has('[type=radio], [type=checkbox]').click(); \
    else if (has('input')) has('input').value = '999999'; \
    form.querySelectorAll('select').forEach((select, at) => { select.selectedIndex = at + 1; }); \
    form.requestSubmit(); })";

#[test]
fn what_scripts_make_of_the_pages_is_valid_and_accessible() {
    let built = demo_course();
    let folder = tempfile::tempdir().expect("a temporary folder can be made");
    let downloads = folder.path().join("downloads");
    std::fs::create_dir(&downloads).expect("it can be made");
    let complaints = converse(async {
        let profile = folder.path().join("profile");
        let page = Page::open(Browser::Chromium, &built.path().join("course"), &profile, &downloads, 0).await;
        let mut album = Album {
            page: &page,
            folder: tempfile::tempdir().expect("a temporary folder can be made"),
            taken: Vec::new(),
            complaints: Vec::new(),
        };
        nobody(&mut album).await;
        a_bad_day(&mut album).await;
        a_good_day(&mut album).await;
        album.complaints.extend(valid::complaints(&album.taken));
        assert!(album.taken.len() > 15, "only {} looks were taken", album.taken.len());
        album.complaints
    });
    assert!(complaints.is_empty(), "{}", complaints.join("\n"));
}

/// Before anybody said who they are.
async fn nobody(album: &mut Album<'_>) {
    let page = album.page;
    page.goto("index.html").await;
    page.there("main .who-form").await;
    album.take("index, nobody").await;
    page.goto("bank/alone.html").await;
    page.there("[data-begin] .who-form").await;
    album.take("bank, nobody").await;
    for (name, query) in [
        ("found", "pin%20out%20of%20a%20cup"),
        ("nothing", "elebatorrr"),
        ("small words", "what"),
    ] {
        page.goto("index.html").await;
        page.goto(&format!("find.html#q={query}")).await;
        page.there(".find-told:not(:empty)").await;
        page.until(
            "[...document.querySelectorAll('.find-row')].every((row) => row.querySelector('.find-text, .find-alone'))",
        )
        .await;
        album.take(&format!("find, {name}")).await;
    }
    page.goto("record.html").await;
    page.there("main .who-form").await;
    page.type_into("main .who-input", "?").await;
    page.press("main .who-form .press").await;
    album.take("record, a code that is none").await;
}

/// Everything goes wrong: practice, test, call; and one test is walked away from.
async fn a_bad_day(album: &mut Album<'_>) {
    let page = album.page;
    page.say_who("T-07").await;
    album.take("record, empty").await;
    let mut practised = std::collections::BTreeSet::new();
    for lesson in ["orientation", "first-ball", "lockout"] {
        page.goto(&format!("lesson/{lesson}.html")).await;
        page.there("[data-ask] form").await;
        let kinds = page
            .ask("return PITWRIGHT.marking.practice.find((one) => one.lesson === document.body.dataset.id).questions.map((one) => one.kind)")
            .await;
        let kinds = kinds.as_array().expect("a list").iter();
        practised.extend(kinds.filter_map(|kind| kind.as_str().map(str::to_owned)));
        // Before an answer, and what is told of one that is not there.
        page.ask("document.querySelectorAll('[data-ask] form').forEach((form) => form.requestSubmit())")
            .await;
        page.there(".problem:not(:empty)").await;
        album.take(&format!("lesson {lesson}, answered with nothing")).await;
        page.ask(PRACTISE).await;
        page.until("document.querySelectorAll('[data-ask]').length === document.querySelectorAll('.told-word').length")
            .await;
        page.press("[data-part=read-to-end] .press-main").await;
        page.there(".read-done").await;
        album.take(&format!("lesson {lesson}, answered and read")).await;
    }
    assert_eq!(practised.len(), 5, "every kind was practised: {practised:?}");

    page.goto("bank/alone.html").await;
    page.there("[data-begin] [data-go]").await;
    album.take("bank, before").await;
    page.begin("bank/alone.html").await;
    let mut kinds = Vec::new();
    while page.ask("return Boolean(document.querySelector('.turn'))").await == json!(true) {
        let kind = page.kind().await;
        if !kinds.contains(&kind) {
            album.take(&format!("bank, a question of kind {kind}")).await;
            kinds.push(kind);
        }
        page.answer_wrong().await;
    }
    assert!(
        kinds.contains(&"choice".to_owned()),
        "which are drawn is chance: {kinds:?}"
    );
    page.until("!document.body.dataset.running").await;
    album.take("bank, failed").await;
    page.goto("bank/alone.html").await;
    page.there(".begin-not").await;
    album.take("bank, to wait for").await;

    page.begin("scenario/league-night.html").await;
    let marking = page.ask("return PITWRIGHT.marking").await;
    for choice in way(&marking, |ends, hurt, _| ends == "unsafe" && hurt) {
        page.answer(&choice).await;
    }
    page.until("!document.body.dataset.running").await;
    album.take("scenario, ended in harm").await;
    page.goto("record.html").await;
    page.there("main .rows .row").await;
    album.take("record, full").await;
    page.ask("document.querySelectorAll('main details').forEach((one) => { one.open = true; })")
        .await;
    album.take("record, unfolded").await;
    page.goto("index.html").await;
    page.there("main .standing-pins").await;
    album.take("index, failed").await;
}

/// Somebody else on the same device, for whom all goes well but for one test that is left.
async fn a_good_day(album: &mut Album<'_>) {
    let page = album.page;
    page.goto("record.html").await;
    page.there("main .rows .row").await;
    page.press(".who-press").await;
    page.there(".who-open .who-input").await;
    album.take("record, another takes over").await;
    page.type_into(".who-open .who-input", "T-08").await;
    page.press(".who-open .press").await;
    page.there("main .standing").await;

    page.begin("scenario/league-night.html").await;
    let marking = page.ask("return PITWRIGHT.marking").await;
    let pass = played(&marking)["pass"].as_u64().expect("a pass mark");
    album.take("scenario, during").await;
    for choice in way(&marking, |ends, hurt, marks| ends == "safe" && !hurt && marks >= pass) {
        page.answer(&choice).await;
    }
    page.until("!document.body.dataset.running").await;
    album.take("scenario, passed").await;
    page.begin("bank/alone.html").await;
    while page.ask("return Boolean(document.querySelector('.turn'))").await == json!(true) {
        page.answer_right().await;
    }
    page.until("!document.body.dataset.running").await;
    album.take("bank, passed").await;
    page.begin("scenario/league-night.html").await;
    page.goto("record.html").await;
    page.until("document.querySelector('[data-part=notices]').innerText.length > 0")
        .await;
    page.press("main .hand-state ~ .press-main").await;
    page.until("document.querySelector('main .hand-told:not(:empty)')")
        .await;
    album.take("record, left one and handed in").await;
}
