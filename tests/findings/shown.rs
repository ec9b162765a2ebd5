//! `pitwright finding`: a code explained.

use crate::ground::{out, pitwright, root};
use pitwright::check;

#[test]
fn every_code_is_explained() {
    for code in check::codes() {
        let output = pitwright(&root(), &["finding", code.name]);
        assert_eq!(output.status.code(), Some(0));
        let text = out(&output);
        assert!(
            text.contains(code.name) && text.contains(code.title) && text.contains(code.explanation),
            "{text}"
        );
    }
}

#[test]
fn without_a_code_all_are_listed() {
    let output = pitwright(&root(), &["finding"]);
    assert_eq!(output.status.code(), Some(0));
    let listed: Vec<String> = out(&output)
        .lines()
        .filter_map(|line| line.split_whitespace().next().map(str::to_owned))
        .collect();
    let known: Vec<String> = check::codes().iter().map(|code| code.name.to_owned()).collect();
    assert_eq!(listed, known);
}

#[test]
fn an_unknown_code_is_refused_with_the_nearest() {
    let output = pitwright(&root(), &["finding", "lockout-oder"]);
    assert_eq!(output.status.code(), Some(2));
    assert_eq!(out(&output), "");
    let talk = String::from_utf8_lossy(&output.stderr);
    assert!(
        talk.contains("lockout-oder") && talk.contains("`lockout-order`"),
        "{talk}"
    );
    let output = pitwright(&root(), &["finding", "zzz"]);
    assert_eq!(output.status.code(), Some(2));
    let talk = String::from_utf8_lossy(&output.stderr);
    assert!(talk.contains("lists them all"), "{talk}");
}
