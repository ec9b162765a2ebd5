//! What trainers and managers add: a performance watched, a competency signed off.

use super::{Change, Error, Fresh, Kind, Ledger, Register, Store, statements};
use crate::marking::Marking;
use crate::record::{Occasion, Statement, Witnessing, near, signed_off, stamp, witnessed};
use crate::standing::{Day, Standing, person};
use jiff::civil::Date;
use jiff::{SignedDuration, Timestamp};
use std::fmt;

/// A performance to be entered.
#[derive(Debug, Clone, PartialEq)]
pub struct Witness<'a> {
    /// The code of the person who was watched.
    pub person: &'a str,
    pub seen: &'a Witnessing,
    /// The day on which it happened.
    pub day: &'a Day,
    /// The person need not be on record yet.
    pub new_person: bool,
}

/// A signature to be entered.
#[derive(Debug, Clone, PartialEq)]
pub struct Signing<'a> {
    pub person: &'a str,
    pub competency: &'a str,
    /// The signer's code.
    pub by: &'a str,
    pub day: &'a Day,
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
    /// Enters a performance that a trainer watched.
    ///
    /// # Errors
    /// [`NotEntered`]; then nothing was written.
    pub fn witness(&mut self, witness: &Witness, now: Timestamp) -> Result<Statement, NotEntered> {
        self.enter(now, |_, ledger, id| {
            let (hash, marking, newest) = course(ledger, witness.day, now)?;
            let seen = witness.seen;
            know_competency(marking, newest, &seen.competency)?;
            if seen.by == witness.person {
                return Err(NotEntered::OwnWork);
            }
            if !newest.trainers.contains_key(&seen.by) {
                return Err(NotEntered::NotATrainer {
                    code: seen.by.clone(),
                    trainers: newest.trainers.keys().cloned().collect(),
                });
            }
            if !witness.new_person {
                know_person(ledger, witness.person)?;
            }
            let occasion = Occasion {
                id,
                at: moment(witness.day, now, SignedDuration::from_hours(-12)),
                marking,
                hash,
                person: witness.person,
            };
            witnessed(&occasion, seen).map_err(|why| NotEntered::Written(why.why))
        })
    }

    /// Enters a signature, if on that day there is something to sign.
    ///
    /// # Errors
    /// [`NotEntered`]; then nothing was written.
    pub fn sign_off(&mut self, signing: &Signing, now: Timestamp) -> Result<Statement, NotEntered> {
        self.enter(now, |store, ledger, id| {
            let (hash, marking, newest) = course(ledger, signing.day, now)?;
            let competency = know_competency(marking, newest, signing.competency)?;
            if signing.by == signing.person {
                return Err(NotEntered::OwnWork);
            }
            let role = &competency.signed_by;
            if newest.signers.get(signing.by).is_none_or(|signer| signer.role != *role) {
                let signers = newest.signers.iter().filter(|(_, signer)| signer.role == *role);
                return Err(NotEntered::NotTheSigner {
                    code: signing.by.to_owned(),
                    role: role.clone(),
                    signers: signers.map(|(code, _)| code.clone()).collect(),
                });
            }
            know_person(ledger, signing.person)?;
            let statements = statements(store)?;
            let standing = person(signing.person, &statements, &ledger.markings, signing.day);
            let standing = standing
                .as_ref()
                .and_then(|person| person.competence(signing.competency))
                .ok_or(NotEntered::NoCourse)?;
            if standing.standing != Standing::ReadyToSign && !standing.renewable {
                return Err(NotEntered::NotReady {
                    standing: standing.standing,
                    date: signing.day.date,
                    missing: standing.missing.clone(),
                    reasons: standing.reasons.clone(),
                });
            }
            let occasion = Occasion {
                id,
                // What was judged is the end of the day: the signature comes after all that happened on it.
                at: moment(signing.day, now, SignedDuration::from_millis(-1)),
                marking,
                hash,
                person: signing.person,
            };
            signed_off(&occasion, signing.competency, signing.by).map_err(|why| NotEntered::Written(why.why))
        })
    }

    fn enter(
        &mut self,
        now: Timestamp,
        make: impl Fn(&S, &Ledger, &str) -> Result<Statement, NotEntered>,
    ) -> Result<Statement, NotEntered> {
        self.change(now, |store: &S, ledger: &Ledger| {
            let made = make(store, ledger, &store.fresh_id()?);
            let mut change = Change::default();
            if let Ok(statement) = &made {
                change.append.push(Fresh {
                    kind: Kind::Statement,
                    id: statement.id.clone(),
                    body: statement.body.clone(),
                });
            }
            Ok((change, made))
        })?
    }
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
