//! Standing → a slip: what a person takes back into the course, signed by a trainer or signer.
//!
//! A slip says how things stood when it was issued. How long it answers for that is for the course's `slip-days` to say.

use crate::marking::{Evidence, Marking, NotCanonical};
use crate::proof::{SecretKey, sign};
use crate::record::{Deed, Event, Statement, What, stamp};
use crate::standing::{Day, Markings, May, Person, Progress, Seen, Standing, Task, in_order, person, voids};
use jiff::civil::Date;
use jiff::{SignedDuration, Timestamp};
use serde::Serialize;
use serde_json::Value;
use std::collections::BTreeMap;

/// The version of the format that this build writes.
pub const FORMAT: u32 = 1;

/// What a slip says, before it is signed.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Slip {
    /// [`FORMAT`].
    pub format: u32,
    /// The course's id, and the address under which its ids are made.
    pub course: String,
    pub home: String,
    /// The person's code.
    pub person: String,
    /// UTC, to the millisecond.
    pub issued: String,
    /// The name of the marking in force.
    pub marking: String,
    /// One for each competency of the course, in its order.
    pub standings: Vec<Stands>,
    pub assignments: Vec<Asked>,
    pub tries: Vec<Released>,
}

/// How far the person has come with one competency.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Stands {
    pub competency: String,
    pub standing: Standing,
    pub may: May,
    /// The first day on which a signature no longer holds; only where it holds.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub until: Option<Date>,
    /// What is still needed, one sentence each.
    pub missing: Vec<String>,
    /// The lessons and assessments among that, by id. A course that does not know this field reads the sentences.
    pub lacks: Vec<Task>,
    /// How many performances count, how many of them on real calls, and the steps that none of them has shown.
    pub watched: Seen,
    /// The day on which the latest signature's time runs out, or ran out, whatever else has ended it: from then on more must be
    /// shown anew than the slip says.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub runs_out: Option<Date>,
}

/// Something that the person was asked for.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Asked {
    pub thing: Task,
    /// The last day for it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub due: Option<Date>,
    pub done: bool,
}

/// More tries that a trainer allowed at an assessment in the edition that the course has.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Released {
    pub assessment: Evidence,
    pub edition: u32,
    pub more: u32,
    /// From when they count; a pass that was begun since has used them up. UTC, to the millisecond.
    pub at: String,
}

/// The slip of a person as of now; none where no course was ever in force. `day` is the day of `now`.
pub fn slip(code: &str, statements: &[Statement], markings: &Markings, day: &Day, now: Timestamp) -> Option<Slip> {
    let (hash, marking) = markings.on(day)?;
    // A slip holds nothing that is kept apart for erasure, so the details are not needed.
    let stands = person(code, statements, markings, &Default::default(), day)?;
    Some(Slip {
        format: FORMAT,
        course: marking.course.clone(),
        home: marking.home.clone(),
        person: code.to_owned(),
        issued: stamp(now),
        marking: hash.to_owned(),
        standings: standings(&stands),
        assignments: asked(&stands, marking),
        tries: released(code, statements, markings, day),
    })
}

impl Slip {
    /// What the course says yes to by this slip, and the last day on which it does: as `slip.js` works it out, on the
    /// course and from the moment that the slip was made with.
    pub fn alone(&self, marking: &Marking, day: &Day, now: Timestamp) -> BTreeMap<String, Date> {
        let answers = SignedDuration::from_hours(24 * i64::from(marking.slip_days.unwrap_or(0)));
        let answers = now.checked_add(answers).unwrap_or(Timestamp::MAX);
        let lasts = |until: Date| {
            let midnight = until.to_zoned_datetime(day.zone.clone()).ok()?.timestamp();
            // The moment itself is no longer covered.
            let last = answers.min(midnight).checked_sub(SignedDuration::from_millis(1)).ok()?;
            (last >= now).then(|| day.date_of(last))
        };
        self.standings
            .iter()
            .filter(|stands| stands.may == May::Alone)
            .filter_map(|stands| Some((stands.competency.clone(), lasts(stands.until?)?)))
            .collect()
    }

    /// The slip with its proof, as it is written to a file.
    ///
    /// # Errors
    /// [`NotCanonical`], which texts, dates and small numbers cannot cause.
    pub fn signed(&self, key: &SecretKey, now: Timestamp) -> Result<Value, NotCanonical> {
        let mut value = serde_json::to_value(self).map_err(|why| NotCanonical::NotJson(why.to_string()))?;
        value["proof"] = sign(&value, key, now)?;
        Ok(value)
    }
}

fn standings(person: &Person) -> Vec<Stands> {
    person
        .competencies
        .iter()
        .map(|competence| Stands {
            competency: competence.id.clone(),
            standing: competence.standing,
            may: competence.may,
            until: competence.lapses,
            missing: competence.missing.clone(),
            lacks: competence.lacks.clone(),
            watched: competence.watched.clone(),
            runs_out: competence.runs_out,
        })
        .collect()
}

fn asked(person: &Person, marking: &Marking) -> Vec<Asked> {
    in_order(&person.assignments, marking)
        .into_iter()
        .map(|assignment| Asked {
            thing: assignment.thing.clone(),
            due: assignment.due,
            done: assignment.state == Progress::Done,
        })
        .collect()
}

/// Every release on record at an edition that is in use, in the order of time: the course counts with them as the
/// register does.
fn released(code: &str, statements: &[Statement], markings: &Markings, day: &Day) -> Vec<Released> {
    let edition = |hash: &str, assessment: &Evidence| Some(markings.get(hash)?.assessment(assessment)?.edition);
    let in_force = markings.on(day).map_or("", |(hash, _)| hash);
    let own = statements.iter().filter(|statement| statement.person == code);
    let voids = voids(own.clone());
    let mut releases: Vec<(&Statement, Released)> = own
        .filter(|statement| !voids.contains_key(statement.id.as_str()))
        .filter_map(|statement| {
            let Deed::Entered(Event {
                what: What::Released { assessment, more },
                ..
            }) = &statement.deed
            else {
                return None;
            };
            let then = edition(&statement.marking, assessment)?;
            let released = Released {
                assessment: assessment.clone(),
                edition: then,
                more: *more,
                at: stamp(statement.timestamp),
            };
            (edition(in_force, assessment)? == then).then_some((statement, released))
        })
        .collect();
    releases.sort_by(|(a, _), (b, _)| (a.timestamp, &a.id).cmp(&(b.timestamp, &b.id)));
    releases.into_iter().map(|(_, released)| released).collect()
}
