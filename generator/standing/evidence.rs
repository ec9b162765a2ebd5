//! Reading and passing: what a person has studied, and which assessments stand passed on what is taught now.

use super::assignments::Task;
use super::competence::{Ground, Since};
use super::tries::{AttemptLine, State};
use crate::marking::{Evidence, LEAVE_IT, Marking};
use crate::record::Deed;
use crate::score::figure;
use jiff::Timestamp;

/// What was found about one thing that a competency asks for.
pub(super) struct Found {
    pub task: Task,
    /// What is on record, in a sentence.
    pub reason: Option<String>,
    /// What is still needed, in a sentence; none if it is done.
    pub missing: Option<String>,
}

/// Whether a lesson has been read to its end in the edition taught now, and since then.
pub(super) fn lesson(ground: &Ground, id: &str, since: Option<&Since>) -> Found {
    let (title, edition) = match ground.marking.lesson(id) {
        Some(lesson) => (lesson.title.as_str(), lesson.edition),
        None => (id, 1),
    };
    // The edition first, then the time.
    let latest = |after: Option<Timestamp>| -> Option<(u32, Timestamp)> {
        let reads = ground.own.iter().filter_map(|statement| match &statement.deed {
            Deed::Read { lesson } if lesson == id && after.is_none_or(|after| statement.timestamp > after) => {
                let read = ground.markings.get(&statement.marking)?.lesson(id)?.edition;
                Some((read, statement.timestamp))
            }
            _ => None,
        });
        reads.max()
    };
    let again = since.and_then(|since| latest(Some(since.at)));
    let best = again.filter(|(read, _)| *read >= edition).or_else(|| latest(None));
    let (reason, missing) = match best {
        None => (None, Some(format!("read “{title}” to its end"))),
        Some((read, at)) if read < edition => (
            Some(format!(
                "read edition {read} of “{title}” on {}",
                ground.day.date_of(at)
            )),
            Some(format!("read “{title}” again: edition {edition} is taught now")),
        ),
        Some((_, at)) => {
            let says = format!("read “{title}” on {}", ground.day.date_of(at));
            match since.filter(|since| at <= since.at) {
                None => (Some(says), None),
                Some(since) => (
                    Some(format!("{says}, before {}", since.says)),
                    Some(format!("read “{title}” again")),
                ),
            }
        }
    };
    Found {
        task: Task::Lesson(id.to_owned()),
        reason,
        missing,
    }
}

/// Whether an assessment stands passed on the edition in use: the latest counted attempt decides. With `since`, only
/// a pass begun after that moment will do.
pub(super) fn assessment(ground: &Ground, wanted: &Evidence, since: Option<&Since>) -> Found {
    let (title, edition) = title_and_edition(ground.marking, wanted);
    let found = |reason: Option<String>, missing: Option<String>| Found {
        task: Task::Assessment(wanted.clone()),
        reason,
        missing,
    };
    let Some(latest) = counted(ground, wanted, edition).next_back() else {
        let older = ground.sittings.iter().map(|sitting| &sitting.line).rfind(|line| {
            line.assessment == *wanted
                && line.edition != edition
                && line.state == State::Passed
                && line.closed.is_some_and(|closed| ground.by_then(closed))
        });
        let reason = older.map(|line| {
            format!(
                "passed edition {} of “{title}” on {}; edition {edition} is in use now",
                line.edition,
                date(ground, line)
            )
        });
        let missing = match older {
            Some(_) => format!("pass “{title}” again, edition {edition}"),
            None => format!("pass “{title}”"),
        };
        return found(reason, Some(missing));
    };
    let says = told(ground, latest);
    if latest.state != State::Passed {
        let none_left = ground.tally.left(wanted, ground.marking).left == 0;
        let missing = if none_left {
            format!("pass “{title}”: all tries are used, a trainer must release another")
        } else {
            format!("pass “{title}”")
        };
        return found(Some(says), Some(missing));
    }
    match since.filter(|since| latest.begun <= since.at) {
        None => found(Some(says), None),
        Some(since) => found(
            Some(format!("{says}, before {}", since.says)),
            Some(format!("pass “{title}” again")),
        ),
    }
}

/// In a sentence each, what was failed of the competency's evidence in its present edition: the latest counted attempt,
/// and any that was closed after the signature.
pub(super) fn failed_after(ground: &Ground, signed: Timestamp) -> Vec<String> {
    let mut failed = Vec::new();
    for wanted in &ground.competency.evidence {
        let (_, edition) = title_and_edition(ground.marking, wanted);
        let lines: Vec<&AttemptLine> = counted(ground, wanted, edition).collect();
        let last = lines.len().saturating_sub(1);
        let ending = lines.iter().enumerate().rfind(|(index, line)| {
            line.state != State::Passed && (*index == last || line.closed.is_some_and(|closed| closed > signed))
        });
        failed.extend(ending.map(|(_, line)| told(ground, line)));
    }
    failed
}

/// The attempts at an assessment in one edition that count, in the order in which they were begun.
fn counted<'a>(
    ground: &'a Ground,
    wanted: &Evidence,
    edition: u32,
) -> impl DoubleEndedIterator<Item = &'a AttemptLine> {
    let numbered = ground.sittings.iter().zip(&ground.tally.counts);
    numbered
        .filter(move |(sitting, count)| {
            count.number.is_some() && sitting.line.assessment == *wanted && sitting.line.edition == edition
        })
        .map(|(sitting, _)| &sitting.line)
}

/// How an attempt ended, in a sentence.
fn told(ground: &Ground, line: &AttemptLine) -> String {
    let (title, on) = (&line.title, date(ground, line));
    let score = score(line);
    match line.state {
        State::Passed => format!("passed “{title}” on {on} {score}"),
        State::Left => format!("left “{title}” on {on}, which is failing it"),
        _ => format!("failed “{title}” on {on} {score}{}", slip(line)),
    }
}

/// What an attempt earned. A run through a drill earns nothing but its end.
fn score(line: &AttemptLine) -> String {
    if let Evidence::Drill(_) = line.assessment {
        let acts = line.answers.iter().filter(|answer| answer.at != LEAVE_IT).count();
        return format!("after {acts} {}", if acts == 1 { "act" } else { "acts" });
    }
    format!("with {} of {}", figure(line.marks), line.max)
}

fn slip(line: &AttemptLine) -> String {
    if !line.missed_critical.is_empty() {
        format!("; critical questions missed: {}", line.missed_critical.join(", "))
    } else if let Some(says) = line.first_unsafe_says() {
        format!("; {says}")
    } else if line.answers.last().is_some_and(|last| last.response == LEAVE_IT) {
        "; it was given up".to_owned()
    } else {
        String::new()
    }
}

fn date(ground: &Ground, line: &AttemptLine) -> jiff::civil::Date {
    ground.day.date_of(line.closed.unwrap_or(line.begun))
}

/// The title and edition of an assessment on a course; its id and 1 where the course does not have it.
pub(super) fn title_and_edition(marking: &Marking, wanted: &Evidence) -> (String, u32) {
    marking.assessment(wanted).map_or_else(
        || (wanted.to_string(), 1),
        |known| (known.title.to_owned(), known.edition),
    )
}
