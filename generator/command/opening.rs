//! What the register's commands share: finding the register, the course beside it, and the time.

use super::Voice;
use crate::record::did_you_mean;
use crate::register::{BadMarking, Error, GivenMarking, Register, Sqlite, course_markings, data_folder, default_file};
use crate::standing::Day;
use jiff::Timestamp;
use jiff::civil::Date;
use jiff::tz::TimeZone;
use std::path::{Path, PathBuf};

/// Where the register is.
#[derive(Debug, clap::Args)]
pub struct Where {
    /// The register's file. Without it: the user's data folder, under the course's id.
    #[arg(long, value_name = "FILE")]
    register: Option<PathBuf>,
    /// The course folder, whose out/ names the course; needed only to find the register or its marking.
    #[arg(long, value_name = "DIR", default_value = ".")]
    course: PathBuf,
}

/// The variable that sets the clock, as a time like 2026-03-01T09:30:00Z: for tests and for catching up on paper records.
pub const CLOCK: &str = "PITWRIGHT_NOW";

impl Where {
    /// The course folder.
    pub fn course(&self) -> &Path {
        &self.course
    }

    /// The markings that the course's `out/` holds, the one in use marked as such; and what could not be read there.
    pub fn markings(&self) -> (Vec<GivenMarking>, Vec<BadMarking>) {
        let paths = match course_markings(&self.course) {
            Ok(paths) => paths,
            Err(why) => {
                return (
                    Vec::new(),
                    vec![BadMarking(format!("{}: {why}", self.course.join("out").display()))],
                );
            }
        };
        let last = paths.len().saturating_sub(1);
        let (mut good, mut bad) = (Vec::new(), Vec::new());
        for (index, path) in paths.iter().enumerate() {
            match GivenMarking::read(path, index == last) {
                Ok(marking) => good.push(marking),
                Err(why) => bad.push(why),
            }
        }
        (good, bad)
    }

    /// The register's file: as given, else by the id of the first of these markings.
    ///
    /// # Errors
    /// In words, if neither says where it is.
    pub fn file(&self, markings: &[GivenMarking]) -> Result<PathBuf, String> {
        if let Some(file) = &self.register {
            return Ok(file.clone());
        }
        let course = markings
            .iter()
            .find(|given| given.current)
            .or_else(|| markings.first())
            .ok_or_else(|| {
                format!(
                    "no course is known here, so neither is its register: name the register with --register, or run `pitwright compile` in {} first",
                    self.course.display()
                )
            })?;
        let folder = data_folder(|name| std::env::var_os(name))
            .ok_or("this system names no folder for the user's data: name the register with --register")?;
        Ok(default_file(&folder, &course.marking.course))
    }

    /// Opens the register that is there: to read it, or to add to it.
    ///
    /// # Errors
    /// In words.
    pub fn open(&self, access: impl Fn(&Path) -> Result<Sqlite, Error>) -> Result<Register<Sqlite>, String> {
        Register::open(self.store(access)?).map_err(|why| why.to_string())
    }

    /// Opens the register to add to it. Where there is none yet and the course was compiled, makes it, with that course
    /// in force; then also what to tell of that.
    ///
    /// # Errors
    /// In words.
    pub fn open_or_make(&self, now: Timestamp) -> Result<(Register<Sqlite>, Vec<String>), String> {
        let file = self.path()?;
        if file.exists() {
            return Ok((self.open(Sqlite::write)?, Vec::new()));
        }
        let (markings, bad) = self.markings();
        if let Some(BadMarking(why)) = bad.first() {
            return Err(why.clone());
        }
        if markings.is_empty() {
            return Err(Error::Absent(file).to_string());
        }
        let in_words = |why: Error| why.to_string();
        let store = Sqlite::create(&file).map_err(in_words)?;
        let mut register = Register::open(store).map_err(in_words)?;
        let archived = register.archive(&markings, now).map_err(in_words)?;
        let mut news = vec![format!("A new register was made: {}", file.display())];
        news.extend(
            archived
                .iter()
                .filter(|line| line.came_into_force)
                .map(|line| format!("course “{}” is in use from now on", line.title)),
        );
        Ok((register, news))
    }

    /// The register's file, whether it is there or not.
    ///
    /// # Errors
    /// In words, if nothing says where it is.
    pub fn path(&self) -> Result<PathBuf, String> {
        let markings = if self.register.is_some() {
            Vec::new()
        } else {
            self.markings().0
        };
        self.file(&markings)
    }

    /// Opens the file behind the register.
    ///
    /// # Errors
    /// In words.
    pub fn store(&self, access: impl Fn(&Path) -> Result<Sqlite, Error>) -> Result<Sqlite, String> {
        access(&self.path()?).map_err(|why| why.to_string())
    }
}

/// The present moment: the clock, unless [`CLOCK`] sets it.
///
/// # Errors
/// In words, if the variable holds no time.
pub fn now() -> Result<Timestamp, String> {
    match std::env::var(CLOCK) {
        Ok(text) => text
            .parse()
            .map_err(|_| format!("{CLOCK} is `{text}`, which is not a time such as 2026-03-01T09:30:00Z")),
        Err(_) => Ok(Timestamp::now()),
    }
}

/// A day as given, else today, as this computer's time zone counts it.
pub fn day(on: Option<Date>, now: Timestamp) -> Day {
    let zone = TimeZone::system();
    match on {
        Some(date) => Day { date, zone },
        None => Day::of(now, zone),
    }
}

/// Whether somebody with this code is on record.
///
/// # Errors
/// In words, with the codes that are nearly the same.
pub fn on_record(register: &Register<Sqlite>, who: &str) -> Result<(), String> {
    let known = &register.ledger().people;
    if known.contains(who) {
        return Ok(());
    }
    let hint = did_you_mean(who, known.iter().map(String::as_str)).map_or_else(String::new, |hint| format!("; {hint}"));
    Err(format!("nobody with the code {who} is on record{hint}"))
}

/// Reads a date from the command line.
///
/// # Errors
/// In words.
pub fn date(text: &str) -> Result<Date, String> {
    text.parse()
        .map_err(|_| format!("`{text}` is not a date such as 2026-03-01"))
}

/// Says why a command could not run.
pub fn failed(voice: &mut Voice, why: impl AsRef<str>) -> super::Outcome {
    voice.tell(format!("error: {}", why.as_ref()));
    super::Outcome::Failed
}
