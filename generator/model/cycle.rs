//! `cycles` of `lessons/machines/NAME.yml`: what moves when, in one turn of a shaft or in seconds.

use super::{Id, Keyed, Text, Tree};
use crate::source::At;
use serde::de::Error;
use serde::{Deserialize, Deserializer};
use std::fmt;

/// One cycle of a machine: its units, and what each does from when to when.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct Cycle {
    pub title: At<String>,
    /// What sets it off and what it is for, in a sentence or two.
    #[serde(default)]
    pub says: Option<Text>,
    /// How far the shaft turns, as `360 degrees`: 1 to 3600, to a tenth. Either this or `lasts`.
    #[serde(default)]
    pub turns: Option<At<Degrees>>,
    /// The shaft whose degrees are counted; with `turns` only.
    #[serde(default)]
    pub shaft: Option<At<String>>,
    /// How long it takes, as `12 s`: 0.1 to 600 seconds, to a tenth. Either this or `turns`.
    #[serde(default)]
    pub lasts: Option<At<Seconds>>,
    /// A drawing of the theme whose elements name with `data-when` the poses in which they show.
    #[serde(default)]
    pub drawing: Option<Id>,
    /// Parts of the machine, in the order of the chart's rows.
    pub units: Keyed<Unit>,
    #[serde(default)]
    pub never_together: Vec<Apart>,
}

/// What one part does in a cycle.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct Unit {
    /// What it is called in the chart, as it stands in a sentence after "the"; its id where this is left out.
    #[serde(default)]
    pub called: Option<At<String>>,
    /// What it does outside its spans: "waits up".
    #[serde(default)]
    pub rests: Option<At<String>>,
    /// How the drawing shows it outside its spans.
    #[serde(default)]
    pub pose: Option<Id>,
    #[serde(default)]
    pub spans: Keyed<Doing>,
}

/// Something that a unit does, from when to when. It has begun at `from`, and is over at `to`.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct Doing {
    /// In the degrees or seconds of the cycle, to a tenth.
    pub from: At<Tenths>,
    /// In the degrees or seconds of the cycle, to a tenth.
    pub to: At<Tenths>,
    /// The words after the unit's name: "drags back".
    pub does: At<String>,
    /// It holds where it is: at guard, or up with pins in it.
    #[serde(default)]
    pub still: bool,
    /// How the drawing shows it meanwhile.
    #[serde(default)]
    pub pose: Option<Id>,
}

/// Two units that may not do two things at one time.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct Apart {
    /// Exactly two units, each with a span, the word `moving`, or a list of those.
    pub between: Keyed<At<Tree>>,
    pub because: Text,
}

/// The word that stands for every span in which a unit moves.
pub const MOVING: &str = "moving";

/// The value that a binding names for what has no value; no pose may be called so.
pub const UNSEEN: &str = "unseen";

/// What a cycle is counted in.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Measure {
    Degrees,
    Seconds,
}

impl Measure {
    /// A number of it, as a sentence says it.
    pub fn of(self, number: Tenths) -> String {
        match self {
            Self::Degrees => format!("{number}°"),
            Self::Seconds => format!("{number} s"),
        }
    }

    /// The key of its word in the interface.
    pub fn word(self) -> &'static str {
        match self {
            Self::Degrees => "degrees",
            Self::Seconds => "seconds",
        }
    }
}

/// A number of degrees or seconds in whole tenths, from 0 to 3600.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Tenths(pub u32);

const MOST: u32 = 36_000;

impl Tenths {
    /// Reads `[0-9]+` or `[0-9]+\.[0-9]` up to 3600.
    pub fn read(text: &str) -> Option<Self> {
        let (whole, tenth) = text.split_once('.').unwrap_or((text, "0"));
        let digits = |part: &str| !part.is_empty() && part.bytes().all(|byte| byte.is_ascii_digit());
        if !digits(whole) || !digits(tenth) || tenth.len() != 1 {
            return None;
        }
        let tenths = whole.parse::<u32>().ok()?.checked_mul(10)? + tenth.parse::<u32>().ok()?;
        (tenths <= MOST).then_some(Self(tenths))
    }
}

