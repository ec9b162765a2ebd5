//! Numbers in their ranges.

use super::Rule;
use crate::diagnostic::{Code, Finding};
use crate::model::{Course, Outline};
use crate::source::{At, FileId, Span};

pub static OUT_OF_RANGE: Code = Code {
    name: "out-of-range",
    title: "a number outside its range",
    explanation: "Editions begin at 1 and are whole. A competency holds for 1 to 120 months and is witnessed 1 to 50 times, of which no more on a real call than \
        in all. 1 to 10 tries, up to 720 hours between them. A form asks 1 to 200 questions per competency. A scenario's marks are 0 to 100 each. \
        A slip is good for 1 to 366 days. Under `shows` stand whole per cents from 1% to 99%, each word with fewer than the one before it: \
        always, often, sometimes, not-listed, never.",
};

/// The most that one choice of a scenario may earn.
pub const MOST_MARKS: u32 = 100;

pub const RULE: Rule = Rule {
    codes: &[&OUT_OF_RANGE],
    check,
};

/// How often signs show: whole per cents, falling, so that a stop can be told by them and none is ever ruled out for good.
fn shares(file: FileId, outline: &Outline, findings: &mut Vec<Finding>) {
    let mut wrong = |span: Span, message: String, what: String| {
        findings.push(Finding::new(&OUT_OF_RANGE, span, message, what));
    };
    let mut before: Option<(&str, f64)> = None;
    for (word, share) in outline.shows.falling() {
        let hundredths = share.value.0 * 100.0;
        let whole = (hundredths - hundredths.round()).abs() < 1e-9;
        if !whole || !(1.0..=99.0).contains(&hundredths.round()) {
            wrong(
                share.span(file),
                format!("how often a sign shows that is `{word}` is {hundredths}%"),
                "write a whole number from 1% to 99%: nothing is so sure that it rules a stop out for good".to_owned(),
            );
        } else if let Some((other, more)) = before.filter(|(_, more)| *more <= hundredths) {
            wrong(
                share.span(file),
                format!("`{word}` is {hundredths}%, and `{other}` no more than that: {more}%"),
                format!("write less than for `{other}`"),
            );
        }
        before = Some((word, hundredths));
    }
}

fn check(course: &Course, findings: &mut Vec<Finding>) {
    if let Some(outline) = &course.outline {
        shares(outline.file, &outline.value, findings);
    }
    let mut within = |file: FileId, what: &str, number: &At<u32>, low: u32, high: u32| {
        if !(low..=high).contains(&number.value) {
            findings.push(Finding::new(
                &OUT_OF_RANGE,
                number.span(file),
                format!("{what} is {number}"),
                format!("write a whole number from {low} to {high}"),
            ));
        }
    };
    const MOST_EDITIONS: u32 = 9999;
    if let Some(outline) = &course.outline {
        let attempts = &outline.value.attempts;
        within(outline.file, "the number of tries", &attempts.tries, 1, 10);
        within(outline.file, "the wait in hours", &attempts.wait_hours, 0, 720);
        let slip_days = &outline.value.slip_days;
        within(outline.file, "how long a slip is good for, in days,", slip_days, 1, 366);
        let mut before = 0;
        for days in &outline.value.review.after_days {
            let what = "after how many days a box of questions comes again";
            within(outline.file, what, days, before + 1, 366);
            before = days.value.min(365);
        }
    }
    if let Some(all) = &course.competencies {
        for competency in all.value.0.values() {
            let witnessed = &competency.witnessed;
            within(
                all.file,
                "how long it holds, in months,",
                &competency.holds_months,
                1,
                120,
            );
            within(all.file, "how often it must be witnessed", &witnessed.times, 1, 50);
            within(
                all.file,
                "how often on a real call",
                &witnessed.real,
                0,
                witnessed.times.value.min(50),
            );
        }
    }
    for lesson in &course.lessons {
        within(
            lesson.file,
            "the edition",
            &lesson.value.front.edition,
            1,
            MOST_EDITIONS,
        );
    }
    for bank in &course.banks {
        within(bank.file, "the edition", &bank.value.edition, 1, MOST_EDITIONS);
        for count in bank.value.draw.values() {
            within(bank.file, "how many questions are drawn", count, 1, 200);
        }
    }
    for scenario in &course.scenarios {
        within(scenario.file, "the edition", &scenario.value.edition, 1, MOST_EDITIONS);
        for choice in scenario.value.scenes.values().flat_map(|scene| scene.choices.values()) {
            if let Some(marks) = &choice.marks {
                within(scenario.file, "what a choice earns", marks, 0, MOST_MARKS);
            }
        }
    }
}
