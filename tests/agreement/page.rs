//! A page with the theme's own cores in it, opened from a file as a course is, and asked in batches.

use crate::browser_driver::{Driver, converse};
use crate::ground::root;
use serde_json::Value;
use std::fs;
use std::time::Duration;
use tempfile::TempDir;

/// The cores under test, in the order in which they need one another.
const SCRIPTS: [&str; 21] = [
    "random.js",
    "decimal.js",
    "draw.js",
    "response.js",
    "full-mark.js",
    "mark.js",
    "walk.js",
    "canonical.js",
    "statement.js",
    "attempts.js",
    "base58.js",
    "proof.js",
    "slip.js",
    "missing.js",
    "deck.js",
    "machine.js",
    "situation.js",
    "drill-run.js",
    "drill-trace.js",
    "apart.js",
    "find-words.js",
];

const BATCH: usize = 250;

pub struct Page {
    driver: Driver,
    _folder: TempDir,
}

impl Page {
    pub async fn open() -> Self {
        let folder = tempfile::tempdir().expect("a temporary folder can be made");
        let mut html = "<!doctype html><html lang=\"en\"><meta charset=\"utf-8\"><title>Agreement</title>".to_owned();
        let harness = (root().join("tests/agreement/run.js"), "run.js");
        let scripts = SCRIPTS.map(|name| (root().join("theme/script").join(name), name));
        for (from, name) in scripts.into_iter().chain([harness]) {
            fs::copy(from, folder.path().join(name)).expect("the script is there");
            html.push_str(&format!("<script src=\"{name}\"></script>"));
        }
        let page = folder.path().join("page.html");
        fs::write(&page, html).expect("the page can be written");
        let driver = Driver::start(None, 800, 600, false).await;
        driver
            .set_script_timeout(Duration::from_secs(110))
            .await
            .expect("it can be set");
        driver
            .goto(format!("file://{}", page.display()))
            .await
            .expect("the page opens");
        Self {
            driver,
            _folder: folder,
        }
    }

    /// What the page makes of each case, in order.
    pub async fn run(&self, cases: &[Value]) -> Vec<Value> {
        let ask = "const done = arguments[1]; run(arguments[0]).then(done, (error) => done(String(error.stack)));";
        let mut all = Vec::new();
        for batch in cases.chunks(BATCH) {
            let answer = self
                .driver
                .execute_async(ask, vec![Value::from(batch)])
                .await
                .expect("the page answers");
            match answer.json() {
                Value::Array(made) if made.len() == batch.len() => all.extend_from_slice(made),
                other => panic!("the page failed: {other}\n{:?}", self.driver.errors().await),
            }
        }
        all
    }

    /// Closes the browser, after a look at what its console was told.
    pub async fn close(self) {
        let told = self.driver.errors().await;
        assert!(told.is_empty(), "the console was told {told:?}");
    }
}

/// What a page of its own makes of each case, in order.
pub fn answers(cases: &[Value]) -> Vec<Value> {
    converse(async {
        let page = Page::open().await;
        let made = page.run(cases).await;
        page.close().await;
        made
    })
}
