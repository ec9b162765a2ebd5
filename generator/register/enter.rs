//! What trainers and managers add: a performance watched, a competency signed off.

use super::{Change, Error, Fresh, Kind, Ledger, Register, Store, statements};
use crate::marking::Marking;
use crate::record::{Details, Event, Occasion, Statement, What, entered, near, stamp};
use crate::standing::{Day, Standing, person};
use jiff::civil::Date;
use jiff::{SignedDuration, Timestamp};
use std::collections::BTreeMap;
use std::fmt;

/// An event to be entered.
#[derive(Debug, Clone, PartialEq)]
pub struct Entering<'a> {
    /// The code of the person whose record it goes into.
    pub person: &'a str,
    /// What happened and who answers for it; its digest of details is made from `details`.
    pub event: Event,
    /// A name or free words; given a salt, and kept apart from the statement.
    pub name: Option<&'a str>,
    pub note: Option<&'a str>,
    /// The day on which it happened.
    pub day: &'a Day,
    /// The person need not be on record yet.
    pub new_person: bool,
}

/// Why nothing was entered.
#[derive(Debug, Clone, PartialEq)]
pub enum NotEntered {
    Register(Error),
    NoCourse,
    NoCompetency {
        id: String,
        known: Vec<String>,
    },
    NoPerson {
        code: String,
        near: Vec<String>,
    },
    NotATrainer {
        code: String,
        trainers: Vec<String>,
    },
    NotTheSigner {
        code: String,
        role: String,
        signers: Vec<String>,
    },
    OwnWork,
    Future {
        date: Date,
        today: Date,
    },
    NotReady {
        standing: Standing,
        date: Date,
        missing: Vec<String>,
        reasons: Vec<String>,
    },
    Written(String),
}

impl From<Error> for NotEntered {
    fn from(error: Error) -> Self {
        Self::Register(error)
    }
}

impl fmt::Display for NotEntered {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Register(error) => error.fmt(f),
            Self::NoCourse => {
                f.write_str("the register holds no course yet: run `pitwright compile`, then `pitwright gather`")
            }
            Self::NoCompetency { id, known } => {
                write!(f, "there is no competency `{id}`; the course has {}", list(known))
            }
            Self::NoPerson { code, near } if near.is_empty() => write!(
                f,
                "nobody with the code {code} is on record; if that is right, say --new-person"
            ),
            Self::NoPerson { code, near } => write!(
                f,
                "nobody with the code {code} is on record; did you mean {}? If {code} is right, say --new-person",
                near.join(" or ")
            ),
            Self::NotATrainer { code, trainers } => {
                write!(
                    f,
                    "{code} is not a trainer of this course; its trainers are {}",
                    list(trainers)
                )
            }
            Self::NotTheSigner { code, role, signers } => write!(
                f,
                "{code} may not sign this: it is signed by the role {role}, which {} here",
                match signers.as_slice() {
                    [] => "nobody has".to_owned(),
                    [one] => format!("{one} has"),
                    many => format!("{} have", list(many)),
                }
            ),
            Self::OwnWork => f.write_str("nobody witnesses or signs their own work"),
            Self::Future { date, today } => write!(f, "{date} is in the future; today is {today}"),
            Self::NotReady {
                standing,
                date,
                missing,
                ..
            } => {
                write!(f, "on {date} the standing is `{standing}`, so there is nothing to sign")?;
                for line in missing {
                    write!(f, "\n  still needed: {line}")?;
                }
                Ok(())
            }
            Self::Written(why) => write!(f, "it cannot be written down: {why}"),
        }
    }
}

impl std::error::Error for NotEntered {}

fn list(items: &[String]) -> String {
    if items.is_empty() {
        "none".to_owned()
    } else {
        items.join(", ")
    }
}

impl<S: Store> Register<S> {
    /// Enters events in one transaction: all of them, or none.
    ///
    /// # Errors
    /// [`NotEntered`]; then nothing was written.
    pub fn enter(&mut self, entering: &[Entering], now: Timestamp) -> Result<Vec<Statement>, NotEntered> {
        self.change(now, |store: &S, ledger: &Ledger| {
            let mut change = Change::default();
            let made: Result<Vec<Statement>, NotEntered> = entering
                .iter()
                .map(|one| statement(store, ledger, one, now, &mut change))
                .collect();
            if made.is_err() {
                change = Change::default();
            }
            Ok((change, made))
        })?
    }
}

