//! What every command that adds events shares: who answers for them, on which day, and what is said afterwards.

use super::key_file::KeyFile;
use super::on_phone::still_says_yes;
use super::opening::{Where, date, day, failed, now};
use super::{Outcome, Voice};
use crate::marking::Marking;
use crate::proof::SecretKey;
use crate::record::{Event, Statement, What, code};
use crate::register::{Entering, NotEntered, Register, Sqlite};
use crate::standing::{Competence, Day, Person, everybody, person};
use jiff::Timestamp;
use jiff::civil::Date;
use serde_json::{Value, json};

/// The arguments that all of them take.
#[derive(Debug, clap::Args)]
pub struct Answerable {
    /// The code of whoever answers for it.
    #[arg(long, value_name = "CODE")]
    by: String,
    /// The day on which it happened; today if left out.
    #[arg(long, value_name = "DATE", value_parser = date)]
    on: Option<Date>,
    /// A sentence about it; kept apart, so that it can be erased.
    #[arg(long)]
    note: Option<String>,
    #[command(flatten)]
    place: Where,
}

/// One event for one person's record.
pub struct Wanted {
    pub person: String,
    pub what: What,
    /// The person's name, where the event gives one.
    pub name: Option<String>,
}

impl Wanted {
    pub fn of(person: impl Into<String>, what: What) -> Self {
        Self {
            person: person.into(),
            what,
            name: None,
        }
    }
}

/// An open register, and whoever adds to it.
pub struct Desk {
    pub register: Register<Sqlite>,
    pub by: String,
    pub day: Day,
    now: Timestamp,
    note: Option<String>,
    /// What there is to say of the register itself: that it was made, and for which course.
    news: Vec<String>,
}

impl Desk {
    /// Opens the register for what is to be entered.
    ///
    /// # Errors
    /// In words.
    pub fn open(answerable: &Answerable) -> Result<Self, String> {
        let now = now()?;
        let by = code(&answerable.by).map_err(|why| why.to_string())?;
        let (register, news) = answerable.place.open_or_make(now)?;
        Ok(Self {
            by,
            register,
            news,
            day: day(answerable.on, now),
            now,
            note: answerable.note.clone(),
        })
    }

    /// The day that it is now, whichever day the events are of.
    pub fn today(&self) -> Day {
        day(None, self.now)
    }

    /// The marking in force on the day.
    ///
    /// # Errors
    /// In words, if the register holds none.
    pub fn marking(&self) -> Result<&Marking, String> {
        let (_, marking) = self
            .register
            .markings()
            .on(&self.day)
            .ok_or_else(|| NotEntered::NoCourse.to_string())?;
        Ok(marking)
    }

    /// Everybody who learns or works here, as of the day.
    ///
    /// # Errors
    /// In words.
    pub fn people(&self) -> Result<Vec<Person>, String> {
        let statements = self.register.statements().map_err(|why| why.to_string())?;
        let details = self.register.details().map_err(|why| why.to_string())?;
        Ok(everybody(&statements, self.register.markings(), &details, &self.day))
    }

    /// One person, as of the day; none if nothing is on record of them.
    ///
    /// # Errors
    /// In words.
    pub fn person(&self, code: &str) -> Result<Option<Person>, String> {
        self.person_on(code, &self.day)
    }

    /// One person, as of some day; none if nothing is on record of them.
    ///
    /// # Errors
    /// In words.
    pub fn person_on(&self, code: &str, day: &Day) -> Result<Option<Person>, String> {
        if !self.register.ledger().people.contains(code) {
            return Ok(None);
        }
        let statements = self.register.statements().map_err(|why| why.to_string())?;
        let details = self.register.details().map_err(|why| why.to_string())?;
        Ok(person(code, &statements, self.register.markings(), &details, day))
    }

    /// What is to be noted with what is entered.
    pub fn note(&self) -> Option<&str> {
        self.note.as_deref()
    }

    /// Enters the events together: all of them or none.
    ///
    /// # Errors
    /// [`NotEntered`].
    pub fn enter(&mut self, wanted: &[Wanted]) -> Result<Vec<Statement>, NotEntered> {
        self.add(wanted, None)
    }

    fn add(&mut self, wanted: &[Wanted], key: Option<&SecretKey>) -> Result<Vec<Statement>, NotEntered> {
        let entering: Vec<Entering> = wanted
            .iter()
            .map(|one| Entering {
                person: &one.person,
                event: Event {
                    by: self.by.clone(),
                    what: one.what.clone(),
                    details: None,
                },
                name: one.name.as_deref(),
                note: self.note.as_deref(),
                day: &self.day,
                key,
            })
            .collect();
        self.register.enter(&entering, self.now)
    }
}

/// Adds one event to one person's record, or says why not.
pub fn run(who: &str, what: What, answerable: &Answerable, voice: &mut Voice) -> Outcome {
    let ready = code(who)
        .map_err(|why| why.to_string())
        .and_then(|who| Ok((who, Desk::open(answerable)?)));
    match ready {
        Ok((who, desk)) => enter_one(desk, Wanted::of(who, what), voice),
        Err(why) => failed(voice, why),
    }
}

/// Adds one event, or says why not.
pub fn enter_one(desk: Desk, wanted: Wanted, voice: &mut Voice) -> Outcome {
    enter_read_back(desk, wanted, voice, read_back)
}

/// Adds one event and lets `read` say what was written, or says why not.
pub fn enter_read_back(
    mut desk: Desk,
    wanted: Wanted,
    voice: &mut Voice,
    read: impl Fn(&Statement, &Desk, &mut Voice),
) -> Outcome {
    let entered = desk.enter(&[wanted]);
    said(&desk, entered, voice, read)
}

