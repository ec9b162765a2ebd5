//! What is said of a performance that was just entered.

use super::super::Voice;
use super::super::entry::{Desk, stands};
use crate::marking::{Competency, Marking};
use crate::record::{Statement, StepSeen, Witnessing};
use crate::standing::{Competence, May, Person};
use serde_json::{Value, json};

/// Says what was written, what it counts as, and what is still missing.
pub(super) fn read_back(statement: &Statement, seen: &Witnessing, desk: &Desk, voice: &mut Voice) {
    // As of today, whichever day it was: what has come since counts too.
    let person = desk.person_on(&statement.person, &desk.today()).ok().flatten();
    let competence = person.as_ref().and_then(|person| person.competence(&seen.competency));
    let marking = desk.marking().ok();
    let known = marking.and_then(|marking| marking.competency(&seen.competency));
    let counts = competence
        .zip(known)
        .map(|(competence, known)| counts(statement, competence, known));
    let warnings = match (&person, marking, known) {
        (Some(person), Some(marking), Some(known)) => warnings(person, marking, known, seen),
        _ => Vec::new(),
    };
    if voice.json {
        let body: Value = serde_json::from_str(&statement.body).unwrap_or(Value::Null);
        let counts = counts.map(|(counts, says)| json!({ "counts": counts, "says": says }));
        voice.say_json(&json!({ "entered": body, "standing": competence, "counts": counts, "warnings": warnings }));
        return;
    }
    let name = person.as_ref().and_then(|person| person.name.as_deref());
    let who = name.map_or_else(
        || statement.person.clone(),
        |name| format!("{} ({name})", statement.person),
    );
    voice.say(format!(
        "Entered {}: {who} {}, on {}.",
        statement.id,
        statement.about(),
        desk.day.date
    ));
    if let Some(known) = known {
        voice.say(format!("  “{}”", known.says));
        steps_back(seen, known, voice);
    }
    if let Some((_, says)) = counts {
        voice.say(format!("  {says}"));
    }
    if let Some(competence) = competence {
        stands(competence, voice);
    }
    for warning in warnings {
        voice.tell(format!("warning: {warning}"));
    }
}

/// Each step that was not simply met, in its own words.
fn steps_back(seen: &Witnessing, known: &Competency, voice: &mut Voice) {
    let Some(sheet) = known.sheet.as_ref().filter(|_| !seen.steps.is_empty()) else {
        return;
    };
    voice.say(format!(
        "  steps met: {} of {}",
        seen.steps_that(StepSeen::Met).len(),
        seen.steps.len()
    ));
    let says = |number: usize| sheet.steps.get(number - 1).map_or("", String::as_str);
    // Those that the sheet leaves out by itself need no words; a number that somebody typed does, lest it be the wrong one.
    let by_itself = |number: usize| {
        let by_itself = |all: &[u32]| u32::try_from(number).is_ok_and(|number| all.contains(&number));
        by_itself(&sheet.conditional) || !seen.real && by_itself(&sheet.not_staged)
    };
    let (plain, typed): (Vec<usize>, Vec<usize>) = seen
        .steps_that(StepSeen::NotSeen)
        .into_iter()
        .partition(|number| by_itself(*number));
    if !plain.is_empty() {
        let plain: Vec<String> = plain.iter().map(ToString::to_string).collect();
        voice.say(format!("  not seen, as the sheet has it: {}", plain.join(", ")));
    }
    let marked = [StepSeen::Prompted, StepSeen::NotMet].map(|how| (how, seen.steps_that(how)));
    let mut named: Vec<(usize, StepSeen)> = marked
        .into_iter()
        .chain([(StepSeen::NotSeen, typed)])
        .flat_map(|(how, numbers)| numbers.into_iter().map(move |number| (number, how)))
        .collect();
    named.sort_unstable();
    for (number, how) in named {
        voice.say(format!("  {number:>2} {}: {}", how.word(), says(number)));
    }
}

/// Whether it counts, and as which one of how many, or why not.
fn counts(statement: &Statement, competence: &Competence, known: &Competency) -> (bool, String) {
    let due = known.witnessed;
    let found = competence.watchings.iter().find(|one| one.id == statement.id);
    if found.is_none_or(|one| !one.counts) {
        let why = found.map_or("", |one| one.says.as_str());
        return (false, format!("counts for nothing: {why}"));
    }
    // Which one it is in the order of time: a day may be entered late.
    let before = competence.watchings.iter().take_while(|one| one.id != statement.id);
    let number = before.filter(|one| one.counts).count() + 1;
    let real = match due.real {
        0 => String::new(),
        real => format!("; on real calls {} of {real}", competence.watched.real),
    };
    let times = usize::try_from(due.times).unwrap_or(usize::MAX);
    let says = match number > times {
        true => format!("counts, as number {number} where {} are needed{real}", due.times),
        false => format!("counts as {number} of {}{real}", due.times),
    };
    (true, says)
}

/// What whoever stands beside should know, though it hinders nothing.
fn warnings(person: &Person, marking: &Marking, known: &Competency, seen: &Witnessing) -> Vec<String> {
    let who = &person.person;
    let mut warnings = Vec::new();
    let may = |id: &str| person.competence(id).map(|competence| competence.may);
    if !seen.real && may(&known.id) == Some(May::Nothing) {
        warnings.push(format!(
            "{who} may not do {} at all yet, not even accompanied: what is to be read and passed comes before anything is staged",
            known.id
        ));
    }
    for lockout in marking.lockouts_under(known) {
        let shown = person.competence(&lockout.id);
        if shown.is_some_and(|shown| shown.may != May::Alone && shown.watched.met == 0) {
            warnings.push(format!(
                "before {who} works behind a guard, the staging sheet wants them to have locked out a sound pair with the trainer beside them: no watching of {} counts yet",
                lockout.id
            ));
        }
    }
    warnings
}
