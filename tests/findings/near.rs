//! Two stops that are told apart only barely: what `prove` says of them, and the page that they get.

use super::fixture::base;
use crate::ground::{out, pitwright};
use serde_json::{Value, json};
use std::fs;

#[test]
fn stops_that_no_sign_tells_apart_are_worth_a_look_and_still_have_their_page() {
    let course = base();
    let outline = course.path().join("lessons/outline.yml");
    let text = fs::read_to_string(&outline).expect("it is there");
    fs::write(outline, text.replace("[pin-across]", "[pin-across, bar-again]")).expect("it can be written");
    fs::write(
        course.path().join("lessons/stops/bar-again.md"),
        "---\ntitle: \"Bar again\"\nkind: stop\nmachine: brindlewick\nedition: 1\nsigns: { shelf-blocked: sometimes, bar-down: always }\n---\n",
    )
    .expect("it can be written");
    let proven = pitwright(course.path(), &["prove", "."]);
    assert_eq!(proven.status.code(), Some(0), "{}", out(&proven));
    let said = out(&proven);
    for part in [
        "stops bar-again and pin-across of brindlewick: no sign tells them apart; the sign that comes nearest to it is shelf-blocked, 40 in 100 apart",
        // One question, of which one answer makes 0.7 against 0.3 and the other the same turned round.
        "stops of brindlewick: 2 by 2 signs; 1.00 questions on average if every sign shows as it mostly does, and 2 of 2 found; \
         the fewest that could do are 1.00, and log2 of the stops is 1.00; by the course's chances 1.00, and the right stop first with 70.0000%.",
    ] {
        assert!(said.contains(part), "{part}\nin {said}");
    }
    let proven = pitwright(course.path(), &["prove", ".", "--json"]);
    let told: Value = serde_json::from_str(&out(&proven)).expect("it is JSON");
    assert_eq!(told["stops"][0]["fewestQuestions"], json!(1.0));
    assert_eq!(told["stops"][0]["found"], json!(2));

    let built = pitwright(course.path(), &["compile", "."]);
    assert_eq!(built.status.code(), Some(0), "{}", out(&built));
    let page = fs::read_to_string(course.path().join("out/course/apart/brindlewick.html")).expect("it was built");
    // The machine says nothing of its own that comes first: the page has words for it, and whom to call.
    assert!(
        page.contains("Smoke, a hot smell, sparks, bare wire, or someone caught or hurt?"),
        "{page}"
    );
    assert!(page.contains("class=\"apart-call\""), "{page}");
    assert!(page.find("id=\"at-once\"") < page.find("data-part=\"apart\""), "{page}");
}
