//! Every kind of question on a phone, answered by keys alone and by taps alone; what is handed in is marked the same by the register.

use super::main_job::downloaded;
use super::page::Page;
use crate::browser_driver::{Browser, converse};
use crate::ground::demo_course;
use crate::ground::{out, pitwright};
use pitwright::marking::{Asked, FULL, Kind, Marking, Xoshiro128, draw};
use pitwright::score::marked;
use serde_json::{Value, json};
use std::collections::BTreeSet;
use std::path::{Path, PathBuf};
use thirtyfour::Key;

/// The marking file of a course that was built, and what it says.
pub fn marking_of(built: &Path) -> (PathBuf, Marking) {
    let path = std::fs::read_dir(built)
        .expect("it was built")
        .filter_map(|entry| entry.ok().map(|entry| entry.path()))
        .find(|path| path.extension().is_some_and(|ending| ending == "json"))
        .expect("compile writes a marking file");
    let bytes = std::fs::read(&path).expect("it can be read");
    let marking = serde_json::from_slice(&bytes).expect("it is a marking");
    (path, marking)
}

fn name(kind: &Kind) -> &'static str {
    match kind {
        Kind::Choice { right, .. } if right.len() == 1 => "choice",
        Kind::Choice { partial: false, .. } => "several",
        Kind::Choice { partial: true, .. } => "several in part",
        Kind::Matching { .. } => "matching",
        Kind::Sequencing { .. } => "sequencing",
        Kind::Numeric { .. } => "numeric",
        Kind::Place { .. } => "place",
    }
}

/// A seed whose form holds every kind.
fn seed_of_all(marking: &Marking) -> String {
    let mut random = Xoshiro128::from_hex("00000000000000000000000000000001").expect("a seed");
    let seeds = (0..100_000).map(|_| {
        (0..4)
            .map(|_| format!("{:08x}", random.next_word()))
            .collect::<String>()
    });
    seeds
        .into_iter()
        .find(|seed| {
            let form = draw(&marking.banks[0], seed).expect("a seed");
            let kinds: BTreeSet<&str> = form.iter().map(|asked| name(&asked.question.kind)).collect();
            kinds.len() == 7
        })
        .expect("some form holds every kind")
}

/// What is answered: right as a rule, a part of it where parts are marked, and one choice wrong.
fn response(asked: &Asked, place: usize) -> String {
    let list = |ids: &[&str]| ids.join("[,]");
    match &asked.question.kind {
        Kind::Choice {
            options,
            right,
            partial,
        } if right.len() == 1 || *partial => match place % 3 {
            0 => options
                .iter()
                .find(|id| !right.contains(id))
                .expect("one is wrong")
                .clone(),
            _ => right[0].clone(),
        },
        Kind::Choice { right, .. } => {
            let mut ids: Vec<&str> = right.iter().map(String::as_str).collect();
            ids.sort_unstable();
            list(&ids)
        }
        Kind::Matching { pairs } => {
            let mut rights = pairs.clone();
            rights.swap(0, 1);
            let sides: Vec<String> = pairs.iter().zip(rights).map(|(a, b)| format!("{a}[.]{b}")).collect();
            sides.join("[,]")
        }
        Kind::Sequencing { steps, .. } => list(&steps.iter().map(String::as_str).collect::<Vec<_>>()),
        Kind::Numeric { answer, .. } => answer.to_string(),
        Kind::Place { right, .. } => right[0].clone(),
    }
}

/// Keys, and where they have led.
pub struct Keyboard<'a>(pub &'a Page);

