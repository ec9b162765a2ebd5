//! Lessons to know first must not go round in a circle.

use super::Rule;
use crate::diagnostic::{Code, Finding};
use crate::model::Course;

pub static AFTER_CYCLE: Code = Code {
    name: "after-cycle",
    title: "lessons that each ask for the other first",
    explanation: "`after` names the lessons to know first. If they lead back to where they began, nobody can ever start. Take out the one that is \
        not really needed.",
};

pub const RULE: Rule = Rule {
    codes: &[&AFTER_CYCLE],
    check,
};

fn check(course: &Course, findings: &mut Vec<Finding>) {
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
