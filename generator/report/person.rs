//! One person's scored record, to read and to print.

use super::matrix::may_word;
use super::{Page, Press, certificate};
use crate::marking::Evidence;
use crate::record::{Deed, Event, Statement, StepSeen, What, Witnessing};
use crate::standing::{AttemptLine, Bounds, Person, State, voids};
use crate::theme::ThemeError;
use serde_json::{Value, json};

/// A performance that was watched, with what belongs to it.
pub(super) struct Performance<'a> {
    pub statement: &'a Statement,
    pub by: &'a str,
    pub seen: &'a Witnessing,
}

impl Performance<'_> {
    /// How it went, as a key of the theme's words and of the tables.
    pub(super) fn result(&self) -> &'static str {
        match (self.seen.met, self.seen.prompted) {
            (_, true) => "prompted",
            (true, false) => "met",
            (false, false) => "not-met",
        }
    }
}

/// How an attempt ended, in a word.
pub(super) fn state_word(state: State) -> &'static str {
    match state {
        State::Passed => "passed",
        State::Failed => "failed",
        State::Left => "left",
        State::Open => "open",
        State::Unsound => "unsound",
    }
}

impl super::Ground<'_> {
    /// A person's performances up to the day, in the order of time; none that was voided.
    pub(super) fn performances(&self, code: &str) -> Vec<Performance<'_>> {
        let end = self.day.end();
        let own = self.statements.iter();
        let own = own.filter(|statement| statement.person == code && statement.timestamp < end);
        let voids = voids(own.clone());
        let mut all: Vec<Performance> = own
            .filter(|statement| !voids.contains_key(statement.id.as_str()))
            .filter_map(|statement| match &statement.deed {
                Deed::Entered(Event {
                    by,
                    what: What::Witnessed(seen),
                    ..
                }) => Some(Performance { statement, by, seen }),
                _ => None,
            })
            .collect();
        all.sort_by(|a, b| (a.statement.timestamp, &a.statement.id).cmp(&(b.statement.timestamp, &b.statement.id)));
        all
    }
}

