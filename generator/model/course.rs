//! The course as a whole: outline, centre, competencies, machines.

use super::{Id, Keyed, Text};
use crate::source::At;
use serde::{Deserialize, Deserializer};

/// `lessons/outline.yml`.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct Outline {
    /// Names the browser's store and the register; never changed.
    pub course: Id,
    pub title: At<String>,
    /// Language tag (BCP 47).
    pub language: At<String>,
    /// The http(s) address under which every id is made. It need not answer.
    pub home: At<String>,
    /// The https address at which the course itself can be read, with `/` at its end: what codes on cards and labels hold.
    #[serde(default)]
    pub address: Option<At<String>>,
    /// The course is invented; every page says so.
    #[serde(default)]
    pub demo: bool,
    pub attempts: Attempts,
    pub modules: Vec<Module>,
    pub roles: Roles,
    /// What people are employed as, and what each job needs.
    #[serde(default)]
    pub jobs: Keyed<Job>,
    /// Days for which a slip answers for what a person may do.
    #[serde(default = "a_month")]
    pub slip_days: At<u32>,
    /// When a practice question comes again.
    #[serde(default)]
    pub review: Review,
    /// How often a sign shows, in numbers.
    #[serde(default)]
    pub shows: Shares,
}

/// The box scheme by which practice questions come again: S. Leitner, "So lernt man lernen", 1972. A right answer moves a
/// question on to the next box, a wrong one back to the first.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct Review {
    /// For each box, after how many days its questions come again; each more than the one before.
    pub after_days: Vec<At<u32>>,
}

/// The widths of Leitner's five compartments in centimetres, taken as days: what he filled them with was questions, not time.
impl Default for Review {
    fn default() -> Self {
        let days = [1, 2, 5, 8, 14];
        Self {
            after_days: days.map(|days| At::new(days, 0..0)).to_vec(),
        }
    }
}

/// The chance that a sign shows, for each word of a stop's `signs` and for a sign that a stop does not list. Custom, no source.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct Shares {
    pub always: At<Percent>,
    pub often: At<Percent>,
    pub sometimes: At<Percent>,
    pub never: At<Percent>,
    /// Nobody who knows the stop thought of it, and nobody ruled it out.
    pub not_listed: At<Percent>,
}

impl Default for Shares {
    fn default() -> Self {
        let share = |share| At::new(Percent(share), 0..0);
        Self {
            always: share(0.98),
            often: share(0.7),
            sometimes: share(0.3),
            never: share(0.02),
            not_listed: share(0.05),
        }
    }
}

impl Shares {
    /// All of them, from the most to the least, with the words by which they are written.
    pub fn falling(&self) -> [(&'static str, &At<Percent>); 5] {
        [
            ("always", &self.always),
            ("often", &self.often),
            ("sometimes", &self.sometimes),
            ("not-listed", &self.not_listed),
            ("never", &self.never),
        ]
    }
}

fn a_month() -> At<u32> {
    At::new(30, 0..0)
}

/// What somebody is employed as.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct Job {
    pub title: At<String>,
    pub competencies: Vec<Id>,
}

/// The rules for assessed attempts.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct Attempts {
    /// Tries before a trainer must release another.
    pub tries: At<u32>,
    /// Hours between two tries.
    pub wait_hours: At<u32>,
    /// The most that blind clicking may pass with, over all allowed tries.
    #[serde(default = "one_per_cent")]
    pub blind_pass_at_most: At<Percent>,
}

fn one_per_cent() -> At<Percent> {
    At::new(Percent(0.01), 0..0)
}

/// A share written as per cent, held from 0 to 1.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Percent(pub f64);

impl<'de> Deserialize<'de> for Percent {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let text = String::deserialize(deserializer)?;
        text.strip_suffix('%')
            .and_then(|number| number.trim().parse::<f64>().ok())
            .filter(|number| (0.0..=100.0).contains(number))
            .map(|number| Self(number / 100.0))
            .ok_or_else(|| {
                serde::de::Error::custom(format!("`{text}` is not a share between 0% and 100%, written like 80%"))
            })
    }
}

/// A group of lessons in the order in which they are best learnt.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct Module {
    pub id: Id,
    pub title: At<String>,
    pub lessons: Vec<Id>,
}

