//! A second fold, written from the table of standings alone: slow, plain, and without a line of the library's.
//!
//! The table, for one competency: *nothing yet*: no study on record. *Studying*: some, evidence incomplete. *Ready to be
//! witnessed*: all read and passed on what is taught now. *Ready to sign*: also watched often enough, met and not
//! prompted, in turn, and seen at every step that is always done. *Signed*: a valid signature, within its time, and nothing since that ends it. *Lapsed*: its time has run
//! out, or a trigger is on record. *Withdrawn*: taken away, until a signature on evidence from after that day.

use super::acts::{Fact, Happened, Seen, Taught, Tried, Variant};
use jiff::civil::Date;
use jiff::tz::TimeZone;
use jiff::{SignedDuration, Timestamp, ToSpan};
use pitwright::standing::{May, Standing};

/// What the naive fold says.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Says {
    pub standing: Standing,
    pub may: May,
    pub lapses: Option<Date>,
    pub renewable: bool,
}

const TRIES: u32 = 2;
const WAIT: SignedDuration = SignedDuration::from_hours(12);

fn date(at: Timestamp) -> Date {
    at.to_zoned_datetime(TimeZone::UTC).date()
}

fn midnight_after(date: Date) -> Timestamp {
    let next = date.tomorrow().expect("the tests end before time does");
    next.to_zoned_datetime(TimeZone::UTC)
        .expect("UTC has every midnight")
        .timestamp()
}

/// How it stands at the end of a day.
pub fn on(facts: &[Fact], day: Date) -> Says {
    let end = midnight_after(day);
    let mut past: Vec<Fact> = facts.iter().copied().filter(|fact| fact.at < end).collect();
    past.retain(|fact| fact.voided.is_none_or(|at| at >= end));
    past.sort_by_key(|fact| fact.at);
    let course = courses(&past).last().copied().unwrap_or(Variant::FIRST);
    let mut signature: Option<Signature> = None;
    for fact in &past {
        if let Happened::Signed {
            by_manager: true,
            course: then,
        } = fact.what
        {
            let seen: Vec<Fact> = past.iter().copied().filter(|other| other.at <= fact.at).collect();
            let found = stands(&seen, fact.at, date(fact.at), then, signature);
            if found.standing == Standing::ReadyToSign || found.renewable {
                signature = Some(Signature {
                    at: fact.at,
                    course: then,
                });
            }
        }
    }
    // The last instant of the day, as finely as facts are told apart.
    let last = end - SignedDuration::from_millis(1);
    let mut says = stands(&past, last, day, course, signature);
    let gone = past.iter().rev().find_map(|fact| match fact.what {
        Happened::Left => Some(true),
        Happened::Joined => Some(false),
        _ => None,
    });
    if gone == Some(true) {
        says.may = May::Nothing;
    }
    says
}

fn courses(past: &[Fact]) -> Vec<Variant> {
    past.iter()
        .filter_map(|fact| match fact.what {
            Happened::Course(variant) => Some(variant),
            _ => None,
        })
        .collect()
}

#[derive(Clone, Copy)]
struct Signature {
    at: Timestamp,
    course: Variant,
}

fn stands(past: &[Fact], now: Timestamp, today: Date, course: Variant, signature: Option<Signature>) -> Says {
    let signed = signature.map(|signature| signature.at);
    let since_signed = |at: Timestamp| signed.is_none_or(|signed| at > signed);
    let trigger = triggers(past).into_iter().filter(|at| since_signed(*at)).max();
    let withdrawn = past
        .iter()
        .filter(|fact| fact.what == Happened::Withdrawn && since_signed(fact.at))
        .map(|fact| fact.at)
        .max();
    let lapses = signature.map(|signature| {
        let months = signature.course.holds.min(course.holds);
        date(signature.at).saturating_add(i64::from(months).months())
    });
    let over = lapses.is_some_and(|lapses| today >= lapses);
    let mut from = trigger;
    if let Some(at) = withdrawn {
        // From the first instant of the next day on.
        from = from.max(Some(midnight_after(date(at)) - SignedDuration::from_nanos(1)));
    }
    if over {
        from = from.max(signed);
    }
    let evidence = read(past, course, trigger) && passed(past, now, course, from);
    let complete = evidence && performed(past, course, from);
    let plain = |standing: Standing, renewable: bool| Says {
        standing,
        may: match standing {
            Standing::NothingYet | Standing::Studying | Standing::Withdrawn => May::Nothing,
            Standing::ReadyToBeWitnessed | Standing::ReadyToSign | Standing::Lapsed => May::Accompanied,
            Standing::Signed => May::Alone,
        },
        lapses: None,
        renewable,
    };
    if withdrawn.is_some() {
        return plain(Standing::Withdrawn, complete);
    }
    if let Some(signature) = signature {
        let ended = over
            || trigger.is_some()
            || [Taught::Lesson, Taught::Bank, Taught::Scenario, Taught::Drill]
                .iter()
                .any(|at| signature.course.edition(*at) != course.edition(*at))
            || failed_since(past, now, course, signature.at)
            || past
                .iter()
                .any(|fact| fact.at > signature.at && is_seen(fact, Seen::NotMet));
        return match (ended, complete) {
            (true, true) => plain(Standing::ReadyToSign, false),
            (true, false) => plain(Standing::Lapsed, false),
            (false, _) => Says {
                lapses,
                renewable: read(past, course, None)
                    && passed(past, now, course, Some(signature.at))
                    && performed(past, course, Some(signature.at)),
                ..plain(Standing::Signed, false)
            },
        };
    }
    let begun = past.iter().any(|fact| {
        matches!(
            fact.what,
            Happened::Opened | Happened::Read { .. } | Happened::Tried(_) | Happened::Watched { .. }
        )
    });
    plain(
        match (begun, evidence, complete) {
            (false, ..) => Standing::NothingYet,
            (_, _, true) => Standing::ReadyToSign,
            (_, true, _) => Standing::ReadyToBeWitnessed,
            _ => Standing::Studying,
        },
        false,
    )
}

