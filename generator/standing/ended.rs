//! What a trainer or signer entered that ends a standing: retraining that fell due, a withdrawal.

use super::competence::Ground;
use super::employment::note;
use crate::record::{Deed, Event, What};
use jiff::Timestamp;
use jiff::civil::Date;

/// Retraining that fell due.
pub(super) struct Retraining {
    pub at: Timestamp,
    pub date: Date,
    pub says: String,
}

/// The latest retraining that fell due. Coming back after having left is a change of job assignment, which is a
/// trigger for everything.
///
/// Source: 29 CFR 1910.147(c)(7)(iii)(A) and (B).
pub(super) fn retraining(ground: &Ground) -> Option<Retraining> {
    let entered = events(ground).rev().find_map(|(at, event)| match &event.what {
        What::MustRetrain { competency, trigger } if *competency == ground.competency.id => {
            let date = ground.day.date_of(at);
            Some(Retraining {
                at,
                date,
                says: format!(
                    "retraining fell due on {date}: {} ({})",
                    trigger.says(),
                    by(ground, event)
                ),
            })
        }
        _ => None,
    });
    let returned = ground
        .employment
        .returns
        .iter()
        .rev()
        .find(|(_, back)| ground.until.is_none_or(|until| *back <= until))
        .map(|(left, back)| {
            let date = ground.day.date_of(*back);
            Retraining {
                at: *back,
                date,
                says: format!(
                    "came back on {date} after leaving on {}, which is a change of job assignment",
                    ground.day.date_of(*left)
                ),
            }
        });
    entered.into_iter().chain(returned).max_by_key(|found| found.at)
}

/// That a competency was taken away.
pub(super) struct Withdrawal {
    pub at: Timestamp,
    pub date: Date,
    /// The last moment of that day: only what came after it leads back.
    pub day_over: Timestamp,
    pub says: String,
}

/// The latest withdrawal.
pub(super) fn withdrawal(ground: &Ground) -> Option<Withdrawal> {
    events(ground).rev().find_map(|(at, event)| match &event.what {
        What::Withdrawn { competency } if *competency == ground.competency.id => {
            let day = super::Day {
                date: ground.day.date_of(at),
                zone: ground.day.zone.clone(),
            };
            Some(Withdrawal {
                at,
                date: day.date,
                day_over: day
                    .end()
                    .checked_sub(jiff::SignedDuration::from_nanos(1))
                    .unwrap_or(Timestamp::MAX),
                says: format!("withdrawn on {} ({})", day.date, by(ground, event)),
            })
        }
        _ => None,
    })
}

fn events<'a>(ground: &'a Ground) -> impl DoubleEndedIterator<Item = (Timestamp, &'a Event)> {
    ground.own.iter().filter_map(|statement| match &statement.deed {
        Deed::Entered(event) => Some((statement.timestamp, event)),
        _ => None,
    })
}

/// Who entered it, and why.
fn by(ground: &Ground, event: &Event) -> String {
    match note(event, ground.details) {
        Some(note) => format!("{}: {note}", event.by),
        None => format!("entered by {}", event.by),
    }
}
