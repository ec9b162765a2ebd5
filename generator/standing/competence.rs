//! The fold for one person and one competency.

use super::evidence::{Found, assessment, lesson};
use super::performance::{Watched, watched};
use super::signature::{Signature, latest};
use super::tries::AttemptLine;
use super::{Competence, Day, Markings, Standing};
use crate::marking::{Competency, Marking};
use crate::record::{Deed, Statement};
use jiff::Timestamp;

/// All that the fold reads.
pub(super) struct Ground<'a> {
    pub competency: &'a Competency,
    /// The marking in force on the day.
    pub marking: &'a Marking,
    pub markings: &'a Markings,
    pub day: &'a Day,
    /// The person's statements up to the day, sorted by time.
    pub own: &'a [&'a Statement],
    pub attempts: &'a [AttemptLine],
}

/// What stands of all that a signature needs.
struct Round {
    studied: Vec<Found>,
    passed: Vec<Found>,
    watched: Watched,
}

impl Round {
    /// With `after`, passes and performances count only if they are later: a renewal is not won with old evidence.
    fn of(ground: &Ground, after: Option<Timestamp>) -> Self {
        let competency = ground.competency;
        Self {
            studied: competency.study.iter().map(|id| lesson(ground, id)).collect(),
            passed: competency
                .evidence
                .iter()
                .map(|wanted| assessment(ground, wanted, after))
                .collect(),
            watched: watched(ground, after),
        }
    }

    fn evidence(&self) -> bool {
        self.studied.iter().chain(&self.passed).all(|found| found.done)
    }

    fn complete(&self) -> bool {
        self.evidence() && self.watched.done
    }

    fn missing(&self) -> Vec<String> {
        let found = self.studied.iter().chain(&self.passed);
        found
            .filter_map(|found| found.missing.clone())
            .chain(self.watched.missing.clone())
            .collect()
    }

    fn reasons(&self) -> Vec<String> {
        let found = self.studied.iter().chain(&self.passed);
        found
            .filter_map(|found| found.reason.clone())
            .chain(self.watched.reasons.iter().cloned())
            .collect()
    }
}

pub(super) fn of(ground: &Ground) -> Competence {
    let (signature, void) = latest(ground);
    let mut competence = match &signature {
        None => unsigned(ground),
        Some(signature) => signed(ground, signature),
    };
    competence.reasons.extend(void);
    competence
}

fn unsigned(ground: &Ground) -> Competence {
    let round = Round::of(ground, None);
    let standing = if !round.watched.any && !begun(ground) {
        Standing::NothingYet
    } else if round.complete() {
        Standing::ReadyToSign
    } else if round.evidence() {
        Standing::ReadyToBeWitnessed
    } else {
        Standing::Studying
    };
    competence(ground, standing, round.reasons(), round.missing())
}

fn signed(ground: &Ground, signature: &Signature) -> Competence {
    let over = signature.over(ground);
    let round = Round::of(ground, over.is_some().then_some(signature.at));
    let mut ended = signature.outgrown(ground);
    ended.extend(round.passed.iter().filter_map(|found| found.failed.clone()));
    if round.watched.not_met.is_some_and(|at| at > signature.at) {
        ended.push("a performance watched since the signature was not met".to_owned());
    }
    let says = format!("signed off by {} on {}", signature.by, signature.date);
    let mut reasons = Vec::new();
    if over.is_none() && ended.is_empty() {
        reasons.push(format!("{says}; lapses on {}", signature.lapses));
        reasons.extend(round.reasons());
        let mut competence = competence(ground, Standing::Signed, reasons, Vec::new());
        competence.lapses = Some(signature.lapses);
        competence.renewable = Round::of(ground, Some(signature.at)).complete();
        return competence;
    }
    match over {
        Some(over) => reasons.push(over),
        None => reasons.push(says),
    }
    reasons.extend(ended);
    for reason in round.reasons() {
        if !reasons.contains(&reason) {
            reasons.push(reason);
        }
    }
    let standing = if round.complete() {
        Standing::ReadyToSign
    } else {
        Standing::Lapsed
    };
    competence(ground, standing, reasons, round.missing())
}

fn competence(ground: &Ground, standing: Standing, reasons: Vec<String>, mut missing: Vec<String>) -> Competence {
    if standing == Standing::ReadyToSign {
        missing.push(format!("a signature, role: {}", ground.competency.signed_by));
    }
    Competence {
        id: ground.competency.id.clone(),
        says: ground.competency.says.clone(),
        standing,
        may: standing.may(),
        reasons,
        missing,
        lapses: None,
        renewable: false,
    }
}

/// Whether anything on record belongs to the competency: a page of its lessons opened, an attempt at its evidence.
fn begun(ground: &Ground) -> bool {
    let competency = ground.competency;
    let studies = |id: &String| competency.study.contains(id);
    let tried = ground
        .attempts
        .iter()
        .any(|line| competency.evidence.contains(&line.assessment));
    tried
        || ground.own.iter().any(|statement| match &statement.deed {
            Deed::Opened { lesson } | Deed::Read { lesson } | Deed::Practised { lesson, .. } => studies(lesson),
            _ => false,
        })
}
