//! Debian's Chromium.

use super::{Driver, Server};
use serde_json::{Value, json};
use std::path::Path;
use std::process::Command;
use thirtyfour::{Capabilities, WebDriver};

pub async fn start(profile: Option<&Path>, width: u32, height: u32, dark: bool) -> Driver {
    let mut command = Command::new("/usr/bin/chromedriver");
    command.arg("--port=0");
    let server = Server::start(command, "started successfully on port ");
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
    let session = WebDriver::new(server.address(), capabilities)
        .await
        .expect("chromedriver opens Chromium");
    let process = session
        .capabilities()
        .get("goog:processID")
        .and_then(Value::as_u64)
        .expect("chromedriver tells the browser's process");
    Driver {
        session,
        _server: server,
        _forgotten: forgotten,
        process,
        line: None,
    }
}
