//! Writing the register's own statements.

use super::event::{Event, What};
use super::statement::{Misread, STATEMENT, Statement};
use super::vocabulary::{Thing, Verb, term};
use super::witnessing::Witnessing;
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

/// An event as a statement.
///
/// # Errors
/// If a code or id in it is not one, in which case no statement is made.
pub fn entered(occasion: &Occasion, event: &Event) -> Result<Statement, Misread> {
    let statement = Statement::read(&unsigned(occasion, event))?;
    debug_assert!(statement.is_registers_own());
    Ok(statement)
}

/// An event as JSON, so that a proof can be added to a signature before it is read.
pub fn unsigned(occasion: &Occasion, event: &Event) -> Value {
    let (verb, thing) = verb_and_thing(&event.what);
    let mut value = frame(occasion, verb, &thing);
    let mut say = |key: &str, what: Value| value["context"]["extensions"][term(key)] = what;
    if let Some(details) = &event.details {
        say("details", json!(details));
    }
    match &event.what {
        What::Assigned { due: Some(due), .. } => say("due", json!(due.to_string())),
        What::Released { more, .. } => say("more", json!(more)),
        What::MustRetrain { trigger, .. } => say("trigger", json!(trigger.word())),
        What::Joined { job: Some(job) } => say("job", json!(job)),
        What::GivenSlip { alone } => {
            let alone: serde_json::Map<String, Value> = alone
                .iter()
                .map(|(id, last)| (id.clone(), json!(last.to_string())))
                .collect();
            say("alone", Value::Object(alone));
        }
        What::Erased { digests } => say("digests", json!(digests)),
        What::SignedOff { proof: Some(proof), .. } => say("proof", proof.value.clone()),
        What::Witnessed(seen) => value["result"] = performance(seen),
        What::Inspected(seen) => {
            value["result"] = json!({ "success": seen.clean });
            let members: Vec<Value> = seen.included.iter().map(|code| agent(occasion.marking, code)).collect();
            value["context"]["team"] = json!({ "objectType": "Group", "member": members });
        }
        _ => {}
    }
    match &event.what {
        What::Inspected(_) => {}
        What::Witnessed(_) => value["context"]["instructor"] = agent(occasion.marking, &event.by),
        _ => value["authority"] = agent(occasion.marking, &event.by),
    }
    value
}

fn verb_and_thing(what: &What) -> (Verb, Thing) {
    let competency = |id: &String| Thing::Competency(id.clone());
    match what {
        What::Witnessed(seen) => (Verb::WasWitnessed, competency(&seen.competency)),
        What::SignedOff { competency: id, .. } => (Verb::WasSignedOff, competency(id)),
        What::Assigned { thing, .. } => (Verb::WasAssigned, thing.clone()),
        What::Released { assessment, .. } => (Verb::WasReleased, Thing::Assessment(assessment.clone())),
        What::Withdrawn { competency: id } => (Verb::WasWithdrawn, competency(id)),
        What::MustRetrain { competency: id, .. } => (Verb::MustRetrain, competency(id)),
        What::Joined { .. } => (Verb::Joined, Thing::Centre),
        What::Left => (Verb::Left, Thing::Centre),
        What::GivenSlip { .. } => (Verb::WasGivenSlip, Thing::Centre),
        What::Voided { entry } => (Verb::Voided, Thing::Entry(entry.clone())),
        What::Erased { .. } => (Verb::WasErased, Thing::Centre),
        What::Inspected(seen) => (Verb::Inspected, Thing::Machine(seen.machine.clone())),
    }
}

fn performance(seen: &Witnessing) -> Value {
    let mut extensions = json!({
        term("prompted"): seen.prompted,
        term("setting"): if seen.real { "real" } else { "staged" },
    });
    if seen.out_of_turn {
        extensions[term("out-of-turn")] = json!(true);
    }
    if !seen.steps.is_empty() {
        let steps: Vec<&str> = seen.steps.iter().map(|step| step.word()).collect();
        extensions[term("steps")] = json!(steps);
    }
    json!({ "success": seen.met, "extensions": extensions })
}

fn agent(marking: &Marking, code: &str) -> Value {
    json!({
        "objectType": "Agent",
        "account": { "homePage": marking.home.trim_end_matches('/'), "name": code },
    })
}

fn frame(occasion: &Occasion, verb: Verb, thing: &Thing) -> Value {
    let marking = occasion.marking;
    let is_statement = matches!(thing, Thing::Entry(_));
    let sort = if is_statement { STATEMENT } else { "Activity" };
    let mut object = json!({ "objectType": sort, "id": thing.iri(&marking.home) });
    let name = match thing {
        Thing::Competency(id) => marking.competency(id).map(|known| known.says.as_str()),
        Thing::Lesson(id) => marking.lesson(id).map(|known| known.title.as_str()),
        Thing::Assessment(one) => marking.assessment(one).map(|known| known.title),
        Thing::Machine(id) => marking.machine(id).map(|known| known.title.as_str()),
        _ => None,
    };
    if let Some(name) = name {
        object["definition"] = json!({ "name": { marking.language.as_str(): name } });
    }
    let mut context = json!({
        "language": marking.language,
        "extensions": { term("marking"): occasion.hash },
    });
    // Source: xAPI 1.0.3, 2.4.6: a platform is named only where the object is an activity (from memory).
    if !is_statement {
        context["platform"] = json!("Pitwright");
    }
    json!({
        "id": occasion.id,
        "version": "1.0.3",
        "timestamp": stamp(occasion.at),
        "actor": agent(marking, occasion.person),
        "verb": { "id": verb.iri(), "display": { "en": verb.to_string() } },
        "object": object,
        "context": context,
    })
}

/// A time as statements write it: UTC, to the millisecond.
pub fn stamp(at: Timestamp) -> String {
    format!("{at:.3}")
}
