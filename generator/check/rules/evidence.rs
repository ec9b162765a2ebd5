//! Evidence that shows what it is named for.

use super::Rule;
use crate::diagnostic::{Code, Finding};
use crate::model::{Course, Evidence, Sort};

pub static EVIDENCE_ELSEWHERE: Code = Code {
    name: "evidence-elsewhere",
    title: "a bank shows nothing of the competency that it is evidence of",
    explanation: "A competency that names a bank as evidence is signed off on that bank. If no form of it asks a question about the competency, the signature stands on answers about something else. Add the competency to `draw` of the bank, with \
        questions about it, or name another bank.",
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
            let Evidence::Bank(name) = evidence else {
                continue;
            };
            // A bank that is not there, asks nothing at all, or misspells what it asks about has its own finding.
            let Some(bank) = course.bank(name) else {
                continue;
            };
            let draw = &bank.value.draw;
            let read = !draw.is_empty() && draw.keys().all(|drawn| course.has(Sort::Competency, drawn));
            if read && draw.get(id).is_none() {
                findings.push(Finding::new(
                    &EVIDENCE_ELSEWHERE,
                    all.span(name),
                    format!("no form of the bank `{name}` asks about `{id}`"),
                    format!("add `{id}` to `draw` of the bank, or name another bank"),
                ));
            }
        }
    }
}
