//! Performances that a trainer watched, and which of them count.

use super::competence::{Ground, Since};
use crate::record::{Deed, Event, Statement, What};
use jiff::Timestamp;
use serde::Serialize;

/// How many performances count.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Seen {
    /// Met, without a prompt.
    pub met: u32,
    /// Those of them on a real call.
    pub real: u32,
}

/// What was watched of one competency.
pub(super) struct Watched {
    pub reasons: Vec<String>,
    /// What is still needed; none if enough were met, and enough of them on real calls.
    pub missing: Option<String>,
    /// The last performance that was not met.
    pub not_met: Option<Timestamp>,
    /// Whether any is on record.
    pub any: bool,
    /// How many of them count.
    pub count: Seen,
}

/// Counts the performances. One that was not met starts the count anew; a prompted one does not count; nor does one
/// watched while an older edition of a lesson under the competency was taught. With `since`, only later ones count.
pub(super) fn watched(ground: &Ground, since: Option<&Since>) -> Watched {
    let due = ground.competency.witnessed;
    let (mut met, mut real) = (0, 0);
    let mut watched = Watched {
        reasons: Vec::new(),
        missing: None,
        not_met: None,
        any: false,
        count: Seen::default(),
    };
    for statement in ground.own {
        let Deed::Entered(Event {
            by,
            what: What::Witnessed(seen),
            ..
        }) = &statement.deed
        else {
            continue;
        };
        if seen.competency != ground.competency.id {
            continue;
        }
        watched.any = true;
        let setting = if seen.real { "on a real call" } else { "staged" };
        let line = format!("{} by {}, {setting}", ground.day.date_of(statement.timestamp), by);
        let reason = if let Some(why) = void(ground, statement, by) {
            format!("watched on {line}: does not count, {why}")
        } else if seen.prompted {
            format!("watched on {line}: prompted, so it does not count")
        } else if !seen.met {
            watched.not_met = Some(statement.timestamp);
            (met, real) = (0, 0);
            format!("watched on {line}: not met; the count starts anew")
        } else if let Some(why) = outdated(ground, statement) {
            format!("watched on {line}: met, but {why}")
        } else if let Some(since) = since.filter(|since| statement.timestamp <= since.at) {
            format!("watched on {line}: met, before {}", since.says)
        } else {
            met += 1;
            real += u32::from(seen.real);
            format!("watched on {line}: met")
        };
        watched.reasons.push(reason);
    }
    watched.count = Seen { met, real };
    if met < due.times || real < due.real {
        let more = due.times.saturating_sub(met).max(due.real.saturating_sub(real));
        let more_real = due.real.saturating_sub(real);
        let calls = match more_real {
            0 => String::new(),
            1 => ", at least one on a real call".to_owned(),
            many => format!(", at least {many} on real calls"),
        };
        watched.missing = Some(format!(
            "be watched {more} more {}{calls}",
            if more == 1 { "time" } else { "times" }
        ));
    }
    watched
}

/// Why a witness statement is void, if it is.
fn void(ground: &Ground, statement: &Statement, by: &str) -> Option<String> {
    if by == statement.person {
        return Some("nobody witnesses their own work".to_owned());
    }
    let then = ground.markings.get(&statement.marking);
    let trainer = then
        .into_iter()
        .chain([ground.marking])
        .any(|marking| marking.trainers.contains_key(by));
    (!trainer).then(|| format!("{} is not a trainer", by))
}

fn outdated(ground: &Ground, statement: &Statement) -> Option<String> {
    let then = ground.markings.get(&statement.marking)?;
    ground.competency.study.iter().find_map(|id| {
        let (old, new) = (then.lesson(id)?, ground.marking.lesson(id)?);
        (old.edition < new.edition).then(|| {
            format!(
                "edition {} of “{}” was taught then and edition {} is now",
                old.edition, new.title, new.edition
            )
        })
    })
}
