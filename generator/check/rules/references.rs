//! Everything that is named exists.

use super::{Rule, suggest, suggest_id};
use crate::diagnostic::{Code, Finding};
use crate::model::{Answer, Course, Evidence, Id, Sort};
use crate::source::FileId;

pub static UNKNOWN_REFERENCE: Code = Code {
    name: "unknown-reference",
    title: "a name that nothing has",
    explanation: "A lesson, competency, bank, scenario, drill, machine, part, cycle, span, sign, role or contact is named that is not there. Most often the name is misspelt; the message offers the nearest one. Take that, or write what is missing.",
};

pub static COMPETENCY_WITHOUT_EVIDENCE: Code = Code {
    name: "competency-without-evidence",
    title: "a competency that nothing teaches or nothing shows",
    explanation: "A competency needs at least one lesson to study and at least one assessment that shows it. Otherwise it would be signed off on nothing. Name lessons in `study` and a bank, a scenario or a drill in `evidence`.",
};

pub const RULE: Rule = Rule {
    codes: &[&UNKNOWN_REFERENCE, &COMPETENCY_WITHOUT_EVIDENCE],
    check,
};

fn check(course: &Course, findings: &mut Vec<Finding>) {
    let mut wanted: Vec<(FileId, Sort, &Id)> = Vec::new();
    if let Some(outline) = &course.outline {
        wanted.extend(
            outline
                .value
                .modules
                .iter()
                .flat_map(|module| &module.lessons)
                .map(|id| (outline.file, Sort::Lesson, id)),
        );
        let needed = outline.value.jobs.values().flat_map(|job| &job.competencies);
        wanted.extend(needed.map(|id| (outline.file, Sort::Competency, id)));
    }
    if let Some(all) = &course.competencies {
        for (id, competency) in all.value.0.iter() {
            wanted.extend(competency.study.iter().map(|id| (all.file, Sort::Lesson, id)));
            wanted.extend(competency.evidence.iter().map(|evidence| match evidence {
                Evidence::Bank(id) => (all.file, Sort::Bank, id),
                Evidence::Scenario(id) => (all.file, Sort::Scenario, id),
                Evidence::Drill(id) => (all.file, Sort::Drill, id),
            }));
            if competency.study.is_empty() || competency.evidence.is_empty() {
                let lacks = if competency.study.is_empty() {
                    "no lesson teaches it"
                } else {
                    "no assessment shows it"
                };
                findings.push(Finding::new(
                    &COMPETENCY_WITHOUT_EVIDENCE,
                    all.span(id),
                    format!("the competency `{id}` stands on nothing: {lacks}"),
                    "add lessons to `study` and a bank, scenario or drill to `evidence`",
                ));
            }
        }
    }
    for lesson in &course.lessons {
        let front = &lesson.value.front;
        wanted.extend(front.machine.iter().map(|id| (lesson.file, Sort::Machine, id)));
        wanted.extend(front.competencies.iter().map(|id| (lesson.file, Sort::Competency, id)));
        wanted.extend(front.after.iter().map(|id| (lesson.file, Sort::Lesson, id)));
        wanted.extend(
            lesson
                .value
                .asks()
                .map(|ask| (lesson.file, Sort::Competency, &ask.question.competency)),
        );
    }
    for lesson in &course.lessons {
        let clears = lesson
            .value
            .procedures()
            .filter_map(|(_, procedure)| procedure.clears.as_ref());
        wanted.extend(clears.map(|id| (lesson.file, Sort::Drill, id)));
    }
    for (file, _, question) in course.questions() {
        if let Answer::Sequencing { model: Some(model), .. } = &question.answer {
            wanted.push((file, Sort::Drill, &model.drill));
        }
    }
    for drill in &course.drills {
        wanted.push((drill.file, Sort::Machine, &drill.value.machine));
        wanted.extend(
            drill
                .value
                .competencies
                .iter()
                .map(|id| (drill.file, Sort::Competency, id)),
        );
    }
    for bank in &course.banks {
        wanted.extend(bank.value.draw.keys().map(|id| (bank.file, Sort::Competency, id)));
        wanted.extend(
            bank.value
                .questions
                .values()
                .map(|question| (bank.file, Sort::Competency, &question.competency)),
        );
    }
    for scenario in &course.scenarios {
        wanted.extend(
            scenario
                .value
                .competencies
                .iter()
                .map(|id| (scenario.file, Sort::Competency, id)),
        );
    }
    for (file, sort, id) in wanted.into_iter().filter(|(_, sort, id)| !course.has(*sort, id)) {
        findings.push(Finding::new(
            &UNKNOWN_REFERENCE,
            id.span(file),
            format!("there is no {} `{id}`", sort.word()),
            suggest_id(course, sort, id),
        ));
    }
    signs(course, findings);
    roles(course, findings);
    isolation(course, findings);
}

fn signs(course: &Course, findings: &mut Vec<Finding>) {
    for machine in &course.machines {
        let reasons = machine.value.at_once.values().flat_map(|reason| &reason.signs);
        for sign in machine.value.behind_guards.iter().chain(reasons) {
            if machine.value.signs.get(sign).is_none() {
                let known = machine.value.signs.keys().map(|key| key.value.as_str());
                findings.push(Finding::new(
                    &UNKNOWN_REFERENCE,
                    machine.span(sign),
                    format!("the machine has no sign `{sign}`"),
                    suggest(sign, known, "add it to `signs` of the machine"),
                ));
            }
        }
    }
    for lesson in &course.lessons {
        let front = &lesson.value.front;
        let machine = front.machine.as_ref().and_then(|id| course.machine(id));
        if front.machine.is_some() && machine.is_none() {
            // Unread or misspelt: that has its finding already.
            continue;
        }
        for sign in front.signs.keys() {
            if machine.is_none_or(|machine| machine.value.signs.get(sign).is_none()) {
                let known: Vec<&str> = machine
                    .iter()
                    .flat_map(|machine| machine.value.signs.keys())
                    .map(|key| key.value.as_str())
                    .collect();
                findings.push(Finding::new(
                    &UNKNOWN_REFERENCE,
                    lesson.span(sign),
                    format!("the lesson's machine has no sign `{sign}`"),
                    suggest(
                        sign,
                        known.into_iter(),
                        "add it to `signs` of the machine, and name the machine in the lesson",
                    ),
                ));
            }
        }
    }
}

fn roles(course: &Course, findings: &mut Vec<Finding>) {
    let (Some(outline), Some(all)) = (&course.outline, &course.competencies) else {
        return;
    };
    let roles: Vec<&str> = outline
        .value
        .roles
        .signers
        .values()
        .map(|signer| signer.role.value.as_str())
        .collect();
    for competency in all.value.0.values() {
        if !roles.contains(&competency.signed_by.value.as_str()) {
            findings.push(Finding::new(
                &UNKNOWN_REFERENCE,
                all.span(&competency.signed_by),
                format!("nobody in the outline has the role `{}`", competency.signed_by),
                suggest(
                    &competency.signed_by,
                    roles.iter().copied(),
                    "add a signer with this role to `roles`",
                ),
            ));
        }
    }
}

fn isolation(course: &Course, findings: &mut Vec<Finding>) {
    let Some(centre) = &course.centre else {
        return;
    };
    for machine in centre
        .value
        .isolation
        .keys()
        .filter(|machine| !course.has(Sort::Machine, machine))
    {
        findings.push(Finding::new(
            &UNKNOWN_REFERENCE,
            centre.span(machine),
            format!("there is no machine `{machine}`"),
            suggest_id(course, Sort::Machine, machine),
        ));
    }
}
