//! Cards, wall sheet and labels on paper: of the size that they say, nothing cut, and every printed code readable.

use super::hold_up::pages_hold_up;
use super::printed::{PAPERS, as_on_paper, complaints, print};
use crate::browser_driver::{Driver, converse};
use crate::findings::fixture;
use crate::ground::{demo, out, pitwright};
use std::collections::BTreeSet;
use std::path::Path;
use std::process::Command;

/// Dots an inch at which paper is read again; a telephone held close sees more.
const DOTS: f64 = 300.0;

/// A telephone is held over one code, and so is the decoder: windows of 40 mm, so near to each other that every code lies whole
/// in one of them.
const WINDOW: usize = (40.0 / 25.4 * DOTS) as usize;
const STEP: usize = (12.0 / 25.4 * DOTS) as usize;

/// A course with an address, compiled.
fn addressed(course: tempfile::TempDir) -> tempfile::TempDir {
    let outline = course.path().join("lessons/outline.yml");
    let text = std::fs::read_to_string(&outline).expect("it is text");
    std::fs::write(&outline, format!("address: https://pitwright.example/\n{text}")).expect("it can be written");
    let compiled = pitwright(course.path(), &["compile", "--no-zip"]);
    assert!(compiled.status.success(), "{}", out(&compiled));
    course
}

/// What the codes on printed paper hold, as somebody else's decoder reads a picture of it, and the smallest module in millimetres.
fn read_codes(folder: &Path) -> (BTreeSet<String>, f64) {
    let drawn = Command::new("pdftoppm")
        .args(["-gray", "-r", &DOTS.to_string(), "printed.pdf", "picture"])
        .current_dir(folder)
        .status()
        .expect("pdftoppm can be run: tests/run installs it");
    assert!(drawn.success());
    let mut held = BTreeSet::new();
    let mut smallest = f64::MAX;
    for entry in std::fs::read_dir(folder).expect("the folder can be listed") {
        let path = entry.expect("it can be listed").path();
        if path.extension().is_none_or(|ending| ending != "pgm") {
            continue;
        }
        let bytes = std::fs::read(&path).expect("it is there");
        std::fs::remove_file(&path).expect("the next print has its own");
        // P5, width and height, the highest value, then a byte a dot.
        let head: Vec<&[u8]> = bytes.splitn(4, |byte| *byte == b'\n').collect();
        let size = std::str::from_utf8(head[1]).expect("digits");
        let (width, height) = size.split_once(' ').expect("two numbers");
        let (width, height): (usize, usize) = (width.parse().expect("digits"), height.parse().expect("digits"));
        let dots = head[3];
        assert_eq!(dots.len(), width * height, "one byte a dot");
        let corners = (0..height)
            .step_by(STEP)
            .flat_map(|top| (0..width).step_by(STEP).map(move |left| (left, top)));
        for (left, top) in corners {
            let (wide, high) = (WINDOW.min(width - left), WINDOW.min(height - top));
            let dot = |x: usize, y: usize| dots[(top + y) * width + left + x];
            // A code is half dark, and fills a tenth of its window at the least; words do not.
            let sample = (0..high)
                .step_by(4)
                .flat_map(|y| (0..wide).step_by(4).map(move |x| (x, y)));
            let dark = sample.filter(|(x, y)| dot(*x, *y) < 128).count();
            if dark * 16 * 15 < WINDOW * WINDOW {
                continue;
            }
            let mut picture = rqrr::PreparedImage::prepare_from_greyscale(wide, high, dot);
            // A code that the window's edge cuts is read in another.
            for (grid, (meta, text)) in picture
                .detect_grids()
                .into_iter()
                .filter_map(|grid| Some((grid.bounds, grid.decode().ok()?)))
            {
                let across = f64::from(grid[1].x - grid[0].x).hypot(f64::from(grid[1].y - grid[0].y)) / DOTS * 25.4;
                smallest = smallest.min(across / (meta.version.0 * 4 + 17) as f64);
                held.insert(text);
            }
        }
    }
    (held, smallest)
}

