//! Standing: what a person may do, as a pure function of statements, markings, details and a day.
//!
//! Nothing here reads a clock, a disk or the order in which a register took things in. Intervals are shown beside
//! results and decide nothing.

use crate::record::{Deed, Details, Event, Statement, What};
use jiff::civil::Date;
use serde::Serialize;
use std::collections::BTreeMap;
use std::fmt;

mod assignments;
mod competence;
mod day;
mod employment;
mod ended;
mod evidence;
mod inspections;
mod lines;
mod lockout;
mod performance;
mod signature;
mod tries;
mod voided;

pub use assignments::{Assignment, Progress, Task, in_order};
pub use day::{Day, Markings};
pub use inspections::{Inspected, MachineInspections, inspections};
pub use lines::{EventLine, Voided};
pub use performance::{Seen, Watching};
pub use tries::{AnswerLine, AttemptLine, Bounds, State, Tries};
pub use voided::{Voids, void_in_vain, voided_by, voids};

/// What stands where personal details were erased.
pub const ERASED: &str = "(erased)";

/// How far a person has come with one competency.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Standing {
    /// Neither reading nor any attempt is on record.
    NothingYet,
    /// Something is, but not all that is to be read and passed.
    Studying,
    /// All is read and passed on what is taught now.
    ReadyToBeWitnessed,
    /// All performances were watched and met.
    ReadyToSign,
    /// Signed off, and the signature holds.
    Signed,
    /// It was signed off once; the signature no longer holds.
    Lapsed,
    /// A trainer or signer took it away; only a signature on evidence from after that day ends this.
    Withdrawn,
}

/// What a standing allows.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum May {
    Nothing,
    Accompanied,
    Alone,
}

impl Standing {
    pub const ALL: [Self; 7] = [
        Self::NothingYet,
        Self::Studying,
        Self::ReadyToBeWitnessed,
        Self::ReadyToSign,
        Self::Signed,
        Self::Lapsed,
        Self::Withdrawn,
    ];

    /// What it allows somebody who works at the centre.
    pub fn may(self) -> May {
        match self {
            Self::NothingYet | Self::Studying | Self::Withdrawn => May::Nothing,
            Self::ReadyToBeWitnessed | Self::ReadyToSign | Self::Lapsed => May::Accompanied,
            Self::Signed => May::Alone,
        }
    }
}

impl May {
    /// In words that stand by themselves, where somebody reads them at a terminal.
    pub fn says(self) -> &'static str {
        match self {
            Self::Nothing => "may not do it",
            Self::Accompanied => "may do with a trainer",
            Self::Alone => "may do alone",
        }
    }
}

impl fmt::Display for Standing {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(match self {
            Self::NothingYet => "nothing yet",
            Self::Studying => "studying",
            Self::ReadyToBeWitnessed => "ready to be witnessed",
            Self::ReadyToSign => "ready to sign",
            Self::Signed => "signed",
            Self::Lapsed => "lapsed",
            Self::Withdrawn => "withdrawn",
        })
    }
}

impl fmt::Display for May {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(match self {
            Self::Nothing => "nothing",
            Self::Accompanied => "accompanied",
            Self::Alone => "may do alone",
        })
    }
}

