//! Every page of a folder, whatever its kind, is valid and accessible.

use super::{accessible, valid};
use crate::browser_driver::{Driver, converse};
use crate::ground::demo_course;
use std::path::{Path, PathBuf};

/// Fails unless all pages of a folder, and of the folders in it, are valid HTML and accessible, light and dark, on a phone and
/// on a desk; and its styles and drawings valid.
pub fn pages_hold_up(folder: &Path) {
    let complaints = complaints(folder);
    assert!(complaints.is_empty(), "{}", complaints.join("\n"));
}

fn complaints(folder: &Path) -> Vec<String> {
    let files = |endings: &[&str]| -> Vec<PathBuf> {
        walkdir::WalkDir::new(folder)
            .sort_by_file_name()
            .into_iter()
            .map(|entry| entry.expect("the folder can be walked").into_path())
            .filter(|path| {
                path.extension()
                    .is_some_and(|ending| endings.iter().any(|known| ending == *known))
            })
            .collect()
    };
    let pages = files(&["html"]);
    assert!(!pages.is_empty(), "{} holds no page", folder.display());
    let mut complaints = valid::complaints(&files(&["html", "css", "svg"]));
    complaints.extend(converse(async {
        let driver = Driver::start(None, 1280, 800, false).await;
        let mut found = Vec::new();
        for page in &pages {
            let address = format!("file://{}", page.display()).replace(' ', "%20");
            driver.goto(address).await.expect("the page opens");
            let name = page
                .strip_prefix(folder)
                .expect("it lies in there")
                .display()
                .to_string();
            found.extend(accessible::complaints(&driver, &name).await);
        }
        found
    }));
    complaints
}

#[test]
fn every_page_of_the_demo_course_is_valid_and_accessible() {
    let built = demo_course();
    pages_hold_up(&built.path().join("course"));
}

#[test]
fn a_page_that_is_neither_valid_nor_accessible_is_found_out() {
    let folder = tempfile::tempdir().expect("a temporary folder can be made");
    let good = "<!doctype html><html lang=\"en\"><head><meta charset=\"utf-8\"><title>A page</title>\
        <style>@media (prefers-color-scheme: dark) { html { background: #111; color: #eee } p { color: COLOUR } }</style></head>\
        <body><main><h1>A page</h1><p>Some words.</p>MORE</main></body></html>";
    let page = |name: &str, colour: &str, more: &str| {
        let html = good.replace("COLOUR", colour).replace("MORE", more);
        std::fs::write(folder.path().join(name), html).expect("it can be written");
    };
    page("good.html", "#eee", "");
    assert_eq!(complaints(folder.path()), Vec::<String>::new());
    page("invalid.html", "#eee", "<p><section>a</section>");
    page("in the dark.html", "#222", "");
    let found = complaints(folder.path());
    let about = |name: &str, what: &str| found.iter().any(|line| line.contains(name) && line.contains(what));
    assert!(about("invalid.html", "Section lacks heading"), "{found:#?}");
    assert!(about("in the dark.html, dark, 390 px", "color-contrast"), "{found:#?}");
    assert!(
        !about("in the dark.html, light", "") && !about("good.html", ""),
        "{found:#?}"
    );
}
