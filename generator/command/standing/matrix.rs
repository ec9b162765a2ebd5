//! The matrix: everybody who learns or works here against every competency, and what is overdue.

use super::super::Voice;
use super::colour;
use super::table::Table;
use crate::standing::{MachineInspections, Person, Progress};

pub(super) fn say(people: &[Person], voice: &mut Voice) {
    let Some(first) = people.first() else {
        voice.say("Nobody is on record yet.");
        return;
    };
    let mut table = Table::new();
    let mut heading = vec!["person".to_owned()];
    heading.extend(first.competencies.iter().map(|competence| competence.id.clone()));
    table.heading(heading);
    for person in people {
        let mut row = vec![(called(person), "")];
        row.extend(
            person
                .competencies
                .iter()
                .map(|competence| (competence.standing.to_string(), colour(competence.may))),
        );
        table.row(row);
    }
    voice.say(table.to_string());
    voice.say("signed: may do it alone. ready to be witnessed, ready to sign, lapsed: only accompanied by a trainer. Otherwise: not at all.");
}

fn called(person: &Person) -> String {
    match &person.name {
        Some(name) => format!("{} {name}", person.person),
        None => person.person.clone(),
    }
}

/// What should have been done by now; nothing if all is in time.
pub(super) fn say_overdue(people: &[Person], inspections: &[MachineInspections], voice: &mut Voice) {
    let mut lines = Vec::new();
    for person in people {
        for late in person.assignments.iter().filter(|one| one.state == Progress::Overdue) {
            let due = late.due.map_or(String::new(), |due| format!(", due {due}"));
            lines.push(format!("{}: {}{due}", called(person), late.thing));
        }
    }
    for machine in inspections.iter().filter(|machine| machine.overdue) {
        let last = match machine.last() {
            Some(last) => format!("the last one was on {}", last.date),
            None => "none is on record".to_owned(),
        };
        lines.push(format!(
            "the inspection of machine {}, due {}: {last}",
            machine.machine, machine.next_due
        ));
    }
    if !lines.is_empty() {
        voice.say("\nOverdue");
        for line in lines {
            voice.say(format!("  {line}"));
        }
    }
}
