//! The rendered chart and the table beside it say what the source says, and the same as each other.

use super::plain::{self, Cycle};
use crate::ground::demo_course;
use crate::ground::root;
use roxmltree::{Document, Node};
use std::collections::BTreeSet;

/// The figures of a page with the ids of their cycles.
fn figures(html: &str) -> Vec<(String, String)> {
    let figures = html.split("<figure class=\"cycle\"").skip(1);
    figures
        .map(|rest| {
            let figure = rest.split("</figure>").next().expect("it ends").to_owned();
            let id = figure
                .split("data-cycle=\"")
                .nth(1)
                .and_then(|rest| rest.split('"').next());
            (id.expect("it names its cycle").to_owned(), figure)
        })
        .collect()
}

/// An element of the page that is XML as well, from its beginning to its end.
fn element<'a>(html: &'a str, begins: &str, ends: &str) -> &'a str {
    let from = html.find(begins).unwrap_or_else(|| panic!("{begins} is missing"));
    let to = html[from..].find(ends).expect("it ends");
    &html[from..from + to + ends.len()]
}

fn share(node: &Node<'_, '_>, name: &str) -> f64 {
    let value = node.attribute(name).unwrap_or_else(|| panic!("{name} is missing"));
    value.trim_end_matches('%').parse().expect("a number")
}

/// Whether a share of the chart is `part` of `all`, to its last digit.
fn is_share(got: f64, part: f64, all: u32) -> bool {
    (got - 100.0 * part / f64::from(all)).abs() < 0.000_51
}

fn has_class(node: &Node<'_, '_>, class: &str) -> bool {
    node.attribute("class")
        .is_some_and(|all| all.split(' ').any(|one| one == class))
}

fn text(node: &Node<'_, '_>) -> String {
    node.descendants()
        .filter_map(|inner| inner.is_text().then(|| inner.text()).flatten())
        .collect()
}

