//! `pitwright standing`: who may do what, or one person's scored record.

use super::opening::{Where, date, day, failed, now, on_record};
use super::{Outcome, Voice};
use crate::record::code;
use crate::register::{NotEntered, Sqlite};
use crate::standing::{May, Person, Progress, everybody, inspections, person};
use jiff::civil::Date;
use serde_json::{Value, json};
use std::path::PathBuf;

mod matrix;
mod pages;
mod record;
mod table;

#[derive(Debug, clap::Args)]
pub struct Args {
    /// The code of one person; everybody if left out.
    person: Option<String>,
    /// Of one person, every competency in full, also what the job does not ask for.
    #[arg(long, requires = "person")]
    all: bool,
    /// As of the end of this day; today if left out.
    #[arg(long, value_name = "DATE", value_parser = date)]
    on: Option<Date>,
    /// Write pages to print, tables and a calendar into this folder; with a person, that record and certificate only.
    #[arg(long, value_name = "DIR")]
    into: Option<PathBuf>,
    /// Say whether a certificate with this check code is genuine for the day that it names (--on).
    #[arg(long, value_name = "CODE", requires = "person", conflicts_with = "into")]
    check: Option<String>,
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
        return failed(voice, NotEntered::NoCourse.to_string());
    };
    if let Some(Err(why)) = who.as_ref().map(|who| on_record(&register, who)) {
        return failed(voice, why);
    }
    let task = pages::Task {
        register: &register,
        statements: &statements,
        details: &details,
        day: &day,
        who: who.as_deref(),
    };
    if let Some(into) = &args.into {
        return task.write(into, &args.place, voice);
    }
    if let Some(typed) = &args.check {
        return task.check(typed, voice);
    }
    let people = match &who {
        None => everybody(&statements, register.markings(), &details, &day),
        Some(who) => person(who, &statements, register.markings(), &details, &day)
            .into_iter()
            .collect(),
    };
    let inspections = inspections(&statements, register.markings(), &day);
    if voice.json {
        let people = match &who {
            Some(_) => json!(people),
            None => people.iter().map(row).collect(),
        };
        let mut told = json!({
            "on": day.date, "course": marking.course, "title": marking.title, "marking": hash, "people": people,
        });
        if who.is_none() {
            told["inspections"] = json!(inspections);
        }
        voice.say_json(&told);
        return Outcome::Clean;
    }
    voice.say(format!("{}, as of {}", marking.title, day.date));
    let ground = record::Ground {
        marking,
        markings: register.markings(),
        day: &day,
        all: args.all,
    };
    match &who {
        None => {
            matrix::say(&people, voice);
            matrix::say_overdue(&people, &inspections, voice);
        }
        Some(_) => people.iter().for_each(|person| record::say(person, &ground, voice)),
    }
    Outcome::Clean
}

/// One person in the matrix, which leaves single answers and events out, as the table does.
fn row(person: &Person) -> Value {
    let overdue = person.assignments.iter().filter(|one| one.state == Progress::Overdue);
    json!({
        "person": person.person,
        "name": person.name,
        "job": person.job,
        "competencies": person.competencies,
        "overdue": overdue.collect::<Vec<_>>(),
    })
}

fn colour(may: May) -> &'static str {
    match may {
        May::Alone => "32",
        May::Accompanied => "33",
        May::Nothing => "2",
    }
}
