//! Who may enter what, about whom.

use super::super::Ledger;
use super::named::ids;
use super::{Entering, NotEntered};
use crate::marking::{Competency, Marking};
use crate::record::{Deed, Event, Inspection, Statement, Thing, What, did_you_mean, entry_name};
use crate::standing::{joined_after, left_on, voids};
use jiff::civil::Date;

/// Until so many days after it somebody remembers what they saw; later they say how they know it still.
const REMEMBERED: i32 = 14;

/// What an event is held against.
pub(super) struct Bench<'a> {
    pub ledger: &'a Ledger,
    /// The marking in force on the day of the event, and the newest one: roles are those of today.
    pub marking: &'a Marking,
    pub newest: &'a Marking,
    pub today: Date,
    /// All that is on record.
    pub statements: &'a [Statement],
    /// All that is to be entered together.
    pub together: &'a [Entering<'a>],
}

impl Bench<'_> {
    /// Whether this may be entered.
    pub fn may(&self, entering: &Entering) -> Result<(), NotEntered> {
        let event = &entering.event;
        let competency = event.competency().map(|id| self.competency(id)).transpose()?;
        self.is_of_the_course(&event.what)?;
        self.answers(entering, competency)?;
        self.words(entering)?;
        if let What::Voided { entry } = &event.what {
            self.voidable(entry, entering)?;
        }
        match &event.what {
            What::Joined { .. } => Ok(()),
            What::Inspected(seen) => self.inspection(event, seen),
            _ => self.is_here(entering),
        }
    }

    /// Whether whoever answers for it may.
    fn answers(&self, entering: &Entering, competency: Option<&Competency>) -> Result<(), NotEntered> {
        let (event, newest) = (&entering.event, self.newest);
        let by = &event.by;
        if *by == entering.person {
            match &event.what {
                What::Inspected(_) => {}
                // An inspection stands in the record of whoever inspected.
                What::Voided { entry } if self.is_inspection(entry) => {}
                What::Witnessed(_) | What::SignedOff { .. } => return Err(NotEntered::OwnWork),
                _ => return Err(NotEntered::OwnRecord),
            }
        }
        match (&event.what, competency) {
            (What::SignedOff { .. }, Some(competency)) => {
                let role = &competency.signed_by;
                if newest.signers.get(by).is_none_or(|signer| signer.role != *role) {
                    let signers = newest.signers.iter().filter(|(_, signer)| signer.role == *role);
                    return Err(NotEntered::NotTheSigner {
                        code: by.clone(),
                        role: role.clone(),
                        signers: signers.map(|(code, _)| code.clone()).collect(),
                    });
                }
            }
            (What::Witnessed(_) | What::Released { .. }, _) => {
                if !newest.trainers.contains_key(by) {
                    return Err(NotEntered::NotATrainer {
                        code: by.clone(),
                        trainers: newest.trainers.keys().cloned().collect(),
                    });
                }
            }
            (What::Inspected(_), _) => {
                if !self.has_a_role(by) {
                    self.is_known(by)?;
                }
            }
            (What::MustRetrain { .. }, _) if self.was_seen_to_deviate(entering) => {}
            _ => {
                if !self.has_a_role(by) {
                    return Err(NotEntered::NotOfTheCourse {
                        code: by.clone(),
                        known: newest.trainers.keys().chain(newest.signers.keys()).cloned().collect(),
                    });
                }
            }
        }
        Ok(())
    }

    fn has_a_role(&self, code: &str) -> bool {
        self.newest.trainers.contains_key(code) || self.newest.signers.contains_key(code)
    }

    /// Whether it comes with an inspection by the same inspector that found the person deviating.
    fn was_seen_to_deviate(&self, entering: &Entering) -> bool {
        self.together.iter().any(|other| {
            other.event.by == entering.event.by
                && matches!(&other.event.what, What::Inspected(seen)
                    if !seen.clean && seen.included.iter().any(|code| code == entering.person))
        })
    }

    /// Whether what it needs to say in words is said.
    fn words(&self, entering: &Entering) -> Result<(), NotEntered> {
        let blank = |words: Option<&str>| words.is_none_or(|words| words.trim().is_empty());
        match &entering.event.what {
            What::Joined { .. } if blank(entering.name) => Err(NotEntered::NoName),
            What::Withdrawn { .. } if blank(entering.note) => Err(NotEntered::NoReason),
            What::Voided { .. } if blank(entering.note) => Err(NotEntered::NoReasonToVoid),
            What::Witnessed(seen) if blank(entering.note) => {
                let (date, today) = (entering.day.date, self.today);
                if seen.out_of_turn {
                    return Err(NotEntered::NoReasonOutOfTurn);
                }
                // A wrong day is asked about first: a note does not mend it.
                self.is_here(entering)?;
                let since = date.until(today).map_or(0, |span| span.get_days());
                if since > REMEMBERED {
                    return Err(NotEntered::LongAgo { date, days: since });
                }
                Ok(())
            }
            What::Released { more: 0, .. } => Err(NotEntered::NoTries),
            _ => Ok(()),
        }
    }

    fn inspection(&self, event: &Event, seen: &Inspection) -> Result<(), NotEntered> {
        if seen.included.is_empty() {
            return Err(NotEntered::NobodyIncluded);
        }
        if seen.included.contains(&event.by) {
            return Err(NotEntered::OwnInspection { code: event.by.clone() });
        }
        seen.included.iter().try_for_each(|code| self.is_known(code))
    }

    /// Whether the person is on record, and works here wherever that matters. What ends a standing may be entered of
    /// somebody who has left, so that it is known on the day they come back.
    fn is_here(&self, entering: &Entering) -> Result<(), NotEntered> {
        self.is_known(entering.person)?;
        let always = matches!(
            entering.event.what,
            What::Withdrawn { .. }
                | What::MustRetrain { .. }
                | What::GivenSlip { .. }
                | What::Voided { .. }
                | What::Erased { .. }
        );
        if !always && let Some(joined) = joined_after(entering.person, self.statements, entering.day) {
            return Err(NotEntered::BeforeJoining {
                code: entering.person.to_owned(),
                on: entering.day.date,
                joined,
            });
        }
        match left_on(entering.person, self.statements, entering.day) {
            Some(on) if !always => Err(NotEntered::HasLeft {
                code: entering.person.to_owned(),
                on,
            }),
            _ => Ok(()),
        }
    }

    /// Whether this entry can be voided within this person's record.
    fn voidable(&self, entry: &str, entering: &Entering) -> Result<(), NotEntered> {
        let found = self.statements.iter().find(|statement| statement.id == entry);
        let found = found.filter(|statement| statement.person == entering.person);
        let Some(found) = found else {
            return Err(NotEntered::NoEntry {
                entry: entry.to_owned(),
            });
        };
        let not_voidable = |why: &str| NotEntered::NotVoidable {
            entry: entry_name(entry).to_owned(),
            about: format!("{} {}", found.person, found.about()),
            why: why.to_owned(),
        };
        let Deed::Entered(event) = &found.deed else {
            return Err(not_voidable(
                "what somebody handed in is their own record of what they did",
            ));
        };
        if let Some(why) = event.what.not_voidable() {
            return Err(not_voidable(why));
        }
        if let Some(void) = voids(self.statements.iter()).get(entry) {
            let date = entering.day.date_of(void.timestamp);
            return Err(not_voidable(&format!("it was voided on {date} already")));
        }
        let date = entering.day.date_of(found.timestamp);
        if entering.day.date < date {
            return Err(not_voidable(&format!(
                "it is of {date}, and nothing is voided before it is there"
            )));
        }
        Ok(())
    }

    fn is_inspection(&self, entry: &str) -> bool {
        let mut all = self.statements.iter();
        all.find(|statement| statement.id == entry).is_some_and(
            |statement| matches!(&statement.deed, Deed::Entered(event) if matches!(event.what, What::Inspected(_))),
        )
    }

    fn is_known(&self, code: &str) -> Result<(), NotEntered> {
        if self.ledger.people.contains(code) {
            return Ok(());
        }
        Err(NotEntered::NoPerson {
            code: code.to_owned(),
            hint: did_you_mean(code, self.ledger.people.iter().map(String::as_str)),
        })
    }

    fn competency(&self, id: &str) -> Result<&Competency, NotEntered> {
        self.marking
            .competency(id)
            .ok_or_else(|| NotEntered::no_competency(id, self.marking))
    }

    /// Whether the course of that day has what it is about.
    fn is_of_the_course(&self, what: &What) -> Result<(), NotEntered> {
        let (sort, id) = match what {
            What::Assigned { thing, .. } => match thing {
                Thing::Lesson(id) => ("lesson", id.as_str()),
                Thing::Assessment(one) => (one.sort(), one.id()),
                _ => return Ok(()),
            },
            What::Released { assessment, .. } => (assessment.sort(), assessment.id()),
            What::Joined { job: Some(id) } => ("job", id.as_str()),
            What::Inspected(seen) => ("machine", seen.machine.as_str()),
            _ => return Ok(()),
        };
        if ids(sort, self.marking).contains(&id) {
            return Ok(());
        }
        Err(NotEntered::nothing(&[sort], id, self.marking))
    }
}
