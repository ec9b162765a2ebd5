//! What a course needs besides its pages where it is served over http(s): a worker that keeps it, and what its installation is called.

use super::Output;
use crate::marking::{Marking, sha256_hex};
use crate::theme::{Theme, ThemeError};
use serde_json::json;

/// Adds both to all that the course consists of. Nothing in them is read where a course is opened from a folder.
///
/// # Errors
/// [`ThemeError`] if the theme lacks the worker or it is not text.
pub fn add(output: &mut Output, marking: &Marking, theme: &Theme) -> Result<(), ThemeError> {
    let worker = std::str::from_utf8(theme.file("served/kept.js")?).map_err(|_| ThemeError {
        why: "theme/served/kept.js is not UTF-8".into(),
    })?;
    let name = json!({
        "name": marking.title, "short_name": marking.title, "start_url": "index.html", "display": "standalone",
        "icons": [{ "src": "drawings/favicon.svg", "sizes": "any", "type": "image/svg+xml" }],
    });
    output.insert("course.webmanifest".into(), name.to_string().into_bytes());
    let files: Vec<&String> = output.keys().collect();
    let hashes: Vec<String> = output.values().map(|bytes| sha256_hex(bytes)).collect();
    let edition = sha256_hex(json!([files, hashes]).to_string().as_bytes());
    let worker = format!(
        "const COURSE = {};\nconst EDITION = {};\nconst FILES = {};\n{worker}",
        json!(marking.course),
        json!(&edition[..16]),
        json!(files)
    );
    output.insert("kept.js".into(), worker.into_bytes());
    Ok(())
}
