//! `lessons/machines/NAME.yml` and `quizzes/drills/NAME.yml`, as written: names are not looked up yet.

use super::{Cycle, Id, Keyed, Text, Tree};
use crate::source::At;
use serde::Deserialize;

/// A machine: its glossary, what can be seen of its stops, and how it moves.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct Machine {
    pub title: At<String>,
    /// The machine is invented.
    #[serde(default)]
    pub demo: bool,
    #[serde(default)]
    pub parts: Keyed<Part>,
    #[serde(default)]
    pub signs: Keyed<Text>,
    /// Signs that show only to somebody who looks or reaches past a guard. They are taught, and nobody is asked about them.
    #[serde(default)]
    pub behind_guards: Vec<Id>,
    /// What makes somebody leave the machine, whatever stopped it, and what they then do.
    #[serde(default)]
    pub at_once: Keyed<AtOnce>,
    #[serde(default)]
    pub places: Keyed<Place>,
    /// Variables: the first value is the one at rest.
    #[serde(default)]
    pub state: Keyed<At<Tree>>,
    /// For a variable or a family, clauses that tell of its values in stories: `cup: { two: "cup {n} holds two pins" }`.
    #[serde(default)]
    pub tells: Keyed<Keyed<Text>>,
    /// What is seen only while a condition holds: `{ until: CONDITION }`, or `{}` for never.
    #[serde(default)]
    pub hidden: Keyed<At<Tree>>,
    #[serde(default)]
    pub hazards: Keyed<Hazard>,
    #[serde(default)]
    pub actions: Keyed<Action>,
    #[serde(default)]
    pub reactions: Keyed<Reaction>,
    #[serde(default)]
    pub others: Keyed<Reaction>,
    #[serde(default)]
    pub rules: Keyed<Order>,
    /// What its units do by themselves, span by span. Nothing is explored or proven of them.
    #[serde(default)]
    pub cycles: Keyed<Cycle>,
    /// What can be looked at in a drill.
    #[serde(default)]
    pub views: Keyed<View>,
    /// Where within a place acts are done: a drill lists them by it.
    #[serde(default)]
    pub spots: Keyed<ActSpot>,
}

/// What comes before every look at a stop.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct AtOnce {
    /// What is seen, heard or smelt.
    pub when: Text,
    /// What to do.
    pub says: Text,
    /// A key of the centre's `call`.
    pub call: Id,
    /// Signs that mean it: whoever sees one is asked no further.
    #[serde(default)]
    pub signs: Vec<Id>,
}

/// A drawing that shows the machine's state, from somewhere.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct View {
    pub says: Text,
    /// What is said of all that is not named, as "every cup not named holds one pin".
    #[serde(default)]
    pub otherwise: Option<Text>,
    /// `theme/drawings/NAME.svg`; what stands in `data-when` there shows only while it holds.
    pub drawing: Id,
    /// The places from which it can be looked at. At the first of them it is what one looks at on coming there.
    pub from: Vec<Id>,
}

/// Acts that are done at one spot of a place.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct ActSpot {
    pub says: Text,
    pub acts: Vec<Id>,
}

#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct Part {
    /// What it does.
    pub says: Text,
    /// How it can hurt.
    #[serde(default)]
    pub hurts: Option<Text>,
}

/// Where a person can be.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct Place {
    pub says: Text,
    /// Past a guard.
    #[serde(default)]
    pub inside: bool,
}

/// What can hurt a person or break the machine.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct Hazard {
    /// Left out where only strikes name it.
    #[serde(default)]
    pub when: Option<At<Tree>>,
    pub to: At<Victim>,
    /// What it does, as a sentence.
    pub harm: Text,
    pub severity: At<super::Severity>,
    #[serde(default)]
    pub source: Option<Text>,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Victim {
    Person,
    Machine,
}

/// Something that the person at the machine can do.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct Action {
    pub says: Text,
    /// The place, or places, where it is done.
    #[serde(default)]
    pub at: Option<At<Tree>>,
    /// An index over a family: `{ n: 1..10 }`.
    #[serde(default, rename = "for")]
    pub each: Keyed<At<String>>,
    /// What is physically needed; never a permission.
    #[serde(default)]
    pub needs: Option<At<Tree>>,
    #[serde(default)]
    pub does: Option<At<Tree>>,
    #[serde(default)]
    pub strikes: Vec<Strike>,
    /// How long it takes: `10s`, `2min`. Shown, never marked.
    #[serde(default)]
    pub takes: Option<At<String>>,
}

/// A hazard that passes in a moment: judged before the effects. Without `when`, each time.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct Strike {
    #[serde(default)]
    pub when: Option<At<Tree>>,
    pub hazard: Id,
}

/// What the machine then does by itself, or what somebody else may do.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct Reaction {
    pub says: Text,
    pub when: At<Tree>,
    pub does: At<Tree>,
    #[serde(default)]
    pub strikes: Vec<Strike>,
    /// Others only: how likely it is after each act, as `1/4`.
    #[serde(default)]
    pub odds: Option<At<String>>,
}

/// An order of acts that the law or the centre fixes.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct Order {
    #[serde(default)]
    pub says: Option<Text>,
    /// The rule binds an act that makes this true.
    pub when: At<Tree>,
    /// Actions, one after another; a nested list is any order.
    pub order: At<Tree>,
    /// Acts after which the order must be done anew.
    #[serde(default)]
    pub again_after: Vec<Id>,
    pub source: Text,
}

/// A stop put into a machine.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct Drill {
    pub title: At<String>,
    pub edition: At<u32>,
    pub machine: Id,
    #[serde(default)]
    pub competencies: Vec<Id>,
    /// What the desk or the bowler says.
    pub report: Text,
    /// Values that differ from rest, or a list of such mappings; a list of values means that each of them is possible.
    pub start: At<Tree>,
    pub cured: At<Tree>,
    #[serde(default)]
    pub handed_over: Option<At<Tree>>,
    /// When the stop is not the trainee's to cure; none if it never is where it can be handed over.
    #[serde(default)]
    pub beyond: Option<At<Tree>>,
    /// Variables or families that are left alone.
    #[serde(default)]
    pub holds: Vec<Id>,
    /// Why a dead end is meant to be there.
    #[serde(default)]
    pub dead_ends: Option<Text>,
}
