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
pub(super) const WRONG: &str = "const wrong = ({ options, spots }) => (options || spots).find((id) => !question.right.includes(id)); \
    const { response } = PITWRIGHT; \
    const wrongs = { choice: wrong, place: wrong, numeric: () => '999999', \
        sequencing: ({ steps }) => response.order(steps.slice().reverse()), \
        matching: ({ pairs }) => response.pairs(pairs.map((left, at) => ({ left, right: pairs[(at + 1) % pairs.length] }))) }; \
    return wrongs[question.kind](question);";

/// Finds the question that has come back: `question`.
const DUE: &str = "const stem = document.querySelector('#again-stem').innerHTML; \
    const box = document.createElement('div'); const { texts, whole } = PITWRIGHT; \
    const question = whole.practice[0].questions.find((one) => { box.innerHTML = texts.asks[one.id].stem; return box.innerHTML === stem; });";

/// Has all of a page laid out, the far parts of a lesson too.
pub const LAY_OUT_ALL: &str = "const all = new CSSStyleSheet(); \
    all.replaceSync('* { content-visibility: visible !important }'); document.adoptedStyleSheets = [all]; return 0";

/// A course open in a browser.
pub struct Page {
    pub driver: Driver,
    /// What stands before the path of a page: `file://…/course/`, or of the one file `file://…/course.html#`.
    base: String,
}

impl Page {
    /// A course that was built into a folder, open in Chromium on a phone, with an empty record. Profile and downloads lie in `folder`.
    pub async fn phone(built: &Path, folder: &Path) -> Self {
        Self::open(
            Browser::Chromium,
            &built.join("course"),
            &folder.join("profile"),
            folder,
            0,
        )
        .await
    }

    /// Opens a browser whose clock is `hours` behind (ahead, if less than 0), at phone size, downloading into `downloads`.
    pub async fn open(browser: Browser, course: &Path, profile: &Path, downloads: &Path, hours: i32) -> Self {
        let base = format!("file://{}/", course.display()).replace(' ', "%20");
        Self::at(browser, base, profile, downloads, hours).await
    }

    /// The same for a course that is somewhere else than in a folder.
    pub async fn at(browser: Browser, base: String, profile: &Path, downloads: &Path, hours: i32) -> Self {
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
        Self { driver, base }
    }

    fn is_one_file(&self) -> bool {
        self.base.ends_with('#')
    }

    pub async fn goto(&self, path: &str) {
        if self.is_one_file() {
            self.outer().await;
        }
        self.driver
            .goto(format!("{}{path}", self.base))
            .await
            .expect("the page opens");
        if self.is_one_file() {
            // Another page of the same file opens without the file being opened again.
            self.driver.refresh().await.expect("it opens again");
            self.on(path).await;
        }
    }

    /// Opens the page that is there once more, as somebody does who put a phone away.
    pub async fn again(&self, path: &str) {
        if self.is_one_file() {
            self.outer().await;
        }
        self.driver.refresh().await.expect("it opens again");
        self.on(path).await;
    }

    /// Out of the frame that shows a page of the one file.
    pub async fn outer(&self) {
        self.driver.enter_default_frame().await.expect("there is an outer page");
    }

