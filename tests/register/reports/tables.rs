//! The tables: as RFC 4180 has them, and harmless in a spreadsheet.

use super::house::{House, text};
use pitwright::report::{cell, table};
use proptest::prelude::*;

/// The edge cases of RFC 4180, section 2, as cells. The file holds the bytes that they must become.
const EDGE: [[&str; 3]; 7] = [
    ["field_name", "field name", "third"],
    ["aaa", "b\r\nbb", "ccc"],
    ["aaa", "b\"bb", "ccc"],
    ["", " spaces count ", "a,b"],
    ["one\ronly", "one\nonly", "\"\""],
    ["Zürich", "łane 7", "🎳"],
    ["last", "", ""],
];

fn edge_file() -> Vec<u8> {
    std::fs::read(crate::ground::root().join("tests/references/rfc4180/edge.csv")).expect("it is in the repository")
}

fn rows(cells: &[[&str; 3]]) -> Vec<Vec<String>> {
    cells.iter().map(|row| row.map(str::to_owned).to_vec()).collect()
}

/// A reader that knows the grammar of RFC 4180 and nothing else.
fn naive(bytes: &[u8]) -> Vec<Vec<String>> {
    let text = std::str::from_utf8(bytes).expect("it is UTF-8");
    let mut letters = text.chars().peekable();
    let (mut rows, mut row, mut field) = (Vec::new(), Vec::new(), String::new());
    let mut quoted = false;
    while let Some(letter) = letters.next() {
        match (letter, quoted) {
            ('"', true) if letters.peek() == Some(&'"') => {
                letters.next();
                field.push('"');
            }
            ('"', _) => quoted = !quoted,
            (',', false) => row.push(std::mem::take(&mut field)),
            ('\r', false) if letters.peek() == Some(&'\n') => {
                letters.next();
                row.push(std::mem::take(&mut field));
                rows.push(std::mem::take(&mut row));
            }
            (letter, false) => {
                assert!(
                    !['\r', '\n'].contains(&letter),
                    "an end of line outside quotes that is not CRLF"
                );
                field.push(letter);
            }
            (letter, true) => field.push(letter),
        }
    }
    assert!(field.is_empty() && row.is_empty(), "the last record has no end");
    rows
}

fn by_the_crate(bytes: &[u8]) -> Vec<Vec<String>> {
    csv::ReaderBuilder::new()
        .has_headers(false)
        .from_reader(bytes)
        .records()
        .map(|record| record.expect("it is a table").iter().map(str::to_owned).collect())
        .collect()
}

#[test]
fn the_edge_cases_become_the_bytes_that_the_grammar_asks_for() {
    let written = table(rows(&EDGE));
    assert_eq!(String::from_utf8_lossy(&written), String::from_utf8_lossy(&edge_file()));
    assert_eq!(naive(&written), rows(&EDGE));
    assert_eq!(by_the_crate(&written), rows(&EDGE));
}

proptest! {
    /// Whatever the cells hold, both readers find it again, once the apostrophe is taken off.
    #[test]
    fn every_table_can_be_read_back(cells in proptest::collection::vec(proptest::array::uniform3(".{0,12}|[=+@'\t\r\n,\"-]{0,4}[a-z]{0,3}"), 1..6)) {
        // A head stands before them, as in every table: a mark of byte order at the very beginning would be taken for one.
        let head = ["a", "b", "c"].map(str::to_owned).to_vec();
        let rows: Vec<Vec<String>> = std::iter::once(head).chain(cells.iter().map(|row| row.to_vec())).collect();
        let safe: Vec<Vec<String>> = rows.iter().map(|row| row.iter().map(|text| cell(text)).collect()).collect();
        let written = table(rows.clone());
        prop_assert_eq!(naive(&written), safe.clone());
        // The crate's reader skips rows with nothing in them, which a row of three cells never is.
        prop_assert_eq!(by_the_crate(&written), safe.clone());
        for (row, safe) in rows.iter().zip(&safe) {
            for (text, safe) in row.iter().zip(safe) {
                prop_assert!(!safe.starts_with(['=', '+', '-', '@', '\t', '\r', '\n']), "{:?}", safe);
                prop_assert_eq!(safe.strip_prefix('\'').unwrap_or(safe), text);
            }
        }
    }
}

#[test]
fn a_name_that_is_a_formula_is_only_a_name() {
    let house = House::new();
    let name = "=HYPERLINK(\"https://evil.example\",\"press\")";
    house.must(&["join", "T-66", "--by", "MG-1", "--name", name, "--on", "2026-02-01"]);
    let pages = house.pages("2026-11-25");
    for path in ["matrix.csv", "record.csv"] {
        let rows = naive(pages[path].as_slice());
        assert!(
            rows.iter().flatten().any(|cell| *cell == format!("'{name}")),
            "{path}: {rows:?}"
        );
    }
    assert!(text(&pages, "person-T-66.html").contains("=HYPERLINK(&quot;https://evil.example"));
}

#[test]
fn the_tables_say_what_the_pages_say() {
    let house = House::full();
    let pages = house.pages(super::house::DAY);
    let matrix = naive(&pages["matrix.csv"]);
    assert!(matrix.iter().all(|row| row.len() == matrix[0].len()));
    let find = |person: &str, competency: &str| {
        let row = matrix.iter().find(|row| row[1] == person && row[4] == competency);
        row.unwrap_or_else(|| panic!("{person}, {competency}")).clone()
    };
    assert_eq!(
        find("T-07", "lock-out")[5..10],
        ["signed", "may do alone", "2026-03-03", "MG-1", "2027-03-03"]
    );
    assert_eq!(find("T-12", "lock-out")[10], "2026-09-01");
    assert_eq!(find("T-13", "lock-out")[5..7], ["withdrawn", "nothing"]);
    assert!(
        !matrix.iter().any(|row| row[1] == "T-14"),
        "who left is not in the matrix"
    );
    // Seven people here, six competencies each.
    assert_eq!(matrix.len(), 1 + 7 * 6);
    let record = naive(&pages["record.csv"]);
    assert!(
        record
            .iter()
            .any(|row| row[1] == "T-14" && row[4].contains("left the centre")),
        "the record stays"
    );
    let failed = record
        .iter()
        .find(|row| row[1] == "T-09" && row[3] == "attempt")
        .expect("it was tried");
    assert_eq!(failed[6..9], ["failed", "2", "3"]);
    let seen: Vec<&str> = record
        .iter()
        .filter(|row| row[1] == "T-08" && row[3] == "performance" && row[4].contains("clear-short-set"))
        .map(|row| row[6].as_str())
        .collect();
    assert_eq!(seen, ["prompted", "not-met"]);
    let lapses = naive(&pages["lapses.csv"]);
    let kinds: std::collections::BTreeSet<&str> = lapses[1..].iter().map(|row| row[1].as_str()).collect();
    assert_eq!(
        kinds.into_iter().collect::<Vec<_>>(),
        ["assigned", "inspection", "lapses", "retrain"]
    );
    assert!(
        lapses[1..]
            .windows(2)
            .all(|pair| pair[1][0].is_empty() || pair[0][0] <= pair[1][0]),
        "by date"
    );
}