#[test]
fn cards_wall_sheet_and_labels_print_whole_and_their_codes_can_be_read_off_the_paper() {
    let course = addressed(demo());
    let folder = course.path().join("out/course");
    converse(async {
        let driver = Driver::start(None, 1280, 800, false).await;
        for (name, most) in [
            ("cards/marrowbell.html", 6),
            ("wall/lockout.html", 3),
            ("labels.html", 4),
        ] {
            let page = folder.join(name);
            let text = std::fs::read_to_string(&page)
                .expect("it was built")
                .replace("&#x2F;", "/");
            let codes = text.split("<svg class=\"code\" role=\"img\" aria-label=\"").skip(1);
            let drawn: Vec<String> = codes
                .filter_map(|rest| Some(rest.split_once('"')?.0.to_owned()))
                .collect();
            let wanted: BTreeSet<String> = drawn.iter().cloned().collect();
            for paper in PAPERS {
                let sheets = print(&driver, &page, paper, course.path()).await;
                assert_eq!(
                    complaints(&format!("{name} on {}", paper.0), &sheets),
                    Vec::<String>::new()
                );
                assert!(sheets.len() <= most, "{name} on {}: {} sides", paper.0, sheets.len());
                let (held, module) = read_codes(course.path());
                assert_eq!(held, wanted, "{name} on {}", paper.0);
                // A dot for what is lost in the picture.
                assert!(
                    wanted.is_empty() || module >= 0.4 - 0.01,
                    "{name} on {}: {module} mm",
                    paper.0
                );
            }
            println!("{name}: {} codes", wanted.len());
            assert!(
                name != "labels.html" || wanted.len() == drawn.len() && wanted.len() > 40,
                "{drawn:?}"
            );
        }
    });
}

/// What is wrong with the cards of the page that is open, at print media.
const CARDS: &str = "return [...document.querySelectorAll('.card')].flatMap((card) => {
    const box = card.getBoundingClientRect();
    const millimetres = (pixels) => pixels / 96 * 25.4;
    const name = card.querySelector('h2').textContent.trim();
    const high = millimetres(box.height);
    const size = Math.abs(millimetres(box.width) - 171.2) < 0.1 && high > 60.9 && high < 76;
    const halves = [...card.querySelectorAll('.card-half')];
    const wrong = size ? [] : [`${name}: ${millimetres(box.width)} mm by ${millimetres(box.height)} mm`];
    if (halves.length !== 2) wrong.push(`${name}: ${halves.length} halves`);
    for (const half of halves) {
        if (Math.abs(millimetres(half.getBoundingClientRect().width) - 85.6) > 0.3) wrong.push(`${name}: not folded in the middle`);
        if (half.scrollHeight > half.clientHeight || half.scrollWidth > half.clientWidth) wrong.push(`${name}: runs over`);
        const edge = half.getBoundingClientRect();
        for (const inner of half.querySelectorAll('*')) {
            if (!inner.getClientRects().length) continue;
            const at = inner.getBoundingClientRect();
            if (at.bottom > edge.bottom - 2 || at.right > edge.right - 2 || at.left < edge.left + 2) wrong.push(`${name}: cut through`);
        }
    }
    return wrong;
});";

#[test]
fn a_card_of_the_demo_course_is_as_wide_as_an_identity_card_and_nothing_in_it_meets_the_cut() {
    let course = addressed(demo());
    let page = course.path().join("out/course/cards/marrowbell.html");
    converse(async {
        let driver = Driver::start(None, 900, 1200, false).await;
        as_on_paper(&driver, &page).await;
        let look = async |script: &str| -> serde_json::Value {
            let said = driver.execute(script, Vec::new()).await.expect("the script runs");
            said.json().clone()
        };
        assert_eq!(look(CARDS).await, serde_json::json!([]));
        assert_eq!(look("return document.querySelectorAll('.card').length").await, 20);
        // The same look finds a card that holds too much.
        look("document.querySelector('#card-extra-pin').after('word '.repeat(400))").await;
        let found = look(CARDS).await.to_string();
        assert!(found.contains("Extra pin") && !found.contains("Short set"), "{found}");
    });
}

#[test]
fn pages_with_codes_are_valid_and_accessible() {
    let course = addressed(fixture::base());
    let folder = course.path().join("out/course");
    assert!(folder.join("labels.html").exists() && folder.join("cards").is_dir());
    // Lessons have no codes; how they hold up, the demo course shows.
    std::fs::remove_dir_all(folder.join("lesson")).expect("it was built");
    pages_hold_up(&folder);
}
