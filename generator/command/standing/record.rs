//! One person's scored record.

use super::super::Voice;
use super::colour;
use super::table::Table;
use crate::marking::{Evidence, Marking};
use crate::score::figure;
use crate::standing::{
    Assignment, AttemptLine, Competence, Day, EventLine, Markings, Person, Progress, Standing, State, Tries, in_order,
};

/// What a record is told from.
pub(super) struct Ground<'a> {
    pub marking: &'a Marking,
    pub markings: &'a Markings,
    pub day: &'a Day,
    /// Every competency in full, those too that the job does not ask for.
    pub all: bool,
}

pub(super) fn say(person: &Person, ground: &Ground, voice: &mut Voice) {
    employment(person, ground.marking, voice);
    competencies(person, ground, voice);
    assignments(&in_order(&person.assignments, ground.marking), voice);
    attempts(person, ground, voice);
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

/// In full what the job asks for; the rest in a line each, and what was not begun in one line for all.
fn competencies(person: &Person, ground: &Ground, voice: &mut Voice) {
    let job = ground
        .marking
        .jobs
        .iter()
        .find(|known| person.job.as_ref() == Some(&known.id));
    let (Some(job), false) = (job, ground.all) else {
        person.competencies.iter().for_each(|one| in_full(person, one, voice));
        return;
    };
    let asked = |one: &&Competence| job.competencies.contains(&one.id);
    let (asked, rest): (Vec<&Competence>, Vec<&Competence>) = person.competencies.iter().partition(asked);
    asked.into_iter().for_each(|one| in_full(person, one, voice));
    let (untouched, begun): (Vec<&Competence>, Vec<&Competence>) = rest
        .into_iter()
        .partition(|one| one.standing == Standing::NothingYet && one.reasons.is_empty());
    if begun.is_empty() && untouched.is_empty() {
        return;
    }
    voice.say(format!("\nNot asked for by the job {} (--all says all of it)", job.id));
    for one in begun {
        let lapses = one.lapses.map_or(String::new(), |on| format!(", lapses on {on}"));
        voice.say(format!("  {}: {}{lapses}", one.id, state(one)));
    }
    if !untouched.is_empty() {
        let ids: Vec<&str> = untouched.iter().map(|one| one.id.as_str()).collect();
        voice.say(format!("  {}: {}", Standing::NothingYet, ids.join(", ")));
    }
}

/// The standing, and what it allows.
fn state(one: &Competence) -> String {
    let (on, off) = (format!("\x1b[{}m", colour(one.may)), "\x1b[0m");
    format!("{on}{}{off} ({})", one.standing, one.may.says())
}

fn in_full(person: &Person, competence: &Competence, voice: &mut Voice) {
    voice.say(format!("\n{}  {}: {}", person.person, competence.id, state(competence)));
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

fn assignments(assignments: &[&Assignment], voice: &mut Voice) {
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

fn attempts(person: &Person, ground: &Ground, voice: &mut Voice) {
    let day = ground.day;
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
        notes.extend(line.missed_critical.iter().map(|id| missed(line, id, ground)));
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

/// A critical question that was missed: what it is about, when it was asked, and where its words stand. The register has keys
/// and no words.
fn missed(line: &AttemptLine, question: &str, ground: &Ground) -> String {
    let bank = line.assessment.id();
    let known = ground.markings.get(&line.marking).and_then(|then| then.bank(bank));
    let asked = known.and_then(|bank| bank.questions.iter().find(|one| one.id == question));
    let about = asked.map_or(String::new(), |asked| format!(" about {}", asked.competency));
    let when = match line.answers.iter().position(|answer| answer.at == question) {
        Some(at) => format!("question {} of the attempt", at + 1),
        None => "never answered".to_owned(),
    };
    let place = match line.assessment {
        Evidence::Bank(_) => format!(", in quizzes/banks/{bank}.yml"),
        _ => String::new(),
    };
    format!("critical question{about} missed: {when}, `{question}`{place}")
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