    /// Waits until a page is there to which something led; of the one file into the frame that shows it.
    pub async fn on(&self, part_of_address: &str) {
        let path = part_of_address.split('#').next().unwrap_or_default();
        if !self.is_one_file() {
            return self.until(&format!("location.pathname.includes({path:?})")).await;
        }
        self.outer().await;
        self.until(&format!(
            "[location.hash, decodeURIComponent(location.hash)].some((one) => one.includes({part_of_address:?})) && document.querySelector('iframe') \
             && document.querySelector('iframe').contentDocument.querySelector('main')"
        ))
        .await;
        self.driver.enter_frame(0).await.expect("there is a frame");
        self.until(&format!(
            "globalThis.PITWRIGHT_PLACE && PITWRIGHT_PLACE.path.includes({path:?})"
        ))
        .await;
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

    /// Has all of the page laid out, for whoever measures it: see [`LAY_OUT_ALL`].
    pub async fn lay_out_all(&self) {
        self.ask(LAY_OUT_ALL).await;
    }

    /// Presses something as a finger would.
    pub async fn press(&self, selector: &str) {
        // Something may still move, as while a page is laid out: a finger waits, and presses then.
        let end = Instant::now() + Duration::from_secs(5);
        loop {
            self.there(selector).await;
            let element = self.driver.find(By::Css(selector)).await.expect("it is there");
            self.ask(&format!(
                "document.querySelector({})?.scrollIntoView({{ behavior: 'instant', block: 'center' }})",
                json!(selector)
            ))
            .await;
            let Err(why) = element.click().await else {
                return;
            };
            if Instant::now() > end {
                panic!("{selector} cannot be pressed: {why}\n{}", self.text().await);
            }
            tokio::time::sleep(Duration::from_millis(100)).await;
        }
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
        if self.is_one_file() {
            return;
        }
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
        self.fill(".turn", response).await;
        self.press(".turn .press-main").await;
        self.until(&format!(
            "document.querySelector('main h1').innerText !== {heading} || !document.querySelector('.turn')"
        ))
        .await;
    }

    /// Fills in a response to the question that stands somewhere, as a finger would.
    pub async fn fill(&self, place: &str, response: &str) {
        let kind = self
            .ask(&format!(
                "const has = (what) => Boolean(document.querySelector(`{place} ${{what}}`)); \
                 return has('.order') ? 'order' : has('select') ? 'pairs' : has('input[type=text]') ? 'number' : 'options'",
            ))
            .await;
        match kind.as_str() {
            Some("order") => {
                for (wanted, step) in response.split("[,]").enumerate() {
                    let at = format!(
                        "[...document.querySelectorAll('{place} .order-item')].findIndex(one => one.dataset.step === {})",
                        json!(step)
                    );
                    while self.ask(&format!("return {at}")).await != json!(wanted) {
                        self.press(&format!("{place} [data-step={}] [data-way=earlier]", json!(step)))
                            .await;
                    }
                }
            }
            Some("pairs") => {
                for pair in response.split("[,]") {
                    let (left, right) = pair.split_once("[.]").expect("a pair");
                    self.press(&format!(
                        "{place} select[data-left={}] option[value={}]",
                        json!(left),
                        json!(right)
                    ))
                    .await;
                }
            }
            Some("number") => self.type_into(&format!("{place} input[type=text]"), response).await,
            _ => {
                for option in response.split("[,]") {
                    let id = format!(
                        "return document.querySelector('{place} input[value={}]').id",
                        json!(option)
                    );
                    self.press(&format!("label[for={}]", self.ask(&id).await)).await;
                }
            }
        }
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

    /// Answers the question that has come back rightly, and stays at what is told.
    pub async fn answer_due(&self) {
        let right = self
            .ask(&format!("{DUE} return PITWRIGHT.mark.right(question)[0];"))
            .await;
        self.fill(".ask", right.as_str().expect("a response")).await;
        self.press(".ask .press-main").await;
        self.there(".told-right").await;
    }

    /// Takes a bank from its beginning to its end, every answer right.
    pub async fn sit_well(&self, path: &str) {
        self.begin(path).await;
        while self.ask("return Boolean(document.querySelector('.turn'))").await == json!(true) {
            self.answer_right().await;
        }
        self.until("!document.body.dataset.running").await;
    }

    /// Hands the record in.
    pub async fn hand_in(&self) {
        self.goto("record.html").await;
        self.press("main .hand-state ~ .press-main").await;
        self.until("document.querySelector('main .hand-told:not(:empty)')")
            .await;
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
        self.press("[data-begin] [data-go]").await;
        self.there(".turn h1").await;
    }

    /// The page as the scripts have made it by now.
    pub async fn html(&self) -> String {
        let html = self.ask("return document.documentElement.outerHTML").await;
        format!("<!doctype html>{}", html.as_str().expect("a page"))
    }
}
