//! The fold for one person and one competency.

use super::assignments::Task;
use super::employment::Employment;
use super::ended::{retraining, withdrawal};
use super::evidence::{Found, assessment, failed_after, lesson};
use super::performance::{Seen, Watched, Watching, watched};
use super::signature::{Signature, signatures};
use super::tries::{Sitting, Tally, tally};
use super::{Competence, Day, Markings, May, Standing};
use crate::marking::{Competency, Marking};
use crate::record::{Deed, Details, Statement};
use jiff::Timestamp;
use jiff::civil::Date;
use std::collections::BTreeMap;

/// All that the fold reads.
#[derive(Clone, Copy)]
pub(super) struct Ground<'a> {
    pub competency: &'a Competency,
    /// The marking in force on the day.
    pub marking: &'a Marking,
    pub markings: &'a Markings,
    pub details: &'a BTreeMap<String, Details>,
    pub day: &'a Day,
    /// The person's statements up to the day, sorted by time.
    pub own: &'a [&'a Statement],
    pub sittings: &'a [Sitting],
    pub tally: &'a Tally,
    pub employment: &'a Employment,
    /// Where one looks back at a moment of the past: that moment. `own` and `tally` end there.
    pub until: Option<Timestamp>,
}

/// A moment after which evidence counts, and how it is told of.
#[derive(Clone)]
pub(super) struct Since {
    pub at: Timestamp,
    /// “the signature of 2026-02-11”.
    pub says: String,
}

/// What the fold gives.
pub(super) struct Folded {
    pub competence: Competence,
    /// When it was signed validly, in order.
    pub signed: Vec<Timestamp>,
}

/// How it stands, given the signature that was valid last.
struct State {
    standing: Standing,
    reasons: Vec<String>,
    ended: Vec<String>,
    missing: Vec<String>,
    lacks: Vec<Task>,
    watched: Seen,
    watchings: Vec<Watching>,
    retrain_since: Option<Date>,
    renewable: bool,
}

/// What stands of all that a signature needs.
struct Round {
    studied: Vec<Found>,
    passed: Vec<Found>,
    watched: Watched,
}

impl Round {
    /// Reading counts only if it is later than `read`, passes and performances only if they are later than `shown`: a
    /// renewal is not won with old evidence.
    fn of(ground: &Ground, read: Option<&Since>, shown: Option<&Since>) -> Self {
        let competency = ground.competency;
        Self {
            studied: competency.study.iter().map(|id| lesson(ground, id, read)).collect(),
            passed: competency
                .evidence
                .iter()
                .map(|wanted| assessment(ground, wanted, shown))
                .collect(),
            watched: watched(ground, shown),
        }
    }

    fn found(&self) -> impl Iterator<Item = &Found> {
        self.studied.iter().chain(&self.passed)
    }

    fn evidence(&self) -> bool {
        self.found().all(|found| found.missing.is_none())
    }

    fn complete(&self) -> bool {
        self.evidence() && self.watched.missing.is_empty()
    }

    fn missing(&self) -> Vec<String> {
        self.found()
            .filter_map(|found| found.missing.clone())
            .chain(self.watched.missing.iter().cloned())
            .collect()
    }

    fn lacks(&self) -> Vec<Task> {
        let lacking = self.found().filter(|found| found.missing.is_some());
        lacking.map(|found| found.task.clone()).collect()
    }

    /// What was read and passed, each told once, and what was watched, each told by itself: two of one day are two.
    fn reasons(&self, told: &[String]) -> Vec<String> {
        let mut reasons: Vec<String> = Vec::new();
        for reason in self.found().filter_map(|found| found.reason.clone()) {
            if !reasons.contains(&reason) && !told.contains(&reason) {
                reasons.push(reason);
            }
        }
        reasons.extend(self.watched.watchings.iter().map(|one| one.says.clone()));
        reasons
    }
}

pub(super) fn of(ground: &Ground) -> Folded {
    let (signatures, void) = signatures(ground, |statement, latest| founded(ground, statement, latest));
    let latest = signatures.last();
    let state = state(ground, latest);
    let mut competence = Competence {
        id: ground.competency.id.clone(),
        says: ground.competency.says.clone(),
        standing: state.standing,
        may: match ground.employment.left {
            Some(_) => May::Nothing,
            None => state.standing.may(),
        },
        reasons: state.reasons,
        ended: state.ended,
        missing: state.missing,
        waits_for: Vec::new(),
        lacks: state.lacks,
        watched: state.watched,
        watchings: state.watchings,
        signed_on: latest.map(|signature| signature.date),
        signed_by: latest.map(|signature| signature.by.to_owned()),
        signature: latest.map(|signature| signature.id().to_owned()),
        retrain_since: state.retrain_since,
        lapses: latest
            .filter(|_| state.standing == Standing::Signed)
            .map(|signature| signature.lapses(ground)),
        runs_out: latest.map(|signature| signature.lapses(ground)),
        renewable: state.renewable,
    };
    competence.reasons.extend(void);
    if let Some(left) = ground.employment.left {
        competence.reasons.insert(0, format!("left the centre on {left}"));
    }
    Folded {
        competence,
        signed: signatures.iter().map(|signature| signature.at).collect(),
    }
}