/// Adds a sign-off, signed with the signer's key, or says why not.
pub fn sign(who: &str, what: What, answerable: &Answerable, key: &KeyFile, voice: &mut Voice) -> Outcome {
    let ready = code(who)
        .map_err(|why| why.to_string())
        .and_then(|who| Ok(([Wanted::of(who, what)], Desk::open(answerable)?)));
    let (wanted, mut desk) = match ready {
        Ok(ready) => ready,
        Err(why) => return failed(voice, why),
    };
    let mut entered = desk.enter(&wanted);
    // Nobody is asked for a passphrase before all else is in order.
    if let Err(NotEntered::KeyNeeded { code, .. }) = &entered {
        match key.unlock(code) {
            Ok(unlocked) => entered = desk.add(&wanted, Some(&unlocked)),
            Err(why) => return failed(voice, why),
        }
    }
    said(&desk, entered, voice, read_back)
}

/// Says what became of it: the register's news first, last what a phone still says that the register no longer does.
fn said(
    desk: &Desk,
    entered: Result<Vec<Statement>, NotEntered>,
    voice: &mut Voice,
    read: impl Fn(&Statement, &Desk, &mut Voice),
) -> Outcome {
    desk.news.iter().for_each(|line| voice.tell(line));
    match entered {
        Err(why) => refused(&why, voice),
        Ok(statements) => {
            let phones = still_says_yes(desk, &statements);
            for statement in &statements {
                read(statement, desk, voice);
            }
            phones.iter().for_each(|line| voice.tell(line));
            Outcome::Clean
        }
    }
}

/// Says one statement, and how the person then stood in what it is about.
fn read_back(statement: &Statement, desk: &Desk, voice: &mut Voice) {
    for (statement, standing) in with_standing(desk, vec![statement.clone()]) {
        if voice.json {
            voice.say_json(&entered_json(&statement, standing.as_ref()));
        } else {
            told(&statement, standing.as_ref(), &desk.day, voice);
        }
    }
}

/// Adds several events together, or says why not. `skipped` names what was left out, and why.
pub fn enter_all(mut desk: Desk, wanted: &[Wanted], skipped: &[String], voice: &mut Voice) -> Outcome {
    desk.news.iter().for_each(|line| voice.tell(line));
    match desk.enter(wanted) {
        Err(why) => refused(&why, voice),
        Ok(statements) => {
            let phones = still_says_yes(&desk, &statements);
            phones.iter().for_each(|line| voice.tell(line));
            let entered = with_standing(&desk, statements);
            if voice.json {
                let entered: Vec<Value> = entered
                    .iter()
                    .map(|(statement, standing)| entered_json(statement, standing.as_ref()))
                    .collect();
                voice.say_json(&json!({ "entered": entered, "skipped": skipped }));
                return Outcome::Clean;
            }
            for (statement, standing) in &entered {
                told(statement, standing.as_ref(), &desk.day, voice);
            }
            for line in skipped {
                voice.say(line);
            }
            if entered.is_empty() {
                voice.say("Nothing new to enter.");
            }
            Outcome::Clean
        }
    }
}

/// Each statement with how the person now stands in the competency that it is about.
fn with_standing(desk: &Desk, entered: Vec<Statement>) -> Vec<(Statement, Option<Competence>)> {
    let statements = desk.register.statements().unwrap_or_default();
    let details = desk.register.details().unwrap_or_default();
    let standing = |statement: &Statement| {
        let crate::record::Deed::Entered(event) = &statement.deed else {
            return None;
        };
        let who = person(
            &statement.person,
            &statements,
            desk.register.markings(),
            &details,
            &desk.day,
        )?;
        who.competence(event.competency()?).cloned()
    };
    entered
        .into_iter()
        .map(|statement| {
            let standing = standing(&statement);
            (statement, standing)
        })
        .collect()
}

fn entered_json(statement: &Statement, standing: Option<&Competence>) -> Value {
    let statement: Value = serde_json::from_str(&statement.body).unwrap_or(Value::Null);
    json!({ "entered": statement, "standing": standing })
}

/// Says what was entered, and how the person stands now.
fn told(statement: &Statement, standing: Option<&Competence>, day: &Day, voice: &mut Voice) {
    voice.say(format!(
        "Entered {}: {} {} on {}.",
        statement.id,
        statement.person,
        statement.about(),
        day.date
    ));
    if let Some(standing) = standing {
        stands(standing, voice);
    }
}

/// Says how somebody stands, and what is still needed.
pub(super) fn stands(standing: &Competence, voice: &mut Voice) {
    voice.say(format!(
        "{}: {} ({})",
        standing.id,
        standing.standing,
        standing.may.says()
    ));
    for line in &standing.missing {
        voice.say(format!("  still needed: {line}"));
    }
    if let Some(lapses) = standing.lapses {
        voice.say(format!("  lapses on {lapses}"));
    }
}

/// Says why nothing was entered. A standing that is not ready is a finding; everything else is wrong usage.
fn refused(why: &NotEntered, voice: &mut Voice) -> Outcome {
    let outcome = match why {
        NotEntered::NotReady { .. } => Outcome::Findings,
        _ => Outcome::Failed,
    };
    if voice.json {
        let (standing, missing, reasons) = match why {
            NotEntered::NotReady {
                standing,
                missing,
                reasons,
                ..
            } => (json!(standing), json!(missing), json!(reasons)),
            _ => (Value::Null, json!([]), json!([])),
        };
        voice.say_json(&json!({
            "entered": null, "refused": why.to_string(), "standing": standing, "missing": missing, "reasons": reasons,
        }));
    } else if outcome == Outcome::Findings {
        voice.say(format!("Nothing entered: {why}"));
    } else {
        voice.tell(format!("error: {why}"));
    }
    outcome
}
