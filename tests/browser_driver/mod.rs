//! Real browsers for tests, driven through the W3C WebDriver protocol.

use serde_json::{Value, json};
use std::ops::Deref;
use std::path::Path;
use std::process::Command;
use std::time::{Duration, Instant};
use tempfile::TempDir;
use thirtyfour::WebDriver;

mod bidi;
mod chromium;
mod firefox;
mod server;

use server::Server;

/// Which browser.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Browser {
    Chromium,
    Firefox,
}

/// One browser and the driver that steers it. Both end when it is dropped.
///
/// It stands for its session: everything that [`WebDriver`] can do is called on it directly.
pub struct Driver {
    session: WebDriver,
    /// Ended when dropped.
    _server: Server,
    /// The profile of a browser that was given none; deleted when dropped.
    _forgotten: TempDir,
    process: u64,
    /// To Firefox; Chromium is asked through its own protocol.
    line: Option<bidi::Line>,
}

impl Driver {
    /// Opens Chromium on a page of `width` by `height` CSS pixels, in the dark scheme or the light one.
    ///
    /// With a `profile` folder what pages store outlives the browser; without one it is forgotten.
    pub async fn start(profile: Option<&Path>, width: u32, height: u32, dark: bool) -> Self {
        chromium::start(profile, width, height, dark).await
    }

    /// Opens Firefox in the same way. A page opened from a file may see only what a visitor's Firefox lets it see.
    pub async fn firefox(profile: Option<&Path>, width: u32, height: u32, dark: bool) -> Self {
        firefox::start(profile, width, height, dark).await
    }

    /// Has every page that is opened from now on, and every frame, run a script before its own.
    pub async fn before_every_page(&self, script: &str) {
        let script = format!("(() => {{ {script} }})()");
        match &self.line {
            Some(line) => {
                let function = format!("() => {{ {script} }}");
                line.ask("script.addPreloadScript", json!({ "functionDeclaration": function }))
                    .await;
            }
            None => {
                self.devtools("Page.addScriptToEvaluateOnNewDocument", json!({ "source": script }))
                    .await;
            }
        }
    }

    /// Downloads into a folder from now on, without asking.
    pub async fn download_into(&self, folder: &Path) {
        match &self.line {
            Some(line) => {
                let behaviour = json!({ "downloadBehavior": { "type": "allowed", "destinationFolder": folder } });
                line.ask("browser.setDownloadBehavior", behaviour).await;
            }
            None => {
                let behaviour = json!({ "behavior": "allow", "downloadPath": folder });
                self.devtools("Browser.setDownloadBehavior", behaviour).await;
            }
        }
    }

    /// Has Chromium do something through its own protocol, and hands on what it answers.
    pub async fn devtools(&self, command: &str, values: Value) -> Value {
        let answer = self.session.cdp().send_raw(command, values).await;
        answer.unwrap_or_else(|why| panic!("{command}: {why}"))
    }

    /// Kills the browser where it stands, as a flat battery would, and waits until it is gone. Nothing can be asked of this
    /// driver afterwards: start another on the same profile.
    pub fn kill(self) {
        self.signal("-9");
        // Dropping finds the browser gone already.
    }

    /// Sends the browser a signal and waits until it is gone.
    fn signal(&self, signal: &str) {
        let sent = Command::new("kill")
            .args([signal, &self.process.to_string()])
            .status()
            .expect("kill can be run");
        assert!(sent.success(), "the browser was running");
        let until = Instant::now() + Duration::from_secs(10);
        while running(self.process) && Instant::now() < until {
            std::thread::sleep(Duration::from_millis(20));
        }
    }

    /// The errors that the console has been told since the last call, oldest first.
    pub async fn errors(&self) -> Vec<String> {
        if let Some(line) = &self.line {
            return line.errors();
        }
        let log = self
            .session
            .browser_log()
            .await
            .expect("chromedriver keeps the console's log");
        log.into_iter()
            .filter(|line| line.level == "SEVERE")
            .map(|line| line.message)
            .collect()
    }
}

impl Drop for Driver {
    /// Asks the browser to end, as a desktop does. Closing the session instead would need the runtime that is being left.
    fn drop(&mut self) {
        if running(self.process) {
            self.signal("-TERM");
        }
        // There is no browser left to close. An error would mean that somebody closed the session, which is as well.
        let _ = self.session.clone().leak();
    }
}

impl Deref for Driver {
    type Target = WebDriver;

    fn deref(&self) -> &WebDriver {
        &self.session
    }
}

/// Whether a process is there and more than a remnant that nobody has collected yet.
fn running(process: u64) -> bool {
    std::fs::read_to_string(format!("/proc/{process}/stat"))
        .is_ok_and(|stat| !stat.rsplit(") ").next().is_some_and(|rest| rest.starts_with('Z')))
}

