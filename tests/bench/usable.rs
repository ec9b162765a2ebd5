//! How soon a page can be used, opened from a file on a phone's processor, beside a page that weighs as much and does nothing.

use crate::browser_driver::{Driver, converse};
use crate::ground::demo_course;
use serde_json::json;
use std::path::Path;

/// How often each page is opened.
const LOADS: usize = 20;

/// A page, and what stands on it once a person can do there what they came for.
const PAGES: [(&str, &str); 6] = [
    ("index.html", ".break[data-ready] .break-length"),
    ("lesson/lockout.html", "[data-ask] form"),
    ("lesson/extra-pin.html", "[data-ask] form"),
    ("find.html", "#find-field"),
    ("apart/marrowbell.html", "[data-part=apart] button"),
    ("drill/extra-pin.html", "[data-practise] button"),
];

/// Milliseconds from the moment that the page was asked for until `USABLE` stands there, seen, and has been painted: the frame that
/// shows it begins, and a task after it, when it is done.
const WATCH: &str = "const wanted = USABLE; \
    const seen = () => (wanted === null ? document.readyState !== 'loading' : \
        [...document.querySelectorAll(wanted)].some((one) => !one.closest('[hidden]'))); \
    const settled = () => { if (globalThis.usableAt !== undefined || !seen()) return; globalThis.usableAt = 0; \
        requestAnimationFrame(() => { const { port1, port2 } = new MessageChannel(); \
            port1.onmessage = () => { globalThis.usableAt = performance.now(); }; port2.postMessage(0); }); }; \
    new MutationObserver(settled).observe(document, { subtree: true, childList: true, attributes: true }); \
    document.addEventListener('DOMContentLoaded', settled);";

/// That moment, and the one of the first picture: `first-contentful-paint` of the W3C's Paint Timing.
const ASKED: &str = "const done = arguments[0]; const look = () => { const [first] = performance.getEntriesByName('first-contentful-paint'); \
    if (globalThis.usableAt > 0 && first) done([globalThis.usableAt, first.startTime]); else setTimeout(look, 20); }; look();";

/// A page of one paragraph: what the browser takes here for a page with nothing in it.
const EMPTY: &str = "<!doctype html><html lang=\"en\"><title>Empty</title><p>Empty</p></html>";

pub fn run() {
    let built = demo_course();
    let course = built.path().join("course");
    // Pages of an inert course lie where those of the course do, so that their tags name the same files.
    let inert = built.path().join("inert");
    copied(&course, &inert);
    std::fs::write(inert.join("empty.html"), EMPTY).expect("it can be written");
    let [nothing, _] = medians(&inert, "empty.html", None);
    println!(
        "{:<24} usable after {nothing:6.1} ms (median of {LOADS}, processor at a quarter)",
        "an empty page"
    );
    for (page, usable) in PAGES {
        let [ours, painted] = medians(&course, page, Some(usable));
        let [theirs, _] = medians(&inert, page, None);
        println!(
            "{page:<24} usable after {ours:6.1} ms, first picture after {painted:6.1} ms; inert page of equal weight {theirs:6.1} ms; \
             ratio {:.2}; above an empty page {:6.1} ms; goal: under 200 ms",
            ours / theirs,
            ours - nothing
        );
    }
}

/// Median milliseconds until a page can be used, and until its first picture.
fn medians(root: &Path, page: &str, usable: Option<&str>) -> [f64; 2] {
    let times = converse(opened(root, page, usable));
    [0, 1].map(|which| {
        let mut times: Vec<f64> = times.iter().map(|one| one[which]).collect();
        times.sort_by(f64::total_cmp);
        times[times.len() / 2]
    })
}

/// The course, file by file of the same length, with scripts that are one remark each.
fn copied(from: &Path, into: &Path) {
    for entry in walkdir::WalkDir::new(from) {
        let entry = entry.expect("the course can be walked");
        let to = into.join(entry.path().strip_prefix(from).expect("it lies in there"));
        if entry.file_type().is_dir() {
            std::fs::create_dir_all(&to).expect("it can be made");
            continue;
        }
        let mut bytes = std::fs::read(entry.path()).expect("it was built");
        if to.extension().is_some_and(|ending| ending == "js") {
            bytes = format!("/*{}*/", "-".repeat(bytes.len().saturating_sub(4))).into_bytes();
        }
        std::fs::write(&to, bytes).expect("it can be written");
    }
}

async fn opened(course: &Path, page: &str, usable: Option<&str>) -> Vec<[f64; 2]> {
    let driver = Driver::start(None, 390, 844, false).await;
    let base = format!("file://{}", course.display());
    if usable.is_some() {
        // Somebody whose course it is: a code, and a lesson behind them.
        driver
            .goto(format!("{base}/record.html"))
            .await
            .expect("the page opens");
        let enter = "const done = arguments[0]; const look = () => { const input = document.querySelector('main .who-input'); \
            if (!input) { setTimeout(look, 20); return; } input.value = 'T-07'; input.form.requestSubmit(); setTimeout(done, 500); }; look();";
        driver
            .execute_async(enter, Vec::new())
            .await
            .expect("the code is taken");
    }
    driver
        .before_every_page(&WATCH.replace("USABLE", &json!(usable).to_string()))
        .await;
    driver
        .devtools("Emulation.setCPUThrottlingRate", json!({ "rate": 4 }))
        .await;
    let mut times = Vec::new();
    for _ in 0..LOADS {
        driver.goto("about:blank").await.expect("the page opens");
        driver.goto(format!("{base}/{page}")).await.expect("the page opens");
        let answer = driver
            .execute_async(ASKED, Vec::new())
            .await
            .expect("the page can be used");
        times.push([0, 1].map(|which| answer.json()[which].as_f64().expect("milliseconds")));
    }
    times
}
