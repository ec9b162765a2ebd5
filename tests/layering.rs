//! A module names only modules that stand above it in `generator/lib.rs`.

use crate::ground::root;
use std::collections::BTreeSet;
use std::fs;

#[test]
fn modules_name_only_modules_above_them() {
    let generator = root().join("generator");
    let lib = fs::read_to_string(generator.join("lib.rs")).expect("lib.rs is there");
    let order: Vec<&str> = lib
        .lines()
        .filter_map(|line| line.strip_prefix("pub mod ")?.strip_suffix(';'))
        .collect();
    assert!(order.len() >= 8, "lib.rs declares the stages: {order:?}");
    let mut faults = BTreeSet::new();
    for (place, module) in order.iter().enumerate() {
        for entry in walkdir::WalkDir::new(generator.join(module)) {
            let entry = entry.expect("the module is a folder");
            if entry.path().extension().is_none_or(|ending| ending != "rs") {
                continue;
            }
            let text = fs::read_to_string(entry.path()).expect("a source is text");
            for named in names(&text) {
                if order
                    .iter()
                    .position(|other| *other == named)
                    .is_some_and(|other| other > place)
                {
                    faults.insert(format!(
                        "{} names {named}, which stands below {module}",
                        entry.path().display()
                    ));
                }
            }
        }
    }
    assert_eq!(faults, BTreeSet::new());
}

/// Every `crate::NAME` of a source, in braces too: `use crate::{a, b::c}`.
fn names(text: &str) -> Vec<String> {
    let word = |text: &str| -> String {
        text.chars()
            .take_while(|letter| letter.is_alphanumeric() || *letter == '_')
            .collect()
    };
    let mut names = Vec::new();
    for (at, _) in text.match_indices("crate::") {
        let rest = &text[at + "crate::".len()..];
        match rest.strip_prefix('{').and_then(|rest| rest.split_once('}')) {
            Some((list, _)) => names.extend(list.split(',').map(|item| word(item.trim()))),
            None => names.push(word(rest)),
        }
    }
    names
}

#[test]
fn no_source_grows_past_what_a_reader_holds() {
    let long: Vec<String> = ["generator", "theme", "tests"]
        .iter()
        .flat_map(|top| walkdir::WalkDir::new(root().join(top)))
        .filter_map(Result::ok)
        .filter(|entry| {
            entry
                .path()
                .extension()
                .is_some_and(|ending| ["rs", "js", "css", "html"].iter().any(|known| ending == *known))
        })
        .filter_map(|entry| {
            let lines = fs::read_to_string(entry.path()).ok()?.lines().count();
            (lines > 420).then(|| format!("{}: {lines} lines", entry.path().display()))
        })
        .collect();
    assert_eq!(long, Vec::<String>::new());
}
