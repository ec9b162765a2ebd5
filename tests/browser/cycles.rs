//! The scrubber of a timing chart: it moves drawing, line and words together, by keys alone, and never by itself for whoever wants less motion.

use super::kinds::Keyboard;
use super::page::Page;
use crate::browser_driver::{Browser, converse};
use crate::cycles::plain::{self, Cycle, Machine};
use crate::ground::demo_course;
use crate::ground::root;
use serde_json::{Value, json};
use std::collections::BTreeSet;
use thirtyfour::Key;

/// What stands in each element of a drawing with `data-when`: its own rule, those of the elements around it, and whether it is seen.
const SHOWN: &str = "return [...figure.querySelectorAll('.cycle-drawing [data-when]')].map((one) => { const rules = []; \
    for (let at = one; at; at = at.parentElement.closest('[data-when]')) rules.push(at.dataset.when); \
    return [rules, getComputedStyle(one).visibility === 'visible']; })";

/// How many poses of a part are seen at a time.
const POSES: &str = "return ['sweep', 'table', 'feed'].map((part) => \
    [...figure.querySelectorAll(`[data-part=${part}] > [data-when]`)].filter((one) => getComputedStyle(one).visibility === 'visible').length)";

const SAID: &str = "return document.querySelector('[data-part=said]').textContent";

struct Course {
    built: tempfile::TempDir,
    kept: tempfile::TempDir,
    machine: Machine,
}

impl Course {
    fn demo() -> Self {
        let source = std::fs::read_to_string(root().join("lessons/machines/marrowbell.yml")).expect("it is text");
        Self {
            built: demo_course(),
            kept: tempfile::tempdir().expect("a temporary folder can be made"),
            machine: plain::machine(&source),
        }
    }

    /// The lesson with the charts, with less motion asked for or not.
    async fn open(&self, motion: &str) -> Page {
        let (profile, downloads) = (self.kept.path().join("profile"), self.kept.path().join("downloads"));
        std::fs::create_dir_all(&downloads).expect("it can be made");
        let page = Page::open(
            Browser::Chromium,
            &self.built.path().join("course"),
            &profile,
            &downloads,
            0,
        )
        .await;
        ask_for(&page, motion).await;
        page.goto("lesson/cycles.html").await;
        page.until(
            "document.querySelectorAll('.cycle[data-started]').length === document.querySelectorAll('.cycle').length",
        )
        .await;
        page
    }
}

async fn ask_for(page: &Page, motion: &str) {
    let media = json!({ "features": [ { "name": "prefers-reduced-motion", "value": motion } ] });
    page.driver.devtools("Emulation.setEmulatedMedia", media).await;
}

/// Runs a script about the chart of a cycle.
async fn of(page: &Page, cycle: &str, script: &str) -> Value {
    page.ask(&format!(
        "const figure = document.querySelector('.cycle[data-cycle={cycle}]'); \
         const scrub = figure.querySelector('.cycle-scrub'); {script}"
    ))
    .await
}

fn met(rule: &str, cycle: &Cycle, tenth: u32) -> bool {
    rule.split(';').all(|condition| {
        let (unit, values) = condition.split_once(':').expect("a name and values");
        let pose = cycle.units.get(unit.trim()).and_then(|unit| unit.pose(tenth));
        values.split(',').any(|value| value.trim() == pose.unwrap_or("unseen"))
    })
}

/// Where a chart is looked at: every edge, the tenth before it, and the end.
fn places(cycle: &Cycle, step: u32) -> BTreeSet<u32> {
    let spans = cycle.units.values().flat_map(|unit| unit.spans.values());
    let edges = spans.flat_map(|doing| [doing.from(), doing.to()]);
    edges
        .chain([0, cycle.all()])
        .flat_map(|edge| [edge, edge.saturating_sub(step)])
        .collect()
}

