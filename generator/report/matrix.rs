//! Who may do what, at a glance; and what lapses next.

use super::{Due, Kind, Press};
use crate::standing::{Competence, MachineInspections, May, Person, Progress, Standing};
use crate::theme::ThemeError;
use serde_json::{Value, json};
use std::cmp::Reverse;

/// How many competencies one table has room for on a sheet of paper.
const COLUMNS: usize = 8;

/// The word that names a mark in the theme.
pub(super) fn may_word(may: May) -> &'static str {
    match may {
        May::Alone => "alone",
        May::Accompanied => "accompanied",
        May::Nothing => "nothing",
    }
}

impl Press<'_> {
    /// Those who may do most alone stand first.
    pub(super) fn matrix(&self, people: &[&Person]) -> Result<Vec<u8>, ThemeError> {
        let alone = |person: &Person| person.competencies.iter().filter(|one| one.may == May::Alone).count();
        let mut people = people.to_vec();
        people.sort_by_key(|person| (Reverse(alone(person)), person.person.clone()));
        let legend: Vec<Value> = self
            .marking
            .competencies
            .iter()
            .map(|one| json!({ "id": one.id, "says": one.says }))
            .collect();
        let bands: Vec<Value> = self
            .marking
            .competencies
            .chunks(COLUMNS)
            .enumerate()
            .map(|(band, columns)| {
                let rows: Vec<Value> = people
                    .iter()
                    .map(|person| {
                        let cells: Vec<Value> = columns
                            .iter()
                            .map(|column| person.competence(&column.id).map_or(Value::Null, |one| self.standing(one)))
                            .collect();
                        json!({
                            "code": person.person,
                            "name": person.name,
                            "job": self.job(person),
                            "cells": cells,
                            // Said once, in the first table.
                            "overdue": if band == 0 { overdue(person) } else { Vec::new() },
                        })
                    })
                    .collect();
                json!({ "columns": columns.iter().map(|one| one.id.as_str()).collect::<Vec<_>>(), "rows": rows, "first": band == 0 })
            })
            .collect();
        let values = json!({ "bands": bands, "legend": legend, "people": people.len() });
        self.page("matrix.html", self.word("report_matrix"), &values)
    }

    pub(super) fn job(&self, person: &Person) -> Option<String> {
        let id = person.job.as_ref()?;
        let known = self.marking.jobs.iter().find(|job| job.id == *id);
        Some(known.map_or_else(|| id.clone(), |job| job.title.clone()))
    }

    /// A mark, a word and a day.
    pub(super) fn standing(&self, one: &Competence) -> Value {
        let mark = match one.standing {
            Standing::Withdrawn => "withdrawn",
            _ => may_word(one.may),
        };
        json!({
            "mark": mark,
            "may": self.word(&format!("report_may_{mark}")),
            "standing": one.standing.to_string(),
            "until": one.lapses,
            "retrain": one.retrain_since,
            "renewable": one.renewable,
        })
    }

    /// What lapses next, what retraining is due, what was assigned and is not done, which machines are to be inspected.
    pub(super) fn lapses(
        &self,
        people: &[&Person],
        machines: &[MachineInspections],
        due: &[Due],
    ) -> Result<Vec<u8>, ThemeError> {
        let rows = |kind: Kind| -> Vec<Value> {
            due.iter()
                .filter(|one| one.kind == kind)
                .map(|one| {
                    json!({
                        "date": one.date,
                        "code": one.person,
                        "name": one.name,
                        "what": one.what,
                        "state": one.state,
                        "over": one.over,
                        "days": one.date.and_then(|date| self.ground.day.date.until(date).ok()).map(|span| span.get_days()),
                    })
                })
                .collect()
        };
        let mut retrain = Vec::new();
        let mut withdrawn = Vec::new();
        for person in people {
            for one in &person.competencies {
                let row = json!({
                    "code": person.person,
                    "name": person.name,
                    "what": one.says,
                    "standing": one.standing.to_string(),
                    "since": one.retrain_since,
                    "reasons": one.ended,
                    "missing": one.missing,
                });
                if one.standing == Standing::Withdrawn {
                    withdrawn.push(row);
                } else if one.is_to_be_renewed() {
                    retrain.push(row);
                }
            }
        }
        let machines: Vec<Value> = machines
            .iter()
            .map(|machine| {
                json!({
                    "title": machine.title,
                    "next": machine.next_due,
                    "over": machine.overdue,
                    "last": machine.last().map(|last| json!({
                        "date": last.date, "by": last.by, "included": last.included, "clean": last.clean,
                    })),
                })
            })
            .collect();
        let values = json!({
            "lapses": rows(Kind::Lapses),
            "retrain": retrain,
            "withdrawn": withdrawn,
            "assigned": rows(Kind::Assigned),
            "machines": machines,
        });
        self.page("lapses.html", self.word("report_lapses"), &values)
    }
}

fn overdue(person: &Person) -> Vec<Value> {
    person
        .assignments
        .iter()
        .filter(|one| one.state == Progress::Overdue)
        .map(|one| json!({ "title": one.title, "due": one.due }))
        .collect()
}
