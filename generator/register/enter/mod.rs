//! What trainers and managers add: people who come and go, what they were asked for, performances watched,
//! competencies signed off and taken away, inspections.

mod named;
mod permission;
mod refusal;

use super::{Change, Fresh, Kind, Ledger, Register, Store, statements};
use crate::marking::{Marking, NotCanonical};
use crate::proof::SecretKey;
use crate::record::{Details, Event, Occasion, Statement, What, Witnessing, entered, signed, stamp};
use crate::standing::{Day, May, Standing, person};
use jiff::{SignedDuration, Timestamp};
pub use named::sorts_of;
use permission::Bench;
pub use refusal::NotEntered;
use std::collections::BTreeMap;

/// An event to be entered.
#[derive(Debug, Clone, PartialEq)]
pub struct Entering<'a> {
    /// The code of the person whose record it goes into; of an inspection, the inspector.
    pub person: &'a str,
    /// What happened and who answers for it; its digest of details is made from `name` and `note`.
    pub event: Event,
    /// A name or free words; given a salt, and kept apart from the statement.
    pub name: Option<&'a str>,
    pub note: Option<&'a str>,
    /// The day on which it happened.
    pub day: &'a Day,
    /// What a sign-off is signed with; nothing else needs it.
    pub key: Option<&'a SecretKey>,
}

impl<S: Store> Register<S> {
    /// Enters events in one transaction: all of them, or none.
    ///
    /// # Errors
    /// [`NotEntered`]; then nothing was written.
    pub fn enter(&mut self, entering: &[Entering], now: Timestamp) -> Result<Vec<Statement>, NotEntered> {
        self.change(now, |store: &S, ledger: &Ledger| {
            let mut change = Change::default();
            let made = make(store, ledger, entering, now, &mut change);
            if made.is_err() {
                change = Change::default();
            }
            Ok((change, made))
        })?
    }
}

/// The statements of events that are entered together, added to the change.
pub(super) fn make<S: Store>(
    store: &S,
    ledger: &Ledger,
    entering: &[Entering],
    now: Timestamp,
    change: &mut Change,
) -> Result<Vec<Statement>, NotEntered> {
    let on_record = statements(store)?;
    entering
        .iter()
        .map(|one| {
            let (hash, bench) = bench(ledger, &on_record, entering, one.day, now)?;
            bench.may(one)?;
            match &one.event.what {
                What::SignedOff { competency, .. } => ready(&bench, one, competency)?,
                What::Witnessed(seen) => in_turn(&bench, one, seen)?,
                _ => {}
            }
            statement(store, hash, &bench, one, now, change)
        })
        .collect()
}

/// What an event of that day is held against, and the name of the course then in force.
fn bench<'a>(
    ledger: &'a Ledger,
    statements: &'a [Statement],
    together: &'a [Entering<'a>],
    day: &Day,
    now: Timestamp,
) -> Result<(&'a str, Bench<'a>), NotEntered> {
    let today = day.date_of(now);
    if day.date > today {
        return Err(NotEntered::Future { date: day.date, today });
    }
    let (hash, marking) = ledger.markings.on(day).ok_or(NotEntered::NoCourse)?;
    let (_, newest) = ledger.markings.newest().ok_or(NotEntered::NoCourse)?;
    let bench = Bench {
        ledger,
        marking,
        newest,
        today,
        statements,
        together,
    };
    Ok((hash, bench))
}

/// The statement of one event, added to the change.
fn statement<S: Store>(
    store: &S,
    hash: &str,
    bench: &Bench,
    entering: &Entering,
    now: Timestamp,
    change: &mut Change,
) -> Result<Statement, NotEntered> {
    let mut event = entering.event.clone();
    if entering.name.is_some() || entering.note.is_some() {
        let details = Details {
            salt: store.fresh_id()?.replace('-', ""),
            name: entering.name.map(str::to_owned),
            note: entering.note.map(str::to_owned),
        };
        let written = |why: NotCanonical| NotEntered::Written(why.to_string());
        let digest = details.digest().map_err(written)?;
        change.details.push((digest.clone(), details.body().map_err(written)?));
        event.details = Some(digest);
    }
    let marking: &Marking = bench.marking;
    let occasion = Occasion {
        id: &store.fresh_id()?,
        at: moment(entering, bench.statements, now),
        marking,
        hash,
        person: entering.person,
    };
    let statement = match event.what {
        What::SignedOff { .. } => signed(
            &occasion,
            &event,
            signing_key(&event.by, entering.key, bench.newest)?,
            now,
        ),
        _ => entered(&occasion, &event),
    };
    let statement = statement.map_err(|why| NotEntered::Written(why.why))?;
    change.append.push(Fresh {
        kind: Kind::Statement,
        id: statement.id.clone(),
        body: statement.body.clone(),
    });
    Ok(statement)
}

