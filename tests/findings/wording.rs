//! Lists of words are English: a course in another language is not held to them.

use super::fixture::{Change, all, found, places};

#[test]
fn english_words_are_looked_for_in_english_only() {
    let english = ["absolutes-tell", "asks-nothing", "other-options", "plain-negative"];
    let mut seen = 0;
    for (code, fixture) in all().into_iter().filter(|(code, _)| english.contains(&code.as_str())) {
        for (language, wanted) in [("de", false), ("en-GB", true), ("EN", true), ("eng", false)] {
            let course = fixture.failing.change.course();
            Change::edit("lessons/outline.yml", "language: en", &format!("language: {language}")).apply(course.path());
            let (sources, findings) = found(course.path());
            let found = findings.iter().any(|finding| finding.code.name == code);
            assert_eq!(found, wanted, "{code}, {language}: {:?}", places(&sources, &findings));
            seen += 1;
        }
    }
    assert_eq!(seen, 16);
}
