//! How soon an act in a drill is answered, in a browser on a processor slowed down to a quarter.

use crate::browser_driver::{Driver, converse};
use crate::ground::demo_course;
use serde_json::{Value, json};
use std::path::Path;

/// How many whole runs are played, act by act along the way of par, from start after start.
const RUNS: usize = 20;

/// Plays a run by pressing what is pressed in the page, once the call could be read; the milliseconds from each press until the page is drawn anew.
const PLAY: &str = "const done = arguments[1]; (async () => { const start = arguments[0]; \
    const drill = PITWRIGHT.marking.drills.find((one) => one.id === document.body.dataset.id); \
    const { model } = PITWRIGHT.marking.machines.find((one) => one.id === drill.machine); \
    const { amiss } = PITWRIGHT.machine.ready(model); const odd = amiss(drill.starts[start]); \
    const place = drill.starts.map((_, at) => at).filter((at) => amiss(drill.starts[at]) === odd).indexOf(start); \
    const draws = [odd ? 0 : 1, place]; const both = new Set(drill.starts.map(amiss)).size === 2; \
    PITWRIGHT.random.fromHex = () => ({ below: () => (both && draws.length === 2 ? draws.shift() : place), next: () => 4294967295, shuffle: (all) => all }); \
    const name = (act) => model.actions[act].id + (model.actions[act].index === undefined ? '' : '.' + model.actions[act].index); \
    document.querySelector('[data-practise] button').click(); const times = []; \
    await new Promise((read) => setTimeout(read, 1500)); \
    for (const act of PITWRIGHT.drillWords.ways[PITWRIGHT.drillWords.wayOf[start]]) { \
        const button = document.querySelector(`[data-act=\"${name(act)}\"]`); \
        if (button.closest('details')) button.closest('details').open = true; \
        const begun = performance.now(); button.click(); await null; await null; document.body.offsetHeight; \
        times.push(performance.now() - begun); await new Promise((then) => setTimeout(then)); } \
    return times; })().then(done, (error) => done(String(error.stack)));";

pub fn run() {
    let built = demo_course();
    for drill in ["extra-pin", "no-cycle", "ball-held-at-exit"] {
        let mut times = converse(played(built.path(), drill));
        times.sort_by(f64::total_cmp);
        let at = |share: f64| times[((times.len() - 1) as f64 * share) as usize];
        println!(
            "An act in the drill {drill}, processor at a quarter, {} acts: median {:.1} ms, 95 of 100 within {:.1} ms; goal: median under 16 ms",
            times.len(),
            at(0.5),
            at(0.95)
        );
    }
}

async fn played(folder: &Path, drill: &str) -> Vec<f64> {
    let driver = Driver::start(None, 390, 844, false).await;
    let mut times = Vec::new();
    for run in 0..RUNS {
        let page = format!("file://{}/course/drill/{drill}.html", folder.display());
        driver.goto(page).await.expect("the page opens");
        driver
            .devtools("Emulation.setCPUThrottlingRate", json!({ "rate": 4 }))
            .await;
        let starts = "return PITWRIGHT.drillWords.wayOf.length";
        let starts = driver
            .execute(starts, Vec::new())
            .await
            .expect("the script runs")
            .json()
            .as_u64();
        let start = run % usize::try_from(starts.unwrap_or(1)).expect("few starts");
        let answer = driver
            .execute_async(PLAY, vec![json!(start)])
            .await
            .expect("the page answers");
        let Value::Array(made) = answer.json().clone() else {
            panic!("{}", answer.json());
        };
        times.extend(made.iter().filter_map(Value::as_f64));
    }
    times
}
