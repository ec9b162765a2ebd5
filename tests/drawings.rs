//! Drawings that stand still in lessons: what shows there is what the drawing says for that state, and every stop has its place drawn.

use crate::ground::root;
use pitwright::model::{Binding, Course, Kind};
use pitwright::{load, source};
use roxmltree::{Document, Node};
use std::collections::BTreeMap;

fn demo() -> Course {
    let (course, findings) = load::load(&source::read(&root()).expect("the demo course can be read"));
    assert!(findings.is_empty(), "the demo course loads");
    course
}

/// What of a drawing shows, element by element, read off its whole text without the program's cutting.
fn showing(node: Node, named: bool, values: &BTreeMap<&str, &str>, all: &mut Vec<String>) {
    let met = |when: &str| {
        when.split(';').all(|one| {
            let (name, wanted) = one.split_once(':').expect("name: values");
            let stands = values.get(name.trim()).copied().unwrap_or("unseen");
            wanted.split(',').any(|value| value.trim() == stands)
        })
    };
    if !node.attribute("data-when").is_none_or(met) || (node.attribute("data-names").is_some() && !named) {
        return;
    }
    let kept = node
        .attributes()
        .filter(|one| !one.name().starts_with("data-names") && one.name() != "data-when");
    let mut kept: Vec<String> = kept
        .filter(|one| one.name() != "viewBox")
        .map(|one| format!("{}={}", one.name(), one.value()))
        .collect();
    kept.sort();
    let wide = node.attribute("data-names-box").filter(|_| named);
    let size = wide.or(node.attribute("viewBox")).unwrap_or_default();
    let words: String = node
        .children()
        .filter_map(|child| child.text().filter(|_| child.is_text()))
        .collect();
    all.push(format!(
        "{} {size} {} {}",
        node.tag_name().name(),
        kept.join(" "),
        words.trim()
    ));
    for child in node.children().filter(Node::is_element) {
        showing(child, named, values, all);
    }
}

fn list(svg: &str, named: bool, values: &BTreeMap<&str, &str>) -> Vec<String> {
    let document = Document::parse(svg).expect("a drawing is well formed");
    let mut all = Vec::new();
    showing(document.root_element(), named, values, &mut all);
    all
}

#[test]
fn a_still_drawing_shows_what_its_text_says_and_follows_nothing() {
    let course = demo();
    let mut states: Vec<BTreeMap<&str, &str>> = vec![BTreeMap::new()];
    for shown in course.lessons.iter().flat_map(|lesson| lesson.value.drawings()) {
        states.push(
            shown
                .shows
                .iter()
                .map(|(name, value)| (name.value.as_str(), value.value.as_str()))
                .collect(),
        );
    }
    let mut cut = 0;
    for drawing in &course.drawings {
        let Ok(inline) = &drawing.content else { continue };
        // Also the first value that each name of this drawing is ever asked for, all at once.
        let first = inline.bindings.iter().flat_map(|Binding(all)| all).rev();
        let first: BTreeMap<&str, &str> = first
            .map(|(name, values)| (name.as_str(), values[0].as_str()))
            .collect();
        for values in states.iter().chain([&first]) {
            for named in [false, true] {
                let still = inline.still(named, |name| values.get(name).copied());
                assert!(
                    !still.contains("data-when") && !still.contains("data-names"),
                    "{}: {still}",
                    drawing.name
                );
                let wanted = list(&inline.written, named, values);
                assert_eq!(
                    list(&still, false, &BTreeMap::new()),
                    wanted,
                    "{}, {named}: {values:?}",
                    drawing.name
                );
                let all = Document::parse(&inline.written).expect("it is well formed");
                cut += usize::from(wanted.len() < all.descendants().filter(Node::is_element).count());
            }
        }
        // Questions and drills have all but the names.
        assert!(!inline.svg.contains("data-names"), "{}", drawing.name);
        assert_eq!(
            inline.svg.matches("data-when").count(),
            inline.bindings.len(),
            "{}",
            drawing.name
        );
    }
    assert!(cut > 100, "{cut} drawings had something to leave out");
}

#[test]
fn every_stop_shows_its_place_and_the_lockout_what_hands_go_to() {
    let course = demo();
    for lesson in course
        .lessons
        .iter()
        .filter(|lesson| lesson.value.front.kind.value == Kind::Stop)
    {
        let told = lesson.value.drawings().any(|shown| !shown.shows.is_empty());
        assert!(told, "{} has no drawing of its stop", lesson.id);
    }
    let lockout = course.lesson("lockout").expect("it is there");
    assert!(
        lockout
            .value
            .drawings()
            .any(|shown| shown.names && shown.shows.is_empty())
    );
}
