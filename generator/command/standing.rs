//! `pitwright standing`: who may do what, or one person's scored record.

use super::opening::{Where, date, day, failed, now, on_record};
use super::{Outcome, Voice};
use crate::record::code;
use crate::register::Sqlite;
use crate::standing::{AttemptLine, Day, May, Person, State, everybody, person};
use jiff::civil::Date;
use serde_json::json;

mod table;

use table::Table;

#[derive(Debug, clap::Args)]
pub struct Args {
    /// The code of one person; everybody if left out.
    person: Option<String>,
    /// As of the end of this day; today if left out.
    #[arg(long, value_name = "DATE", value_parser = date)]
    on: Option<Date>,
    #[command(flatten)]
    place: Where,
}

/// Prints standings.
pub fn run(args: &Args, voice: &mut Voice) -> Outcome {
    let ready = (|| {
        let now = now()?;
        let who = args
            .person
            .as_deref()
            .map(code)
            .transpose()
            .map_err(|why| why.to_string())?;
        let register = args.place.open(Sqlite::read)?;
        let statements = register.statements().map_err(|why| why.to_string())?;
        let details = register.details().map_err(|why| why.to_string())?;
        Ok::<_, String>((now, who, register, statements, details))
    })();
    let (now, who, register, statements, details) = match ready {
        Ok(ready) => ready,
        Err(why) => return failed(voice, why),
    };
    let day = day(args.on, now);
    let Some((hash, marking)) = register.markings().on(&day) else {
        return failed(
            voice,
            "the register holds no course yet: run `pitwright compile`, then `pitwright gather`",
        );
    };
    let people = match &who {
        None => everybody(&statements, register.markings(), &details, &day),
        Some(who) => {
            if let Err(why) = on_record(&register, who) {
                return failed(voice, why);
            }
            person(who, &statements, register.markings(), &details, &day)
                .into_iter()
                .collect()
        }
    };
    if voice.json {
        let people = match &who {
            Some(_) => json!(people),
            // The matrix leaves single answers out, as the table does.
            None => json!(
                people
                    .iter()
                    .map(|person| json!({ "person": person.person, "competencies": person.competencies }))
                    .collect::<Vec<_>>()
            ),
        };
        voice.say_json(&json!({
            "on": day.date, "course": marking.course, "title": marking.title, "marking": hash, "people": people,
        }));
        return Outcome::Clean;
    }
    voice.say(format!("{}, as of {}", marking.title, day.date));
    match (&who, people.as_slice()) {
        (None, []) => voice.say("Nobody is on record yet."),
        (None, people) => matrix(people, voice),
        (Some(_), people) => people.iter().for_each(|person| record(person, &day, voice)),
    }
    Outcome::Clean
}

fn colour(may: May) -> &'static str {
    match may {
        May::Alone => "32",
        May::Accompanied => "33",
        May::Nothing => "2",
    }
}

fn matrix(people: &[Person], voice: &mut Voice) {
    let mut table = Table::new();
    let mut heading = vec!["person".to_owned()];
    heading.extend(people[0].competencies.iter().map(|competence| competence.id.clone()));
    table.heading(heading);
    for person in people {
        let mut row = vec![(person.person.clone(), "")];
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

fn record(person: &Person, day: &Day, voice: &mut Voice) {
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
            (format!("{} of {}", line.marks, line.max), ""),
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
        if let Some((scene, choice)) = &line.first_unsafe {
            notes.push(format!("first unsafe choice: {choice} in scene {scene}"));
        }
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
