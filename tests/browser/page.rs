//! What a trainee does with a page: type, press, choose, wait.

use crate::browser_driver::{Browser, Driver};
use serde_json::{Value, json};
use std::path::Path;
use std::time::{Duration, Instant};
use thirtyfour::By;

/// The right response to the question on the screen, from the course's own marking.
const RIGHT: &str = "const bank = PITWRIGHT.marking.banks[0]; const texts = PITWRIGHT.texts.questions; \
    const shown = document.querySelector('#stem').innerHTML; const box = document.createElement('div'); \
    const question = bank.questions.find(one => { box.innerHTML = texts[one.id].stem; return box.innerHTML === shown; }); \
    return question.kind === 'choice' ? question.right[0] : question.answer;";

/// A course open in a browser.
pub struct Page {
    pub driver: Driver,
    /// `file://…/course/`.
    base: String,
}

impl Page {
    /// Opens a browser whose clock is `hours` behind, at phone size, downloading into `downloads`.
    pub async fn open(browser: Browser, course: &Path, profile: &Path, downloads: &Path, hours: u32) -> Self {
        let driver = match browser {
            Browser::Chromium => Driver::start(Some(profile), 390, 844, false).await,
            Browser::Firefox => Driver::firefox(Some(profile), 390, 844, false).await,
        };
        let shift = u64::from(hours) * 3_600_000;
        driver
            .before_every_page(&format!(
                "const Real = Date; const now = () => Real.now() - {shift}; \
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

    /// Chooses one option of the question that is shown, or types a number, and presses on.
    pub async fn answer(&self, response: &str) {
        let heading = self.ask("return document.querySelector('.turn h1').innerText").await;
        if self
            .ask("return Boolean(document.querySelector('.turn input[type=radio]'))")
            .await
            == Value::Bool(true)
        {
            let id = self
                .ask(&format!(
                    "return document.querySelector('.turn input[value={}]').id",
                    json!(response)
                ))
                .await;
            self.press(&format!("label[for={}]", id)).await;
        } else {
            self.type_into(".turn input[type=text]", response).await;
        }
        self.press(".turn .press-main").await;
        self.until(&format!(
            "document.querySelector('main h1').innerText !== {heading} || !document.querySelector('.turn')"
        ))
        .await;
    }

    /// Answers the question that is shown rightly.
    pub async fn answer_right(&self) {
        let right = self.ask(RIGHT).await;
        self.answer(right.as_str().expect("a response")).await;
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
