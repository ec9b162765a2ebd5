//! Pages on paper, of both sizes in use: how many, whole, and nothing cut off.

use crate::browser_driver::{Driver, converse};
use crate::ground::demo_course;
use crate::ground::{demo, out, pitwright};
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::process::Command;
use thirtyfour::common::print::{PrintPage, PrintParameters};

/// Name, width and height in centimetres (ISO 216 A4; ANSI/ASME Y14.1 A).
pub const PAPERS: [(&str, f64, f64); 2] = [("A4", 21.0, 29.7), ("Letter", 21.59, 27.94)];

/// The margin of every page, in points: 7 mm above and below, 9 mm beside.
const MARGIN: (f64, f64) = (9.0 / 25.4 * 72.0, 7.0 / 25.4 * 72.0);

/// A word on paper, its box in points from the top left corner.
struct Word {
    text: String,
    left: f64,
    right: f64,
    bottom: f64,
}

pub struct Sheet {
    width: f64,
    height: f64,
    words: Vec<Word>,
}

impl Sheet {
    pub fn text(&self) -> String {
        let words: Vec<&str> = self.words.iter().map(|word| word.text.as_str()).collect();
        words.join(" ")
    }
}

/// Prints a page as a browser's menu would, and reads the paper.
pub async fn print(driver: &Driver, page: &Path, paper: (&str, f64, f64), folder: &Path) -> Vec<Sheet> {
    let address = format!("file://{}", page.display()).replace(' ', "%20");
    driver.goto(address).await.expect("the page opens");
    let parameters = PrintParameters {
        background: true,
        page: PrintPage {
            width: paper.1,
            height: paper.2,
        },
        shrink_to_fit: false,
        ..PrintParameters::default()
    };
    let pdf = driver.print_page(parameters).await.expect("Chromium prints");
    let place = folder.join("printed.pdf");
    std::fs::write(&place, pdf).expect("it can be written");
    read(&place)
}

fn read(pdf: &Path) -> Vec<Sheet> {
    let output = Command::new("pdftotext")
        .args(["-bbox", &pdf.display().to_string(), "-"])
        .output()
        .expect("pdftotext can be run: tests/run installs it");
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    let mut sheets: Vec<Sheet> = Vec::new();
    for line in String::from_utf8_lossy(&output.stdout).lines() {
        let line = line.trim();
        let number = |name: &str| -> f64 {
            let value = line
                .split(&format!("{name}=\""))
                .nth(1)
                .and_then(|rest| rest.split('"').next());
            value
                .and_then(|value| value.parse().ok())
                .unwrap_or_else(|| panic!("no {name} in {line}"))
        };
        if line.starts_with("<page ") {
            sheets.push(Sheet {
                width: number("width"),
                height: number("height"),
                words: Vec::new(),
            });
        } else if line.starts_with("<word ") {
            let text = line
                .split('>')
                .nth(1)
                .and_then(|rest| rest.split('<').next())
                .unwrap_or_default();
            let word = Word {
                text: text.to_owned(),
                left: number("xMin"),
                right: number("xMax"),
                bottom: number("yMax"),
            };
            sheets.last_mut().expect("a word stands on a page").words.push(word);
        }
    }
    sheets
}

/// What is wrong with the paper itself.
pub fn complaints(name: &str, sheets: &[Sheet]) -> Vec<String> {
    let mut complaints = Vec::new();
    for (index, sheet) in sheets.iter().enumerate() {
        let number = format!("{} / {}", index + 1, sheets.len());
        // The number alone is three words.
        if sheet.words.len() <= 3 {
            complaints.push(format!("{name}: page {number} is blank"));
        }
        if !sheet.text().contains(&number) {
            complaints.push(format!("{name}: page {number} does not say so"));
        }
        for word in &sheet.words {
            // A point for what a letter may stand out of its box.
            let beside = word.left < MARGIN.0 - 1.0 || word.right > sheet.width - MARGIN.0 + 1.0;
            if beside || word.bottom > sheet.height {
                complaints.push(format!("{name}: `{}` on page {number} runs off the paper", word.text));
            }
        }
    }
    complaints
}