impl fmt::Display for Tenths {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.0 % 10 {
            0 => write!(f, "{}", self.0 / 10),
            tenth => write!(f, "{}.{tenth}", self.0 / 10),
        }
    }
}

impl<'de> Deserialize<'de> for Tenths {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let text = String::deserialize(deserializer)?;
        Self::read(&text).ok_or_else(|| {
            D::Error::custom(format!(
                "`{text}` is not a number from 0 to 3600 with at most one digit after the point, like 140 or 7.5"
            ))
        })
    }
}

/// How far a shaft turns, written as `360 degrees`.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Degrees(pub Tenths);

/// How long a cycle takes, written as `12 s`.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Seconds(pub Tenths);

impl<'de> Deserialize<'de> for Degrees {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let text = String::deserialize(deserializer)?;
        measured(&text, "degrees", 10, MOST)
            .map(Self)
            .ok_or_else(|| D::Error::custom(format!("`{text}` is not a turn of 1 to 3600 degrees, like 360 degrees")))
    }
}

impl<'de> Deserialize<'de> for Seconds {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let text = String::deserialize(deserializer)?;
        measured(&text, "s", 1, 6000)
            .map(Self)
            .ok_or_else(|| D::Error::custom(format!("`{text}` is not a time of 0.1 to 600 seconds, like 12 s")))
    }
}

/// A number and its unit, within bounds in tenths.
fn measured(text: &str, unit: &str, least: u32, most: u32) -> Option<Tenths> {
    let (number, rest) = text.split_once(' ')?;
    Tenths::read(number).filter(|number| rest.trim() == unit && (least..=most).contains(&number.0))
}

impl Cycle {
    /// What it is counted in and how much of it there is; `None` unless it says exactly one of `turns` and `lasts`.
    pub fn length(&self) -> Option<(Measure, Tenths)> {
        match (&self.turns, &self.lasts) {
            (Some(turns), None) => Some((Measure::Degrees, turns.value.0)),
            (None, Some(lasts)) => Some((Measure::Seconds, lasts.value.0)),
            _ => None,
        }
    }
}

impl Unit {
    /// What it is called after "the".
    pub fn name(&self, id: &str) -> String {
        match &self.called {
            Some(called) => called.value.clone(),
            None => id.replace('-', " "),
        }
    }

    /// The spans that a pair means by its words, each once, in the order of the file.
    pub fn meant(&self, words: &[Id]) -> Vec<(&Id, &Doing)> {
        self.spans
            .iter()
            .filter(|(id, doing)| {
                words
                    .iter()
                    .any(|word| word.value == id.value || (word.value == MOVING && !doing.still))
            })
            .collect()
    }

    /// Every pose that it takes: at rest, then span by span.
    pub fn poses(&self) -> impl Iterator<Item = &Id> {
        let spans = self.spans.values().filter_map(|doing| doing.pose.as_ref());
        self.pose.iter().chain(spans)
    }
}

impl Apart {
    /// A unit's words, each with its place; `None` where they are neither a word nor a list of words.
    pub fn words(tree: &At<Tree>) -> Option<Vec<Id>> {
        let word = |one: &At<Tree>| match &one.value {
            Tree::Word(word) => Some(At {
                value: word.clone(),
                start: one.start,
                end: one.end,
            }),
            _ => None,
        };
        match &tree.value {
            Tree::Word(_) => word(tree).map(|word| vec![word]),
            Tree::List(list) if !list.is_empty() => list.iter().map(word).collect(),
            Tree::List(_) | Tree::Map(_) => None,
        }
    }

    /// Both units and their words, if there are exactly two of them.
    pub fn pair(&self) -> Option<[(&Id, Vec<Id>); 2]> {
        let mut sides = self.between.iter().map(|(unit, tree)| Some((unit, Self::words(tree)?)));
        let pair = [sides.next()??, sides.next()??];
        sides.next().is_none().then_some(pair)
    }
}
