//! The register's own statements: what a trainer watched, what a manager signed off.

use super::statement::{Deed, Misread, Statement, Witnessing};
use super::vocabulary::{TERMS, Thing, Verb, term};
use crate::marking::Marking;
use jiff::Timestamp;
use serde_json::{Value, json};

/// What every statement of the register says besides its deed.
#[derive(Debug, Clone)]
pub struct Occasion<'a> {
    /// A fresh UUID.
    pub id: &'a str,
    /// When it happened.
    pub at: Timestamp,
    /// The course in force on that day, and its name.
    pub marking: &'a Marking,
    pub hash: &'a str,
    /// The code of the person whose record it goes into.
    pub person: &'a str,
}

/// A performance that a trainer watched.
///
/// # Errors
/// If a code or id in it is not one, in which case no statement is made.
pub fn witnessed(occasion: &Occasion, seen: &Witnessing) -> Result<Statement, Misread> {
    let mut value = frame(occasion, Verb::WasWitnessed, &seen.competency);
    value["context"]["instructor"] = agent(occasion.marking, &seen.by);
    let mut extensions = json!({
        term("prompted"): seen.prompted,
        term("setting"): if seen.real { "real" } else { "staged" },
    });
    if let Some(note) = &seen.note {
        extensions[term("note")] = json!(note);
    }
    value["result"] = json!({ "success": seen.met, "extensions": extensions });
    Statement::read(&value)
}

/// A competency signed off by `by`.
///
/// # Errors
/// As [`witnessed`].
pub fn signed_off(occasion: &Occasion, competency: &str, by: &str) -> Result<Statement, Misread> {
    let mut value = frame(occasion, Verb::WasSignedOff, competency);
    value["authority"] = agent(occasion.marking, by);
    let statement = Statement::read(&value)?;
    debug_assert!(matches!(statement.deed, Deed::SignedOff { .. }));
    Ok(statement)
}

fn agent(marking: &Marking, code: &str) -> Value {
    json!({
        "objectType": "Agent",
        "account": { "homePage": marking.home.trim_end_matches('/'), "name": code },
    })
}

fn frame(occasion: &Occasion, verb: Verb, competency: &str) -> Value {
    let marking = occasion.marking;
    let thing = Thing::Competency(competency.to_owned());
    let mut object = json!({ "objectType": "Activity", "id": thing.iri(&marking.home) });
    if let Some(known) = marking.competency(competency) {
        object["definition"] = json!({ "name": { marking.language.as_str(): known.says } });
    }
    debug_assert!(verb.iri().starts_with(TERMS));
    json!({
        "id": occasion.id,
        "version": "1.0.3",
        "timestamp": stamp(occasion.at),
        "actor": agent(marking, occasion.person),
        "verb": { "id": verb.iri(), "display": { "en": verb.to_string() } },
        "object": object,
        "context": {
            "platform": "Pitwright",
            "language": marking.language,
            "extensions": { term("marking"): occasion.hash },
        },
    })
}

/// A time as statements write it: UTC, to the millisecond.
pub fn stamp(at: Timestamp) -> String {
    format!("{at:.3}")
}