#[test]
fn scrubbing_moves_drawing_line_and_words_together() {
    let course = Course::demo();
    converse(async {
        let page = course.open("reduce").await;
        let mut looked = 0;
        for (id, cycle) in &course.machine.cycles {
            let step = of(&page, id, "return Number(scrub.step)")
                .await
                .as_u64()
                .expect("a step");
            for tenth in places(cycle, u32::try_from(step).expect("a small one")) {
                let set = format!(
                    "scrub.value = {tenth}; scrub.dispatchEvent(new Event('input', {{ bubbles: true }})); return Number(scrub.value)"
                );
                assert_eq!(
                    of(&page, id, &set).await,
                    json!(tenth),
                    "{id}: the slider stops at every edge"
                );
                let shown = of(&page, id, SHOWN).await;
                for one in shown.as_array().expect("a list") {
                    let rules = one[0].as_array().expect("a list").iter().filter_map(Value::as_str);
                    let expected = rules.clone().all(|rule| met(rule, cycle, tenth));
                    let rules: Vec<&str> = rules.collect();
                    assert_eq!(one[1], json!(expected), "{id} at {tenth}: {rules:?}");
                    looked += 1;
                }
                assert_eq!(
                    of(&page, id, POSES).await,
                    json!([1, 1, 1]),
                    "{id} at {tenth}: a part is drawn once"
                );
                let words = of(&page, id, "return scrub.getAttribute('aria-valuetext')").await;
                let words = words.as_str().expect("words").to_owned();
                let begins = format!(
                    "{} of {} {}: ",
                    f64::from(tenth) / 10.0,
                    f64::from(cycle.all()) / 10.0,
                    cycle.measure()
                );
                assert!(words.starts_with(&begins), "{words}, not {begins}");
                assert_eq!(words.matches("; ").count() + 1, cycle.units.len(), "{words}");
                for (unit, value) in &cycle.units {
                    let part = format!("the {} {}", value.name(unit), value.does(tenth));
                    assert!(words.contains(&part), "{words} lacks {part}");
                }
                let line = of(
                    &page,
                    id,
                    "return parseFloat(figure.querySelector('.cycle-now').getAttribute('x1'))",
                )
                .await;
                let expected = 100.0 * f64::from(tenth) / f64::from(cycle.all());
                assert!(
                    (line.as_f64().expect("a number") - expected).abs() < 0.001,
                    "{id} at {tenth}: the line is at {line}"
                );
                let marked = of(&page, id, "return [...figure.querySelectorAll('.cycle-bar[data-now]')].map((one) => one.parentElement.dataset.unit).sort()").await;
                let busy: Vec<&String> = cycle
                    .units
                    .iter()
                    .filter(|(_, unit)| unit.at(tenth).is_some())
                    .map(|(id, _)| id)
                    .collect();
                assert_eq!(marked, json!(busy), "{id} at {tenth}");
            }
        }
        assert!(looked > 1000, "only {looked} looks were taken");
        page.is_quiet().await;
    });
}

#[test]
fn a_chart_is_worked_by_keys_alone_and_says_what_it_shows() {
    let course = Course::demo();
    converse(async {
        let page = course.open("no-preference").await;
        let keyboard = Keyboard(&page);
        let at = async || of(&page, "first-ball", "return Number(scrub.value)").await;
        let scrub = ".cycle[data-cycle=first-ball] .cycle-scrub";
        let press = |name: &str| format!(".cycle[data-cycle=first-ball] [data-press={name}]");
        keyboard.go(scrub).await;
        for _ in 0..3 {
            keyboard.send(Key::Right).await;
        }
        assert_eq!(at().await, json!(3));
        keyboard.send(Key::End).await;
        assert_eq!(at().await, json!(120));
        keyboard.send(Key::Home).await;
        assert_eq!(at().await, json!(0));
        // From move to move, by the edges of the spans.
        let cycle = &course.machine.cycles["first-ball"];
        let edges: BTreeSet<u32> = places(cycle, 0);
        keyboard.go(&press("next")).await;
        for edge in edges.iter().skip(1) {
            keyboard.send(Key::Enter).await;
            assert_eq!(at().await, json!(edge));
            let words = of(&page, "first-ball", "return scrub.getAttribute('aria-valuetext')").await;
            assert_eq!(page.ask(SAID).await, words, "whoever cannot see it is told");
        }
        keyboard.send(Key::Enter).await;
        assert_eq!(at().await, json!(120), "there is nothing after the end");
        keyboard.go(&press("before")).await;
        for edge in edges.iter().rev().skip(1) {
            keyboard.send(Key::Enter).await;
            assert_eq!(at().await, json!(edge));
        }
        let off = of(
            &page,
            "first-ball",
            "return figure.querySelector('[data-press=before]').getAttribute('aria-disabled')",
        );
        assert_eq!(off.await, json!("true"));

        // Playing begins, is stopped, and stops by itself at the end.
        keyboard.go(&press("play")).await;
        keyboard.send(" ").await;
        let moved = "Number(document.querySelector('.cycle[data-cycle=first-ball] .cycle-scrub').value)";
        page.until(&format!("{moved} > 5")).await;
        keyboard.send(" ").await;
        let here = at().await;
        tokio::time::sleep(std::time::Duration::from_millis(700)).await;
        assert_eq!(at().await, here, "it stopped where it was stopped");
        let said = page.ask(SAID).await;
        assert!(
            said.as_str().expect("words").contains("stays at guard"),
            "what began was told: {said}"
        );
        keyboard.go(scrub).await;
        keyboard.send(Key::End).await;
        keyboard.send(Key::Left).await;
        keyboard.go(&press("play")).await;
        keyboard.send(" ").await;
        page.until(&format!("{moved} === 120")).await;
        page.until("document.querySelector('.cycle[data-cycle=first-ball] [data-press=play]').textContent === PITWRIGHT.word('cycle_play')")
            .await;
        page.is_quiet().await;
    });
}

