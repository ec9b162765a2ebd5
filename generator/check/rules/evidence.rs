//! Evidence that shows what it is named for.

use super::Rule;
use crate::diagnostic::{Code, Finding};
use crate::model::{Course, Evidence, Id, Sort};

pub static EVIDENCE_ELSEWHERE: Code = Code {
    name: "evidence-elsewhere",
    title: "a bank or drill shows nothing of the competency that it is evidence of",
    explanation: "A competency that names a bank as evidence is signed off on that bank. If no form of it asks a question about the competency, the signature stands on answers about something else. Add the competency to `draw` of the bank, with \
        questions about it, or name another bank. The same holds of a drill: whoever wrote it says in its `competencies` what clearing the stop shows. Add the competency there if it does show it, or name another drill.",
};

pub const RULE: Rule = Rule {
    codes: &[&EVIDENCE_ELSEWHERE],
    check,
};

fn check(course: &Course, findings: &mut Vec<Finding>) {
    let Some(all) = &course.competencies else {
        return;
    };
    for (id, competency) in all.value.0.iter() {
        for evidence in &competency.evidence {
            let elsewhere = match evidence {
                Evidence::Bank(name) => bank(course, id, name).map(|found| (name, found)),
                Evidence::Drill(name) => drill(course, id, name).map(|found| (name, found)),
                Evidence::Scenario(_) => None,
            };
            if let Some((name, (message, help))) = elsewhere {
                findings.push(Finding::new(&EVIDENCE_ELSEWHERE, all.span(name), message, help));
            }
        }
    }
}

/// What is wrong and what to do. A bank that is not there, asks nothing at all, or misspells what it asks about has its own
/// finding.
fn bank(course: &Course, id: &Id, name: &Id) -> Option<(String, String)> {
    let draw = &course.bank(name)?.value.draw;
    let read = !draw.is_empty() && draw.keys().all(|drawn| course.has(Sort::Competency, drawn));
    (read && draw.get(id).is_none()).then(|| {
        (
            format!("no form of the bank `{name}` asks about `{id}`"),
            format!("add `{id}` to `draw` of the bank, or name another bank"),
        )
    })
}

/// The same of a drill.
fn drill(course: &Course, id: &Id, name: &Id) -> Option<(String, String)> {
    let shown = &course.drill(name)?.value.competencies;
    let read = shown.iter().all(|shown| course.has(Sort::Competency, shown));
    (read && shown.iter().all(|shown| shown.value != id.value)).then(|| {
        (
            format!("the drill `{name}` does not say that it shows `{id}`"),
            format!("add `{id}` to `competencies` of the drill, or name another drill"),
        )
    })
}
