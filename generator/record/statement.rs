//! One statement: what was done, by whom, when, on which course.

use super::event::{self, Event};
use super::fields::{Fault, Fields, texts};
use super::person::is_code;
use super::vocabulary::{Spot, Thing, Verb, term};
use crate::marking::{Evidence, canonical};
use jiff::Timestamp;
use serde_json::Value;
use std::fmt;

/// A statement that has the right form. Whether it is true is for [`super::judge`] and [`super::fits`] to say.
#[derive(Debug, Clone, PartialEq)]
pub struct Statement {
    /// A UUID in lower-case hex.
    pub id: String,
    pub timestamp: Timestamp,
    /// The address under which the course's ids are made.
    pub home: String,
    /// The code of the person whose record this is.
    pub person: String,
    pub deed: Deed,
    /// The name of the marking on which it was made: 64 hexadecimal digits.
    pub marking: String,
    /// The edition of what it is about, as the record claims it.
    pub edition: Option<u32>,
    /// The attempt that it belongs to: a UUID in lower-case hex.
    pub registration: Option<String>,
    /// The whole statement as canonical JSON (RFC 8785), with all that this program does not read.
    pub body: String,
}

/// What a statement says was done.
#[derive(Debug, Clone, PartialEq)]
pub enum Deed {
    Opened {
        lesson: String,
    },
    /// Read to its end.
    Read {
        lesson: String,
    },
    Practised {
        lesson: String,
        question: String,
        response: String,
        claim: Claim,
    },
    Begun {
        assessment: Evidence,
        seed: String,
    },
    Answered {
        at: Spot,
        /// Counted from 0.
        turn: u32,
        response: String,
        claim: Claim,
        /// In a drill: the ids of what others then did, in order.
        others: Vec<String>,
    },
    Closed(Closing),
    /// Entered by a trainer or a manager.
    Entered(Event),
}

/// What the record claims that an answer earned.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Claim {
    pub success: Option<bool>,
    /// From 0 to 1.
    pub scaled: Option<f64>,
}

/// The end of an attempt, as the record claims it.
#[derive(Debug, Clone, PartialEq)]
pub struct Closing {
    pub assessment: Evidence,
    pub passed: bool,
    /// Left before its end.
    pub left: bool,
    pub success: Option<bool>,
    pub completion: Option<bool>,
    pub raw: Option<f64>,
    pub max: Option<f64>,
    pub scaled: Option<f64>,
    /// SHA-256 over the attempt's other statements.
    pub seal: String,
}

/// Why a JSON value is not a statement.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Misread {
    /// The statement's id, where one can be read.
    pub id: Option<String>,
    pub why: String,
}

impl fmt::Display for Misread {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.why)
    }
}

impl std::error::Error for Misread {}

impl Statement {
    /// Reads a statement. Fields that are not known are kept in the body and otherwise left alone.
    ///
    /// # Errors
    /// [`Misread`]: a field is missing, of the wrong type, or says what no record of a course can say.
    pub fn read(value: &Value) -> Result<Self, Misread> {
        let body = canonical(value)
            .map_err(|why| why.to_string())
            .and_then(|body| String::from_utf8(body).map_err(|why| why.to_string()));
        read(value, body).map_err(|why| misread(value, why))
    }

    /// Reads a statement from its canonical JSON, as a register keeps it. That it is canonical is taken on trust, which
    /// spares most of the work; an audit looks.
    ///
    /// # Errors
    /// As [`Statement::read`].
    pub fn from_canonical(body: &str) -> Result<Self, Misread> {
        let value: Value = serde_json::from_str(body).map_err(|why| Misread {
            id: None,
            why: why.to_string(),
        })?;
        read(&value, Ok(body.to_owned())).map_err(|why| misread(&value, why))
    }

    /// Whether only the register itself makes such a statement.
    pub fn is_registers_own(&self) -> bool {
        matches!(self.deed, Deed::Entered(_))
    }

