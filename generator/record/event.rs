//! The register's own statements: what trainers and managers add to a record.

use super::fields::{Fault, Fields, texts};
use super::signing::{self, Proof};
use super::statement::{account, short};
use super::vocabulary::{Thing, Verb, term};
use super::witnessing::{self, Witnessing};
use crate::marking::Evidence;
use jiff::civil::Date;
use serde_json::Value;
use std::collections::BTreeMap;

/// Something that a trainer or a manager entered.
#[derive(Debug, Clone, PartialEq)]
pub struct Event {
    /// The code of whoever answers for it: the trainer, the signer, the inspector.
    pub by: String,
    pub what: What,
    /// The digest of the personal details that belong to it. The details are kept apart, so that they can be erased
    /// and the chain still holds.
    pub details: Option<String>,
}

/// What was entered.
#[derive(Debug, Clone, PartialEq)]
pub enum What {
    /// A trainer watched a performance.
    Witnessed(Witnessing),
    /// A competency was signed off.
    SignedOff {
        competency: String,
        /// A Data Integrity proof over the rest of the statement; without one the signature is void.
        proof: Option<Box<Proof>>,
    },
    /// Something is to be studied, passed or reached.
    Assigned { thing: Thing, due: Option<Date> },
    /// More tries at an assessment are allowed.
    Released { assessment: Evidence, more: u32 },
    /// A competency was taken away; the reason is among the details.
    Withdrawn { competency: String },
    /// Retraining is due.
    MustRetrain { competency: String, trigger: Trigger },
    /// The person works at the centre from this day on.
    Joined { job: Option<String> },
    /// The person no longer works at the centre.
    Left,
    /// A slip was written for the person to take back into the course.
    GivenSlip {
        /// What it says may be done alone, by competency, and the last day on which it says so.
        alone: BTreeMap<String, Date>,
    },
    /// An entry was made in error and counts nowhere from now on; the reason is among the details.
    Voided {
        /// The id of the entry's statement.
        entry: String,
    },
    /// The personal details with these digests were erased.
    Erased { digests: Vec<String> },
    /// The periodic inspection of a machine's energy control procedure. The statement's person is the inspector.
    Inspected(Inspection),
}

/// Why retraining is due.
///
/// Source: 29 CFR 1910.147(c)(7)(iii)(A) for the first three, (B) for the last.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Trigger {
    /// A change of job assignment.
    Job,
    /// A change of machine, equipment or process that presents a new hazard.
    Machine,
    /// A change of the energy control procedure.
    Procedure,
    /// An inspection, or reason to believe, that there are deviations from the procedure or gaps in knowing it.
    Deviation,
}

/// A periodic inspection.
///
/// Source: 29 CFR 1910.147(c)(6): at least once a year, by an authorized employee other than the ones using the
/// procedure; certified with machine, date, employees included and inspector.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Inspection {
    pub machine: String,
    /// The codes of those included, sorted.
    pub included: Vec<String>,
    /// Nothing deviated from the procedure.
    pub clean: bool,
}

impl Trigger {
    pub const ALL: [Self; 4] = [Self::Job, Self::Machine, Self::Procedure, Self::Deviation];

    pub fn word(self) -> &'static str {
        match self {
            Self::Job => "job",
            Self::Machine => "machine",
            Self::Procedure => "procedure",
            Self::Deviation => "deviation",
        }
    }

    /// The word read back.
    pub fn from_word(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|trigger| trigger.word() == word)
    }

    /// What has happened, in words.
    pub fn says(self) -> &'static str {
        match self {
            Self::Job => "the job assignment changed",
            Self::Machine => "the machine or the process changed and brings a new hazard",
            Self::Procedure => "the lockout procedure changed",
            Self::Deviation => "the work was seen, or is believed, to deviate from the procedure",
        }
    }
}

impl What {
    /// Why it cannot be voided, if it cannot: only what somebody typed in can have been typed wrongly.
    pub fn not_voidable(&self) -> Option<&'static str> {
        match self {
            Self::Witnessed(_)
            | Self::Assigned { .. }
            | Self::Released { .. }
            | Self::MustRetrain { .. }
            | Self::Joined { .. }
            | Self::Left
            | Self::Inspected(_) => None,
            Self::SignedOff { .. } => Some("a signature is taken back with `pitwright withdraw`"),
            Self::Withdrawn { .. } => Some("what was taken away comes back only by a new signature"),
            Self::GivenSlip { .. } => Some(
                "a slip that is out answers until its days are over: write a new one, and see that it is taken back",
            ),
            Self::Voided { .. } => Some("what was voided stays so: enter anew what was right"),
            Self::Erased { .. } => Some("what was erased is gone"),
        }
    }
}

impl Event {
    /// The competency that it is about, if it is about one.
    pub fn competency(&self) -> Option<&str> {
        match &self.what {
            What::Witnessed(Witnessing { competency, .. })
            | What::SignedOff { competency, .. }
            | What::Withdrawn { competency }
            | What::MustRetrain { competency, .. }
            | What::Assigned {
                thing: Thing::Competency(competency),
                ..
            } => Some(competency),
            _ => None,
        }
    }

