//! A call that is left in the middle: failed, with what it had earned by then, told on a page that knows nothing of its scenes.

use super::page::Page;
use super::way::{played, way};
use crate::browser_driver::converse;
use crate::ground::demo_course;
use serde_json::json;

#[test]
fn a_call_that_is_left_keeps_what_it_had_earned() {
    let (built, folder) = (demo_course(), tempfile::tempdir().expect("it can be made"));
    converse(async {
        let page = Page::phone(built.path(), folder.path()).await;
        page.say_who("T-07").await;
        page.begin("scenario/league-night.html").await;
        let marking = page.ask("return PITWRIGHT.marking").await;
        let safe = way(&marking, |ends, hurt, marks| ends == "safe" && !hurt && marks > 3);
        let (mut at, mut earned) = (played(&marking)["start"].clone(), 0);
        for choice in &safe[..safe.len() - 1] {
            let scenes = played(&marking)["scenes"].as_array().expect("scenes");
            let scene = scenes.iter().find(|scene| scene["id"] == at).expect("it is there");
            let choices = scene["choices"].as_array().expect("choices");
            let chosen = choices
                .iter()
                .find(|one| one["id"] == json!(choice))
                .expect("it is there");
            earned += chosen["marks"].as_u64().expect("marks");
            at = chosen["to"].clone();
            page.answer(choice).await;
        }
        assert!(earned > 0);
        // The page asks before it is left; what is left here is left as by a dead battery.
        page.ask("addEventListener('beforeunload', (event) => event.stopImmediatePropagation(), true); return 0")
            .await;
        page.goto("about.html").await;
        page.until("document.querySelector('[data-part=notices]').innerText.length > 0")
            .await;
        assert_eq!(
            page.ask("return PITWRIGHT.marking.scenarios.filter((one) => one.scenes).length")
                .await,
            json!(0)
        );
        let ended = "return PITWRIGHT.keeper.statements('T-07').then((rows) => rows.map(({ statement }) => statement) \
            .filter((one) => one.result && one.result.score && one.object.id.endsWith('/scenario/league-night')).map((one) => one.result.score.raw))";
        assert_eq!(page.ask(ended).await, json!([earned]));
    });
}
