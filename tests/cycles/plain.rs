//! A machine's cycles read plainly from the source, without the program: in whole tenths.

use serde::Deserialize;
use std::collections::BTreeMap;

#[derive(Debug, Deserialize)]
pub struct Machine {
    pub cycles: BTreeMap<String, Cycle>,
}

#[derive(Debug, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub struct Cycle {
    turns: Option<String>,
    lasts: Option<String>,
    pub units: BTreeMap<String, Unit>,
    #[serde(default)]
    pub never_together: Vec<Apart>,
}

#[derive(Debug, Deserialize)]
pub struct Unit {
    pub called: Option<String>,
    pub rests: Option<String>,
    pub pose: Option<String>,
    #[serde(default)]
    pub spans: BTreeMap<String, Doing>,
}

#[derive(Debug, Deserialize)]
pub struct Doing {
    from: f64,
    to: f64,
    pub does: String,
    #[serde(default)]
    pub still: bool,
    pub pose: Option<String>,
}

#[derive(Debug, Deserialize)]
pub struct Apart {
    pub between: BTreeMap<String, Words>,
}

#[derive(Debug, Deserialize)]
#[serde(untagged)]
pub enum Words {
    One(String),
    Several(Vec<String>),
}

pub fn machine(text: &str) -> Machine {
    serde_yaml::from_str(text).unwrap_or_else(|error| panic!("{error}"))
}

fn tenths(number: f64) -> u32 {
    (number * 10.0).round() as u32
}

impl Cycle {
    pub fn all(&self) -> u32 {
        let text = self
            .turns
            .as_ref()
            .or(self.lasts.as_ref())
            .expect("it is counted in something");
        let number = text.split(' ').next().and_then(|number| number.parse().ok());
        tenths(number.expect("it begins with a number"))
    }

    pub fn measure(&self) -> &'static str {
        if self.turns.is_some() { "degrees" } else { "seconds" }
    }
}

impl Unit {
    pub fn name(&self, id: &str) -> String {
        self.called.clone().unwrap_or_else(|| id.replace('-', " "))
    }

    /// What it does in the tenth that begins at `tenth`; `None` at rest.
    pub fn at(&self, tenth: u32) -> Option<&Doing> {
        self.spans
            .values()
            .find(|doing| doing.from() <= tenth && tenth < doing.to())
    }

    pub fn pose(&self, tenth: u32) -> Option<&str> {
        self.at(tenth)
            .map_or(self.pose.as_deref(), |doing| doing.pose.as_deref())
    }

    pub fn does(&self, tenth: u32) -> &str {
        self.at(tenth)
            .map_or(self.rests.as_deref().unwrap_or("rests"), |doing| &doing.does)
    }
}

impl Doing {
    pub fn from(&self) -> u32 {
        tenths(self.from)
    }

    pub fn to(&self) -> u32 {
        tenths(self.to)
    }
}

impl Words {
    /// Whether a span is meant.
    pub fn mean(&self, id: &str, doing: &Doing) -> bool {
        let one = |word: &String| word == id || (word == "moving" && !doing.still);
        match self {
            Self::One(word) => one(word),
            Self::Several(words) => words.iter().any(one),
        }
    }
}
