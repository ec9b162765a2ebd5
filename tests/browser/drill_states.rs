//! What a drill's page shows in each of its states: nothing that is hidden, everything valid, and usable by everybody.

use super::drills::{CURED, HANDED, HURT, LUCKY, seeded};
use super::page::Page;
use super::{accessible, valid};
use crate::browser_driver::converse;
use crate::ground::demo_course;
use serde_json::json;
use std::path::Path;

#[test]
fn what_is_hidden_is_neither_drawn_nor_told() {
    let built = demo_course();
    let folder = tempfile::tempdir().expect("a temporary folder can be made");
    converse(async {
        let page = Page::phone(built.path(), folder.path()).await;
        // A pin holds the sweep in this start; it is seen only from beside the sweep.
        let shown = "return [...document.querySelectorAll('.drill-drawing [data-when]')] \
            .filter((one) => one.dataset.when.includes('jam') && !one.hasAttribute('data-off')).length";
        page.goto("drill/no-cycle.html").await;
        let seed = "const drill = PITWRIGHT.marking.drills.find((one) => one.id === 'no-cycle'); \
            const { model } = PITWRIGHT.marking.machines.find((one) => one.id === drill.machine); \
            const jam = model.variables.findIndex((one) => one.name === 'jam'); \
            for (let number = 1; ; number += 1) { const seed = number.toString(16).padStart(8, '0').repeat(4); \
                const random = PITWRIGHT.random.fromHex(seed); const start = PITWRIGHT.play(model, drill).draw(random); \
                let run = PITWRIGHT.play(model, drill).begin(start); \
                if (run.real[jam] !== '0') { PITWRIGHT.random.seed = () => seed; return; } }";
        page.ask(seed).await;
        page.press("[data-practise] button").await;
        page.press("[data-view=sweep]").await;
        assert_eq!(page.ask(shown).await, json!(0), "the pin shows from the walkway");
        let told = page
            .ask("return document.querySelector('.drill-in-words').textContent")
            .await;
        assert!(
            !told.as_str().expect("text").contains("a pin holds the sweep"),
            "{told}"
        );
        page.is_quiet().await;
    });
}

#[test]
fn every_state_of_a_drill_is_valid_and_accessible() {
    let built = demo_course();
    let folder = tempfile::tempdir().expect("a temporary folder can be made");
    let complaints = converse(async {
        let page = Page::phone(built.path(), folder.path()).await;
        let mut complaints = Vec::new();
        let mut taken = Vec::new();
        page.say_who("T-07").await;
        let acts = seeded(&page, &CURED).await;
        let half = acts.len() / 2;
        for (name, script) in [
            ("before", String::new()),
            (
                "begun",
                "document.querySelector('[data-practise] button').click()".to_owned(),
            ),
            (
                "half way, in words",
                clicks(&acts[..half]) + "document.querySelector('.drill-in-words').open = true;",
            ),
            (
                "cured",
                clicks(&acts[half..]) + "document.querySelectorAll('details').forEach((one) => { one.open = true; });",
            ),
        ] {
            page.ask(&format!("return (async () => {{ {script} }})()")).await;
            take(&page, folder.path(), name, &mut taken, &mut complaints).await;
        }
        for (name, wanted) in [("lucky", &LUCKY), ("hurt", &HURT), ("handed over", &HANDED)] {
            let acts = seeded(&page, wanted).await;
            page.ask("document.querySelector('[data-practise] button').click()")
                .await;
            let script = clicks(&acts) + "document.querySelectorAll('details').forEach((one) => { one.open = true; });";
            page.ask(&format!("return (async () => {{ {script} }})()")).await;
            page.there(".result").await;
            take(&page, folder.path(), name, &mut taken, &mut complaints).await;
            if name == "hurt" {
                page.ask("document.querySelectorAll('.ways-on .press')[2].click()")
                    .await;
                page.there(".drill-par").await;
                take(&page, folder.path(), "given up", &mut taken, &mut complaints).await;
            }
        }
        complaints.extend(valid::complaints(&taken));
        assert_eq!(taken.len(), 8);
        complaints
    });
    assert!(complaints.is_empty(), "{}", complaints.join("\n"));
}

fn clicks(acts: &[String]) -> String {
    acts.iter()
        .map(|name| {
            format!(
                "document.querySelector('[data-act={}]').click(); await new Promise((done) => setTimeout(done));",
                json!(name)
            )
        })
        .collect()
}

async fn take(
    page: &Page,
    folder: &Path,
    name: &str,
    taken: &mut Vec<std::path::PathBuf>,
    complaints: &mut Vec<String>,
) {
    let place = folder.join(format!("{name}.html"));
    std::fs::write(&place, page.html().await).expect("it can be written");
    taken.push(place);
    complaints.extend(accessible::complaints(&page.driver, name).await);
}
