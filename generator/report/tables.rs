//! Tables for other programs, as RFC 4180 has them.

use super::person::{rounded, state_word};
use super::{Due, Ground};
use crate::standing::{Day, Person};
use csv::{QuoteStyle, Terminator, WriterBuilder};
use jiff::civil::Date;

/// A cell that no spreadsheet takes for a formula. RFC 4180 knows no such thing, but programs that open such files do: a
/// cell that begins with `=`, `+`, `-`, `@`, a tabulator or the end of a line is run there. It gets an apostrophe in front,
/// and so does one that begins with an apostrophe: whoever takes one apostrophe off again has the cell as it was.
pub fn cell(text: &str) -> String {
    if text.starts_with(['=', '+', '-', '@', '\t', '\r', '\n', '\'']) {
        format!("'{text}")
    } else {
        text.to_owned()
    }
}

/// Rows → bytes: records end with CRLF, cells are quoted where they must be.
pub fn table(rows: impl IntoIterator<Item = Vec<String>>) -> Vec<u8> {
    let mut writer = WriterBuilder::new()
        .terminator(Terminator::CRLF)
        .quote_style(QuoteStyle::Necessary)
        // Without this, a row of another length would be an error; here each has the head's length anyhow.
        .flexible(true)
        .from_writer(Vec::new());
    for row in rows {
        let cells = row.iter().map(|text| cell(text));
        writer
            .write_record(cells)
            .expect("a vector takes all that is written to it");
    }
    writer.into_inner().expect("a vector has nothing to flush")
}

fn head(names: &[&str]) -> Vec<String> {
    names.iter().map(|name| (*name).to_owned()).collect()
}

fn date(date: Option<Date>) -> String {
    date.map_or_else(String::new, |date| date.to_string())
}

/// One row for each person and competency.
pub(super) fn matrix(people: &[&Person], day: &Day) -> Vec<u8> {
    let mut rows = vec![head(&[
        "as of",
        "person",
        "name",
        "job",
        "competency",
        "standing",
        "may",
        "signed on",
        "signed by",
        "until",
        "retrain since",
        "still needed",
    ])];
    for person in people {
        rows.extend(person.competencies.iter().map(|one| {
            vec![
                day.date.to_string(),
                person.person.clone(),
                person.name.clone().unwrap_or_default(),
                person.job.clone().unwrap_or_default(),
                one.id.clone(),
                one.standing.to_string(),
                one.may.to_string(),
                date(one.signed_on),
                one.signed_by.clone().unwrap_or_default(),
                date(one.lapses),
                date(one.retrain_since),
                one.missing.join("; "),
            ]
        }));
    }
    table(rows)
}

/// One row for each thing on record: attempts with their marks, and what was entered.
pub(super) fn record(people: &[Person], ground: &Ground) -> Vec<u8> {
    let mut rows = vec![head(&[
        "date",
        "person",
        "name",
        "kind",
        "what",
        "edition",
        "result",
        "marks",
        "of",
        "wilson low",
        "wilson high",
        "exact low",
        "exact high",
        "by",
        "note",
    ])];
    let share = |number: Option<f64>| number.map_or_else(String::new, |number| format!("{number:.6}"));
    for person in people {
        let name = person.name.clone().unwrap_or_default();
        let mut own: Vec<Vec<String>> = person
            .attempts
            .iter()
            .map(|line| {
                let closed = line.closed.unwrap_or(line.begun);
                vec![
                    ground.day.date_of(closed).to_string(),
                    person.person.clone(),
                    name.clone(),
                    "attempt".to_owned(),
                    line.title.clone(),
                    line.edition.to_string(),
                    state_word(line.state).to_owned(),
                    rounded(line.marks),
                    rounded(line.max),
                    share(line.interval.map(|bounds| bounds.low)),
                    share(line.interval.map(|bounds| bounds.high)),
                    share(line.exact.map(|bounds| bounds.low)),
                    share(line.exact.map(|bounds| bounds.high)),
                    String::new(),
                    line.not_counted.clone().unwrap_or_default(),
                ]
            })
            .collect();
        let performances = ground.performances(&person.person);
        own.extend(person.events.iter().map(|line| {
            let watched = performances.iter().find(|one| one.statement.id == line.id);
            let mut row = vec![String::new(); 15];
            row[0] = line.date.to_string();
            row[1].clone_from(&person.person);
            row[2].clone_from(&name);
            row[3] = match (&line.voided, watched) {
                (Some(_), _) => "voided",
                (None, Some(_)) => "performance",
                (None, None) => "entered",
            }
            .to_owned();
            row[4].clone_from(&line.what);
            row[6] = watched.map_or("", |one| one.result()).to_owned();
            row[13].clone_from(&line.by);
            row[14] = line.note.clone().unwrap_or_default();
            row
        }));
        own.sort_by(|a, b| a[0].cmp(&b[0]));
        rows.extend(own);
    }
    table(rows)
}

/// One row for each thing that falls due.
pub(super) fn lapses(due: &[Due]) -> Vec<u8> {
    let mut rows = vec![head(&[
        "date", "kind", "overdue", "person", "name", "id", "what", "state",
    ])];
    rows.extend(due.iter().map(|one| {
        vec![
            date(one.date),
            one.kind.word().to_owned(),
            if one.over { "yes" } else { "no" }.to_owned(),
            one.person.clone().unwrap_or_default(),
            one.name.clone().unwrap_or_default(),
            one.id.clone(),
            one.what.clone(),
            one.state.clone(),
        ]
    }));
    table(rows)
}
