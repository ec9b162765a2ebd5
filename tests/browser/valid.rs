//! Whether pages are valid HTML, as the Nu Html Checker sees it.

use super::tools::tool;
use serde_json::Value;
use std::path::PathBuf;
use std::process::Command;

/// The checker holds `'self'` of a page's policy against the address that it makes up for a file, and so believes that the page
/// blocks its own styles and scripts. Browsers do not, and other tests hold that.
const ABOUT_THE_POLICY: &str = "Resource violates Content Security Policy";

/// A wide table is set out as blocks on a phone, which takes the roles of its parts away in some browsers; a script says them outright. The
/// checker knows what the elements mean, not what the style makes of them.
fn is_about_a_stacked_table(message: &str) -> bool {
    let parts = ["table", "thead", "tbody", "tr", "th", "td"];
    let of_one = parts
        .iter()
        .any(|part| message.contains(&format!("“{part}” element")) || message.contains(&format!("element “{part}”")));
    of_one && (message.contains("role is unnecessary") || message.starts_with("The “role” attribute must not be used"))
}

/// What is wrong with these files: pages, styles and drawings. Warnings count.
pub fn complaints(files: &[PathBuf]) -> Vec<String> {
    let output = Command::new("java")
        .arg("-jar")
        .arg(tool("node_modules/vnu-jar/build/dist/vnu.jar"))
        .args([
            "--also-check-css",
            "--also-check-svg",
            "--stdout",
            "--exit-zero-always",
            "--format",
            "json",
        ])
        .args(files)
        .output()
        .expect("Java can be run: tests/run installs it");
    let said = String::from_utf8_lossy(&output.stdout);
    let report: Value = serde_json::from_str(&said)
        .unwrap_or_else(|why| panic!("{why}: {said}{}", String::from_utf8_lossy(&output.stderr)));
    let messages = report["messages"].as_array().expect("the report lists its messages");
    messages
        .iter()
        .filter(|message| {
            let message = message["message"].as_str().unwrap_or_default();
            !message.starts_with(ABOUT_THE_POLICY) && !is_about_a_stacked_table(message)
        })
        .map(|message| {
            format!(
                "{}:{}: {} ({})",
                message["url"].as_str().unwrap_or_default().trim_start_matches("file:"),
                message["lastLine"],
                message["message"].as_str().unwrap_or_default(),
                message["extract"].as_str().unwrap_or_default().trim()
            )
        })
        .collect()
}
