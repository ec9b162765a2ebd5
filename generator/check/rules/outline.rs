//! The outline: where ids are made, and that every lesson has its place.

use super::Rule;
use crate::diagnostic::{Code, Finding};
use crate::model::Course;
use crate::source::Span;
use std::collections::HashMap;

pub static BAD_HOME: Code = Code {
    name: "bad-home",
    title: "the home address is none",
    explanation: "`home` is the address under which the ids in records are made, such as https://house.example. It need not answer, but it must be an http or https \
        address without a query and without a slash at its end, and must never change, or old records would belong to another course.",
};

pub static BAD_ADDRESS: Code = Code {
    name: "bad-address",
    title: "the course's web address is none",
    explanation: "`address` is where the course's first page can be read, such as https://course.example/. Codes on cards and labels hold it with a page's path \
        behind it, so it must begin with https://, end with a slash, have no query, and be no longer than 120 characters: each further one makes the code larger. \
        Where the course stands nowhere on the web, leave `address` out.",
};

pub static BAD_LANGUAGE: Code = Code {
    name: "bad-language",
    title: "the language is no language tag",
    explanation: "`language` tells browsers and readers-aloud how to speak the page: a tag such as en or en-GB (BCP 47).",
};

pub static LESSON_LEFT_OUT: Code = Code {
    name: "lesson-left-out",
    title: "a lesson that the outline does not name",
    explanation: "A lesson that stands in no module would be in the folder and not in the course. Add it to a module, or delete the file.",
};

pub static LISTED_TWICE: Code = Code {
    name: "listed-twice",
    title: "something stands in a list twice",
    explanation: "A lesson belongs to one place of one module, each module has an id of its own; a job names a competency once, as a question does a right answer. Take one of the two out.",
};

pub static JOB_WITHOUT_NEEDS: Code = Code {
    name: "job-without-needs",
    title: "a job that needs nothing",
    explanation: "A job says which competencies it needs, so that what somebody still lacks for it can be assigned. Name at least one, or leave the job out.",
};

pub const RULE: Rule = Rule {
    codes: &[
        &BAD_HOME,
        &BAD_ADDRESS,
        &BAD_LANGUAGE,
        &LESSON_LEFT_OUT,
        &LISTED_TWICE,
        &JOB_WITHOUT_NEEDS,
    ],
    check,
};

fn check(course: &Course, findings: &mut Vec<Finding>) {
    let Some(outline) = &course.outline else {
        return;
    };
    let value = &outline.value;
    if !is_home(&value.home) {
        findings.push(Finding::new(
            &BAD_HOME,
            outline.span(&value.home),
            format!("`{}` is no address that ids can be made under", value.home),
            "write one like https://house.example",
        ));
    }
    if let Some(address) = value.address.as_ref().filter(|address| !is_address(&address.value)) {
        findings.push(Finding::new(
            &BAD_ADDRESS,
            outline.span(address),
            format!("`{}` is no address that a code could lead to", address.value),
            "write the https address of the course's folder with a slash at its end, like https://course.example/, or leave `address` out",
        ));
    }
    let tag = value.language.split('-').collect::<Vec<_>>();
    let well_formed = tag
        .iter()
        .all(|part| (1..=8).contains(&part.len()) && part.bytes().all(|byte| byte.is_ascii_alphanumeric()));
    if !well_formed || !(2..=3).contains(&tag[0].len()) || !tag[0].bytes().all(|byte| byte.is_ascii_alphabetic()) {
        findings.push(Finding::new(
            &BAD_LANGUAGE,
            outline.span(&value.language),
            format!("`{}` is no language tag", value.language),
            "write one like en or en-GB",
        ));
    }
    let mut known = HashMap::new();
    for id in value.modules.iter().map(|module| &module.id) {
        twice(&mut known, id.value.as_str(), outline.span(id), "module", findings);
    }
    for (id, job) in value.jobs.iter() {
        if job.competencies.is_empty() {
            findings.push(Finding::new(
                &JOB_WITHOUT_NEEDS,
                outline.span(id),
                format!("the job `{id}` needs no competency"),
                "name at least one in its `competencies`, or leave the job out",
            ));
        }
        let mut known = HashMap::new();
        for id in &job.competencies {
            twice(&mut known, id.value.as_str(), outline.span(id), "competency", findings);
        }
    }
    let mut known = HashMap::new();
    for id in value.modules.iter().flat_map(|module| &module.lessons) {
        twice(&mut known, id.value.as_str(), outline.span(id), "lesson", findings);
    }
    for lesson in course
        .lessons
        .iter()
        .filter(|lesson| !known.contains_key(lesson.id.as_str()))
    {
        findings.push(Finding::new(
            &LESSON_LEFT_OUT,
            lesson.span(&lesson.value.front.title),
            format!("no module of the outline names the lesson `{}`", lesson.id),
            "add it to a module in lessons/outline.yml, or delete the file",
        ));
    }
}

fn twice<'a>(known: &mut HashMap<&'a str, Span>, id: &'a str, span: Span, what: &str, findings: &mut Vec<Finding>) {
    if let Some(first) = known.insert(id, span) {
        findings.push(
            Finding::new(
                &LISTED_TWICE,
                span,
                format!("the {what} `{id}` stands here a second time"),
                "take one of the two out",
            )
            .also(first, "the first one"),
        );
    }
}

fn is_home(home: &str) -> bool {
    let host = home.strip_prefix("https://").or_else(|| home.strip_prefix("http://"));
    host.is_some_and(|host| {
        !host.is_empty()
            && !host.starts_with('/')
            && !host.ends_with('/')
            && host
                .chars()
                .all(|letter| letter.is_ascii_alphanumeric() || "-._~/:".contains(letter))
    })
}

fn is_address(address: &str) -> bool {
    // The rest is held to the same letters as a home's.
    let home = address.strip_suffix('/').unwrap_or_default();
    address.len() <= 120 && home.starts_with("https://") && is_home(home)
}