/// Runs a test's conversation with a browser to its end.
pub fn converse<T>(conversation: impl Future<Output = T>) -> T {
    tokio::runtime::Builder::new_current_thread()
        .enable_all()
        .build()
        .expect("a runtime can be made")
        .block_on(conversation)
}

mod tests {
    use super::{Browser, Driver, converse};
    use serde_json::{Value, json};
    use std::path::Path;

    async fn start(browser: Browser, profile: &Path, width: u32, height: u32, dark: bool) -> Driver {
        match browser {
            Browser::Chromium => Driver::start(Some(profile), width, height, dark).await,
            Browser::Firefox => Driver::firefox(Some(profile), width, height, dark).await,
        }
    }

    async fn ask(driver: &Driver, script: &str) -> Value {
        driver
            .execute(script, Vec::new())
            .await
            .expect("it runs")
            .json()
            .clone()
    }

    /// A store outlives a kill only if profile, kill and restart do what they say.
    fn comes_back(browser: Browser) {
        let folder = tempfile::tempdir().expect("a temporary folder can be made");
        let page = folder.path().join("page.html");
        std::fs::write(&page, "<!doctype html><title>t</title>").expect("it can be written");
        let address = format!("file://{}", page.display());
        let profile = folder.path().join("profile");
        std::fs::create_dir(&profile).expect("it can be made");
        let look = "return [innerWidth, innerHeight, matchMedia('(prefers-color-scheme: dark)').matches]";
        converse(async {
            let driver = start(browser, &profile, 360, 640, true).await;
            driver.before_every_page("globalThis.first = true;").await;
            driver.goto(&address).await.expect("the page opens");
            assert_eq!(ask(&driver, look).await, json!([360, 640, true]));
            assert_eq!(ask(&driver, "return globalThis.first").await, json!(true));
            let keep = "const done = arguments[0]; const open = indexedDB.open('kept', 1); \
                open.onupgradeneeded = () => open.result.createObjectStore('s'); \
                open.onsuccess = () => { const t = open.result.transaction('s', 'readwrite', { durability: 'strict' }); \
                t.objectStore('s').put('x', 'k'); t.oncomplete = () => done(true); };";
            driver.execute_async(keep, Vec::new()).await.expect("it is kept");
            assert_eq!(driver.errors().await, Vec::<String>::new());
            ask(&driver, "window.console.error('heard'); window.console.log('not this')").await;
            // What is told travels beside the answers, not before them.
            let mut heard = driver.errors().await;
            for _ in 0..100 {
                if heard.is_empty() {
                    tokio::time::sleep(std::time::Duration::from_millis(20)).await;
                    heard = driver.errors().await;
                }
            }
            assert!(heard.len() == 1 && heard[0].contains("heard"), "{heard:?}");
            driver.kill();

            let driver = start(browser, &profile, 1280, 800, false).await;
            driver.goto(&address).await.expect("the page opens");
            assert_eq!(ask(&driver, look).await, json!([1280, 800, false]));
            let fetch = "const done = arguments[0]; const open = indexedDB.open('kept', 1); \
                open.onsuccess = () => { const get = open.result.transaction('s').objectStore('s').get('k'); \
                get.onsuccess = () => done(get.result); };";
            let kept = driver.execute_async(fetch, Vec::new()).await.expect("it runs");
            assert_eq!(kept.json(), "x");
        });
    }

    #[test]
    fn a_killed_chromium_comes_back_on_its_profile_at_the_size_and_scheme_asked_for() {
        comes_back(Browser::Chromium);
    }

    #[test]
    fn a_killed_firefox_comes_back_on_its_profile_at_the_size_and_scheme_asked_for() {
        comes_back(Browser::Firefox);
    }

    /// Automation lets all files of a disk be one origin, which no visitor's Firefox does.
    #[test]
    fn firefox_keeps_files_apart_as_it_does_for_a_visitor() {
        let folder = tempfile::tempdir().expect("a temporary folder can be made");
        let page = |name: &str| {
            let place = folder.path().join(name);
            std::fs::write(&place, "<!doctype html><title>t</title>").expect("it can be written");
            format!("file://{}", place.display())
        };
        let (one, other) = (page("one.html"), page("other.html"));
        converse(async {
            let driver = Driver::firefox(None, 800, 600, false).await;
            driver.goto(&one).await.expect("the page opens");
            ask(&driver, "localStorage.setItem('k', 'x')").await;
            driver.goto(&other).await.expect("the page opens");
            assert_eq!(ask(&driver, "return localStorage.getItem('k')").await, Value::Null);
            driver.goto(&one).await.expect("the page opens");
            assert_eq!(ask(&driver, "return localStorage.getItem('k')").await, json!("x"));
        });
    }
}