fn pages(folder: &Path) -> Vec<PathBuf> {
    walkdir::WalkDir::new(folder)
        .sort_by_file_name()
        .into_iter()
        .map(|entry| entry.expect("the folder can be walked").into_path())
        .filter(|path| path.extension().is_some_and(|ending| ending == "html"))
        .filter(|path| !path.ends_with("store.html"))
        .collect()
}

/// What a folder's pages are on paper, by name and in the order of [`PAPERS`].
pub struct Printed {
    pub complaints: Vec<String>,
    /// How many sheets.
    pub counts: BTreeMap<String, Vec<usize>>,
    /// What each sheet says, both papers one after the other.
    pub texts: BTreeMap<String, Vec<String>>,
    /// Whether the sheets lie across.
    pub across: BTreeMap<String, Vec<bool>>,
}

/// Prints every page of a folder on both papers.
pub fn on_paper(folder: &Path) -> Printed {
    let mut printed = Printed {
        complaints: Vec::new(),
        counts: BTreeMap::new(),
        texts: BTreeMap::new(),
        across: BTreeMap::new(),
    };
    let scratch = tempfile::tempdir().expect("a temporary folder can be made");
    converse(async {
        let driver = Driver::start(None, 1280, 800, true).await;
        for page in pages(folder) {
            for paper in PAPERS {
                let sheets = print(&driver, &page, paper, scratch.path()).await;
                let name = page
                    .strip_prefix(folder)
                    .expect("it lies in there")
                    .display()
                    .to_string();
                let found = complaints(&format!("{name} on {}", paper.0), &sheets);
                printed.complaints.extend(found);
                printed.counts.entry(name.clone()).or_default().push(sheets.len());
                let across = sheets.iter().map(|sheet| sheet.width > sheet.height);
                printed.across.entry(name.clone()).or_default().extend(across);
                let texts = sheets.iter().map(Sheet::text);
                printed.texts.entry(name).or_default().extend(texts);
            }
        }
    });
    printed
}

/// What is staged with the most to tell beforehand goes on a third side.
const LONGEST: [&str; 3] = ["staging/no-cycle", "staging/sweep-off-rail", "staging/pin-in-ball-exit"];

#[test]
fn every_page_prints_whole_and_a_sheet_on_both_sides_of_one() {
    let built = demo_course();
    let Printed { complaints, counts, .. } = on_paper(&built.path().join("course"));
    assert!(complaints.is_empty(), "{}", complaints.join("\n"));
    let sheets: Vec<_> = counts.iter().filter(|(name, _)| name.starts_with("sheet")).collect();
    assert!(sheets.len() >= 5, "{counts:?}");
    for (name, count) in sheets {
        if name.contains("someone-caught") {
            assert_eq!(count, &[1, 1], "{name}: in an emergency nobody turns a page");
        } else {
            assert!(
                count.iter().all(|pages| *pages <= 2),
                "{name}: both sides of one sheet, {count:?}"
            );
        }
    }
    for name in ["record.html", "bank/alone.html", "scenario/league-night.html"] {
        assert_eq!(counts[name], [1, 1], "{name}");
    }
    let trainers = counts
        .iter()
        .filter(|(name, _)| name.starts_with("witness") || name.starts_with("staging"));
    for (name, count) in trainers {
        let most = if LONGEST.iter().any(|longest| name.contains(longest)) {
            3
        } else {
            2
        };
        assert!(
            count.iter().all(|sheets| *sheets <= most),
            "{name} has more than {most} sides: {count:?}"
        );
    }
}

