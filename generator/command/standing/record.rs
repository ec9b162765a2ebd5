//! One person's scored record.

use super::super::Voice;
use super::colour;
use super::table::Table;
use crate::marking::Marking;
use crate::score::figure;
use crate::standing::{Assignment, AttemptLine, Day, EventLine, Person, Progress, State, Tries};

pub(super) fn say(person: &Person, marking: &Marking, day: &Day, voice: &mut Voice) {
    employment(person, marking, voice);
    competencies(person, voice);
    assignments(&person.assignments, voice);
    attempts(person, day, voice);
    tries(&person.tries, voice);
    events(&person.events, voice);
}

fn employment(person: &Person, marking: &Marking, voice: &mut Voice) {
    let mut line = person.person.clone();
    if let Some(name) = &person.name {
        line.push_str(&format!("  {name}"));
    }
    if let Some(job) = &person.job {
        let known = marking.jobs.iter().find(|known| known.id == *job);
        line.push_str(&format!(", {}", known.map_or(job.as_str(), |job| &job.title)));
    }
    if let Some(joined) = person.joined {
        line.push_str(&format!("; joined {joined}"));
    }
    if let Some(left) = person.left {
        line.push_str(&format!("; left {left}, so may do nothing"));
    }
    voice.say(line);
}

fn competencies(person: &Person, voice: &mut Voice) {
    for competence in &person.competencies {
        let (on, off) = (format!("\x1b[{}m", colour(competence.may)), "\x1b[0m");
        voice.say(format!(
            "\n{}  {}: {on}{}{off} ({})",
            person.person, competence.id, competence.standing, competence.may
        ));
        voice.say(format!("  {}", competence.says));
        for line in &competence.reasons {
            voice.say(format!("  - {line}"));
        }
        for line in &competence.missing {
            voice.say(format!("  still needed: {line}"));
        }
        if competence.renewable {
            voice.say("  all that a new signature needs has been done since; it can be signed again");
        }
    }
}

fn assignments(assignments: &[Assignment], voice: &mut Voice) {
    if assignments.is_empty() {
        return;
    }
    voice.say("\nAsked for");
    let mut table = Table::new();
    table.heading(["assigned", "by", "what", "due", "state"].map(str::to_owned).to_vec());
    for one in assignments {
        let (state, colour) = match (one.state, one.done_on) {
            (Progress::Done, Some(done)) => (format!("done {done}"), "32"),
            (Progress::Done, None) => ("done".to_owned(), "32"),
            (Progress::Open, _) => ("open".to_owned(), "33"),
            (Progress::Overdue, _) => ("overdue".to_owned(), "31"),
        };
        table.row(vec![
            (one.on.to_string(), ""),
            (one.by.clone(), ""),
            (one.thing.to_string(), ""),
            (one.due.map_or("-".to_owned(), |due| due.to_string()), ""),
            (state, colour),
        ]);
    }
    voice.say(table.to_string());
}

fn tries(tries: &[Tries], voice: &mut Voice) {
    for one in tries {
        let released = match one.released {
            0 => String::new(),
            more => format!(" ({more} of them released by a trainer)"),
        };
        voice.say(format!(
            "  “{}”, edition {}: {} of {} tries used{released}",
            one.title,
            one.edition,
            one.used,
            one.used + one.left
        ));
    }
}

fn events(events: &[EventLine], voice: &mut Voice) {
    if events.is_empty() {
        return;
    }
    voice.say("\nEntered by trainers and signers");
    for one in events {
        let note = one.note.as_ref().map_or(String::new(), |note| format!(" — {note}"));
        voice.say(format!("  {} {}  {}{note}", one.date, one.name(), one.what));
        if let Some(voided) = &one.voided {
            let because = voided.because.as_ref().map_or(String::new(), |why| format!(": {why}"));
            voice.say(format!("    VOIDED on {} by {}{because}", voided.date, voided.by));
        }
    }
}

fn attempts(person: &Person, day: &Day, voice: &mut Voice) {
    voice.say(format!("\nAttempts of {}", person.person));
    if person.attempts.is_empty() {
        voice.say("  none");
        return;
    }
    let mut table = Table::new();
    table.heading(
        ["begun", "assessment", "edition", "result", "score", "try", "95 %"]
            .map(str::to_owned)
            .to_vec(),
    );
    for line in &person.attempts {
        let (result, colour) = result(line);
        table.row(vec![
            (day.date_of(line.begun).to_string(), ""),
            (line.title.clone(), ""),
            (line.edition.to_string(), ""),
            (result.to_owned(), colour),
            (format!("{} of {}", figure(line.marks), line.max), ""),
            (line.number.map_or("-".to_owned(), |number| number.to_string()), ""),
            (
                line.interval.map_or("-".to_owned(), |bounds| {
                    format!("{:.0}–{:.0} %", bounds.low * 100.0, bounds.high * 100.0)
                }),
                "",
            ),
        ]);
    }
    voice.say(table.to_string());
    for line in &person.attempts {
        let mut notes = Vec::new();
        if !line.missed_critical.is_empty() {
            notes.push(format!(
                "critical questions missed: {}",
                line.missed_critical.join(", ")
            ));
        }
        notes.extend(line.first_unsafe_says().map(|says| format!("first {says}")));
        if let Some(why) = &line.not_counted {
            notes.push(format!("not counted: {why}"));
        }
        if !notes.is_empty() {
            voice.say(format!(
                "  {} {}: {}",
                day.date_of(line.begun),
                line.title,
                notes.join("; ")
            ));
        }
    }
    voice
        .say("The last column is a note: where the share of questions got right may lie (Wilson). It decides nothing.");
}

fn result(line: &AttemptLine) -> (&'static str, &'static str) {
    match line.state {
        State::Passed => ("passed", "32"),
        State::Failed => ("failed", "31"),
        State::Left => ("left", "31"),
        State::Open => ("open", "2"),
        State::Unsound => ("unsound", "31"),
    }
}
