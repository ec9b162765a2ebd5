//! The calendar: folded and escaped as RFC 5545 asks, and read by a parser that has nothing to do with ours.

use super::house::{DAY, House, text};
use icalendar::parser::{read_calendar, unfold};
use pitwright::report::fold;
use proptest::prelude::*;
use std::collections::BTreeMap;

/// UID → (date, summary) as the parser finds them.
fn events(calendar: &str) -> BTreeMap<String, (String, String)> {
    let unfolded = unfold(calendar);
    let read = read_calendar(&unfolded).unwrap_or_else(|why| panic!("{why}: {calendar}"));
    let events = read.components.iter().filter(|part| part.name == "VEVENT");
    events
        .map(|event| {
            let value = |name: &str| {
                let found = event
                    .find_prop(name)
                    .unwrap_or_else(|| panic!("an event without {name}"));
                found.val.to_string()
            };
            assert!(event.find_prop("DTSTAMP").is_some());
            let start = event.find_prop("DTSTART").expect("an event begins");
            assert!(
                start
                    .params
                    .iter()
                    .any(|param| param.key == "VALUE" && param.val.as_ref().is_some_and(|val| val.as_str() == "DATE"))
            );
            (value("UID"), (value("DTSTART"), value("SUMMARY")))
        })
        .collect()
}

#[test]
fn everything_that_falls_due_is_found_on_its_day() {
    let house = House::full();
    let calendar = text(&house.pages(DAY), "due.ics");
    let found = events(&calendar);
    let on = |key: &str| {
        found
            .iter()
            .find(|(uid, _)| uid.starts_with(key))
            .unwrap_or_else(|| panic!("{key}: {found:#?}"))
            .1
    };
    assert_eq!(on("lapses-T-07-lock-out@house.example").0, "20270303");
    assert_eq!(on("lapses-T-07-clear-short-set@house.example").0, "20270310");
    assert_eq!(on("retrain-T-12-lock-out@house.example").0, "20260901");
    assert_eq!(on("inspection-brindlewick@house.example").0, "20270601");
    let assigned: Vec<&(String, String)> = found
        .iter()
        .filter(|(uid, _)| uid.starts_with("assigned-"))
        .map(|(_, event)| event)
        .collect();
    let mut days: Vec<&str> = assigned.iter().map(|(day, _)| day.as_str()).collect();
    days.sort_unstable();
    // T-15 has two lessons to read and T-09 one left; T-11 a competency to reach.
    assert_eq!(days, ["20261110", "20261110", "20261110", "20261220"]);
    assert!(!calendar.contains("T-14"), "who left is left out");
    assert!(
        !calendar.contains("Brückner") && !calendar.contains("Wołek"),
        "people are named by their codes only"
    );
    assert!(found.values().all(|(_, summary)| summary.starts_with("(demo)")));
}

#[test]
fn it_is_stamped_by_the_register_and_its_events_keep_their_names() {
    let house = House::full();
    let first = text(&house.pages(DAY), "due.ics");
    assert!(first.contains("DTSTAMP:20261125T120000Z\r\n"), "{first}");
    assert!(first.starts_with("BEGIN:VCALENDAR\r\nVERSION:2.0\r\nPRODID:"));
    assert!(first.ends_with("END:VCALENDAR\r\n"));
    // Another day, and another entry: what was due then is still called the same.
    house.must(&["join", "T-16", "--by", "MG-1", "--name", "Somebody new"]);
    let later = events(&text(&house.pages("2026-11-26"), "due.ics"));
    for uid in events(&first).keys() {
        assert!(later.contains_key(uid), "{uid} is called otherwise now");
    }
}

/// The words of an event hold commas, semicolons and more than one line has room for.
#[test]
fn lines_are_short_and_texts_escaped() {
    let house = House::full();
    let calendar = text(&house.pages(DAY), "due.ics");
    assert!(calendar.contains("\r\n "), "something was folded");
    for line in calendar.split("\r\n") {
        assert!(line.len() <= 75, "{} octets: {line}", line.len());
        assert!(!line.contains(['\n', '\r']));
    }
    let unfolded = calendar.replace("\r\n ", "");
    assert!(
        unfolded.contains("short set by its signs\\, clears it locked out\\, and knows"),
        "{unfolded}"
    );
    let summary = &events(&calendar)["lapses-T-07-clear-short-set@house.example"].1;
    assert!(
        summary.contains("and knows when pins are held back elsewhere"),
        "{summary}"
    );
}

proptest! {
    /// RFC 5545, 3.1: at most 75 octets a line, and unfolding gives the line back; no character is torn.
    #[test]
    fn folding_loses_nothing(line in "[a-zäł🎳 ,;]{0,300}") {
        let folded = fold(&line);
        for piece in folded.split("\r\n") {
            prop_assert!(piece.len() <= 75);
        }
        prop_assert_eq!(folded.replace("\r\n ", ""), line);
    }
}