/// The demo course with 40 more steps at the end of its lockout procedure: more than one page of paper holds.
fn long_course() -> tempfile::TempDir {
    let course = demo();
    let place = walkdir::WalkDir::new(course.path())
        .into_iter()
        .filter_map(Result::ok)
        .find(|entry| entry.file_name() == "lockout.md")
        .expect("the demo course has a lockout lesson")
        .into_path();
    let lesson = std::fs::read_to_string(&place).expect("it is text");
    let end = lesson
        .find("```procedure")
        .and_then(|start| Some(start + 3 + lesson[start + 3..].find("```")?));
    let end = end.expect("it has a procedure");
    let more: String = (0..40)
        .map(|n| {
            format!(
                "  - says: \"First{n}: look at the part, feel that it is cold, write down what you saw of it, and go on only when \
                 somebody has read it back to you: last{n}.\"\n"
            )
        })
        .collect();
    std::fs::write(&place, format!("{}{more}{}", &lesson[..end], &lesson[end..])).expect("it can be written");
    course
}

#[test]
fn a_procedure_longer_than_a_page_goes_on_under_its_title_with_no_step_split() {
    let course = long_course();
    let compiled = pitwright(course.path(), &["compile"]);
    assert!(compiled.status.success(), "{}", out(&compiled));
    let page = course.path().join("out/course/sheet/lockout.html");
    converse(async {
        let driver = Driver::start(None, 1280, 800, false).await;
        for paper in PAPERS {
            let sheets = print(&driver, &page, paper, course.path()).await;
            assert_eq!(complaints(paper.0, &sheets), Vec::<String>::new());
            assert!(sheets.len() > 2, "on {}: {}", paper.0, sheets.len());
            let texts: Vec<String> = sheets.iter().map(Sheet::text).collect();
            for text in &texts {
                for wanted in ["Lock out a pair", "Date", "Lane", "Who"] {
                    assert!(text.contains(wanted), "{wanted} is missing: {text}");
                }
            }
            let on = |word: &str| texts.iter().position(|text| text.contains(word));
            for n in 0..40 {
                let (first, last) = (on(&format!("First{n}:")), on(&format!("last{n}.")));
                assert!(
                    first.is_some() && first == last,
                    "step {n} begins on {first:?} and ends on {last:?}"
                );
            }
            assert_eq!(on("last39."), Some(texts.len() - 1), "on {}", paper.0);
        }
    });
}

/// Opens a page as it is styled for paper, so that it can be asked for sizes.
pub async fn as_on_paper(driver: &Driver, page: &Path) {
    let address = format!("file://{}", page.display()).replace(' ', "%20");
    driver.goto(address).await.expect("the page opens");
    driver
        .devtools("Emulation.setEmulatedMedia", serde_json::json!({ "media": "print" }))
        .await;
}

/// The smallest text of an open page at print media, in points, but for the marks of the law and what stands below the steps.
const SMALLEST: &str = "return Math.min(...[...document.querySelectorAll('main *')]
    .filter((part) => part.getClientRects().length && !part.closest('.law, .sheet-last, .wall-last, .sheet-facts, .wall-facts, small, svg, .cards-head, .card-code, .code'))
    .filter((part) => [...part.childNodes].some((node) => node.nodeType === 3 && node.data.trim()))
    .map((part) => parseFloat(getComputedStyle(part).fontSize) * 0.75));";

#[test]
fn what_is_read_at_the_machine_is_large_enough_to_be_read_there() {
    let built = demo_course();
    converse(async {
        let driver = Driver::start(None, 1280, 800, false).await;
        for (name, least) in [
            ("sheet/extra-pin.html", 10.0),
            ("sheet/someone-caught.html", 10.0),
            ("wall/lockout.html", 14.0),
            ("cards/marrowbell.html", 8.5),
        ] {
            let page = built.path().join("course").join(name);
            as_on_paper(&driver, &page).await;
            let said = driver.execute(SMALLEST, Vec::new()).await.expect("the script runs");
            let smallest = said.json().as_f64().expect("a number of points");
            assert!(smallest >= least - 0.01, "{name}: {smallest} points");
        }
    });
}
