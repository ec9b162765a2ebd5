//! Performances that a trainer watched, and which of them count.

use super::competence::{Ground, Since};
use super::employment::note;
use crate::marking::Sheet;
use crate::record::{Deed, Event, Statement, StepSeen, What, Witnessing};
use jiff::Timestamp;
use serde::Serialize;

/// How many performances count.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Seen {
    /// Met, without a prompt.
    pub met: u32,
    /// Those of them on a real call.
    pub real: u32,
    /// The numbers of the steps that must be seen, and that none of them has shown. Told only once there is one.
    pub unseen: Vec<u32>,
}

/// One performance that was watched.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Watching {
    /// The statement's id.
    pub id: String,
    pub counts: bool,
    /// When and how it was, and why it does not count if it does not.
    pub says: String,
}

/// What was watched of one competency.
pub(super) struct Watched {
    pub watchings: Vec<Watching>,
    /// What is still needed; nothing if enough were met, enough of them on real calls, and every step was seen once.
    pub missing: Vec<String>,
    /// The last performance that was not met.
    pub not_met: Option<Timestamp>,
    /// How many of them count.
    pub count: Seen,
}

/// Counts the performances. One that was not met starts the count anew; a prompted one does not count, nor does one of somebody who
/// might not do it at all, nor one of which fewer than half of the steps were seen; nor does one watched while an older edition of a lesson under the competency was taught. With
/// `since`, only later ones count.
pub(super) fn watched(ground: &Ground, since: Option<&Since>) -> Watched {
    let mut counted: Vec<(&Statement, &Witnessing)> = Vec::new();
    let mut watchings = Vec::new();
    let mut not_met = None;
    for statement in ground.own {
        let Deed::Entered(event) = &statement.deed else {
            continue;
        };
        let What::Witnessed(seen) = &event.what else {
            continue;
        };
        if seen.competency != ground.competency.id {
            continue;
        }
        let line = line(ground, statement, event, seen);
        let mut counts = false;
        let says = if let Some(why) = void(ground, statement, &event.by) {
            format!("{line}: does not count, {why}")
        } else if seen.prompted {
            format!("{line}: prompted, so it does not count")
        } else if !seen.met {
            not_met = Some(statement.timestamp);
            counted.clear();
            watchings.iter_mut().for_each(|one: &mut Watching| one.counts = false);
            format!("{line}: not met; the count starts anew")
        } else if seen.out_of_turn {
            format!("{line}: met, but they might not do it at all then, so it does not count")
        } else if let Some(why) = too_little(ground, statement, seen) {
            format!("{line}: met, but {why}")
        } else if let Some(why) = outdated(ground, statement) {
            format!("{line}: met, but {why}")
        } else if let Some(since) = since.filter(|since| statement.timestamp <= since.at) {
            format!("{line}: met, before {}", since.says)
        } else {
            counts = true;
            counted.push((statement, seen));
            format!("{line}: met{}", not_seen(ground, statement, seen))
        };
        watchings.push(Watching {
            id: statement.id.clone(),
            counts,
            says,
        });
    }
    let count = Seen {
        met: number(counted.len()),
        real: number(counted.iter().filter(|(_, seen)| seen.real).count()),
        unseen: unseen(ground, &counted),
    };
    Watched {
        watchings,
        missing: missing(ground, &count),
        not_met,
        count,
    }
}

fn number(count: usize) -> u32 {
    u32::try_from(count).unwrap_or(u32::MAX)
}

/// When, by whom and where it was watched.
fn line(ground: &Ground, statement: &Statement, event: &Event, seen: &Witnessing) -> String {
    let setting = if seen.real { "on a real call" } else { "staged" };
    let date = ground.day.date_of(statement.timestamp);
    let turn = match (seen.out_of_turn, note(event, ground.details)) {
        (false, _) => String::new(),
        (true, None) => ", out of turn".to_owned(),
        (true, Some(why)) => format!(", out of turn ({why})"),
    };
    format!("watched on {date} by {}, {setting}{turn}", event.by)
}

/// The steps that are always done, and that it has not shown.
fn not_seen(ground: &Ground, statement: &Statement, seen: &Witnessing) -> String {
    let then = ground.markings.get(&statement.marking);
    let sheet = then.and_then(|marking| marking.competency(&seen.competency)?.sheet.as_ref());
    let only_if = |step: &usize| {
        sheet.is_some_and(|sheet| u32::try_from(*step).is_ok_and(|step| sheet.conditional.contains(&step)))
    };
    let steps = seen
        .steps_that(StepSeen::NotSeen)
        .into_iter()
        .filter(|step| !only_if(step));
    let steps: Vec<String> = steps.map(|step| step.to_string()).collect();
    match steps.as_slice() {
        [] => String::new(),
        [one] => format!("; step {one} was not seen"),
        many => format!("; steps {} were not seen", many.join(", ")),
    }
}

