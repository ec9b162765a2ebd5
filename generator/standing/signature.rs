//! Signatures: which of them is the one that stands, and what has ended it.

use super::competence::{Ground, Since};
use super::evidence::title_and_edition;
use crate::record::{Deed, Event, Proof, Statement, What};
use jiff::civil::Date;
use jiff::{Timestamp, ToSpan};

/// A valid signature of one competency.
pub(super) struct Signature<'a> {
    pub at: Timestamp,
    pub date: Date,
    pub by: &'a str,
    statement: &'a Statement,
}

/// The valid signatures in the order of time, and a sentence for each that is void. `founded` is given the signature that was
/// valid before it, and says why there was nothing to sign.
pub(super) fn signatures<'a>(
    ground: &'a Ground,
    founded: impl Fn(&Statement, Option<&Signature>) -> Result<(), String>,
) -> (Vec<Signature<'a>>, Vec<String>) {
    let mut void = Vec::new();
    let mut valid: Vec<Signature> = Vec::new();
    for statement in ground.own {
        let Deed::Entered(Event {
            by,
            what: What::SignedOff { competency, proof },
            ..
        }) = &statement.deed
        else {
            continue;
        };
        if *competency != ground.competency.id {
            continue;
        }
        let date = ground.day.date_of(statement.timestamp);
        let why = why_void(ground, statement, by, proof.as_deref()).or_else(|| founded(statement, valid.last()).err());
        match why {
            Some(why) => void.push(format!("the signature of {date} by {by} does not count: {why}")),
            None => valid.push(Signature {
                at: statement.timestamp,
                date,
                by,
                statement,
            }),
        }
    }
    (valid, void)
}

fn why_void(ground: &Ground, statement: &Statement, by: &str, proof: Option<&Proof>) -> Option<String> {
    if by == statement.person {
        return Some("nobody signs themselves off".to_owned());
    }
    let then = ground.markings.get(&statement.marking);
    let mut then_and_now = then.into_iter().chain([ground.marking]);
    let may = then_and_now.clone().any(|marking| {
        marking
            .competency(&ground.competency.id)
            .zip(marking.signers.get(by))
            .is_some_and(|(competency, signer)| signer.role == competency.signed_by)
    });
    if !may {
        return Some(format!("{by} may not sign for this competency"));
    }
    match proof.map(|proof| &proof.by) {
        None => Some("it carries no proof".to_owned()),
        Some(Err(why)) => Some(why.to_string()),
        Some(Ok(key)) => {
            let key = key.multikey();
            let named = then_and_now.any(|marking| marking.names_key(by, &key));
            (!named).then(|| format!("it was signed with a key that the outline does not name for {by}"))
        }
    }
}

impl Signature<'_> {
    /// Whether its time has run out.
    pub(super) fn over(&self, ground: &Ground) -> Option<String> {
        let lapses = self.lapses(ground);
        (ground.day.date >= lapses).then(|| format!("{}; the signature held until {lapses}", self.says()))
    }

    /// The first day on which it no longer holds by itself: the shorter holds of what was said at signing and what is
    /// said now.
    pub(super) fn lapses(&self, ground: &Ground) -> Date {
        let then = ground
            .markings
            .get(&self.statement.marking)
            .and_then(|marking| marking.competency(&ground.competency.id))
            .map_or(u32::MAX, |competency| competency.holds_months);
        // A century holds for good, and keeps the sum within the calendar.
        let months = then.min(ground.competency.holds_months).min(1200);
        self.date.saturating_add(i64::from(months).months())
    }

    /// The statement's id.
    pub(super) fn id(&self) -> &str {
        &self.statement.id
    }

    pub(super) fn says(&self) -> String {
        format!("signed off by {} on {}", self.by, self.date)
    }

    /// After it, for what must be shown anew.
    pub(super) fn since(&self) -> Since {
        Since {
            at: self.at,
            says: format!("the signature of {}", self.date),
        }
    }

    /// What has changed in what is taught or asked since it was given.
    pub(super) fn outgrown(&self, ground: &Ground) -> Vec<String> {
        let Some(then) = ground.markings.get(&self.statement.marking) else {
            return vec![format!(
                "the signature of {} names a course that the register does not hold",
                self.date
            )];
        };
        let mut changes = Vec::new();
        for id in &ground.competency.study {
            let old = then.lesson(id).map(|lesson| lesson.edition);
            if let Some(new) = ground.marking.lesson(id) {
                changes.extend(change(&new.title, old, new.edition));
            }
        }
        for wanted in &ground.competency.evidence {
            let (title, edition) = title_and_edition(ground.marking, wanted);
            let asked = then
                .competency(&ground.competency.id)
                .is_some_and(|competency| competency.evidence.contains(wanted));
            let old = asked.then(|| title_and_edition(then, wanted).1);
            changes.extend(change(&title, old, edition));
        }
        changes
    }
}

fn change(title: &str, old: Option<u32>, new: u32) -> Option<String> {
    match old {
        None => Some(format!("“{title}” is asked for now, and was not when this was signed")),
        Some(old) if old != new => Some(format!(
            "“{title}” is edition {new} now; this was signed on edition {old}"
        )),
        Some(_) => None,
    }
}
