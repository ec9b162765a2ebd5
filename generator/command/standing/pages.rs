//! Standings as pages that print, and whether a printed certificate is genuine.

use super::super::opening::{Where, failed};
use super::super::{Outcome, Voice};
use crate::bundle;
use crate::record::{Details, Statement};
use crate::register::{Register, Sqlite, Store};
use crate::report::{Ground, Scope, certificate, is_genuine, report, stranger};
use crate::source;
use crate::standing::{Day, person};
use crate::theme::Theme;
use serde_json::json;
use std::collections::BTreeMap;
use std::path::Path;

/// What both read.
pub(super) struct Task<'a> {
    pub register: &'a Register<Sqlite>,
    pub statements: &'a [Statement],
    pub details: &'a BTreeMap<String, Details>,
    pub day: &'a Day,
    /// The code of one person.
    pub who: Option<&'a str>,
}

impl Task<'_> {
    /// Writes the pages.
    pub(super) fn write(&self, into: &Path, place: &Where, voice: &mut Voice) -> Outcome {
        if let Some(path) = stranger(into) {
            return failed(
                voice,
                format!(
                    "{} holds `{path}`, which is no report: name a folder of its own, so that nothing of yours is taken away",
                    into.display()
                ),
            );
        }
        let head = &self.register.ledger().head;
        let last = match self.register.store().read_from(head.seq, 1) {
            Ok(rows) => rows.into_iter().next(),
            Err(why) => return failed(voice, why.to_string()),
        };
        // A register that holds a course has a row, and the register stamps every row.
        let Some(taken) = last.and_then(|row| row.taken.parse().ok()) else {
            return failed(
                voice,
                "the register does not say when it took its last entry: run `pitwright audit`",
            );
        };
        let ground = Ground {
            statements: self.statements,
            markings: self.register.markings(),
            details: self.details,
            day: self.day,
            taken,
            entries: head.seq,
            last_hash: &head.hash,
        };
        // The course's own words and style, where its sources are at hand.
        let theme = source::read(place.course()).map_or_else(|_| Theme::built_in(), |sources| Theme::of(&sources));
        let scope = self.who.map_or(Scope::Everybody, Scope::One);
        let output = match report(&ground, scope, &theme) {
            Ok(output) => output,
            Err(why) => return failed(voice, why.to_string()),
        };
        let written = match self.who {
            None => bundle::folder(&output, into),
            Some(_) => bundle::add(&output, into),
        };
        let written = match written {
            Ok(written) => written,
            Err(why) => return failed(voice, why.to_string()),
        };
        if voice.json {
            voice.say_json(&json!({
                "into": into.to_string_lossy(), "on": self.day.date, "files": written.files, "changed": written.changed,
                "removed": written.removed,
            }));
        } else {
            let first = match self.who {
                None => "index.html".to_owned(),
                Some(who) => format!("person-{who}.html"),
            };
            voice.say(format!(
                "As of {}. Files: {}, of them new or changed: {}. Open {} in a browser.",
                self.day.date,
                written.files,
                written.changed,
                into.join(first).display()
            ));
        }
        Outcome::Clean
    }

    /// Says whether a check code is that of the person's certificate on the day.
    pub(super) fn check(&self, typed: &str, voice: &mut Voice) -> Outcome {
        let who = self.who.unwrap_or_default();
        let head = &self.register.ledger().head;
        let ground = Ground {
            statements: self.statements,
            markings: self.register.markings(),
            details: self.details,
            day: self.day,
            // A certificate says nothing of when the register was last written.
            taken: jiff::Timestamp::UNIX_EPOCH,
            entries: head.seq,
            last_hash: &head.hash,
        };
        let certificate = person(who, self.statements, self.register.markings(), self.details, self.day)
            .and_then(|person| certificate(&person, &ground));
        let genuine = certificate
            .as_ref()
            .is_some_and(|certificate| is_genuine(typed, certificate));
        let day = self.day.date;
        if voice.json {
            voice.say_json(&json!({
                "person": who, "on": day, "genuine": genuine,
                "certificate": certificate.filter(|_| genuine).map(|certificate| certificate.content()),
            }));
        } else if let (true, Some(certificate)) = (genuine, &certificate) {
            voice.say(format!("Genuine: the certificate of {who} as of {day}. It says:"));
            for one in certificate.lines() {
                voice.say(format!("  {one}"));
            }
        } else if certificate.is_some() {
            voice.say(format!(
                "Not genuine: the certificate of {who} as of {day} has another check code. Either the paper was altered, or it names another day, or something dated by {day} was entered, or a name erased, since it was printed."
            ));
        } else {
            voice.say(format!(
                "Not genuine: as of {day} there is nothing that {who} may do alone, so there is no certificate."
            ));
        }
        if genuine { Outcome::Clean } else { Outcome::Findings }
    }
}
