//! Links and pictures that lead somewhere.

use super::{Rule, suggest, suggest_id};
use crate::check::prose::pieces;
use crate::diagnostic::{Code, Finding};
use crate::model::{Course, Filed, Lesson, Sort};
use crate::source::Span;

pub static DEAD_LINK: Code = Code {
    name: "dead-link",
    title: "a link leads nowhere",
    explanation: "Inside a course, a link names what it leads to: `lesson:ID`, `bank:ID`, `scenario:ID`, or `#heading-id` on the same page. What it names must be there. Put the name right, or take the link out.",
};

pub static LINK_LEAVES: Code = Code {
    name: "link-leaves",
    title: "a link leaves the course",
    explanation: "The course is read behind the lanes, without a network, and asks for nothing from outside. A web address would be a dead end there. Name the source \
        in words instead (\"29 CFR 1910.147\"), so that it can be looked up.",
};

pub static DEAD_PICTURE: Code = Code {
    name: "dead-picture",
    title: "a picture is not there",
    explanation: "A picture is named by its path from the lesson's own folder, so that any viewer shows it. The file must be there: png, jpg, webp or svg.",
};

pub static PICTURE_WITHOUT_WORDS: Code = Code {
    name: "picture-without-words",
    title: "a picture has no text alternative",
    explanation: "Who cannot see the picture gets its words: `![What it shows](file.png)`. Say what the reader should take from it (WCAG 2.2, 1.1.1).",
};

pub const RULE: Rule = Rule {
    codes: &[&DEAD_LINK, &LINK_LEAVES, &DEAD_PICTURE, &PICTURE_WITHOUT_WORDS],
    check,
};

fn check(course: &Course, findings: &mut Vec<Finding>) {
    for lesson in &course.lessons {
        for link in &lesson.value.body.links {
            if link.picture {
                picture(course, lesson, link, findings);
            } else {
                follow(course, Some(lesson), &link.to, link.span, findings);
            }
        }
    }
    for piece in pieces(course) {
        let page = piece.lesson.and_then(|id| course.lesson(id));
        for to in crate::load::markdown::prose(piece.text).links {
            follow(course, page, &to, piece.text.span(piece.file), findings);
        }
    }
}

fn picture(course: &Course, lesson: &Filed<Lesson>, link: &crate::model::Link, findings: &mut Vec<Finding>) {
    if link.words.is_empty() {
        findings.push(Finding::new(
            &PICTURE_WITHOUT_WORDS,
            link.span,
            "this picture has no words for who cannot see it",
            "write between the brackets what it shows: `![…](…)`",
        ));
    }
    let there = lesson.beside(&link.to).is_some_and(|path| course.media.contains(&path));
    let shown = ["png", "jpg", "jpeg", "webp", "svg"]
        .iter()
        .any(|ending| link.to.to_lowercase().ends_with(&format!(".{ending}")));
    if !there || !shown {
        findings.push(Finding::new(
            &DEAD_PICTURE,
            link.span,
            format!("there is no picture `{}` beside this lesson", link.to),
            "name a png, jpg, webp or svg by its path from the lesson's folder",
        ));
    }
}

fn follow(course: &Course, page: Option<&Filed<Lesson>>, to: &str, span: Span, findings: &mut Vec<Finding>) {
    let mut dead = |message: String, help: String| findings.push(Finding::new(&DEAD_LINK, span, message, help));
    if let Some(anchor) = to.strip_prefix('#') {
        let headings = page.map(|lesson| &lesson.value.body.headings);
        if !headings.is_some_and(|headings| headings.iter().any(|heading| heading.id == anchor)) {
            let known = headings.into_iter().flatten().map(|heading| heading.id.as_str());
            dead(
                format!("this page has no heading `{anchor}`"),
                suggest(anchor, known, "name a lesson: `lesson:ID`"),
            );
        }
        return;
    }
    let Some((scheme, rest)) = to.split_once(':') else {
        dead(
            format!("`{to}` is no address of this course"),
            "write `lesson:ID`, `bank:ID`, `scenario:ID` or `#heading-id`".into(),
        );
        return;
    };
    let (id, anchor) = rest
        .split_once('#')
        .map_or((rest, None), |(id, anchor)| (id, Some(anchor)));
    let sort = match scheme {
        "centre" => return,
        "lesson" => Sort::Lesson,
        "bank" => Sort::Bank,
        "scenario" => Sort::Scenario,
        _ => {
            findings.push(Finding::new(
                &LINK_LEAVES,
                span,
                format!("`{to}` leaves the course"),
                "name the source in words instead, so that it can be looked up",
            ));
            return;
        }
    };
    if !course.has(sort, id) {
        dead(
            format!("there is no {} `{id}`", sort.word()),
            suggest_id(course, sort, id),
        );
        return;
    }
    let Some(anchor) = anchor else {
        return;
    };
    match course.lesson(id).filter(|_| sort == Sort::Lesson) {
        Some(lesson) if lesson.value.body.headings.iter().any(|heading| heading.id == anchor) => {}
        Some(lesson) => {
            let known = lesson.value.body.headings.iter().map(|heading| heading.id.as_str());
            dead(
                format!("the lesson `{id}` has no heading `{anchor}`"),
                suggest(anchor, known, "leave the `#…` out"),
            );
        }
        None if course.is_unread(sort, id) => {}
        None => dead(
            format!("a {} has no headings to link to", sort.word()),
            "leave the `#…` out".into(),
        ),
    }
}
