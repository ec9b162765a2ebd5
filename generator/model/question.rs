//! Questions, as written.

use super::{Id, Keyed, Text, Tree};
use crate::marking::Decimal;
use crate::source::At;
use serde::Deserialize;

/// One question of a bank or a lesson.
#[derive(Debug, Clone)]
pub struct Question {
    pub competency: Id,
    /// A miss fails the attempt.
    pub critical: bool,
    pub stem: Text,
    /// A drawing that is shown with it.
    pub drawing: Option<Id>,
    /// Why the right answer is right, shown afterwards.
    pub because: Text,
    pub answer: Answer,
}

/// How it is answered.
#[derive(Debug, Clone)]
pub enum Answer {
    /// One of the options, or several where `right` names several.
    Choice {
        options: Keyed<Text>,
        right: Vec<Id>,
        /// A share of the mark for some of several; all or nothing otherwise.
        partial: bool,
    },
    /// What belongs to what.
    Matching { pairs: Keyed<Pair> },
    /// Steps, written in their right order; or, with a drill, acts of its machine, of which every order is right that is.
    Sequencing {
        steps: Keyed<Text>,
        model: Option<Modelled>,
    },
    /// A number.
    Numeric {
        answer: At<Decimal>,
        tolerance: At<Decimal>,
        unit: At<String>,
        guess: At<Guess>,
    },
    /// A spot of the question's drawing: each is said in words that do not name it. Each of `right` is right.
    Place { spots: Keyed<Text>, right: Vec<Id> },
}

/// What a sequencing is marked by where a machine marks it. The ids of its steps are actions.
#[derive(Debug, Clone)]
pub struct Modelled {
    pub drill: Id,
    /// Which of the drill's starts it is, by some of its values; the only one where it is left out.
    pub start: Option<At<Tree>>,
    /// Actions that were done before, in this order.
    pub before: Vec<Id>,
}

/// Two things that belong together.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct Pair {
    pub says: Text,
    pub goes_with: Text,
}

impl Answer {
    /// The word of its kind.
    pub fn word(&self) -> &'static str {
        match self {
            Self::Choice { .. } => "choice",
            Self::Matching { .. } => "matching",
            Self::Sequencing { .. } => "sequencing",
            Self::Numeric { .. } => "numeric",
            Self::Place { .. } => "place",
        }
    }

    /// The ids inside it, in the order of the file.
    pub fn ids(&self) -> Vec<&Id> {
        match self {
            Self::Choice { options: texts, .. }
            | Self::Sequencing { steps: texts, .. }
            | Self::Place { spots: texts, .. } => texts.keys().collect(),
            Self::Matching { pairs } => pairs.keys().collect(),
            Self::Numeric { .. } => Vec::new(),
        }
    }

    /// Its texts, in the order of the file, by column: a matching has two columns, a number has none.
    pub fn columns(&self) -> Vec<Vec<&Text>> {
        match self {
            Self::Choice { options: texts, .. }
            | Self::Sequencing { steps: texts, .. }
            | Self::Place { spots: texts, .. } => {
                vec![texts.values().collect()]
            }
            Self::Matching { pairs } => vec![
                pairs.values().map(|pair| &pair.says).collect(),
                pairs.values().map(|pair| &pair.goes_with).collect(),
            ],
            Self::Numeric { .. } => Vec::new(),
        }
    }
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
