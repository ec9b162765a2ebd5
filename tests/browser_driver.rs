//! A real Chromium for tests, driven through the W3C WebDriver protocol.

use serde_json::{Value, json};
use std::io::{BufRead, BufReader};
use std::ops::Deref;
use std::path::Path;
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};
use tempfile::TempDir;
use thirtyfour::{BrowserLogEntry, Capabilities, WebDriver};

/// One browser and the chromedriver that steers it. Both end when it is dropped.
///
/// It stands for its session: everything that [`WebDriver`] can do is called on it directly.
pub struct Driver {
    session: WebDriver,
    /// Ended when dropped.
    _chromedriver: Chromedriver,
    /// The profile of a browser that was given none; deleted when dropped.
    _forgotten: TempDir,
    browser: u64,
}

impl Driver {
    /// Opens a browser on a page of `width` by `height` CSS pixels, in the dark scheme or the light one.
    ///
    /// With a `profile` folder what pages store outlives the browser; without one it is forgotten.
    pub async fn start(profile: Option<&Path>, width: u32, height: u32, dark: bool) -> Self {
        let (chromedriver, port) = Chromedriver::start();
        let mut arguments = vec![
            "--headless=new".to_owned(),
            "--no-sandbox".to_owned(),
            "--disable-gpu".to_owned(),
            "--disable-dev-shm-usage".to_owned(),
            "--no-first-run".to_owned(),
            "--disable-background-networking".to_owned(),
            format!("--window-size={},{height}", width.max(500)),
            // Light must be asked for too: what the machine prefers is not the test's business.
            format!("--blink-settings=preferredColorScheme={}", u8::from(!dark)),
        ];
        let forgotten = tempfile::tempdir().expect("a temporary folder can be made");
        arguments.push(format!(
            "--user-data-dir={}",
            profile.unwrap_or(forgotten.path()).display()
        ));
        let mut capabilities = Capabilities::new();
        let options = json!({
            "binary": "/usr/bin/chromium",
            "args": arguments,
            // A window cannot be made narrower than 500 pixels; a screen can.
            "mobileEmulation": { "deviceMetrics": { "width": width, "height": height, "pixelRatio": 1.0, "touch": false, "mobile": false } },
        });
        for (key, value) in [
            ("browserName", json!("chrome")),
            ("goog:chromeOptions", options),
            ("goog:loggingPrefs", json!({ "browser": "ALL" })),
        ] {
            capabilities.set(key, value).expect("JSON goes into capabilities");
        }
        let session = WebDriver::new(format!("http://127.0.0.1:{port}"), capabilities)
            .await
            .expect("chromedriver opens Chromium");
        let browser = session
            .capabilities()
            .get("goog:processID")
            .and_then(Value::as_u64)
            .expect("chromedriver tells the browser's process");
        Self {
            session,
            _chromedriver: chromedriver,
            _forgotten: forgotten,
            browser,
        }
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
            .args([signal, &self.browser.to_string()])
            .status()
            .expect("kill can be run");
        assert!(sent.success(), "the browser was running");
        let until = Instant::now() + Duration::from_secs(10);
        while running(self.browser) && Instant::now() < until {
            std::thread::sleep(Duration::from_millis(20));
        }
    }

    /// What the console has been told since the last call, oldest first; the level is `SEVERE`, `WARNING`, `INFO` or `DEBUG`.
    pub async fn console(&self) -> Vec<BrowserLogEntry> {
        self.session
            .browser_log()
            .await
            .expect("chromedriver keeps the console's log")
    }
}

impl Drop for Driver {
    /// Asks the browser to end, as a desktop does. Closing the session instead would need the runtime that is being left.
    fn drop(&mut self) {
        if running(self.browser) {
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

struct Chromedriver(Child);

impl Chromedriver {
    /// Starts it on a port that is free, and says which.
    fn start() -> (Self, u16) {
        let mut child = Command::new("/usr/bin/chromedriver")
            .arg("--port=0")
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn()
            .expect("chromedriver is installed (Debian package chromium-driver)");
        let out = child.stdout.take().expect("its output is piped");
        let started = Self(child);
        let mut lines = BufReader::new(out).lines();
        let port = lines
            .by_ref()
            .map_while(Result::ok)
            .find_map(|line| {
                let port = line.split("started successfully on port ").nth(1)?;
                port.trim_end_matches('.').parse().ok()
            })
            .expect("chromedriver says which port it took");
        // A full pipe would stop it: what else it says is read and thrown away.
        std::thread::spawn(move || lines.map_while(Result::ok).for_each(drop));
        (started, port)
    }
}

impl Drop for Chromedriver {
    fn drop(&mut self) {
        // It may have ended by itself; either way it is gone afterwards.
        let _ = self.0.kill();
        let _ = self.0.wait();
    }
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
    use super::{Driver, converse};
    use thirtyfour::error::WebDriverResult;

    async fn ask(driver: &Driver, script: &str) -> WebDriverResult<serde_json::Value> {
        Ok(driver.execute(script, Vec::new()).await?.json().clone())
    }

    /// A store outlives a kill only if profile, kill and restart do what they say.
    #[test]
    fn a_killed_browser_comes_back_on_its_profile_at_the_size_and_scheme_asked_for() {
        let folder = tempfile::tempdir().expect("a temporary folder can be made");
        let page = folder.path().join("page.html");
        std::fs::write(&page, "<!doctype html><title>t</title>").expect("it can be written");
        let address = format!("file://{}", page.display());
        let profile = folder.path().join("profile");
        let look = "return [innerWidth, innerHeight, matchMedia('(prefers-color-scheme: dark)').matches]";
        converse(async {
            let driver = Driver::start(Some(&profile), 360, 640, true).await;
            driver.goto(&address).await.expect("the page opens");
            assert_eq!(
                ask(&driver, look).await.expect("it runs"),
                serde_json::json!([360, 640, true])
            );
            let keep = "const done = arguments[0]; const open = indexedDB.open('kept', 1); \
                open.onupgradeneeded = () => open.result.createObjectStore('s'); \
                open.onsuccess = () => { const t = open.result.transaction('s', 'readwrite', { durability: 'strict' }); \
                t.objectStore('s').put('x', 'k'); t.oncomplete = () => done(true); };";
            driver.execute_async(keep, Vec::new()).await.expect("it is kept");
            ask(&driver, "console.error('heard')").await.expect("it runs");
            let heard = driver.console().await;
            assert!(
                heard
                    .iter()
                    .any(|line| line.level == "SEVERE" && line.message.contains("heard")),
                "{heard:?}"
            );
            driver.kill();

            let driver = Driver::start(Some(&profile), 1280, 800, false).await;
            driver.goto(&address).await.expect("the page opens");
            assert_eq!(
                ask(&driver, look).await.expect("it runs"),
                serde_json::json!([1280, 800, false])
            );
            let fetch = "const done = arguments[0]; const open = indexedDB.open('kept', 1); \
                open.onsuccess = () => { const get = open.result.transaction('s').objectStore('s').get('k'); \
                get.onsuccess = () => done(get.result); };";
            let kept = driver.execute_async(fetch, Vec::new()).await.expect("it runs");
            assert_eq!(kept.json(), "x");
        });
    }
}