/// Whether there was something to sign at the moment of a signature, by the record up to it and the course that it
/// names; else why not. What is entered late, and dated earlier, thus takes a signature away that it would have
/// prevented.
fn founded(ground: &Ground, statement: &Statement, latest: Option<&Signature>) -> Result<(), String> {
    let marking = ground
        .markings
        .get(&statement.marking)
        .ok_or("it names a course that the register does not hold")?;
    let competency = marking
        .competency(&ground.competency.id)
        .ok_or("the course that it names does not have this competency")?;
    let at = statement.timestamp;
    let own = &ground.own[..ground.own.partition_point(|one| one.timestamp <= at)];
    let day = Day {
        date: ground.day.date_of(at),
        zone: ground.day.zone.clone(),
    };
    let tally = tally(ground.sittings, own, ground.markings, Some(at));
    let then = Ground {
        competency,
        marking,
        day: &day,
        own,
        tally: &tally,
        until: Some(at),
        ..*ground
    };
    let state = state(&then, latest);
    if state.standing == Standing::ReadyToSign || state.renewable {
        return Ok(());
    }
    Err(if state.standing == Standing::Signed {
        "it was signed already, and nothing had been shown anew".to_owned()
    } else {
        format!(
            "there was nothing to sign yet; still needed then: {}",
            state.missing.join("; ")
        )
    })
}

fn state(ground: &Ground, signature: Option<&Signature>) -> State {
    let since = |at: Timestamp| signature.is_none_or(|signature| at > signature.at);
    let retraining = retraining(ground).filter(|found| since(found.at));
    let withdrawal = withdrawal(ground).filter(|found| since(found.at));
    let over = signature.and_then(|signature| signature.over(ground));
    let read = retraining.as_ref().map(|found| Since {
        at: found.at,
        says: format!("retraining fell due on {}", found.date),
    });
    let shown = [
        read.clone(),
        withdrawal.as_ref().map(|found| Since {
            at: found.day_over,
            says: format!("the day of the withdrawal, {}, was over", found.date),
        }),
        signature.filter(|_| over.is_some()).map(Signature::since),
    ];
    let shown = shown.into_iter().flatten().max_by_key(|since| since.at);
    let round = Round::of(ground, read.as_ref(), shown.as_ref());
    let retrain_since = retraining.as_ref().map(|found| found.date);
    let mut reasons = Vec::new();
    let mut renewable = false;
    let standing = if let Some(withdrawal) = &withdrawal {
        reasons.push(withdrawal.says.clone());
        reasons.extend(retraining.map(|found| found.says));
        renewable = round.complete();
        Standing::Withdrawn
    } else if let Some(signature) = signature {
        let mut ended: Vec<String> = over.iter().cloned().collect();
        ended.extend(retraining.map(|found| found.says));
        ended.extend(signature.outgrown(ground));
        ended.extend(failed_after(ground, signature.at));
        if round.watched.not_met.is_some_and(|at| at > signature.at) {
            ended.push("a performance watched since the signature was not met".to_owned());
        }
        if ended.is_empty() {
            reasons.push(format!("{}; lapses on {}", signature.says(), signature.lapses(ground)));
            renewable = Round::of(ground, None, Some(&signature.since())).complete();
        } else if over.is_none() {
            reasons.push(signature.says());
        }
        let standing = match (ended.is_empty(), round.complete()) {
            (true, _) => Standing::Signed,
            (false, true) => Standing::ReadyToSign,
            (false, false) => Standing::Lapsed,
        };
        reasons.extend(ended);
        standing
    } else {
        reasons.extend(retraining.map(|found| found.says));
        if round.watched.watchings.is_empty() && !begun(ground) {
            Standing::NothingYet
        } else if round.complete() {
            Standing::ReadyToSign
        } else if round.evidence() {
            Standing::ReadyToBeWitnessed
        } else {
            Standing::Studying
        }
    };
    let ended = match standing {
        Standing::Signed => Vec::new(),
        _ => reasons.clone(),
    };
    reasons.extend(round.reasons(&reasons));
    let (mut missing, lacks) = match standing {
        Standing::Signed => (Vec::new(), Vec::new()),
        _ => (round.missing(), round.lacks()),
    };
    if standing == Standing::ReadyToSign || standing == Standing::Withdrawn && renewable {
        missing.push(format!("a signature, role: {}", ground.competency.signed_by));
    }
    State {
        standing,
        reasons,
        ended,
        missing,
        lacks,
        watched: round.watched.count,
        watchings: round.watched.watchings,
        retrain_since,
        renewable,
    }
}

/// Whether anything on record belongs to the competency: a page of its lessons opened, an attempt at its evidence.
fn begun(ground: &Ground) -> bool {
    let competency = ground.competency;
    let studies = |id: &String| competency.study.contains(id);
    let tried = ground
        .sittings
        .iter()
        .any(|sitting| competency.evidence.contains(&sitting.line.assessment) && ground.by_then(sitting.line.begun));
    tried
        || ground.own.iter().any(|statement| match &statement.deed {
            Deed::Opened { lesson } | Deed::Read { lesson } | Deed::Practised { lesson, .. } => studies(lesson),
            _ => false,
        })
}

impl Ground<'_> {
    /// Whether a moment lies before the one that is looked back at.
    pub(super) fn by_then(&self, at: Timestamp) -> bool {
        self.until.is_none_or(|until| at <= until)
    }
}
