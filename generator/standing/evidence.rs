//! Reading and passing: what a person has studied, and which assessments stand passed on what is taught now.

use super::competence::Ground;
use super::tries::{AttemptLine, State};
use crate::marking::{Evidence, Marking};
use crate::record::{Deed, name};
use jiff::Timestamp;

/// What was found about one thing that a competency asks for.
pub(super) struct Found {
    pub done: bool,
    /// What is on record, in a sentence.
    pub reason: Option<String>,
    /// What is still needed, in a sentence.
    pub missing: Option<String>,
    /// The latest counted attempt on this edition did not pass.
    pub failed: Option<String>,
}

/// Whether a lesson has been read to its end in the edition taught now.
pub(super) fn lesson(ground: &Ground, id: &str) -> Found {
    let (title, edition) = match ground.marking.lesson(id) {
        Some(lesson) => (lesson.title.as_str(), lesson.edition),
        None => (id, 1),
    };
    let mut best: Option<(u32, Timestamp)> = None;
    for statement in ground.own {
        if let Deed::Read { lesson } = &statement.deed
            && lesson == id
            && let Some(read) = edition_of(ground, &statement.marking, |marking| {
                marking.lesson(id).map(|lesson| lesson.edition)
            })
        {
            best = best.max(Some((read, statement.timestamp)));
        }
    }
    match best {
        Some((read, at)) if read >= edition => Found {
            done: true,
            reason: Some(format!("read “{title}” on {}", ground.day.date_of(at))),
            missing: None,
            failed: None,
        },
        Some((read, at)) => Found {
            done: false,
            reason: Some(format!(
                "read edition {read} of “{title}” on {}",
                ground.day.date_of(at)
            )),
            missing: Some(format!("read “{title}” again: edition {edition} is taught now")),
            failed: None,
        },
        None => Found {
            done: false,
            reason: None,
            missing: Some(format!("read “{title}” to its end")),
            failed: None,
        },
    }
}

fn edition_of(ground: &Ground, hash: &str, edition: impl Fn(&Marking) -> Option<u32>) -> Option<u32> {
    ground.markings.get(hash).and_then(edition)
}

/// Whether an assessment stands passed on the edition in use: the latest counted attempt decides. With `after`, only
/// a pass begun after that moment will do.
pub(super) fn assessment(ground: &Ground, wanted: &Evidence, after: Option<Timestamp>) -> Found {
    let (title, edition) = title_and_edition(ground.marking, wanted);
    let on_it = || ground.attempts.iter().filter(|line| line.assessment == *wanted);
    let latest = on_it().rfind(|line| line.edition == edition && line.counts());
    let Some(latest) = latest else {
        let older = on_it().rfind(|line| line.edition != edition && line.state == State::Passed);
        return Found {
            done: false,
            reason: older.map(|line| {
                format!(
                    "passed edition {} of “{title}” on {}; edition {edition} is in use now",
                    line.edition,
                    date(ground, line)
                )
            }),
            missing: Some(match older {
                Some(_) => format!("pass “{title}” again, edition {edition}"),
                None => format!("pass “{title}”"),
            }),
            failed: None,
        };
    };
    let passed = latest.state == State::Passed;
    let recent = after.is_none_or(|after| latest.begun > after);
    let score = format!("{} of {}", latest.marks, latest.max);
    let reason = match latest.state {
        State::Passed => format!("passed “{title}” on {} with {score}", date(ground, latest)),
        State::Left => format!("left “{title}” on {}, which is failing it", date(ground, latest)),
        _ => format!(
            "failed “{title}” on {} with {score}{}",
            date(ground, latest),
            slip(latest)
        ),
    };
    let missing = match (passed, recent) {
        (true, true) => None,
        (true, false) => Some(format!("pass “{title}” again")),
        (false, _) => Some(if tries_used(ground, latest) {
            format!("pass “{title}”: all tries are used, a trainer must release another")
        } else {
            format!("pass “{title}”")
        }),
    };
    Found {
        done: passed && recent,
        failed: (!passed).then(|| reason.clone()),
        reason: Some(reason),
        missing,
    }
}

fn tries_used(ground: &Ground, latest: &AttemptLine) -> bool {
    ground
        .markings
        .get(&latest.marking)
        .is_some_and(|marking| latest.number.is_some_and(|number| number >= marking.attempts.tries))
}

fn slip(line: &AttemptLine) -> String {
    if !line.missed_critical.is_empty() {
        format!("; critical questions missed: {}", line.missed_critical.join(", "))
    } else if let Some((scene, choice)) = &line.first_unsafe {
        format!("; unsafe choice {choice} in scene {scene}")
    } else {
        String::new()
    }
}

fn date(ground: &Ground, line: &AttemptLine) -> jiff::civil::Date {
    ground.day.date_of(line.closed.unwrap_or(line.begun))
}

/// The title and edition of an assessment on a course; its id and 1 where the course does not have it.
pub(super) fn title_and_edition(marking: &Marking, wanted: &Evidence) -> (String, u32) {
    let known = match wanted {
        Evidence::Bank(id) => marking.bank(id).map(|bank| (bank.title.clone(), bank.edition)),
        Evidence::Scenario(id) => marking
            .scenario(id)
            .map(|scenario| (scenario.title.clone(), scenario.edition)),
    };
    known.unwrap_or_else(|| (name(wanted), 1))
}