impl Keyboard<'_> {
    pub async fn send(&self, keys: impl Into<thirtyfour::TypingData>) {
        let active = self.0.driver.active_element().await.expect("something has the focus");
        active.send_keys(keys).await.expect("it takes keys");
    }

    /// Goes to an element by the tab key, forward or back as it lies.
    pub async fn go(&self, selector: &str) {
        let look = format!(
            "const to = document.querySelector({}); const at = document.activeElement; \
             return to === at ? 'there' : at.compareDocumentPosition(to) & Node.DOCUMENT_POSITION_FOLLOWING ? 'on' : 'back'",
            json!(selector)
        );
        for _ in 0..80 {
            match self.0.ask(&look).await.as_str() {
                Some("there") => return,
                Some("on") => self.send(Key::Tab).await,
                _ => self.send(Key::Shift + Key::Tab).await,
            }
        }
        panic!("the tab key does not lead to {selector}");
    }

    async fn answer(&self, asked: &Asked<'_>, response: &str) {
        let page = self.0;
        let place_of = |id: &str| asked.shown.iter().position(|shown| *shown == id).expect("it is shown");
        match &asked.question.kind {
            Kind::Choice { right, .. } if right.len() > 1 => {
                for id in response.split("[,]") {
                    self.go(&format!(".turn input[value={}]", json!(id))).await;
                    self.send(" ").await;
                }
            }
            // The tab key leads to a group of radio buttons, the arrows from one to the next.
            Kind::Choice { .. } | Kind::Place { .. } => {
                self.go(&format!(".turn input[value={}]", json!(asked.shown[0]))).await;
                self.send(" ").await;
                for _ in 0..place_of(response) {
                    self.send(Key::Down).await;
                }
            }
            Kind::Matching { .. } => {
                for pair in response.split("[,]") {
                    let (left, right) = pair.split_once("[.]").expect("a pair");
                    self.go(&format!(".turn select[data-left={}]", json!(left))).await;
                    for _ in 0..=place_of(right) {
                        self.send(Key::Down).await;
                    }
                }
            }
            Kind::Sequencing { .. } => {
                for (to, step) in response.split("[,]").enumerate() {
                    let at = format!(
                        "return [...document.querySelectorAll('.turn .order-item')].findIndex((one) => one.dataset.step === {})",
                        json!(step)
                    );
                    let button = format!(".turn [data-step={}] [data-way=earlier]", json!(step));
                    while page.ask(&at).await != json!(to) {
                        self.go(&button).await;
                        self.send(Key::Enter).await;
                        // The focus goes with the step, and whoever cannot see it is told where it is now.
                        let kept = format!(
                            "return document.activeElement === document.querySelector({})",
                            json!(button)
                        );
                        assert_eq!(page.ask(&kept).await, true);
                        let said = page
                            .ask("return document.querySelector('[data-part=said]').textContent")
                            .await;
                        let now = page.ask(&at).await.as_u64().expect("a place") + 1;
                        let words = format!("number {now} of {}", asked.shown.len());
                        assert!(said.as_str().expect("words").contains(&words), "{said}, not {words}");
                    }
                }
            }
            Kind::Numeric { .. } => {
                self.go(".turn input[type=text]").await;
                self.send(response).await;
            }
        }
        self.go(".turn .press-main").await;
        self.send(Key::Enter).await;
    }
}

/// Taps a spot in the drawing itself: its tag is a finger's size, and the list says the same afterwards.
async fn tap_spot(page: &Page, spot: &str) {
    let tag = format!(".turn .spot-tag[data-spot={}]", json!(spot));
    page.there(&tag).await;
    page.until(&format!(
        "document.querySelector({}).hasAttribute('transform')",
        json!(tag)
    ))
    .await;
    let size = page
        .ask(&format!(
            "const box = document.querySelector({}).getBoundingClientRect(); return [box.width, box.height]",
            json!(tag)
        ))
        .await;
    // WCAG 2.2, 2.5.8: a target is at least 24 by 24 CSS pixels.
    for side in size.as_array().expect("two sides") {
        assert!(side.as_f64().is_some_and(|side| side >= 24.0), "{spot}: {size}");
    }
    page.press(&format!("{tag} text")).await;
    let chosen = page
        .ask("return [...document.querySelectorAll('.turn input:checked')].map((one) => one.value)")
        .await;
    assert_eq!(chosen, json!([spot]));
    let shown = page
        .ask("return [...document.querySelectorAll('.turn .spot-tag[data-chosen]')].map((one) => one.dataset.spot)")
        .await;
    assert_eq!(shown, json!([spot]));
}