#[test]
fn nothing_moves_by_itself_for_whoever_asked_for_less_motion() {
    let course = Course::demo();
    converse(async {
        let page = course.open("reduce").await;
        let looks = "return [figure.querySelector('[data-press=play]').hidden, \
            [...figure.querySelectorAll('[data-when]')].every((one) => getComputedStyle(one).transitionDuration === '0s')]";
        assert_eq!(of(&page, "strike", looks).await, json!([true, true]));
        // Asked for on the way: what plays stops.
        ask_for(&page, "no-preference").await;
        page.until("!document.querySelector('.cycle[data-cycle=strike] [data-press=play]').hidden")
            .await;
        assert_eq!(of(&page, "strike", looks).await, json!([false, false]));
        page.press(".cycle[data-cycle=strike] [data-press=play]").await;
        page.until("Number(document.querySelector('.cycle[data-cycle=strike] .cycle-scrub').value) > 1")
            .await;
        ask_for(&page, "reduce").await;
        page.until("document.querySelector('.cycle[data-cycle=strike] [data-press=play]').hidden")
            .await;
        let here = of(&page, "strike", "return scrub.value").await;
        tokio::time::sleep(std::time::Duration::from_millis(700)).await;
        assert_eq!(of(&page, "strike", "return scrub.value").await, here);
    });
}

#[test]
fn an_element_shows_while_all_its_names_have_one_of_their_values() {
    let course = Course::demo();
    converse(async {
        let page = course.open("reduce").await;
        for (rule, values, shows) in [
            ("sweep: up", json!({ "sweep": "up" }), true),
            ("sweep: up", json!({ "sweep": "upper" }), false),
            ("sweep: up", json!({}), false),
            ("sweep: up", json!({ "sweep": null }), false),
            ("sweep: up, unseen", json!({}), true),
            ("sweep: up, unseen", json!({ "sweep": null }), true),
            ("sweep: up, unseen", json!({ "sweep": "guard" }), false),
            ("sweep:up,guard", json!({ "sweep": "guard" }), true),
            ("sweep: up ; table: low", json!({ "sweep": "up", "table": "low" }), true),
            ("sweep: up; table: low", json!({ "sweep": "up", "table": "up" }), false),
            ("sweep: up; table: low", json!({ "table": "low" }), false),
            ("cup.1: two; counter: 7", json!({ "cup.1": "two", "counter": 7 }), true),
            ("counter: 7", json!({ "counter": 70 }), false),
            ("constructor: unseen", json!({}), true),
        ] {
            let script = format!("return PITWRIGHT.bound.met({}, {values})", json!(rule));
            assert_eq!(page.ask(&script).await, json!(shows), "{rule} with {values}");
        }
    });
}