/// One person's standing with one competency.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Competence {
    pub id: String,
    pub says: String,
    pub standing: Standing,
    /// What the standing allows; nothing to somebody who has left, and no more than the lockouts allow under which it is done.
    pub may: May,
    /// Why it stands so, one sentence each.
    pub reasons: Vec<String>,
    /// Those of the reasons that say what ended a signature or stands against one; none while one holds.
    pub ended: Vec<String>,
    /// What is still needed for the next standing.
    pub missing: Vec<String>,
    /// The lockouts that must be signed before this is, where all else is there. They are among what is missing.
    #[serde(skip)]
    pub waits_for: Vec<String>,
    /// The lessons and assessments among what is missing.
    pub lacks: Vec<Task>,
    /// The performances that count towards the next signature or, while one holds, stand. Told as sentences, so it is kept out of
    /// exports, which an audit makes again byte by byte.
    #[serde(skip)]
    pub watched: Seen,
    /// Every performance that was watched, and whether it counts; told as sentences, too.
    #[serde(skip)]
    pub watchings: Vec<Watching>,
    /// The latest valid signature, whether or not it still holds: its day, and whose it is.
    pub signed_on: Option<Date>,
    pub signed_by: Option<String>,
    /// The id of that signature's statement. A certificate's check code is made from it, so it is not told.
    #[serde(skip)]
    pub signature: Option<String>,
    /// Since when retraining is due, and nothing has answered it yet.
    pub retrain_since: Option<Date>,
    /// The day on which the signature lapses by itself; only where it holds.
    pub lapses: Option<Date>,
    /// The day on which the latest valid signature's time runs out, even where something else has ended it before.
    #[serde(skip)]
    pub runs_out: Option<Date>,
    /// Signed or withdrawn, and all that a new signature needs has been done since.
    pub renewable: bool,
}

impl Competence {
    /// Whether a signature no longer holds, by its time or because retraining fell due. Who was never signed has nothing to
    /// lose: their standing says what is missing.
    pub fn is_to_be_renewed(&self) -> bool {
        self.standing == Standing::Lapsed || self.retrain_since.is_some() && self.signed_on.is_some()
    }
}

/// One person's scored record.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Person {
    /// The person's code.
    pub person: String,
    /// As last given; [`ERASED`] if it was erased.
    pub name: Option<String>,
    /// The id of the job, as last given.
    pub job: Option<String>,
    /// The first day of the present stay, or of the last one.
    pub joined: Option<Date>,
    /// The day of leaving; none for somebody who is here.
    pub left: Option<Date>,
    pub competencies: Vec<Competence>,
    pub assignments: Vec<Assignment>,
    pub attempts: Vec<AttemptLine>,
    /// How many tries are left, for every assessment of the course that was tried or released since it was last passed.
    pub tries: Vec<Tries>,
    /// What trainers and signers entered, in the order of time.
    pub events: Vec<EventLine>,
}

impl Person {
    pub fn competence(&self, id: &str) -> Option<&Competence> {
        self.competencies.iter().find(|competence| competence.id == id)
    }
}

/// The standing at the end of a day of everybody who learns or works here, sorted by code: those with something of
/// their own on record who have not left. Inspecting a machine makes nobody a learner. Nobody where no course was ever
/// in force.
///
/// Statements may come in any order. Those stamped after the day are left out.
pub fn everybody(
    statements: &[Statement],
    markings: &Markings,
    details: &BTreeMap<String, Details>,
    day: &Day,
) -> Vec<Person> {
    let mut people = everybody_ever(statements, markings, details, day);
    people.retain(|person| person.left.is_none());
    people
}

/// As [`everybody`], and those who have left.
pub fn everybody_ever(
    statements: &[Statement],
    markings: &Markings,
    details: &BTreeMap<String, Details>,
    day: &Day,
) -> Vec<Person> {
    let end = day.end();
    let past = || statements.iter().filter(|statement| statement.timestamp < end);
    let voids = voids(past());
    let mut by_person: BTreeMap<&str, Vec<&Statement>> = BTreeMap::new();
    let mut inspections = Vec::new();
    for statement in past() {
        by_person.entry(&statement.person).or_default().push(statement);
        if lines::is_inspection(statement) {
            inspections.push(statement);
        }
    }
    by_person
        .into_iter()
        .filter(|(_, own)| {
            own.iter()
                .any(|one| is_of_a_learner(one) && !voids.contains_key(one.id.as_str()))
        })
        .filter_map(|(code, own)| person_of(code, own, (&inspections, &voids), markings, details, day))
        .collect()
}

