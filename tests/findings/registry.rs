//! Every code has its fixture, and every fixture is found where it says.

use super::fixture::{self, Failing};
use pitwright::check;
use std::collections::BTreeSet;

#[test]
fn the_base_of_all_fixtures_is_clean() {
    let base = fixture::base();
    let (sources, findings) = fixture::found(base.path());
    assert_eq!(fixture::places(&sources, &findings), Vec::<String>::new());
}

#[test]
fn every_code_has_a_fixture_and_every_fixture_a_code() {
    let codes: BTreeSet<String> = check::codes().iter().map(|code| code.name.to_owned()).collect();
    let fixtures: BTreeSet<String> = fixture::all().into_iter().map(|(name, _)| name).collect();
    assert_eq!(codes, fixtures);
}

#[test]
fn names_are_unique_and_kebab_case_and_everything_is_explained() {
    let codes = check::codes();
    let names: BTreeSet<&str> = codes.iter().map(|code| code.name).collect();
    assert_eq!(names.len(), codes.len(), "two codes share a name");
    for code in codes {
        let kebab = code
            .name
            .split('-')
            .all(|part| !part.is_empty() && part.bytes().all(|byte| byte.is_ascii_lowercase()));
        assert!(kebab, "{} is not kebab-case", code.name);
        assert!(!code.title.trim().is_empty(), "{} has no title", code.name);
        assert!(!code.title.ends_with('.'), "{}: a title is no sentence", code.name);
        // A line continued in the source must not leave its indentation in the text.
        assert!(!code.explanation.contains("  "), "{}: stray spaces", code.name);
        assert!(
            code.explanation.ends_with('.'),
            "{} is not explained in sentences",
            code.name
        );
        assert!(
            code.explanation.len() > code.title.len(),
            "{} explains nothing",
            code.name
        );
    }
}

/// What is wrong with one failing case, if anything.
fn failing(code: &str, case: &Failing) -> Option<String> {
    let course = case.change.course();
    let (sources, findings) = fixture::found(course.path());
    let mut expected: Vec<String> = case.also.clone();
    expected.push(format!("{code}@{}", case.at));
    expected.sort();
    let found = fixture::places(&sources, &findings);
    (found != expected).then(|| format!("{code}: expected {expected:?}, found {found:?}"))
}

#[test]
fn every_failing_course_is_found_once_at_its_exact_place() {
    let wrong: Vec<String> = fixture::all()
        .iter()
        .flat_map(|(code, fixture)| {
            let cases = std::iter::once(&fixture.failing).chain(&fixture.further);
            cases.filter_map(|case| failing(code, case)).collect::<Vec<_>>()
        })
        .collect();
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn the_nearest_right_course_is_clean() {
    let wrong: Vec<String> = fixture::all()
        .iter()
        .filter_map(|(code, fixture)| {
            let course = fixture.passing.course();
            let (sources, findings) = fixture::found(course.path());
            let found = fixture::places(&sources, &findings);
            (!found.is_empty()).then(|| format!("{code}: found {found:?}"))
        })
        .collect();
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn every_finding_says_what_to_do_and_every_place_lies_in_its_file() {
    for (code, fixture) in fixture::all() {
        for case in std::iter::once(&fixture.failing).chain(&fixture.further) {
            let course = case.change.course();
            let (sources, findings) = fixture::found(course.path());
            for finding in &findings {
                assert!(!finding.message.is_empty() && !finding.help.is_empty(), "{code}");
                super::mutated::within(&sources, finding);
            }
        }
    }
}