    /// Whether it is part of an assessed attempt.
    pub fn is_of_attempt(&self) -> bool {
        matches!(self.deed, Deed::Begun { .. } | Deed::Answered { .. } | Deed::Closed(_))
    }

    /// In a few words, what it says was done.
    pub fn about(&self) -> String {
        match &self.deed {
            Deed::Opened { lesson } => format!("opened lesson {lesson}"),
            Deed::Read { lesson } => format!("read lesson {lesson}"),
            Deed::Practised { lesson, question, .. } => format!("practised {question} of lesson {lesson}"),
            Deed::Begun { assessment, .. } => format!("began {assessment}"),
            Deed::Answered { at, turn, .. } => format!("turn {turn}: answered {at}"),
            Deed::Closed(closing) => {
                let how = match (closing.left, closing.passed) {
                    (true, _) => "left",
                    (false, true) => "passed",
                    (false, false) => "failed",
                };
                format!("{how} {}", closing.assessment)
            }
            Deed::Entered(event) => event.about(),
        }
    }
}

/// What xAPI calls an object that is another statement.
pub(super) const STATEMENT: &str = "StatementRef";

pub(super) fn short(text: &str) -> String {
    text.chars().take(40).collect()
}

pub(super) fn hex(text: &str, digits: usize) -> bool {
    text.len() == digits && text.bytes().all(|byte| byte.is_ascii_hexdigit())
}

/// A UUID (RFC 9562) in its usual form, made lower-case.
fn uuid(text: &str, path: &str) -> Result<String, Fault> {
    let parts: Vec<&str> = text.split('-').collect();
    if parts.len() == 5
        && parts
            .iter()
            .zip([8, 4, 4, 4, 12])
            .all(|(part, digits)| hex(part, digits))
    {
        Ok(text.to_ascii_lowercase())
    } else {
        Err(format!("`{path}` is `{}`, which is not a UUID", short(text)))
    }
}

fn misread(value: &Value, why: Fault) -> Misread {
    Misread {
        id: value.get("id").and_then(Value::as_str).map(short),
        why,
    }
}

/// `body` is the canonical form, or why there is none: said only of what is a statement otherwise.
fn read(value: &Value, body: Result<String, Fault>) -> Result<Statement, Fault> {
    let all = Fields::of(value, "")?;
    let id = uuid(all.must_text("id")?, "id")?;
    if let Some(version) = all.text("version")?
        && !(version == "1.0" || version.starts_with("1.0."))
    {
        return Err(format!("`version` is `{}`; only xAPI 1.0 is read", short(version)));
    }
    let timestamp = all.must_text("timestamp")?;
    let timestamp: Timestamp = timestamp.parse().map_err(|_| {
        format!(
            "`timestamp` is `{}`, which is not a time such as 2026-03-01T09:30:00.000Z",
            short(timestamp)
        )
    })?;
    let (home, person) = account(all.must_object("actor", "actor")?, "actor.account")?;
    let verb_iri = all.must_object("verb", "verb")?.must_text("id")?;
    let verb = Verb::from_iri(verb_iri)
        .ok_or_else(|| format!("`verb.id` is `{}`, which no record of a course uses", short(verb_iri)))?;
    let object = all.must_object("object", "object")?;
    let of = object.must_text("id")?;
    let thing = match object.text("objectType")? {
        Some(STATEMENT) => Thing::Entry(uuid(of, "object.id")?),
        _ => Thing::from_iri(&home, of)
            .ok_or_else(|| format!("`object.id` is `{of}`, which names nothing of a course at {home}"))?,
    };
    let context = all.must_object("context", "context")?;
    let registration = context
        .text("registration")?
        .map(|text| uuid(text, "context.registration"))
        .transpose()?;
    let extensions = context.must_object("extensions", "context.extensions")?;
    let marking = extensions.must_text(&term("marking"))?.to_ascii_lowercase();
    if !hex(&marking, 64) {
        return Err("the marking that the statement names is not 64 hexadecimal digits".to_owned());
    }
    let edition = extensions.whole(&term("edition"))?;
    let deed = match event::read(verb, &thing, &person, all, context, extensions)? {
        Some(event) => Deed::Entered(event),
        None => deed(verb, thing, all, extensions)?,
    };
    if matches!(deed, Deed::Begun { .. } | Deed::Answered { .. } | Deed::Closed(_)) && registration.is_none() {
        return Err("`context.registration` is missing: it says which attempt this belongs to".to_owned());
    }
    Ok(Statement {
        id,
        timestamp,
        home,
        person,
        deed,
        marking,
        edition,
        registration,
        body: body?,
    })
}