async fn sit(page: &Page, marking: &Marking, seed: &str, by_keys: bool) -> Vec<(String, String)> {
    let form = draw(&marking.banks[0], seed).expect("a seed");
    page.say_who("T-07").await;
    page.goto("bank/alone.html").await;
    page.there("[data-begin] [data-go]").await;
    page.ask(&format!("PITWRIGHT.random.seed = () => {}", json!(seed)))
        .await;
    let keyboard = Keyboard(page);
    if by_keys {
        keyboard.go("[data-begin] [data-go]").await;
        keyboard.send(Key::Enter).await;
    } else {
        page.press("[data-begin] [data-go]").await;
    }
    page.there(".turn h1").await;
    let mut given = Vec::new();
    for (place, asked) in form.iter().enumerate() {
        let heading = format!("Question {} of {}", place + 1, form.len());
        page.until(&format!(
            "document.querySelector('main h1').innerText === {}",
            json!(heading)
        ))
        .await;
        let wider = "const { scrollWidth, clientWidth } = document.documentElement; return scrollWidth - clientWidth";
        assert_eq!(page.ask(wider).await, 0, "{} runs off at the side", asked.question.id);
        let response = response(asked, place);
        match (&asked.question.kind, by_keys) {
            (_, true) => keyboard.answer(asked, &response).await,
            (Kind::Place { .. }, false) => {
                tap_spot(page, &response).await;
                page.press(".turn .press-main").await;
            }
            (_, false) => page.answer(&response).await,
        }
        given.push((asked.question.id.clone(), response));
    }
    page.until("!document.body.dataset.running").await;
    page.is_quiet().await;
    page.goto("record.html").await;
    page.press("main .hand-state ~ .press-main").await;
    page.until("document.querySelector('main .hand-told:not(:empty)')")
        .await;
    given
}

/// The answers of a record: question, response, share of the mark that it claims.
fn answers(record: &Path) -> Vec<(String, String, f64)> {
    let text = std::fs::read_to_string(record).expect("it can be read");
    let statements: Vec<Value> = serde_json::from_str(&text).expect("a list of statements");
    let mut answers: Vec<(u64, String, String, f64)> = statements
        .iter()
        .filter_map(|statement| {
            let turn = statement["context"]["extensions"]["https://pitwright.example/xapi/turn"].as_u64()?;
            let id = statement["object"]["id"].as_str()?.rsplit('/').next()?.to_owned();
            let result = &statement["result"];
            Some((
                turn,
                id,
                result["response"].as_str()?.to_owned(),
                result["score"]["scaled"].as_f64()?,
            ))
        })
        .collect();
    answers.sort_by_key(|answer| answer.0);
    answers
        .into_iter()
        .map(|(_, id, response, scaled)| (id, response, scaled))
        .collect()
}

fn every_kind(by_keys: bool) {
    let built = demo_course();
    let (marking_file, marking) = marking_of(built.path());
    let seed = seed_of_all(&marking);
    let folder = tempfile::tempdir().expect("a temporary folder can be made");
    let (profile, downloads) = (folder.path().join("profile"), folder.path().join("downloads"));
    std::fs::create_dir(&downloads).expect("it can be made");
    let given = converse(async {
        let page = Page::open(Browser::Chromium, &built.path().join("course"), &profile, &downloads, 0).await;
        sit(&page, &marking, &seed, by_keys).await
    });
    let record = downloaded(&downloads);
    let answers = answers(&record);
    let mut parts = BTreeSet::new();
    for ((id, response), (answered, kept, scaled)) in given.iter().zip(&answers) {
        assert_eq!((id, response), (answered, kept));
        let question = marking.banks[0].question(id).expect("it is in the bank");
        let earned = marked(question, response).expect("a page gave it");
        assert!(
            (scaled - f64::from(earned) / f64::from(FULL)).abs() < 1e-12,
            "{id}: {scaled}, {earned} parts"
        );
        parts.insert(earned);
    }
    assert_eq!(answers.len(), given.len());
    assert!(
        parts.len() > 2,
        "some answers were right, some wrong, some in part: {parts:?}"
    );
    let register = folder.path().join("house.register");
    let gather = [
        "gather",
        record.to_str().expect("UTF-8"),
        "--marking",
        marking_file.to_str().expect("UTF-8"),
        "--register",
        register.to_str().expect("UTF-8"),
        "--json",
    ];
    let gathered = pitwright(folder.path(), &gather);
    // A mark that differed would be refused, and refusing is no success.
    assert!(
        gathered.status.success(),
        "{}{}",
        out(&gathered),
        String::from_utf8_lossy(&gathered.stderr)
    );
    let told: Value = serde_json::from_str(&out(&gathered)).expect("JSON");
    assert_eq!(told["files"][0]["refused"].as_array().map(Vec::len), Some(0), "{told}");
    assert_eq!(told["files"][0]["held"].as_array().map(Vec::len), Some(0), "{told}");
}

#[test]
fn every_kind_is_answered_by_keys_alone() {
    every_kind(true);
}

#[test]
fn every_kind_is_answered_by_taps() {
    every_kind(false);
}
