//! What a trainee does with a page: type, press, choose, wait.

use crate::browser_driver::{Browser, Driver};
use serde_json::{Value, json};
use std::path::Path;
use std::time::{Duration, Instant};
use thirtyfour::By;

/// Finds the question on the screen in the course's own marking: `question`.
const QUESTION: &str = "const bank = PITWRIGHT.marking.banks[0]; const texts = PITWRIGHT.texts.questions; \
    const shown = document.querySelector('#stem').innerHTML; const box = document.createElement('div'); \
    const question = bank.questions.find(one => { box.innerHTML = texts[one.id].stem; return box.innerHTML === shown; });";

/// A response to `question` that earns nothing, or nearly nothing.
const WRONG: &str = "const wrong = ({ options, spots }) => (options || spots).find((id) => !question.right.includes(id)); \
    const { response } = PITWRIGHT; \
    const wrongs = { choice: wrong, place: wrong, numeric: () => '999999', \
        sequencing: ({ steps }) => response.order(steps.slice().reverse()), \
        matching: ({ pairs }) => response.pairs(pairs.map((left, at) => ({ left, right: pairs[(at + 1) % pairs.length] }))) }; \
    return wrongs[question.kind](question);";

/// A course open in a browser.
pub struct Page {
    pub driver: Driver,
    /// `file://…/course/`.
    base: String,
}

impl Page {
    /// Opens a browser whose clock is `hours` behind (ahead, if less than 0), at phone size, downloading into `downloads`.
    pub async fn open(browser: Browser, course: &Path, profile: &Path, downloads: &Path, hours: i32) -> Self {
        let driver = match browser {
            Browser::Chromium => Driver::start(Some(profile), 390, 844, false).await,
            Browser::Firefox => Driver::firefox(Some(profile), 390, 844, false).await,
        };
        let shift = i64::from(hours) * 3_600_000;
        driver
            .before_every_page(&format!(
                "const Real = Date; const now = () => Real.now() - ({shift}); \
                 globalThis.Date = class extends Real {{ constructor(...given) {{ given.length ? super(...given) : super(now()); }} \
                 static now() {{ return now(); }} }};"
            ))
            .await;
        driver.download_into(downloads).await;
        let base = format!("file://{}/", course.display()).replace(' ', "%20");
        Self { driver, base }
    }

    pub async fn goto(&self, path: &str) {
        self.driver
            .goto(format!("{}{path}", self.base))
            .await
            .expect("the page opens");
    }

    /// Runs a script in the page.
    pub async fn ask(&self, script: &str) -> Value {
        let answer = self.driver.execute(script, Vec::new()).await.expect("the script runs");
        answer.json().clone()
    }

    /// Waits until a script gives true.
    pub async fn until(&self, script: &str) {
        let end = Instant::now() + Duration::from_secs(15);
        while self.ask(&format!("return Boolean({script})")).await != Value::Bool(true) {
            assert!(Instant::now() < end, "never came true: {script}\n{}", self.text().await);
            tokio::time::sleep(Duration::from_millis(20)).await;
        }
    }

    /// Waits until something is there.
    pub async fn there(&self, selector: &str) {
        self.until(&format!("document.querySelector({})", json!(selector)))
            .await;
    }

    /// Presses something as a finger would.
    pub async fn press(&self, selector: &str) {
        self.there(selector).await;
        let element = self.driver.find(By::Css(selector)).await.expect("it is there");
        self.ask(&format!(
            "document.querySelector({}).scrollIntoView({{ behavior: 'instant', block: 'center' }})",
            json!(selector)
        ))
        .await;
        element.click().await.expect("it can be pressed");
    }

    pub async fn type_into(&self, selector: &str, text: &str) {
        self.there(selector).await;
        let element = self.driver.find(By::Css(selector)).await.expect("it is there");
        element.send_keys(text).await.expect("it can be typed into");
    }