pub(super) fn account<'a>(agent: Fields<'a>, path: &'a str) -> Result<(String, String), Fault> {
    let account = agent.must_object("account", path)?;
    let home = account.must_text("homePage")?.trim_end_matches('/');
    let name = account.must_text("name")?;
    if !is_code(name) {
        return Err(format!(
            "`{path}.name` is `{}`, which is not a person's code",
            short(name)
        ));
    }
    Ok((home.to_owned(), name.to_owned()))
}

fn deed(verb: Verb, thing: Thing, all: Fields, extensions: Fields) -> Result<Deed, Fault> {
    Ok(match (verb, thing) {
        (Verb::Experienced, Thing::Lesson(lesson)) => Deed::Opened { lesson },
        (Verb::Completed, Thing::Lesson(lesson)) => Deed::Read { lesson },
        (Verb::Answered, Thing::Ask { lesson, question }) => {
            let (response, claim) = answer(all)?;
            Deed::Practised {
                lesson,
                question,
                response,
                claim,
            }
        }
        (Verb::Attempted, Thing::Assessment(assessment)) => Deed::Begun {
            assessment,
            seed: extensions.must_text(&term("seed"))?.to_owned(),
        },
        (Verb::Answered, Thing::Part(spot)) => answered(spot, all, extensions)?,
        (Verb::Passed | Verb::Failed, Thing::Assessment(assessment)) => {
            closing(verb == Verb::Passed, assessment, all, extensions)?
        }
        (verb, thing) => return Err(format!("a record never says `{verb}` of a {thing}")),
    })
}

fn answered(at: Spot, all: Fields, extensions: Fields) -> Result<Deed, Fault> {
    let (response, claim) = answer(all)?;
    let others = match (&at.of, extensions.get(&term("others"))) {
        (Evidence::Drill(_), Some(listed)) => texts(Some(listed), "what others did")?,
        _ => Vec::new(),
    };
    Ok(Deed::Answered {
        at,
        turn: extensions.must_whole(&term("turn"))?,
        response,
        claim,
        others: others.into_iter().map(str::to_owned).collect(),
    })
}

fn answer(all: Fields) -> Result<(String, Claim), Fault> {
    let result = all.must_object("result", "result")?;
    let score = result.object("score", "result.score")?;
    let claim = Claim {
        success: result.truth("success")?,
        scaled: score.map(|score| score.number("scaled")).transpose()?.flatten(),
    };
    Ok((result.must_text("response")?.to_owned(), claim))
}

fn closing(passed: bool, assessment: Evidence, all: Fields, extensions: Fields) -> Result<Deed, Fault> {
    let result = all.must_object("result", "result")?;
    let score = result.object("score", "result.score")?;
    let number = |key| score.map(|score| score.number(key)).transpose().map(Option::flatten);
    Ok(Deed::Closed(Closing {
        assessment,
        passed,
        left: extensions.truth(&term("left"))?.unwrap_or(false),
        success: result.truth("success")?,
        completion: result.truth("completion")?,
        raw: number("raw")?,
        max: number("max")?,
        scaled: number("scaled")?,
        seal: extensions.must_text(&term("seal"))?.to_owned(),
    }))
}
