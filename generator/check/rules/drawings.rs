//! Drawings that questions and cycles show, and the spots in them.

use super::{Rule, suggest};
use crate::diagnostic::{Code, Finding};
use crate::model::{Answer, Course, Id, Inline};
use crate::source::FileId;

pub static UNKNOWN_DRAWING: Code = Code {
    name: "unknown-drawing",
    title: "a drawing that is not there",
    explanation: "`drawing: NAME` shows theme/drawings/NAME.svg, of the course's own theme or of the built-in one. Most often the name is misspelt; the message offers the nearest. Take that, or draw what is missing.",
};

pub static BAD_DRAWING: Code = Code {
    name: "bad-drawing",
    title: "a drawing that cannot stand in a page",
    explanation: "The drawing of a question, a cycle or a lesson stands in the page itself, so that its parts can be tapped and take the page's light or dark colours. So it must be well-formed SVG that holds shapes and words only: no scripts, no styles, no \
        ids, nothing from elsewhere. It needs a `<title>` and a `<desc>`, which tell what is drawn, from where it is seen, to whoever cannot see it. Save it as plain SVG and take out what the message names.",
};

pub static SPOT_NOT_DRAWN: Code = Code {
    name: "spot-not-drawn",
    title: "a spot that the drawing does not have",
    explanation: "Each spot of a `place` question is an element of its drawing with `data-part=\"ID\"`; only then can it be numbered and tapped. Put the name right, or mark the part in the drawing.",
};

pub const RULE: Rule = Rule {
    codes: &[&UNKNOWN_DRAWING, &BAD_DRAWING, &SPOT_NOT_DRAWN],
    check,
};

fn check(course: &Course, findings: &mut Vec<Finding>) {
    for (file, _, question) in course.questions() {
        let Some(name) = &question.drawing else {
            continue;
        };
        let Some(inline) = printable(course, file, name, findings) else {
            continue;
        };
        let Answer::Place { spots, .. } = &question.answer else {
            continue;
        };
        for spot in spots.keys().filter(|spot| !inline.parts.contains(&spot.value)) {
            findings.push(Finding::new(
                &SPOT_NOT_DRAWN,
                spot.span(file),
                format!("the drawing `{name}` has no part `{spot}`"),
                suggest(
                    spot,
                    inline.parts.iter().map(String::as_str),
                    "mark it in the drawing with `data-part`",
                ),
            ));
        }
    }
}

/// The drawing of that name, or the finding that it is not there or cannot stand in a page.
pub fn printable<'a>(course: &'a Course, file: FileId, name: &Id, findings: &mut Vec<Finding>) -> Option<&'a Inline> {
    let Some(drawing) = course.drawing(name) else {
        findings.push(Finding::new(
            &UNKNOWN_DRAWING,
            name.span(file),
            format!("there is no drawing `{name}`"),
            suggest(
                name,
                course.drawings.iter().map(|drawing| drawing.name.as_str()),
                "draw it as theme/drawings/NAME.svg",
            ),
        ));
        return None;
    };
    match &drawing.content {
        Ok(inline) => Some(inline),
        Err(why) => {
            findings.push(Finding::new(
                &BAD_DRAWING,
                name.span(file),
                format!("theme/drawings/{name}.svg cannot stand in a page: {why}"),
                "mend the drawing; `pitwright finding bad-drawing` says what may stand in one",
            ));
            None
        }
    }
}