/// Whether on that day there is something to sign.
fn ready(bench: &Bench, entering: &Entering, competency: &str) -> Result<(), NotEntered> {
    let markings = &bench.ledger.markings;
    let standing = person(
        entering.person,
        bench.statements,
        markings,
        &BTreeMap::new(),
        entering.day,
    );
    let standing = standing
        .as_ref()
        .and_then(|person| person.competence(competency))
        .ok_or(NotEntered::NoCourse)?;
    if (standing.standing == Standing::ReadyToSign || standing.renewable) && standing.waits_for.is_empty() {
        return Ok(());
    }
    Err(NotEntered::NotReady {
        standing: standing.standing,
        date: entering.day.date,
        missing: standing.missing.clone(),
        reasons: standing.reasons.clone(),
    })
}

/// Whether somebody who was watched on a real call might do it that day, be it accompanied; or whether it is entered as what it
/// was. What goes on behind a guard needs the lockout first. Who had it withdrawn and has learnt it anew must be watched to get it
/// back, and is in turn.
fn in_turn(bench: &Bench, entering: &Entering, seen: &Witnessing) -> Result<(), NotEntered> {
    if !seen.real && !seen.out_of_turn {
        return Ok(());
    }
    let markings = &bench.ledger.markings;
    let (who, day) = (entering.person, entering.day);
    let known = bench.marking.competency(&seen.competency).ok_or(NotEntered::NoCourse)?;
    let mut needed = vec![known];
    needed.extend(bench.marking.lockouts_under(known));
    let barred = |day: &Day| {
        let standing = person(who, bench.statements, markings, &BTreeMap::new(), day)?;
        needed.iter().find_map(|needed| {
            let found = standing.competence(&needed.id)?;
            let learnt_anew = found.standing == Standing::Withdrawn && found.lacks.is_empty();
            (found.standing.may() == May::Nothing && !learnt_anew).then(|| found.clone())
        })
    };
    // What was passed in the evening was not yet passed at a call in the morning: such a day can be either.
    let was_barred = || {
        let before = day.date.yesterday().ok();
        before.is_some_and(|date| {
            let zone = day.zone.clone();
            barred(&Day { date, zone }).is_some()
        })
    };
    match (barred(day), seen.real && seen.out_of_turn) {
        (None, false) | (Some(_), true) => Ok(()),
        (None, true) if was_barred() => Ok(()),
        (None, true) => Err(NotEntered::InTurn {
            code: who.to_owned(),
            competency: seen.competency.clone(),
        }),
        (Some(_), false) if !seen.real => Err(NotEntered::StagedOutOfTurn),
        (Some(found), false) => Err(NotEntered::OutOfTurn {
            code: who.to_owned(),
            date: day.date,
            competency: found.id.clone(),
            standing: found.standing,
            missing: found.missing.clone(),
        }),
    }
}

/// The key with which somebody signs, if it is the one that the course names for them.
///
/// # Errors
/// [`NotEntered::NoKey`], [`NotEntered::KeyNeeded`] or [`NotEntered::OtherKey`].
pub fn signing_key<'a>(code: &str, key: Option<&'a SecretKey>, course: &Marking) -> Result<&'a SecretKey, NotEntered> {
    let code = code.to_owned();
    let Some(public) = course.keys.get(&code).cloned() else {
        return Err(NotEntered::NoKey { code });
    };
    match key {
        None => Err(NotEntered::KeyNeeded { code, public }),
        Some(key) if key.public().multikey() == public => Ok(key),
        Some(_) => Err(NotEntered::OtherKey { code, public }),
    }
}

/// When something is stamped that happened on a day. Today: now, and after all of the day that is on record, even if a
/// trainee's clock is fast. An earlier day: its noon, and after what was entered before; a signature, which is judged
/// by all that happened on the day, at its end.
fn moment(entering: &Entering, on_record: &[Statement], now: Timestamp) -> Timestamp {
    const STEP: SignedDuration = SignedDuration::from_millis(1);
    let day = entering.day;
    let today = day.date == day.date_of(now);
    let signs = matches!(entering.event.what, What::SignedOff { .. });
    let back = |by: SignedDuration| day.end().checked_sub(by).unwrap_or(now);
    let latest = back(if signs { STEP } else { STEP * 2 });
    let at = match (today, signs) {
        (true, _) => now,
        (false, true) => latest,
        (false, false) => back(SignedDuration::from_hours(12)),
    };
    let before = on_record
        .iter()
        .filter(|one| one.person == entering.person && (today || one.is_registers_own()))
        .filter(|one| one.timestamp < latest && day.date_of(one.timestamp) == day.date)
        .map(|one| one.timestamp)
        .max();
    let after = before.and_then(|before| before.checked_add(STEP).ok());
    let at = after.map_or(at, |after| at.max(after)).min(latest);
    // Statements carry milliseconds.
    stamp(at).parse().unwrap_or(at)
}
