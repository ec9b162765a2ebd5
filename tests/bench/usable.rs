//! How soon a page can be used, opened from a file on a phone's processor, beside a page that weighs as much and does nothing.

use crate::browser_driver::{Driver, converse};
use crate::ground::demo_course;
use serde_json::json;
use std::path::Path;

/// How often each page is opened.
const LOADS: usize = 20;

/// A page as a person uses it.
struct Used {
    page: &'static str,
    /// What a person comes for can be pressed or typed into from the moment that this is seen: a press that comes before the page's
    /// scripts is kept, and done by them (`tests/browser/early.rs`). A lesson is read, and its first way leads to the steps.
    usable: &'static str,
    /// What is done to it at once, as a script of `used`.
    deed: &'static str,
    /// What then stands there. On a lesson: its questions, which are far down.
    answered: &'static str,
}

const PAGES: [Used; 6] = [
    Used {
        page: "index.html",
        usable: ".break .break-length",
        deed: "used.click()",
        answered: ".break-piece",
    },
    Used {
        page: "lesson/lockout.html",
        usable: ".to-steps a",
        deed: "",
        answered: "[data-ask] form",
    },
    Used {
        page: "lesson/extra-pin.html",
        usable: ".to-steps a",
        deed: "",
        answered: "[data-ask] form",
    },
    Used {
        page: "find.html",
        usable: "#find-field",
        deed: "used.value = 'swep down'; used.dispatchEvent(new Event('input', { bubbles: true }))",
        answered: ".find-row",
    },
    Used {
        page: "apart/marrowbell.html",
        usable: "[data-part=apart] [data-say]",
        deed: "used.click()",
        answered: "[data-back]",
    },
    Used {
        page: "drill/extra-pin.html",
        usable: "[data-practise] button",
        deed: "used.click()",
        answered: ".drill-act",
    },
];

/// Milliseconds from the moment that the page was asked for until `USABLE` stands there, seen, and has been painted: the frame that
/// shows it begins, and a task after it, when it is done. The same of `ANSWERED`, after `DEED` was done to the first.
const WATCH: &str = "const wanted = USABLE; \
    const shown = (selector) => [...document.querySelectorAll(selector)].find((one) => !one.closest('[hidden]')); \
    const painted = (then) => requestAnimationFrame(() => { const { port1, port2 } = new MessageChannel(); \
        port1.onmessage = () => then(performance.now()); port2.postMessage(0); }); \
    let [seen, told] = [false, false]; \
    const look = () => { \
        const used = wanted === null ? document.readyState !== 'loading' : shown(wanted); \
        if (!seen && used) { seen = true; painted((at) => { globalThis.usableAt = at; DEED; look(); }); } \
        if (globalThis.usableAt && !told && (wanted === null || shown(ANSWERED))) { told = true; painted((at) => { globalThis.answeredAt = at; }); } }; \
    new MutationObserver(look).observe(document, { subtree: true, childList: true, attributes: true }); \
    document.addEventListener('DOMContentLoaded', look);";

/// Those moments, and the one of the first picture: `first-contentful-paint` of the W3C's Paint Timing.
const ASKED: &str = "const done = arguments[0]; const look = () => { const [first] = performance.getEntriesByName('first-contentful-paint'); \
    if (globalThis.answeredAt && first) done([globalThis.usableAt, first.startTime, globalThis.answeredAt]); else setTimeout(look, 20); }; look();";

/// A page of one paragraph: what the browser takes here for a page with nothing in it.
const EMPTY: &str = "<!doctype html><html lang=\"en\"><title>Empty</title><p>Empty</p></html>";

pub fn run() {
    let built = demo_course();
    let course = built.path().join("course");
    // Pages of an inert course lie where those of the course do, so that their tags name the same files.
    let inert = built.path().join("inert");
    copied(&course, &inert);
    std::fs::write(inert.join("empty.html"), EMPTY).expect("it can be written");
    let [nothing, ..] = medians(&inert, "empty.html", None);
    println!(
        "{:<24} usable after {nothing:6.1} ms (median of {LOADS}, processor at a quarter)",
        "an empty page"
    );
    for used in &PAGES {
        let page = used.page;
        let [ours, painted, answered] = medians(&course, page, Some(used));
        let [theirs, ..] = medians(&inert, page, None);
        println!(
            "{page:<24} usable after {ours:6.1} ms, first picture after {painted:6.1} ms, answers after {answered:6.1} ms; \
             inert page of equal weight {theirs:6.1} ms; ratio {:.2}; above an empty page {:6.1} ms; goal: usable under 200 ms",
            ours / theirs,
            ours - nothing
        );
    }
}

/// Median milliseconds until a page can be used, until its first picture, and until what was done to it is answered.
fn medians(root: &Path, page: &str, used: Option<&Used>) -> [f64; 3] {
    let times = converse(opened(root, page, used));
    [0, 1, 2].map(|which| {
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

async fn opened(course: &Path, page: &str, used: Option<&Used>) -> Vec<[f64; 3]> {
    let driver = Driver::start(None, 390, 844, false).await;
    let base = format!("file://{}", course.display());
    if used.is_some() {
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
    let watch = WATCH
        .replace("USABLE", &json!(used.map(|used| used.usable)).to_string())
        .replace("ANSWERED", &json!(used.map(|used| used.answered)).to_string())
        .replace("DEED", used.map_or("", |used| used.deed));
    driver.before_every_page(&watch).await;
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
        times.push([0, 1, 2].map(|which| answer.json()[which].as_f64().expect("milliseconds")));
    }
    times
}