fn check(id: &str, figure: &str, cycle: &Cycle) {
    let all = cycle.all();
    let chart = Document::parse(element(figure, "<svg class=\"cycle-chart\"", "</svg>")).expect("the chart is XML");
    let table = Document::parse(element(figure, "<table class=\"cycle-table\"", "</table>")).expect("the table is XML");
    let bars: Vec<Node> = chart
        .descendants()
        .filter(|node| has_class(node, "cycle-bar"))
        .collect();
    let rows: Vec<Node> = table
        .descendants()
        .filter(|node| node.attribute("data-n").is_some())
        .collect();

    // The table against the source: every span, and none that is not there.
    let mut expected: BTreeSet<(String, u32, u32, String)> = BTreeSet::new();
    for (unit, value) in &cycle.units {
        let spans = value.spans.values();
        expected.extend(spans.map(|doing| (unit.clone(), doing.from(), doing.to(), doing.does.clone())));
    }
    let cell = |row: &Node, at: usize| text(&row.children().filter(Node::is_element).nth(at).expect("a cell"));
    let said: BTreeSet<(String, u32, u32, String)> = rows
        .iter()
        .map(|row| {
            let times = cell(row, 1);
            let (from, to) = times.split_once(" to ").expect("from … to …");
            let tenths = |words: &str| (words.parse::<f64>().expect("a number") * 10.0).round() as u32;
            let unit = row.attribute("data-unit").expect("it has a unit");
            assert_eq!(cell(row, 2).to_lowercase(), cycle.units[unit].name(unit).to_lowercase());
            assert_eq!(row.attribute("data-from").map(str::parse), Some(Ok(tenths(from))));
            assert_eq!(row.attribute("data-to").map(str::parse), Some(Ok(tenths(to))));
            (unit.to_owned(), tenths(from), tenths(to), cell(row, 3))
        })
        .collect();
    assert_eq!(said, expected, "{id}");
    assert_eq!(rows.len(), expected.len(), "{id}: a span stands twice in the table");

    // The chart against the table: every number once, where its row says.
    assert_eq!(bars.len(), rows.len(), "{id}");
    for (place, row) in rows.iter().enumerate() {
        let number = (place + 1).to_string();
        assert_eq!(row.attribute("data-n"), Some(number.as_str()));
        assert_eq!(cell(row, 0), number);
        let mut same = bars
            .iter()
            .filter(|bar| bar.attribute("data-n") == Some(number.as_str()));
        let (bar, more) = (same.next().expect("the chart has it"), same.next());
        assert!(more.is_none(), "{id}: {number} stands twice in the chart");
        let unit = bar.parent().and_then(|group| group.attribute("data-unit"));
        assert_eq!(unit, row.attribute("data-unit"));
        let time = |name: &str| {
            row.attribute(name)
                .and_then(|text| text.parse::<u32>().ok())
                .expect("tenths")
        };
        let (from, to) = (time("data-from"), time("data-to"));
        assert!(
            is_share(share(bar, "x"), from.into(), all),
            "{id}: {number} begins elsewhere"
        );
        assert!(
            is_share(share(bar, "width"), (to - from).into(), all),
            "{id}: {number} is longer or shorter"
        );
        let doing = cycle.units[unit.expect("it has one")]
            .at(from)
            .expect("something is done");
        assert_eq!(has_class(bar, "cycle-still"), doing.still, "{id}: {number}");
        // Its number stands on its middle, with nothing but its own words behind.
        let words = chart.descendants().filter(|node| has_class(node, "cycle-number"));
        let words: Vec<Node> = words
            .filter(|node| text(node).split(' ').next() == Some(&number))
            .collect();
        let [words] = words.as_slice() else {
            panic!("{id}: the number {number} stands {} times", words.len());
        };
        assert!(
            is_share(share(words, "x"), f64::from(from + to) / 2.0, all),
            "{id}: {number}"
        );
        let behind = text(words).split_once(' ').map(|(_, behind)| behind.to_owned());
        assert!(behind.is_none_or(|behind| behind == doing.does), "{id}: {number}");
    }

    // The axis counts what the chart shows.
    let ticks: Vec<(f64, f64)> = chart
        .descendants()
        .filter(|node| has_class(node, "cycle-figure"))
        .filter_map(|node| Some((share(&node, "x"), text(&node).parse::<f64>().ok()?)))
        .collect();
    assert!(
        ticks.len() > 3 && ticks.iter().all(|(x, label)| is_share(*x, label * 10.0, all)),
        "{id}: {ticks:?}"
    );

    // A strip lies below a unit just where the other of a pair is at work.
    for (unit, value) in &cycle.units {
        let group = chart
            .descendants()
            .find(|node| node.attribute("data-unit") == Some(unit))
            .expect("a row");
        let strips: Vec<(f64, f64)> = group
            .children()
            .filter(|node| has_class(node, "cycle-strip"))
            .map(|node| (share(&node, "x"), share(&node, "x") + share(&node, "width")))
            .collect();
        for tenth in 0..all {
            let middle = 100.0 * (f64::from(tenth) + 0.5) / f64::from(all);
            let barred = cycle.never_together.iter().any(|apart| {
                apart.between.contains_key(unit)
                    && apart
                        .between
                        .iter()
                        .filter(|(other, _)| *other != unit)
                        .any(|(other, words)| {
                            let spans = cycle.units[other].spans.iter();
                            spans
                                .into_iter()
                                .any(|(id, doing)| words.mean(id, doing) && doing.from() <= tenth && tenth < doing.to())
                        })
            });
            let drawn = strips.iter().any(|(from, to)| *from <= middle && middle < *to);
            assert_eq!(drawn, barred, "{id}: {unit} in tenth {tenth}");
        }
        assert_eq!(
            group.attribute("data-rests"),
            Some(value.rests.as_deref().unwrap_or("rests"))
        );
    }
    assert!(
        !cycle.never_together.is_empty() && figure.contains("Never together:"),
        "{id}"
    );
}

#[test]
fn chart_and_table_say_what_the_source_says() {
    let built = demo_course();
    let html = std::fs::read_to_string(built.path().join("course/lesson/cycles.html")).expect("the page is there");
    let source = std::fs::read_to_string(root().join("lessons/machines/marrowbell.yml")).expect("it is text");
    let machine = plain::machine(&source);
    let figures = figures(&html);
    let shown: BTreeSet<&String> = figures.iter().map(|(id, _)| id).collect();
    assert_eq!(
        shown,
        machine.cycles.keys().collect(),
        "every cycle of the demo has its chart"
    );
    for (id, figure) in &figures {
        check(id, figure, &machine.cycles[id]);
        // Without script there is nothing to scrub, and no drawing with all its poses on top of each other.
        let run = figure.find("data-run hidden").expect("what needs a script is hidden");
        let chart = figure.find("<svg class=\"cycle-chart\"").expect("a chart");
        let drawing = figure.find("class=\"drawing cycle-drawing\"").expect("a drawing");
        assert!(run < drawing && drawing < chart, "{id}");
    }
}