    /// All that the page says.
    pub async fn text(&self) -> String {
        self.ask("return document.body.innerText")
            .await
            .as_str()
            .unwrap_or_default()
            .to_owned()
    }

    /// Fails if the console complained or anything outside the course was asked for since the page opened.
    pub async fn is_quiet(&self) {
        let complaints = self.driver.errors().await;
        assert!(complaints.is_empty(), "{complaints:?}");
        let loaded = self
            .ask("return performance.getEntriesByType('resource').map(one => one.name)")
            .await;
        for name in loaded.as_array().expect("a list of names") {
            let name = name.as_str().expect("a name");
            assert!(
                name.starts_with(&self.base) || name.starts_with("blob:null/"),
                "{name} lies outside {}",
                self.base
            );
        }
    }

    /// Answers the question that is shown as a finger would, and presses on. The response is given as it goes on record.
    pub async fn answer(&self, response: &str) {
        let heading = self.ask("return document.querySelector('.turn h1').innerText").await;
        let kind = self
            .ask(
                "const has = (what) => Boolean(document.querySelector(`.turn ${what}`)); \
                 return has('.order') ? 'order' : has('select') ? 'pairs' : has('input[type=text]') ? 'number' : 'options'",
            )
            .await;
        match kind.as_str() {
            Some("order") => {
                for (place, step) in response.split("[,]").enumerate() {
                    let at = format!(
                        "[...document.querySelectorAll('.turn .order-item')].findIndex(one => one.dataset.step === {})",
                        json!(step)
                    );
                    while self.ask(&format!("return {at}")).await != json!(place) {
                        self.press(&format!(".turn [data-step={}] [data-way=earlier]", json!(step)))
                            .await;
                    }
                }
            }
            Some("pairs") => {
                for pair in response.split("[,]") {
                    let (left, right) = pair.split_once("[.]").expect("a pair");
                    self.press(&format!(
                        ".turn select[data-left={}] option[value={}]",
                        json!(left),
                        json!(right)
                    ))
                    .await;
                }
            }
            Some("number") => self.type_into(".turn input[type=text]", response).await,
            _ => {
                for option in response.split("[,]") {
                    let id = format!(
                        "return document.querySelector('.turn input[value={}]').id",
                        json!(option)
                    );
                    self.press(&format!("label[for={}]", self.ask(&id).await)).await;
                }
            }
        }
        self.press(".turn .press-main").await;
        self.until(&format!(
            "document.querySelector('main h1').innerText !== {heading} || !document.querySelector('.turn')"
        ))
        .await;
    }

    /// Answers the question that is shown rightly.
    pub async fn answer_right(&self) {
        let right = self
            .ask(&format!("{QUESTION} return PITWRIGHT.mark.right(question)[0];"))
            .await;
        self.answer(right.as_str().expect("a response")).await;
    }

    /// Answers the question that is shown wrongly.
    pub async fn answer_wrong(&self) {
        let wrong = self.ask(&format!("{QUESTION} {WRONG}")).await;
        self.answer(wrong.as_str().expect("a response")).await;
    }

    /// The kind of the question that is shown.
    pub async fn kind(&self) -> String {
        let kind = self.ask(&format!("{QUESTION} return question.kind;")).await;
        kind.as_str().expect("a kind").to_owned()
    }

    /// Enters a code on the record's page.
    pub async fn say_who(&self, code: &str) {
        self.goto("record.html").await;
        self.type_into("main .who-input", code).await;
        self.press("main .who-form .press").await;
        self.there("main .standing").await;
    }

    /// Begins an attempt at a bank or scenario.
    pub async fn begin(&self, path: &str) {
        self.goto(path).await;
        self.press("[data-begin] .press-main").await;
        self.there(".turn h1").await;
    }

    /// The page as the scripts have made it by now.
    pub async fn html(&self) -> String {
        let html = self.ask("return document.documentElement.outerHTML").await;
        format!("<!doctype html>{}", html.as_str().expect("a page"))
    }
}
