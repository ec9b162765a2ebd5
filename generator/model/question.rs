//! Questions, as written.

use super::{Id, Keyed, Text};
use crate::marking::Decimal;
use crate::source::At;

/// One question of a bank or a lesson.
#[derive(Debug, Clone)]
pub struct Question {
    pub competency: Id,
    /// A miss fails the attempt.
    pub critical: bool,
    pub stem: Text,
    /// Why the right answer is right, shown afterwards.
    pub because: Text,
    pub answer: Answer,
}

/// How it is answered.
#[derive(Debug, Clone)]
pub enum Answer {
    /// One of the options.
    Choice { options: Keyed<Text>, right: Id },
    /// A number.
    Numeric {
        answer: At<Decimal>,
        tolerance: At<Decimal>,
        unit: At<String>,
        guess: At<Guess>,
    },
}

/// The grid from which somebody who knows nothing is taken to pick: `from`, `from + step`, … up to `to`.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Guess {
    pub from: Decimal,
    pub to: Decimal,
    pub step: Decimal,
}

impl Guess {
    /// Points of the grid; 0 where the grid is none (`step` not positive, or `to` below `from`).
    pub fn points(&self) -> u64 {
        self.count_between(self.from.millionths(), self.to.millionths())
    }

    /// Points of the grid that lie within `tolerance` of `answer`, edges included.
    pub fn right(&self, answer: Decimal, tolerance: Decimal) -> u64 {
        let low = (answer.millionths() - tolerance.millionths()).max(self.from.millionths());
        let high = (answer.millionths() + tolerance.millionths()).min(self.to.millionths());
        self.count_between(low, high)
    }

    fn count_between(&self, low: i64, high: i64) -> u64 {
        let (from, step) = (self.from.millionths(), self.step.millionths());
        if step <= 0 || high < low || low < from {
            return 0;
        }
        let first = (low - from + step - 1) / step;
        let last = (high - from) / step;
        u64::try_from(last - first + 1).unwrap_or(0)
    }
}