/// The statement of one event, added to the change, if it may be entered.
pub(super) fn statement<S: Store>(
    store: &S,
    ledger: &Ledger,
    entering: &Entering,
    now: Timestamp,
    change: &mut Change,
) -> Result<Statement, NotEntered> {
    let (hash, marking, newest) = course(ledger, entering.day, now)?;
    let mut event = entering.event.clone();
    may(&event, entering, marking, newest)?;
    let person_is_new = entering.new_person || matches!(event.what, What::Joined { .. } | What::Inspected(_));
    if !person_is_new {
        know_person(ledger, entering.person)?;
    }
    if let What::SignedOff { competency, .. } = &event.what {
        ready(store, ledger, entering, competency)?;
    }
    if entering.name.is_some() || entering.note.is_some() {
        let details = Details {
            salt: store.fresh_id()?.replace('-', ""),
            name: entering.name.map(str::to_owned),
            note: entering.note.map(str::to_owned),
        };
        let written = |why: crate::marking::NotCanonical| NotEntered::Written(why.to_string());
        let digest = details.digest().map_err(written)?;
        change.details.push((digest.clone(), details.body().map_err(written)?));
        event.details = Some(digest);
    }
    // What is signed is judged at the end of the day: the signature comes after all that happened on it.
    let from_end = match event.what {
        What::SignedOff { .. } => SignedDuration::from_millis(-1),
        _ => SignedDuration::from_hours(-12),
    };
    let occasion = Occasion {
        id: &store.fresh_id()?,
        at: moment(entering.day, now, from_end),
        marking,
        hash,
        person: entering.person,
    };
    let statement = entered(&occasion, &event).map_err(|why| NotEntered::Written(why.why))?;
    change.append.push(Fresh {
        kind: Kind::Statement,
        id: statement.id.clone(),
        body: statement.body.clone(),
    });
    Ok(statement)
}

/// Whether this event is one of this course, and whoever enters it may.
fn may(event: &Event, entering: &Entering, marking: &Marking, newest: &Marking) -> Result<(), NotEntered> {
    let competency = event
        .competency()
        .map(|id| know_competency(marking, newest, id))
        .transpose()?;
    match (&event.what, competency) {
        (What::Inspected(_), _) => return Ok(()),
        _ if event.by == entering.person => return Err(NotEntered::OwnWork),
        (What::SignedOff { .. }, Some(competency)) => {
            let role = &competency.signed_by;
            if newest.signers.get(&event.by).is_none_or(|signer| signer.role != *role) {
                let signers = newest.signers.iter().filter(|(_, signer)| signer.role == *role);
                return Err(NotEntered::NotTheSigner {
                    code: event.by.clone(),
                    role: role.clone(),
                    signers: signers.map(|(code, _)| code.clone()).collect(),
                });
            }
        }
        (What::Witnessed(_), _) => {
            if !newest.trainers.contains_key(&event.by) {
                return Err(NotEntered::NotATrainer {
                    code: event.by.clone(),
                    trainers: newest.trainers.keys().cloned().collect(),
                });
            }
        }
        _ => {
            if !newest.trainers.contains_key(&event.by) && !newest.signers.contains_key(&event.by) {
                return Err(NotEntered::NotATrainer {
                    code: event.by.clone(),
                    trainers: newest.trainers.keys().chain(newest.signers.keys()).cloned().collect(),
                });
            }
        }
    }
    Ok(())
}

/// Whether on that day there is something to sign.
fn ready<S: Store>(store: &S, ledger: &Ledger, entering: &Entering, competency: &str) -> Result<(), NotEntered> {
    let statements = statements(store)?;
    let standing = person(
        entering.person,
        &statements,
        &ledger.markings,
        &BTreeMap::new(),
        entering.day,
    );
    let standing = standing
        .as_ref()
        .and_then(|person| person.competence(competency))
        .ok_or(NotEntered::NoCourse)?;
    if standing.standing == Standing::ReadyToSign || standing.renewable {
        return Ok(());
    }
    Err(NotEntered::NotReady {
        standing: standing.standing,
        date: entering.day.date,
        missing: standing.missing.clone(),
        reasons: standing.reasons.clone(),
    })
}

/// The marking in force on the day and its name, and the newest one.
fn course<'l>(
    ledger: &'l Ledger,
    day: &Day,
    now: Timestamp,
) -> Result<(&'l str, &'l Marking, &'l Marking), NotEntered> {
    let today = day.date_of(now);
    if day.date > today {
        return Err(NotEntered::Future { date: day.date, today });
    }
    let (hash, marking) = ledger.markings.on(day).ok_or(NotEntered::NoCourse)?;
    let (_, newest) = ledger.markings.newest().ok_or(NotEntered::NoCourse)?;
    Ok((hash, marking, newest))
}

fn know_competency<'m>(
    marking: &'m Marking,
    newest: &Marking,
    id: &str,
) -> Result<&'m crate::marking::Competency, NotEntered> {
    marking.competency(id).ok_or_else(|| NotEntered::NoCompetency {
        id: id.to_owned(),
        known: newest.competencies.iter().map(|known| known.id.clone()).collect(),
    })
}

fn know_person(ledger: &Ledger, code: &str) -> Result<(), NotEntered> {
    if ledger.people.contains(code) {
        return Ok(());
    }
    let near = near(code, ledger.people.iter().map(String::as_str));
    Err(NotEntered::NoPerson {
        code: code.to_owned(),
        near: near.into_iter().map(str::to_owned).collect(),
    })
}

/// When something is stamped that happened on a day: now, if that is today; else so much from the end of the day.
fn moment(day: &Day, now: Timestamp, from_end: SignedDuration) -> Timestamp {
    let at = if day.date == day.date_of(now) {
        now
    } else {
        day.end().saturating_add(from_end).unwrap_or(now)
    };
    // Statements carry milliseconds.
    stamp(at).parse().unwrap_or(at)
}