/// Retraining that was entered, and every coming back after a leaving.
fn triggers(past: &[Fact]) -> Vec<Timestamp> {
    let mut at = Vec::new();
    let mut gone = false;
    for fact in past {
        match fact.what {
            Happened::Retraining => at.push(fact.at),
            Happened::Left => gone = true,
            Happened::Joined => {
                if gone {
                    at.push(fact.at);
                }
                gone = false;
            }
            _ => {}
        }
    }
    at
}

fn read(past: &[Fact], course: Variant, after: Option<Timestamp>) -> bool {
    past.iter().any(|fact| match fact.what {
        Happened::Read { edition } => edition >= course.lesson && Some(fact.at) > after,
        _ => false,
    })
}

fn passed(past: &[Fact], now: Timestamp, course: Variant, after: Option<Timestamp>) -> bool {
    Taught::ASSESSED.iter().all(|at| {
        counted(past, now, *at, course.edition(*at))
            .last()
            .is_some_and(|(begun, tried)| tried.passed && Some(*begun) > after)
    })
}

fn failed_since(past: &[Fact], now: Timestamp, course: Variant, signed: Timestamp) -> bool {
    Taught::ASSESSED.iter().any(|at| {
        let counted = counted(past, now, *at, course.edition(*at));
        counted.last().is_some_and(|(_, tried)| !tried.passed)
            || counted
                .iter()
                .any(|(_, tried)| !tried.passed && tried.closed > Some(signed))
    })
}

/// The attempts that count by now, in the order in which they were begun.
fn counted(past: &[Fact], now: Timestamp, at: Taught, edition: u32) -> Vec<(Timestamp, Tried)> {
    let mut counted: Vec<(Timestamp, Tried)> = Vec::new();
    for fact in past {
        let Happened::Tried(tried) = fact.what else {
            continue;
        };
        let closed = tried.closed.filter(|closed| *closed <= now);
        let (Some(closed), true) = (closed, tried.at == at && tried.edition == edition) else {
            continue;
        };
        let _ = closed;
        let last_pass = counted.iter().rposition(|(_, before)| before.passed);
        let run = &counted[last_pass.map_or(0, |index| index + 1)..];
        let since = last_pass.map(|index| counted[index].0);
        let more: u32 = past
            .iter()
            .map(|other| match other.what {
                Happened::Released {
                    at: released,
                    edition: on,
                    more,
                } if released == at && on == edition && other.at <= fact.at && Some(other.at) > since => more,
                _ => 0,
            })
            .sum();
        if run.len() as u32 >= TRIES + more {
            continue;
        }
        let ended = run.last().map(|(_, before)| match before.left {
            true => before.last_act,
            false => before.closed.unwrap_or(before.last_act),
        });
        if ended.is_some_and(|ended| fact.at.duration_since(ended) < WAIT) {
            continue;
        }
        counted.push((fact.at, tried));
    }
    counted
}

fn performed(past: &[Fact], course: Variant, after: Option<Timestamp>) -> bool {
    let from = past.iter().rposition(|fact| is_seen(fact, Seen::NotMet));
    let mut real = Vec::new();
    // The first three of the four steps must be seen; the last is done only if something is so.
    let mut never = 0b0111;
    for fact in &past[from.map_or(0, |index| index + 1)..] {
        if let Happened::Watched {
            lesson,
            real: call,
            unseen,
            out_of_turn: false,
            ..
        } = fact.what
            && is_seen(fact, Seen::Met)
            // Half of what is always done, at least.
            && 2 * (unseen & 0b0111_u8).count_ones() <= 3
            && lesson >= course.lesson
            && Some(fact.at) > after
        {
            real.push(call);
            never &= unseen;
        }
    }
    real.len() >= 2 && real.contains(&true) && never == 0
}

/// Watched by a trainer, with this result.
fn is_seen(fact: &Fact, wanted: Seen) -> bool {
    matches!(fact.what, Happened::Watched { seen, by_trainer: true, .. } if seen == wanted)
}