impl Press<'_> {
    /// The record, and the certificate where there is something to certify.
    pub(super) fn person_pages(&self, person: &Person) -> Result<Vec<Page>, ThemeError> {
        let certificate = certificate(person, self.ground);
        let code = &person.person;
        let mut pages = vec![(
            format!("person-{code}.html"),
            self.record(person, certificate.is_some())?,
        )];
        if let Some(certificate) = certificate {
            let values = json!({
                "certificate": certificate.content(),
                "check": certificate.check(),
                "role_of": self.roles(),
            });
            let title = format!("{} {code}", self.word("report_certificate"));
            pages.push((
                format!("certificate-{code}.html"),
                self.page("certificate.html", &title, &values)?,
            ));
        }
        Ok(pages)
    }

    /// Names of those who answer for something, by code.
    fn roles(&self) -> Value {
        let mut names = serde_json::Map::new();
        for (code, name) in &self.marking.trainers {
            names.insert(code.clone(), name.as_str().into());
        }
        for (code, signer) in &self.marking.signers {
            names.insert(code.clone(), signer.name.as_str().into());
        }
        names.into()
    }

    fn record(&self, person: &Person, certified: bool) -> Result<Vec<u8>, ThemeError> {
        let competencies: Vec<Value> = person
            .competencies
            .iter()
            .map(|one| {
                let mut value = self.standing(one);
                value["id"] = one.id.as_str().into();
                value["says"] = one.says.as_str().into();
                value["kind"] = may_word(one.may).into();
                value["reasons"] = json!(one.reasons);
                value["missing"] = json!(one.missing);
                value
            })
            .collect();
        let values = json!({
            "person": {
                "code": person.person, "name": person.name, "job": self.job(person),
                "joined": person.joined, "left": person.left, "certificate": certified,
            },
            "competencies": competencies,
            "assignments": person.assignments,
            "attempts": person.attempts.iter().map(|line| self.attempt(line)).collect::<Vec<_>>(),
            "performances": self
                .ground
                .performances(&person.person)
                .iter()
                .map(|one| self.performance(one, person))
                .collect::<Vec<_>>(),
            "events": person.events.iter().map(|line| json!({
                "date": line.date, "name": line.name(), "what": line.what, "by": line.by, "note": line.note,
                "voided": line.voided.as_ref().map(|voided| self.fill("report_voided", &[
                    ("date", &voided.date.to_string()), ("by", &voided.by), ("because", voided.because.as_deref().unwrap_or("–")),
                ])),
            })).collect::<Vec<_>>(),
        });
        let title = format!("{} {}", self.word("report_person"), person.person);
        self.page("person.html", &title, &values)
    }

    fn attempt(&self, line: &AttemptLine) -> Value {
        let mut notes = Vec::new();
        if !line.missed_critical.is_empty() {
            notes.push(self.fill("report_missed", &[("ids", &line.missed_critical.join(", "))]));
        }
        if let Some((at, what)) = &line.first_unsafe {
            notes.push(match line.assessment {
                Evidence::Drill(_) => self.fill("report_unsafe_act", &[("act", at), ("what", what)]),
                _ => self.fill("report_unsafe", &[("scene", at), ("choice", what)]),
            });
        }
        if let Some(why) = &line.not_counted {
            notes.push(self.fill("report_not_counted", &[("why", why)]));
        }
        json!({
            "date": self.ground.day.date_of(line.closed.unwrap_or(line.begun)),
            "title": line.title,
            "edition": line.edition,
            "state": state_word(line.state),
            "result": self.word(&format!("report_state_{}", state_word(line.state))),
            "score": format!("{} / {}", rounded(line.marks), rounded(line.max)),
            "try": line.number,
            "wilson": line.interval.map(percent),
            "exact": line.exact.map(percent),
            "notes": notes,
        })
    }

    fn performance(&self, one: &Performance, person: &Person) -> Value {
        let competency = &one.seen.competency;
        let then = self.ground.markings.get(&one.statement.marking);
        let known = then.and_then(|marking| marking.competency(competency));
        let sheet = known.and_then(|competency| competency.sheet.as_ref());
        let marked: Vec<Value> = one
            .seen
            .steps
            .iter()
            .enumerate()
            .filter(|(_, seen)| **seen != StepSeen::Met)
            .map(|(index, seen)| {
                json!({
                    "n": index + 1,
                    "says": sheet.and_then(|sheet| sheet.steps.get(index)),
                    "seen": self.word(&format!("report_seen_{}", seen.word().replace('-', "_"))),
                })
            })
            .collect();
        let note = person.events.iter().find(|line| line.id == one.statement.id);
        json!({
            "date": self.ground.day.date_of(one.statement.timestamp),
            "what": known.map_or(competency.as_str(), |known| known.says.as_str()),
            "by": one.by,
            "setting": self.word(if one.seen.real { "report_real" } else { "report_staged" }),
            "result": self.word(&format!("report_seen_{}", one.result().replace('-', "_"))),
            "turn": one.seen.out_of_turn.then(|| self.word("report_out_of_turn")),
            "steps": one.seen.steps.len(),
            "met": self.fill(
                "report_steps_met",
                &[
                    ("met", &(one.seen.steps.len() - marked.len()).to_string()),
                    ("all", &one.seen.steps.len().to_string()),
                ],
            ),
            "marked": marked,
            "note": note.and_then(|line| line.note.as_deref()),
        })
    }
}

/// At most two digits after the point, none that say nothing.
pub(super) fn rounded(number: f64) -> String {
    let text = format!("{number:.2}");
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

fn percent(bounds: Bounds) -> String {
    format!("{:.0}–{:.0} %", bounds.low * 100.0, bounds.high * 100.0)
}
