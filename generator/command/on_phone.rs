//! What a slip on a phone still says yes to, once the register no longer does.

use super::entry::Desk;
use crate::record::{Deed, Event, Statement, What};
use crate::standing::{Day, May, person};
use jiff::civil::Date;
use std::collections::BTreeMap;

/// A slip that was given to somebody: on which day, and until when it says yes to what.
struct Given<'s> {
    on: Date,
    alone: &'s BTreeMap<String, Date>,
}

/// For each person whose standing these statements took from, whether the latest slip still says yes to something that
/// may no longer be done alone, and what to do.
pub fn still_says_yes(desk: &Desk, entered: &[Statement]) -> Vec<String> {
    let takes = |statement: &&Statement| match &statement.deed {
        Deed::Entered(event) => match &event.what {
            What::Withdrawn { .. } | What::MustRetrain { .. } | What::Left | What::Voided { .. } => true,
            // A signature ends with a performance that was not met, and with one that it was founded on.
            What::Witnessed(seen) => !seen.met,
            _ => false,
        },
        _ => false,
    };
    let mut people: Vec<&str> = entered.iter().filter(takes).map(|one| one.person.as_str()).collect();
    people.dedup();
    if people.is_empty() {
        return Vec::new();
    }
    let Ok(statements) = desk.register.statements() else {
        return Vec::new();
    };
    let today = desk.today();
    people
        .into_iter()
        .filter_map(|who| warning(desk, who, &statements, &today))
        .collect()
}

fn warning(desk: &Desk, who: &str, statements: &[Statement], today: &Day) -> Option<String> {
    let slip = latest(who, statements, today)?;
    let stands = person(who, statements, desk.register.markings(), &BTreeMap::new(), today)?;
    let alone = |id: &str| stands.competence(id).is_some_and(|known| known.may == May::Alone);
    let wrong = slip
        .alone
        .iter()
        .filter(|(id, last)| **last >= today.date && !alone(id));
    let last = wrong.map(|(_, last)| *last).max()?;
    Some(format!(
        "The slip of {} still says yes until {last} on the phone of {who}. Write a new one now (`pitwright slip {who} --by {}`), have it brought in, and tell {who} face to face.",
        slip.on, desk.by
    ))
}

/// The latest slip that the register knows of: the course takes no older one after it.
fn latest<'s>(who: &str, statements: &'s [Statement], today: &Day) -> Option<Given<'s>> {
    let given = statements
        .iter()
        .filter(|one| one.person == who)
        .filter_map(|statement| {
            let Deed::Entered(Event {
                what: What::GivenSlip { alone },
                ..
            }) = &statement.deed
            else {
                return None;
            };
            let on = today.date_of(statement.timestamp);
            Some((statement.timestamp, Given { on, alone }))
        });
    given.max_by_key(|(at, _)| *at).map(|(_, given)| given)
}
