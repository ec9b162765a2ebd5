//! Lessons to know first must not go round in a circle, and must come first.

use super::Rule;
use crate::diagnostic::{Code, Finding};
use crate::model::Course;

pub static AFTER_CYCLE: Code = Code {
    name: "after-cycle",
    title: "lessons that each ask for the other first",
    explanation: "`after` names the lessons to know first. If they lead back to where they began, nobody can ever start. Take out the one that is \
        not really needed.",
};

pub static AFTER_LATER: Code = Code {
    name: "after-later",
    title: "a lesson that stands before one that it asks to know first",
    explanation: "Who follows the outline from the top comes to each lesson with what stands before it, and with nothing else. A lesson in `after` must therefore \
        stand earlier in the outline. Move one of the two, or take out the `after` that is not really needed.",
};

pub const RULE: Rule = Rule {
    codes: &[&AFTER_CYCLE, &AFTER_LATER],
    check,
};

fn check(course: &Course, findings: &mut Vec<Finding>) {
    let before = findings.len();
    circles(course, findings);
    // No order can do for a circle: what is said of it is enough.
    if findings.len() == before {
        later(course, findings);
    }
}

fn later(course: &Course, findings: &mut Vec<Finding>) {
    let Some(outline) = &course.outline else {
        return;
    };
    let order: Vec<&str> = (outline.value.modules.iter())
        .flat_map(|module| module.lessons.iter().map(|lesson| lesson.value.as_str()))
        .collect();
    let place = |id: &str| order.iter().position(|one| *one == id);
    for lesson in &course.lessons {
        for after in &lesson.value.front.after {
            if let (Some(here), Some(there)) = (place(&lesson.id), place(&after.value))
                && there > here
            {
                findings.push(Finding::new(
                    &AFTER_LATER,
                    lesson.span(after),
                    format!(
                        "`{}` stands later in the outline than this lesson, which asks to know it first",
                        after.value
                    ),
                    format!(
                        "in lessons/outline.yml put `{}` after `{}`, or take out this `after`",
                        lesson.id, after.value
                    ),
                ));
            }
        }
    }
}

fn circles(course: &Course, findings: &mut Vec<Finding>) {
    // Lessons already known to lead into no circle, or into one that is reported.
    let mut done = vec![false; course.lessons.len()];
    for start in 0..course.lessons.len() {
        // (lesson, next entry of its `after` to follow), without recursion.
        let mut path: Vec<(usize, usize)> = vec![(start, 0)];
        while let Some((at, next)) = path.pop() {
            if done[at] {
                continue;
            }
            let lesson = &course.lessons[at];
            let Some(after) = lesson.value.front.after.get(next) else {
                done[at] = true;
                continue;
            };
            path.push((at, next + 1));
            let Some(to) = course.lessons.place(&after.value) else {
                continue;
            };
            if let Some(begin) = path.iter().position(|(on_path, _)| *on_path == to) {
                let circle: Vec<&str> = path[begin..]
                    .iter()
                    .map(|(member, _)| course.lessons[*member].id.as_str())
                    .collect();
                findings.push(Finding::new(
                    &AFTER_CYCLE,
                    lesson.span(after),
                    format!(
                        "these lessons ask for each other first: {} → {}",
                        circle.join(" → "),
                        circle[0]
                    ),
                    "take out the `after` that is not really needed",
                ));
                for (member, _) in &path[begin..] {
                    done[*member] = true;
                }
            } else if !done[to] {
                path.push((to, 0));
            }
        }
    }
}
