//! The drawn decks against the published places of the ten spots.

use crate::ground::root;
use std::collections::BTreeMap;
use std::fs;

/// A sixteenth of an inch: the tolerance of a spot's place in the published rules (spots 12 in ± 1/16 in apart).
const SIXTEENTH: f64 = 1.0 / 16.0;

/// Centres of the spots in inches: x to the right as seen from the foul line, y away from it, pin 1 at 0,0. The file holds
/// the equilateral triangle of 12 in of the United States Bowling Congress's Equipment Specifications and Certifications
/// Manual, "Pin Spots", worked out to a millionth of an inch.
pub fn published() -> BTreeMap<u32, (f64, f64)> {
    let text = fs::read_to_string(root().join("tests/references/pin_deck_geometry.csv")).expect("the file is there");
    text.lines()
        .skip(1)
        .map(|line| {
            let fields: Vec<&str> = line.split(',').collect();
            let number = |field: usize| fields[field].parse::<f64>().expect("a number");
            (fields[0].parse().expect("a pin"), (number(2), number(3)))
        })
        .collect()
}

/// The values of an attribute, in order.
fn values<'a>(svg: &'a str, attribute: &str) -> Vec<&'a str> {
    svg.split(&format!(" {attribute}=\""))
        .skip(1)
        .map(|rest| rest.split('"').next().unwrap_or_default())
        .collect()
}

#[test]
fn the_published_spots_are_a_triangle_of_12_inches() {
    let spots = published();
    assert_eq!(spots.keys().copied().collect::<Vec<_>>(), (1..=10).collect::<Vec<_>>());
    let apart = |a: u32, b: u32| (spots[&a].0 - spots[&b].0).hypot(spots[&a].1 - spots[&b].1);
    let pairs = (1..10).flat_map(|a| (a + 1..=10).map(move |b| (a, b)));
    assert_eq!(
        pairs.filter(|(a, b)| (apart(*a, *b) - 12.0).abs() < SIXTEENTH).count(),
        18
    );
    for (a, b, distance) in [
        (1, 2, 12.0),
        (7, 10, 36.0),
        (1, 7, 36.0),
        (1, 5, 20.7846),
        (4, 10, 31.7490),
        (2, 7, 24.0),
    ] {
        assert!((apart(a, b) - distance).abs() < 1e-4, "{a} to {b}: {}", apart(a, b));
    }
    assert!(spots[&7].0 < 0.0 && spots[&10].0 > 0.0, "7 stands on the bowler's left");
}

#[test]
fn the_deck_seen_from_the_foul_line_stands_on_the_published_spots() {
    let svg = fs::read_to_string(root().join("theme/drawings/deck.svg")).expect("the drawing is there");
    let spots = published();
    let pins = values(&svg, "data-pin");
    let places: Vec<&str> = values(&svg, "transform")
        .into_iter()
        .filter_map(|value| value.strip_prefix("translate(")?.strip_suffix(')'))
        .collect();
    assert_eq!((pins.len(), places.len()), (10, 10));
    for (pin, place) in pins.iter().zip(places) {
        let (x, y) = place.split_once(' ').expect("x and y");
        let (x, y): (f64, f64) = (x.parse().expect("inches"), y.parse().expect("inches"));
        let (wanted_x, wanted_y) = spots[&pin.parse().expect("a pin's number")];
        // SVG counts y downwards, and the deck goes away upwards.
        assert!(
            (x - wanted_x).abs() < SIXTEENTH && (-y - wanted_y).abs() < SIXTEENTH,
            "pin {pin} stands at {x} {y}"
        );
        assert!(svg.contains(&format!(">{pin}</text>")), "pin {pin} carries its number");
    }
}