/// What is still to be watched.
fn missing(ground: &Ground, count: &Seen) -> Vec<String> {
    let due = ground.competency.witnessed;
    let mut missing = Vec::new();
    if count.met < due.times || count.real < due.real {
        let more = due.times.saturating_sub(count.met);
        let more_real = due.real.saturating_sub(count.real);
        let more = more.max(more_real);
        let calls = match more_real {
            0 => String::new(),
            1 => ", at least one on a real call".to_owned(),
            many => format!(", at least {many} on real calls"),
        };
        let times = if more == 1 { "time" } else { "times" };
        missing.push(format!("be watched {more} more {times}{calls}"));
    }
    if let (Some(sheet), false) = (&ground.competency.sheet, count.unseen.is_empty()) {
        let steps: Vec<String> = count.unseen.iter().map(|number| step(sheet, *number)).collect();
        missing.push(format!(
            "be seen at what no watching that counts has shown yet: {}",
            steps.join(", ")
        ));
    }
    missing
}

/// A step by its number and its first words.
fn step(sheet: &Sheet, number: u32) -> String {
    /// So many letters tell one step from another.
    const ENOUGH: usize = 48;
    let says = usize::try_from(number)
        .ok()
        .and_then(|number| sheet.steps.get(number - 1));
    let Some(says) = says else {
        return format!("step {number}");
    };
    let mut short = String::new();
    for word in says.split_whitespace() {
        if !short.is_empty() && short.chars().count() + word.chars().count() >= ENOUGH {
            short.push_str(" …");
            break;
        }
        if !short.is_empty() {
            short.push(' ');
        }
        short.push_str(word);
    }
    format!("step {number} “{short}”")
}

/// The steps that must be seen and that none of the performances has shown; nothing while there is none, since then all is still
/// to be watched.
fn unseen(ground: &Ground, counted: &[(&Statement, &Witnessing)]) -> Vec<u32> {
    let (Some(sheet), false) = (&ground.competency.sheet, counted.is_empty()) else {
        return Vec::new();
    };
    let to_be_seen = ground.competency.to_be_seen().into_iter();
    to_be_seen
        .filter(|number| {
            let mut all = counted.iter();
            !all.any(|(statement, seen)| shows(ground, sheet, *number, statement, seen))
        })
        .collect()
}

/// Whether a performance showed a step of the present sheet. The sheet that it was watched by may have had other steps, or the same
/// in another order: a step is known by its words, and one whose words were mended by its place, if nothing else moved. One
/// entered without steps showed them all.
fn shows(ground: &Ground, now: &Sheet, number: u32, statement: &Statement, seen: &Witnessing) -> bool {
    if seen.steps.is_empty() {
        return true;
    }
    let index = usize::try_from(number).ok().and_then(|number| number.checked_sub(1));
    let Some((index, says)) = index.and_then(|index| Some((index, now.steps.get(index)?))) else {
        return false;
    };
    let was_seen = |index: usize| seen.steps.get(index).is_some_and(|how| *how != StepSeen::NotSeen);
    let marking = ground.markings.get(&statement.marking);
    let Some(then) = marking.and_then(|marking| marking.competency(&seen.competency)?.sheet.as_ref()) else {
        return was_seen(index);
    };
    let there = then.steps.get(index);
    if there == Some(says) {
        return was_seen(index);
    }
    if then.steps.contains(says) {
        let mut numbered = then.steps.iter().enumerate();
        return numbered.any(|(index, step)| step == says && was_seen(index));
    }
    let mended = then.lesson == now.lesson && then.steps.len() == now.steps.len();
    mended && there.is_some_and(|there| !now.steps.contains(there)) && was_seen(index)
}

/// Why too little was seen for a performance, if it was: fewer than half of the steps that are always done and, where it was staged,
/// can be. Common practice, no source: whoever came in at the end has not watched it done.
fn too_little(ground: &Ground, statement: &Statement, seen: &Witnessing) -> Option<String> {
    let then = ground.markings.get(&statement.marking)?;
    let competency = then.competency(&seen.competency)?;
    let sheet = competency.sheet.as_ref()?;
    let could: Vec<u32> = competency
        .to_be_seen()
        .into_iter()
        .filter(|number| seen.real || !sheet.not_staged.contains(number))
        .collect();
    let was_seen = |number: &u32| {
        let index = usize::try_from(*number).ok().and_then(|number| number.checked_sub(1));
        index.and_then(|index| seen.steps.get(index)) != Some(&StepSeen::NotSeen)
    };
    let count = could.iter().filter(|number| was_seen(number)).count();
    (!seen.steps.is_empty() && 2 * count < could.len()).then(|| {
        format!(
            "only {count} of the {} steps that are always done were seen, fewer than half, so it does not count",
            could.len()
        )
    })
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
