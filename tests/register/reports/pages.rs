//! The pages: whole or not at all, the same each time, valid, accessible, and on paper.

use super::house::{DAY, House, text, tree};
use crate::browser::hold_up::pages_hold_up;
use crate::browser::printed::on_paper;
use std::fs;

#[test]
fn the_same_register_and_day_give_the_same_bytes() {
    let house = House::full();
    let first = house.pages(DAY);
    let again = house.folder().join("again");
    house.must(&["standing", "--on", DAY, "--into", again.to_str().expect("UTF-8")]);
    assert!(first == tree(&again), "two runs differ");
    for due in [
        "index.html",
        "matrix.html",
        "lapses.html",
        "person-T-14.html",
        "certificate-T-07.html",
        "style/page.css",
    ] {
        assert!(first.contains_key(due), "{due}");
    }
}

#[test]
fn those_who_may_do_most_stand_first_and_every_page_says_that_it_is_a_demo() {
    let house = House::full();
    let pages = house.pages(DAY);
    let matrix = text(&pages, "matrix.html");
    let places: Vec<usize> = ["T-07", "T-08", "T-09", "T-15"]
        .iter()
        .map(|code| {
            matrix
                .find(&format!("person-{code}.html"))
                .expect("everybody is listed")
        })
        .collect();
    assert!(places.is_sorted(), "{places:?}");
    assert!(!matrix.contains("T-14"), "who left is not in the matrix");
    for (path, bytes) in pages.iter().filter(|(path, _)| path.ends_with(".html")) {
        let page = String::from_utf8_lossy(bytes);
        assert!(page.contains("Demo. Centre, machine and people are invented"), "{path}");
        assert!(
            ["<script", "http:", "https:", "url("]
                .iter()
                .all(|outside| !page.contains(outside)),
            "{path} asks for something from outside"
        );
    }
    let person = text(&pages, "person-T-08.html");
    assert!(
        person.contains("2 prompted") && person.contains("Turn the handle off, hang your own lock"),
        "the step that was prompted"
    );
    assert!(person.contains("3 not met") && person.contains("Did not look at the fan"));
    assert!(
        text(&pages, "lapses.html").contains("LP-1 has a second handle now"),
        "why retraining is due"
    );
}

#[test]
fn a_folder_with_something_else_in_it_is_left_alone() {
    let house = House::full();
    let into = house.folder().join("mine");
    fs::create_dir(&into).expect("temporary");
    fs::write(into.join("tax.ods"), "mine").expect("temporary");
    let (exit, said) = house.run(&["standing", "--into", into.to_str().expect("UTF-8")]);
    assert!(exit == 2 && said.contains("`tax.ods`"), "{said}");
    assert_eq!(tree(&into).len(), 1);
}

#[test]
fn one_persons_pages_leave_the_others_where_they_are() {
    let house = House::full();
    let before = house.pages(DAY);
    let into = house.folder().join(format!("pages-{DAY}"));
    house.must(&["standing", "T-08", "--on", DAY, "--into", into.to_str().expect("UTF-8")]);
    assert!(tree(&into) == before, "nothing is new, nothing is gone");
    let alone = house.folder().join("one");
    house.must(&[
        "standing",
        "t-08",
        "--on",
        DAY,
        "--into",
        alone.to_str().expect("UTF-8"),
    ]);
    let pages: Vec<String> = tree(&alone)
        .into_keys()
        .filter(|path| path.ends_with(".html"))
        .collect();
    assert_eq!(pages, ["certificate-T-08.html", "person-T-08.html"]);
}

#[test]
fn every_page_is_valid_and_accessible() {
    let house = House::full();
    house.pages(DAY);
    pages_hold_up(&house.folder().join(format!("pages-{DAY}")));
}

/// A4 and Letter; the centre and the day on each sheet; the matrix lies across, and its head stands on each sheet that it fills.
#[test]
fn every_page_prints_whole_with_centre_day_and_number() {
    let house = House::full();
    house.crowd(40);
    let pages = house.folder().join(format!("pages-{DAY}"));
    house.pages(DAY);
    for one in ["T-09", "T-11", "T-12", "T-15"] {
        fs::remove_file(pages.join(format!("person-{one}.html"))).expect("it is there");
    }
    for entry in fs::read_dir(&pages).expect("it can be listed") {
        let place = entry.expect("it can be listed").path();
        let name = place.file_name().unwrap_or_default().to_string_lossy().into_owned();
        if name.starts_with("person-C-") {
            fs::remove_file(place).expect("one of forty that are alike");
        }
    }
    let printed = on_paper(&pages);
    assert!(printed.complaints.is_empty(), "{}", printed.complaints.join("\n"));
    for (name, texts) in &printed.texts {
        for text in texts {
            assert!(
                text.contains("Marlpit Lanes") && text.contains("as of 2026-11-25"),
                "{name}: {text}"
            );
        }
    }
    assert!(printed.across["matrix.html"].iter().all(|across| *across));
    assert!(printed.across["lapses.html"].iter().all(|across| !across));
    let (a4, letter) = (printed.counts["matrix.html"][0], printed.counts["matrix.html"][1]);
    assert!(a4 >= 2 && letter >= 2, "{a4}, {letter}");
    for text in printed.texts["matrix.html"].iter().filter(|text| text.contains("C-")) {
        // The legend, which has the same words, stands after the people.
        let head = text.find("raise-the-alarm");
        assert!(
            head.is_some() && head < text.find("C-"),
            "a sheet without the head: {text}"
        );
    }
    assert_eq!(printed.counts["certificate-T-07.html"], [1, 1]);
}

/// A page of a person who is not there, or a day before there was a course, is an answer and no crash.
#[test]
fn nobody_and_nothing_are_answered() {
    let house = House::new();
    let (exit, said) = house.run(&["standing", "T-99", "--into", "x"]);
    assert!(exit == 2 && said.contains("nobody with the code T-99"), "{said}");
    let pages = house.pages(DAY);
    assert!(text(&pages, "matrix.html").contains("Nobody is on record yet."));
    assert_eq!(text(&pages, "matrix.csv").matches("\r\n").count(), 1);
}
