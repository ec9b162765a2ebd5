//! Debian's Firefox ESR. What the classic protocol lacks is asked for through WebDriver BiDi.

use super::bidi::Line;
use super::{Driver, Server};
use crate::browser::tool;
use serde_json::{Value, json};
use std::path::Path;
use std::process::Command;
use thirtyfour::{Capabilities, WebDriver};

pub async fn start(profile: Option<&Path>, width: u32, height: u32, dark: bool) -> Driver {
    let mut command = Command::new(tool("bin/geckodriver"));
    // Both ports 0: several may run beside each other.
    command.args(["--port=0", "--websocket-port=0"]);
    let server = Server::start(command, "Listening on 127.0.0.1:");
    let forgotten = tempfile::tempdir().expect("a temporary folder can be made");
    let options = json!({
        // The name on the path is a script that starts this.
        "binary": "/usr/lib/firefox-esr/firefox-esr",
        "args": ["-headless", "-profile", profile.unwrap_or(forgotten.path())],
        "prefs": {
            // Automation switches this off; pages would then share what a visitor's Firefox keeps apart.
            "security.fileuri.strict_origin_policy": true,
            // 0 is dark, 1 is light.
            "layout.css.prefers-color-scheme.content-override": u8::from(!dark),
            "browser.download.folderList": 2,
            "browser.download.always_ask_before_handling_new_types": false,
            "browser.helperApps.neverAsk.saveToDisk": "application/json",
        },
    });
    let mut capabilities = Capabilities::new();
    for (key, value) in [
        ("browserName", json!("firefox")),
        ("moz:firefoxOptions", options),
        ("webSocketUrl", json!(true)),
    ] {
        capabilities.set(key, value).expect("JSON goes into capabilities");
    }
    let session = WebDriver::new(server.address(), capabilities)
        .await
        .expect("geckodriver opens Firefox");
    let process = session
        .capabilities()
        .get("moz:processID")
        .and_then(Value::as_u64)
        .expect("geckodriver tells the browser's process");
    let line = session
        .capabilities()
        .get("webSocketUrl")
        .and_then(Value::as_str)
        .expect("Firefox speaks BiDi")
        .to_owned();
    // From here on the browser ends with the driver, whatever fails.
    let mut driver = Driver {
        session,
        _server: server,
        _forgotten: forgotten,
        process,
        line: None,
    };
    let line = Line::open(&line).await;
    line.ask("session.subscribe", json!({ "events": ["log.entryAdded"] }))
        .await;
    // A window cannot be made as narrow as a phone; what a page sees of it can.
    let window = driver.window().await.expect("a window is open").to_string();
    let viewport = json!({ "context": window, "viewport": { "width": width, "height": height } });
    line.ask("browsingContext.setViewport", viewport).await;
    driver.line = Some(line);
    driver
}
