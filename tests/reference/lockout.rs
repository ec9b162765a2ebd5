//! 29 CFR 1910.147(d): "shall be done in the following sequence". Of all orders of its six paragraphs one is accepted, and of the
//! four of the release one: (e)(1), (e)(2)(i), (e)(3), then (e)(2)(ii), which tells people after the device is off.

use crate::ground::root;
use pitwright::check::check;
use pitwright::source::{Body, File, Sources, read};

const APPLY: [&str; 6] = ["(d)(1)", "(d)(2)", "(d)(3)", "(d)(4)", "(d)(5)", "(d)(6)"];
const RELEASE: [&str; 4] = ["(e)(1)", "(e)(2)(i)", "(e)(3)", "(e)(2)(ii)"];

/// Before the first step inside, and after the last.
const PLACES: [&[&str]; 2] = [&APPLY, &RELEASE];

/// A hands-on lesson whose procedure fulfils these paragraphs in this order, with one step inside between the two lists. What else such
/// a lesson and its course need is missing; those findings are not looked at here.
fn procedure(before: &[&str], after: &[&str]) -> Sources {
    let mut text =
        "---\ntitle: Lock out\nkind: lockout\nmachine: m\nedition: 1\ncompetencies: []\nhands-on: true\n---\n\n"
            .to_owned();
    text.push_str("```procedure\ntitle: Lock out\nsteps:\n");
    let step = |law: &&str| format!("  - says: Do it\n    law: [\"{law}\"]\n");
    text.extend(before.iter().map(step));
    text.push_str("  - says: Reach in\n    inside: true\n");
    text.extend(after.iter().map(step));
    text.push_str("```\n");
    Sources {
        files: vec![File {
            path: "lessons/all/lockout.md".to_owned(),
            body: Body::Text(text),
        }],
    }
}

fn faults_of_order(sources: &Sources) -> usize {
    check(sources).map_or_else(
        |findings| {
            findings
                .iter()
                .filter(|finding| finding.code.name == "lockout-order")
                .count()
        },
        |_| 0,
    )
}

fn orders<'a>(items: &[&'a str]) -> Vec<Vec<&'a str>> {
    if items.is_empty() {
        return vec![Vec::new()];
    }
    (0..items.len())
        .flat_map(|first| {
            let mut rest = items.to_vec();
            let first = rest.remove(first);
            orders(&rest).into_iter().map(move |mut order| {
                order.insert(0, first);
                order
            })
        })
        .collect()
}

/// The orders of one list that are accepted while the other is as the law has it.
fn accepted(place: usize) -> Vec<Vec<&'static str>> {
    let mut all = orders(PLACES[place]);
    all.retain(|order| {
        let mut lists = PLACES;
        lists[place] = order;
        faults_of_order(&procedure(lists[0], lists[1])) == 0
    });
    all
}

#[test]
fn one_of_720_orders_of_application_is_accepted() {
    assert_eq!(orders(&APPLY).len(), 720);
    assert_eq!(accepted(0), [APPLY]);
}

#[test]
fn one_of_24_orders_of_release_is_accepted() {
    assert_eq!(orders(&RELEASE).len(), 24);
    assert_eq!(accepted(1), [RELEASE]);
}

#[test]
fn none_of_the_ten_can_be_left_out() {
    for place in 0..2 {
        for left_out in PLACES[place] {
            let kept: Vec<&str> = PLACES[place].iter().copied().filter(|one| one != left_out).collect();
            let mut lists = PLACES;
            lists[place] = &kept;
            assert_eq!(faults_of_order(&procedure(lists[0], lists[1])), 1, "without {left_out}");
        }
    }
}

#[test]
fn each_of_the_ten_stands_on_its_side_of_the_hands() {
    let all = [APPLY.as_slice(), RELEASE.as_slice()].concat();
    for split in 0..=all.len() {
        let (before, after) = all.split_at(split);
        assert_eq!(
            faults_of_order(&procedure(before, after)) == 0,
            split == APPLY.len(),
            "hands inside after {split}"
        );
    }
}

/// The demo's own lessons are found without fault by the same rule, and there are some.
#[test]
fn the_demo_course_keeps_the_order() {
    let sources = read(&root()).expect("the demo course is there");
    assert_eq!(faults_of_order(&sources), 0);
    let with_law = |file: &&File| matches!(&file.body, Body::Text(text) if text.contains("law: [\"(d)(6)\"]"));
    assert!(sources.files.iter().filter(with_law).count() >= 4);
}