/// The lane on its side: away from the foul line is to the right, so the bowler's right is down.
#[test]
fn the_deck_seen_from_above_stands_on_the_published_spots() {
    let svg = fs::read_to_string(root().join("theme/pages/boards.html")).expect("the drawing is there");
    let number = |text: &&str| text.parse::<f64>().expect("inches");
    let drawn: Vec<(f64, f64)> = values(&svg, "cx")
        .iter()
        .map(number)
        .zip(values(&svg, "cy").iter().map(number))
        .collect();
    let (head_x, head_y) = drawn[0];
    let spots = published();
    assert_eq!(drawn.len(), spots.len());
    for (pin, (x, y)) in spots {
        let there = drawn
            .iter()
            .filter(|(drawn_x, drawn_y)| {
                (drawn_x - head_x - y).abs() < SIXTEENTH && (drawn_y - head_y - x).abs() < SIXTEENTH
            })
            .count();
        assert_eq!(there, 1, "pin {pin}");
    }
}

/// Every part of a drawing whose name begins so, by the number after it, and the two numbers that its source gives first after `before`.
fn parts(svg: &str, named: &str, before: &str) -> BTreeMap<u32, (f64, f64)> {
    svg.split(&format!("data-part=\"{named}-"))
        .skip(1)
        .map(|rest| {
            let (number, rest) = rest.split_once('"').expect("a name ends");
            let (_, place) = rest.split_once(before).expect("a place is given");
            let mut figures = place.split(|sign: char| !sign.is_ascii_digit() && !"-.".contains(sign));
            let mut figure = || {
                let figure = figures.find(|figure| !figure.is_empty()).expect("a figure");
                figure.parse().expect("a number")
            };
            (number.parse().expect("a number"), (figure(), figure()))
        })
        .collect()
}

/// From the foul line 7 is on the left and the back row is far up; from the rear walkway the ten cups are turned about: 7 is on the
/// right and the back row is near, far down.
#[test]
fn the_drawings_of_questions_stand_on_the_published_spots_from_where_they_are_seen() {
    let drawing = |name: &str| {
        let path = root().join("theme/drawings").join(name);
        fs::read_to_string(path).expect("the drawing is there")
    };
    let front = parts(&drawing("pins-from-foul-line.svg"), "pin", "translate(");
    let rear = parts(&drawing("cups-from-rear.svg"), "cup", "cx=");
    let spots = published();
    assert_eq!((front.len(), rear.len()), (spots.len(), spots.len()));
    for (number, (x, y)) in spots {
        let near = |(found_x, found_y): (f64, f64), wanted_x: f64, wanted_y: f64| {
            (found_x - wanted_x).abs() < SIXTEENTH && (found_y - wanted_y).abs() < SIXTEENTH
        };
        assert!(
            near(front[&number], x, -y),
            "pin {number} stands at {:?}",
            front[&number]
        );
        assert!(near(rear[&number], -x, y), "cup {number} stands at {:?}", rear[&number]);
    }
}

/// The machine from above, bowlers to the left: away from them is to the right, and the bowler's right is down.
#[test]
fn the_cups_of_the_machine_from_above_stand_on_the_published_spots() {
    let svg = fs::read_to_string(root().join("theme/drawings/machine-from-above.svg")).expect("the drawing is there");
    let (_, cups) = svg
        .split_once("data-part=\"cups\"><path class=\"draw-wood\" d=\"")
        .expect("it has cups");
    let (cups, _) = cups.split_once('"').expect("a path ends");
    let drawn: Vec<(f64, f64)> = cups
        .split('M')
        .skip(1)
        .map(|cup| {
            let (place, _) = cup.split_once('a').expect("a cup is an arc");
            let (x, y) = place.split_once(' ').expect("x and y");
            (x.parse().expect("inches"), y.parse().expect("inches"))
        })
        .collect();
    let spots = published();
    assert_eq!(drawn.len(), spots.len());
    for (pin, (x, y)) in spots {
        let (found_x, found_y) = drawn[pin as usize - 1];
        let away = (found_x - drawn[0].0 - y).abs() < SIXTEENTH && (found_y - drawn[0].1 - x).abs() < SIXTEENTH;
        assert!(away, "cup {pin} stands at {found_x} {found_y}");
    }
}