/// Who may witness and who may sign, by code.
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct Roles {
    pub trainers: Keyed<Trainer>,
    pub signers: Keyed<Signer>,
}

#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct Trainer {
    pub name: At<String>,
    /// The public key: Ed25519 as a Multikey (`z6Mk…`).
    #[serde(default)]
    pub key: Option<At<String>>,
}

#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct Signer {
    pub name: At<String>,
    pub role: At<String>,
    /// The public key: Ed25519 as a Multikey (`z6Mk…`).
    #[serde(default)]
    pub key: Option<At<String>>,
}

/// `lessons/centre.yml`: the centre's own facts. An empty value is a blank, which pages that need the fact refuse.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct Centre {
    pub name: At<String>,
    /// Which written lockout procedure applies.
    pub lockout_procedure: At<Option<String>>,
    /// Where each machine is isolated.
    #[serde(default)]
    pub isolation: Keyed<Vec<IsolationPoint>>,
    /// Whom to call. `emergency`, `trainer` and `qualified` are needed by every hands-on page.
    #[serde(default)]
    pub call: Keyed<At<Option<String>>>,
    /// What is said on the radio.
    #[serde(default)]
    pub radio: Keyed<At<Option<String>>>,
}

/// One place where energy is cut off.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct IsolationPoint {
    pub point: At<Option<String>>,
    /// Where to find it.
    #[serde(rename = "where")]
    pub place: At<Option<String>>,
    /// What it shuts off.
    pub shuts: At<Option<String>>,
}

impl Centre {
    /// A fact by its dotted name, as prose names it: `lockout-procedure`, `name`, `call.KEY`, `radio.KEY`.
    /// `None` where there is no such fact; the inner `None` where it is blank.
    pub fn fact(&self, name: &str) -> Option<Option<&str>> {
        fn filled(value: &Option<String>) -> Option<&str> {
            value.as_deref().map(str::trim).filter(|text| !text.is_empty())
        }
        match name.split_once('.') {
            None if name == "name" => Some(Some(self.name.value.as_str())),
            None if name == "lockout-procedure" => Some(filled(&self.lockout_procedure.value)),
            Some(("call", key)) => self.call.get(key).map(|value| filled(&value.value)),
            Some(("radio", key)) => self.radio.get(key).map(|value| filled(&value.value)),
            _ => None,
        }
    }

    /// The names of all facts, for suggestions.
    pub fn facts(&self) -> Vec<String> {
        let mut names = vec!["name".to_owned(), "lockout-procedure".to_owned()];
        names.extend(self.call.keys().map(|key| format!("call.{key}")));
        names.extend(self.radio.keys().map(|key| format!("radio.{key}")));
        names
    }
}

/// `lessons/glossary.yml`: words of the trade that are no parts of a machine.
#[derive(Debug, Clone, Deserialize)]
#[serde(transparent)]
pub struct Glossary(pub Keyed<Term>);

/// A word of the trade. Its key, with spaces for hyphens, is how it is written.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct Term {
    pub says: Text,
    /// Other ways to write it.
    #[serde(default)]
    pub also: Vec<At<String>>,
}

/// `lessons/everyday.yml`: words that people of this centre use and its lessons do not, and words of the lessons that mean the same.
#[derive(Debug, Clone, Deserialize)]
#[serde(transparent)]
pub struct Everyday(pub Keyed<Vec<At<String>>>);

/// `lessons/competencies.yml`.
#[derive(Debug, Clone, Deserialize)]
#[serde(transparent)]
pub struct Competencies(pub Keyed<Competency>);

/// What a person must be able to do, and the evidence that shows it.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct Competency {
    pub says: Text,
    pub study: Vec<Id>,
    pub evidence: Vec<Evidence>,
    pub witnessed: Witnessed,
    pub holds_months: At<u32>,
    pub signed_by: At<String>,
}

#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct Witnessed {
    pub times: At<u32>,
    /// How many of them on a real call.
    pub real: At<u32>,
}

/// An assessment that must have been passed.
#[derive(Debug, Clone, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Evidence {
    Bank(Id),
    Scenario(Id),
    Drill(Id),
}
