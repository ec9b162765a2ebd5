//! Where a course is thin.

use super::{BREAK, GRADE, Reading};
use crate::apart;
use crate::check::Checked;
use crate::model::{Course, Evidence, Kind};
use std::collections::BTreeSet;

/// One sentence for each thing that a complete course would have.
pub fn remarks(checked: &Checked, lessons: &[Reading]) -> Vec<String> {
    let mut remarks = Vec::new();
    competencies(checked, &mut remarks);
    stops(checked.course(), &mut remarks);
    for lesson in lessons {
        let id = &lesson.lesson;
        if lesson.minutes > BREAK {
            remarks.push(format!(
                "lesson {id}: {} minutes to read, more than a break of {BREAK}: split it, or cut what nobody needs",
                lesson.minutes
            ));
        }
        if let Some(grade) = lesson.grade.filter(|grade| *grade > GRADE) {
            remarks.push(format!(
                "lesson {id}: reads at grade {grade:.1}, above {GRADE:.0}: shorter sentences, plainer words"
            ));
        }
    }
    alike(checked.course(), &mut remarks);
    parts(checked.course(), &mut remarks);
    undrilled(checked.course(), &mut remarks);
    remarks
}

/// What shows a competency: lessons, a bank or another test by itself, a drill, a sheet to watch by.
fn competencies(checked: &Checked, remarks: &mut Vec<String>) {
    let course = checked.course();
    let Some(all) = &course.competencies else { return };
    for (id, competency) in all.value.0.iter() {
        let drilled = competency.evidence.iter().any(|one| matches!(one, Evidence::Drill(_)))
            || course.drills.iter().any(|drill| drill.value.competencies.contains(id));
        let asked = course
            .banks
            .iter()
            .flat_map(|bank| bank.value.questions.values())
            .any(|question| question.competency == *id);
        let sheet = (checked.marking().competencies.iter()).any(|one| one.id == id.value && one.sheet.is_some());
        for (there, what) in [
            (!competency.study.is_empty(), "no lesson to study"),
            (asked, "no question in a bank"),
            (drilled, "no drill"),
            (
                sheet,
                "no sheet to watch it by, since none of its lessons has a procedure",
            ),
        ] {
            if !there {
                remarks.push(format!("competency {}: {what}", id.value));
            }
        }
    }
}

fn stops(course: &Course, remarks: &mut Vec<String>) {
    for lesson in course
        .lessons
        .iter()
        .filter(|lesson| lesson.value.front.kind.value == Kind::Stop)
    {
        let procedures = || lesson.value.procedures().map(|(_, procedure)| procedure);
        for (there, what) in [
            (procedures().next().is_some(), "no procedure"),
            (
                procedures().any(|one| one.clears.is_some()),
                "no drill that its procedure clears",
            ),
            (lesson.value.stagings().next().is_some(), "no sheet for staging it"),
            (lesson.value.asks().next().is_some(), "no practice question"),
            (
                !lesson.value.front.signs.is_empty(),
                "no signs, so that nothing tells it from other stops",
            ),
        ] {
            if !there {
                remarks.push(format!("stop {}: {what}", lesson.id));
            }
        }
    }
}

/// Stops that look alike, and stops to which no answer leads.
fn alike(course: &Course, remarks: &mut Vec<String>) {
    for stops in apart::stops(course) {
        for apart::Pair {
            stops: (one, other),
            best,
        } in apart::pairs(&stops)
        {
            let (one, other) = (&stops.stops[one], &stops.stops[other]);
            let nearest = best.map_or(String::new(), |(sign, far)| {
                let sign = &stops.signs[sign].id;
                format!("; the sign that comes nearest to it is {sign}, {far} in 100 apart")
            });
            remarks.push(format!(
                "stops {one} and {other} of {}: no sign tells them apart{nearest}: list one that always shows in one of them and never in the other",
                stops.machine
            ));
        }
    }
}

/// Machines with a state that no drill puts a stop into: nothing was played on them.
fn undrilled(course: &Course, remarks: &mut Vec<String>) {
    for machine in course.machines.iter().filter(|machine| !machine.value.state.is_empty()) {
        let mut drills = course.drills.iter();
        if !drills.any(|drill| drill.value.machine.value == machine.id) {
            remarks.push(format!(
                "machine {}: no drill plays it, so nothing of it was proven",
                machine.id
            ));
        }
    }
}

/// Parts that no drawing shows.
fn parts(course: &Course, remarks: &mut Vec<String>) {
    let drawn: BTreeSet<&str> = course
        .drawings
        .iter()
        .filter_map(|drawing| drawing.content.as_ref().ok())
        .flat_map(|inline| inline.parts.iter().map(String::as_str))
        .collect();
    for machine in &course.machines {
        let missing: Vec<&str> = machine
            .value
            .parts
            .keys()
            .map(|part| part.value.as_str())
            .filter(|part| !drawn.contains(part))
            .collect();
        if !missing.is_empty() {
            remarks.push(format!("machine {}: in no drawing: {}", machine.id, missing.join(", ")));
        }
    }
}