/// Whether a statement makes the person in whose record it stands one who learns or works here.
fn is_of_a_learner(statement: &Statement) -> bool {
    !matches!(
        &statement.deed,
        Deed::Entered(Event {
            what: What::Inspected(_) | What::Voided { .. } | What::Erased { .. } | What::GivenSlip { .. },
            ..
        })
    )
}

/// The day on which a person left, if by the end of the day they had left and not come back.
pub fn left_on(code: &str, statements: &[Statement], day: &Day) -> Option<Date> {
    let end = day.end();
    let mut own: Vec<&Statement> = statements
        .iter()
        .filter(|statement| statement.person == code && statement.timestamp < end)
        .collect();
    let voids = voids(own.iter().copied());
    own.retain(|statement| !voids.contains_key(statement.id.as_str()));
    own.sort_by(|a, b| (a.timestamp, &a.id).cmp(&(b.timestamp, &b.id)));
    employment::of(&own, &BTreeMap::new(), day).left
}

/// The day on which a person first joined, if that was after the day asked about. None where no joining is on record.
pub fn joined_after(code: &str, statements: &[Statement], day: &Day) -> Option<Date> {
    let own = statements.iter().filter(|statement| statement.person == code);
    let voids = voids(own.clone());
    let joinings = own.filter(|statement| {
        !voids.contains_key(statement.id.as_str())
            && matches!(&statement.deed, Deed::Entered(event) if matches!(event.what, What::Joined { .. }))
    });
    let first = joinings.map(|statement| day.date_of(statement.timestamp)).min()?;
    (first > day.date).then_some(first)
}

/// One person's standing at the end of a day; none where no course was ever in force. A person without a statement
/// has nothing yet.
pub fn person(
    code: &str,
    statements: &[Statement],
    markings: &Markings,
    details: &BTreeMap<String, Details>,
    day: &Day,
) -> Option<Person> {
    let end = day.end();
    let past = || statements.iter().filter(|statement| statement.timestamp < end);
    let own = past().filter(|statement| statement.person == code).collect();
    let inspections: Vec<&Statement> = past().filter(|statement| lines::is_inspection(statement)).collect();
    person_of(code, own, (&inspections, &voids(past())), markings, details, day)
}

fn person_of(
    code: &str,
    mut own: Vec<&Statement>,
    (inspections, voids): (&[&Statement], &Voids),
    markings: &Markings,
    details: &BTreeMap<String, Details>,
    day: &Day,
) -> Option<Person> {
    let (_, marking) = markings.on(day)?;
    own.sort_by(|a, b| (a.timestamp, &a.id).cmp(&(b.timestamp, &b.id)));
    let events = lines::of(code, &own, (inspections, voids), details, day);
    // What was voided is told, and counts nowhere.
    own.retain(|statement| !voids.contains_key(statement.id.as_str()));
    let employment = employment::of(&own, details, day);
    let sittings = tries::sittings(&own, markings);
    let tally = tries::tally(&sittings, &own, markings, None);
    let mut folded: Vec<competence::Folded> = marking
        .competencies
        .iter()
        .map(|competency| {
            competence::of(&competence::Ground {
                competency,
                marking,
                markings,
                details,
                day,
                own: &own,
                sittings: &sittings,
                tally: &tally,
                employment: &employment,
                until: None,
            })
        })
        .collect();
    if employment.left.is_none() {
        let mut all: Vec<&mut Competence> = folded.iter_mut().map(|folded| &mut folded.competence).collect();
        lockout::hold(&mut all, marking);
    }
    let counted = tries::lines(sittings, &tally);
    let assignments = assignments::of(&assignments::Desk {
        own: &own,
        employment: &employment,
        attempts: &counted,
        folded: &folded,
        marking,
        markings,
        details,
        day,
    });
    Some(Person {
        person: code.to_owned(),
        assignments,
        competencies: folded.into_iter().map(|folded| folded.competence).collect(),
        attempts: counted,
        tries: tries::left(&tally, marking),
        events,
        name: employment.name,
        job: employment.job,
        joined: employment.joined,
        left: employment.left,
    })
}
