//! What is invented stays in a demo.

use super::Rule;
use crate::diagnostic::{Code, Finding};
use crate::model::Course;
use crate::source::{At, Span};

pub static DEMO_LEFT: Code = Code {
    name: "demo-left",
    title: "something invented stands in a course that is no demo",
    explanation: "A course without `demo: true` in lessons/outline.yml is for real people. A telephone number, a procedure's number or an isolation point that a sample brought along would send \
        somebody in need nowhere. So nothing in lessons/centre.yml and under `roles` may say that it is a demo, no machine may be marked `demo: true`, and the home address may not end in .example, which \
        RFC 2606 keeps for samples. Put your own in its place, or mark the course as a demo again.",
};

pub const RULE: Rule = Rule {
    codes: &[&DEMO_LEFT],
    check,
};

fn check(course: &Course, findings: &mut Vec<Finding>) {
    let Some(outline) = course.outline.as_ref().filter(|outline| !outline.value.demo) else {
        return;
    };
    let mut tell = |span: Span, what: &str, help: &str| {
        let message = format!("{what}, and this course is no demo");
        findings.push(Finding::new(&DEMO_LEFT, span, message, help));
    };
    const OWN: &str = "put your own in its place";
    let roles = &outline.value.roles;
    let trainers = roles.trainers.values().map(|trainer| &trainer.name);
    let signers = roles.signers.values().map(|signer| &signer.name);
    for name in trainers.chain(signers).filter(|name| says_demo(name)) {
        tell(name.span(outline.file), "this person is one of a demo", OWN);
    }
    let home = &outline.value.home;
    let host = home.split("//").nth(1).unwrap_or_default();
    if host
        .split(['/', ':'])
        .next()
        .is_some_and(|host| host.ends_with(".example"))
    {
        tell(
            home.span(outline.file),
            "an address that ends in .example is one of a sample",
            "write an address of your centre, such as https://lanes-of-my-town.net; it need not answer, but it must be nobody else's",
        );
    }
    if let Some(centre) = &course.centre {
        let facts = &centre.value;
        if says_demo(&facts.name) {
            tell(facts.name.span(centre.file), "this centre is one of a demo", OWN);
        }
        let points = facts.isolation.values().flatten();
        let told = points
            .flat_map(|point| [&point.point, &point.place, &point.shuts])
            .chain([&facts.lockout_procedure])
            .chain(facts.call.values())
            .chain(facts.radio.values());
        for fact in told {
            let text: Option<&str> = fact.value.as_deref();
            if text.is_some_and(says_demo) {
                tell(fact.span(centre.file), "this fact is one of a demo", OWN);
            }
        }
    }
    for machine in course.machines.iter().filter(|machine| machine.value.demo) {
        let title: &At<String> = &machine.value.title;
        tell(
            title.span(machine.file),
            "this machine is marked as invented (`demo: true`)",
            "once it is yours, take the line `demo: true` out of its file",
        );
    }
}

fn says_demo(text: &str) -> bool {
    text.split(|letter: char| !letter.is_alphanumeric())
        .any(|word| word.eq_ignore_ascii_case("demo") || word.eq_ignore_ascii_case("sample"))
}