    /// In a few words, what happened to the person.
    pub fn about(&self) -> String {
        let by = &self.by;
        match &self.what {
            What::Witnessed(seen) => format!("was watched at {} by {by}: {seen}", seen.competency),
            What::SignedOff { competency, .. } => format!("was signed off for {competency} by {by}"),
            What::Assigned { thing, due: None } => format!("was assigned {thing} by {by}"),
            What::Assigned { thing, due: Some(due) } => format!("was assigned {thing} by {by}, due {due}"),
            What::Released { assessment, more } => {
                format!("was given {more} more at {} by {by}", assessment)
            }
            What::Withdrawn { competency } => format!("had {competency} withdrawn by {by}"),
            What::MustRetrain { competency, trigger } => {
                format!("must retrain for {competency}: {} (entered by {by})", trigger.says())
            }
            What::Joined { job: None } => format!("joined the centre (entered by {by})"),
            What::Joined { job: Some(job) } => format!("joined the centre as {job} (entered by {by})"),
            What::Left => format!("left the centre (entered by {by})"),
            What::GivenSlip { alone } if alone.is_empty() => format!("was given a slip by {by}; alone: none"),
            What::GivenSlip { alone } => {
                let alone: Vec<String> = alone.iter().map(|(id, last)| format!("{id} until {last}")).collect();
                format!("was given a slip by {by}; alone: {}", alone.join(", "))
            }
            What::Voided { entry } => format!("had the entry {} voided by {by}", entry_name(entry)),
            What::Erased { .. } => format!("had personal details erased by {by}"),
            What::Inspected(seen) => format!("inspected the procedure of machine {}", seen.machine),
        }
    }
}

/// The first letters of an entry's id, which tell it apart from the others of a centre.
pub fn entry_name(id: &str) -> &str {
    id.split('-').next().unwrap_or(id)
}

/// Reads an event; `None` if the verb is not one of the register's own.
pub(super) fn read(
    verb: Verb,
    thing: &Thing,
    actor: &str,
    all: Fields,
    context: Fields,
    extensions: Fields,
) -> Result<Option<Event>, Fault> {
    let what = match (verb, thing) {
        (Verb::WasWitnessed, Thing::Competency(id)) => What::Witnessed(witnessing::read(id.clone(), all)?),
        (Verb::WasSignedOff, Thing::Competency(id)) => What::SignedOff {
            competency: id.clone(),
            proof: signing::read(all, extensions).map(Box::new),
        },
        (Verb::WasAssigned, Thing::Lesson(_) | Thing::Assessment(_) | Thing::Competency(_)) => What::Assigned {
            thing: thing.clone(),
            due: extensions
                .text(&term("due"))?
                .map(|text| date(text, "the due date"))
                .transpose()?,
        },
        (Verb::WasReleased, Thing::Assessment(assessment)) => What::Released {
            assessment: assessment.clone(),
            more: extensions.must_whole(&term("more"))?,
        },
        (Verb::WasWithdrawn, Thing::Competency(id)) => What::Withdrawn { competency: id.clone() },
        (Verb::MustRetrain, Thing::Competency(id)) => {
            let word = extensions.must_text(&term("trigger"))?;
            What::MustRetrain {
                competency: id.clone(),
                trigger: Trigger::from_word(word)
                    .ok_or_else(|| format!("the trigger `{}` is none that is known", short(word)))?,
            }
        }
        (Verb::Joined, Thing::Centre) => What::Joined {
            job: extensions.text(&term("job"))?.map(str::to_owned),
        },
        (Verb::Left, Thing::Centre) => What::Left,
        (Verb::WasGivenSlip, Thing::Centre) => What::GivenSlip {
            alone: alone(extensions)?,
        },
        (Verb::Voided, Thing::Entry(id)) => What::Voided { entry: id.clone() },
        (Verb::WasErased, Thing::Centre) => What::Erased {
            digests: texts(extensions.get(&term("digests")), "the digests")?
                .into_iter()
                .map(digest)
                .collect::<Result<_, _>>()?,
        },
        (Verb::Inspected, Thing::Machine(id)) => What::Inspected(inspection(id.clone(), all, context)?),
        _ => return Ok(None),
    };
    let by = match &what {
        What::Inspected(_) => actor.to_owned(),
        What::Witnessed(_) => {
            account(
                context.must_object("instructor", "context.instructor")?,
                "context.instructor.account",
            )?
            .1
        }
        _ => account(all.must_object("authority", "authority")?, "authority.account")?.1,
    };
    let details = extensions.text(&term("details"))?.map(digest).transpose()?;
    Ok(Some(Event { by, what, details }))
}

/// What a slip said may be done alone.
fn alone(extensions: Fields) -> Result<BTreeMap<String, Date>, Fault> {
    let all = extensions
        .get(&term("alone"))
        .and_then(Value::as_object)
        .ok_or("what the slip said may be done alone is missing")?;
    all.iter()
        .map(|(id, last)| {
            let last = last.as_str().unwrap_or_default();
            Ok((id.clone(), date(last, "the last day of what a slip said")?))
        })
        .collect()
}

fn inspection(machine: String, all: Fields, context: Fields) -> Result<Inspection, Fault> {
    let result = all.must_object("result", "result")?;
    let team = context.must_object("team", "context.team")?;
    let members = team
        .get("member")
        .and_then(Value::as_array)
        .ok_or("`context.team.member` is missing: the employees included")?;
    let mut included = members
        .iter()
        .map(|member| {
            Ok(account(
                Fields::of(member, "context.team.member")?,
                "context.team.member.account",
            )?
            .1)
        })
        .collect::<Result<Vec<_>, Fault>>()?;
    included.sort();
    included.dedup();
    Ok(Inspection {
        machine,
        included,
        clean: result.truth("success")?.ok_or("`result.success` is missing")?,
    })
}

fn date(text: &str, what: &str) -> Result<Date, Fault> {
    text.parse()
        .map_err(|_| format!("{what} is `{}`, which is not a date such as 2026-03-01", short(text)))
}

fn digest(text: &str) -> Result<String, Fault> {
    if super::statement::hex(text, 64) {
        Ok(text.to_owned())
    } else {
        Err("a digest of details is not 64 hexadecimal digits".to_owned())
    }
}
