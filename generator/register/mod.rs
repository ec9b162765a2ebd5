//! The register: an append-only, chained log of statements and markings.
//!
//! Hand-in files go in ([`Register::gather`]), trainers and managers add to it ([`Register::enter`]), and it gives back statements and markings for [`crate::standing`] to fold. Nothing in it
//! is ever changed or deleted. The clock is handed in: nothing here reads one.

mod archive;
mod audit;
mod backup;
mod chain;
mod compare;
mod enter;
mod erase;
mod export;
mod forms;
mod gather;
mod ledger;
mod personal;
mod proofs;
mod restore;
mod settle;
mod sqlite;
mod strangers;
mod whereabouts;

use crate::record::{Details, Statement};
use crate::standing::Markings;
use jiff::Timestamp;
use std::collections::BTreeMap;
use std::fmt;
use std::path::PathBuf;

pub use archive::{Archived, BadMarking, GivenMarking};
pub use audit::{Audit, Finding, VoidedRow, audit};
pub use backup::{Copied, NotCopied, backup};
pub use chain::{Broken, hash_of};
pub use compare::{Checkup, Comparison, Relation, check, compare, rows};
pub use enter::{Entering, NotEntered, signing_key, sorts_of};
pub use erase::Erasable;
pub use export::{BadExport, ExportCheck, check_export, export, holds_of};
pub use gather::{Item, Refusal, Tidings};
pub use ledger::Ledger;
pub use personal::names_or_notes;
pub use restore::{Restored, restore};
pub use sqlite::Sqlite;
pub use strangers::Stranger;
pub use whereabouts::{course_markings, data_folder, default_file};

/// What a row of the log holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Kind {
    /// An xAPI statement.
    Statement,
    /// A marking file, named by its content.
    Marking,
    /// From this row on, the course in use is the one whose marking is named.
    InForce,
}

impl Kind {
    /// The word in the log.
    pub fn word(self) -> &'static str {
        match self {
            Self::Statement => "statement",
            Self::Marking => "marking",
            Self::InForce => "in-force",
        }
    }
}

/// A row of the log, as it is stored. `kind` is text so that a row that something else wrote can still be read.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Entry {
    /// Counted from 1.
    pub seq: u64,
    pub kind: String,
    pub id: String,
    /// When the register took it: UTC, to the millisecond.
    pub taken: String,
    /// Canonical JSON.
    pub body: String,
    /// The hash of the row before it; [`chain::FIRST`] for the first.
    pub prev: String,
    pub hash: String,
}

/// The end of the log.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Head {
    /// How many rows there are; 0 for an empty log.
    pub seq: u64,
    pub hash: String,
}

impl Default for Head {
    /// The end of an empty log.
    fn default() -> Self {
        Self {
            seq: 0,
            hash: chain::FIRST.to_owned(),
        }
    }
}

/// Something to be added.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Fresh {
    pub kind: Kind,
    pub id: String,
    /// Canonical JSON.
    pub body: String,
}

/// A statement that waits outside the log: for its marking, or for the rest of its attempt.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Held {
    pub id: String,
    /// What it came with: an attempt's statements that were handed in together stand and fall together.
    pub batch: String,
    pub body: String,
}

/// One change of a store: all of it happens, or none.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Change {
    pub append: Vec<Fresh>,
    pub hold: Vec<Held>,
    /// What no longer waits, by id and hand-in.
    pub release: Vec<(String, String)>,
    /// Personal details that the appended statements name: digest and body.
    pub details: Vec<(String, String)>,
    /// The digests of personal details that are erased.
    pub erase: Vec<String>,
}

impl Change {
    pub fn is_empty(&self) -> bool {
        self.append.is_empty()
            && self.hold.is_empty()
            && self.release.is_empty()
            && self.details.is_empty()
            && self.erase.is_empty()
    }
}

/// Where a register is kept. Narrow, so that another database can stand behind it.
pub trait Store {
    /// The end of the log.
    ///
    /// # Errors
    /// [`Error`] if the store cannot be read.
    fn head(&self) -> Result<Head, Error>;

    /// At most `most` rows, from row `seq` on, in order; from 0 on, also what something else wrote before row 1.
    ///
    /// # Errors
    /// [`Error`] if the store cannot be read.
    fn read_from(&self, seq: u64, most: usize) -> Result<Vec<Entry>, Error>;

    /// Everything that waits.
    ///
    /// # Errors
    /// [`Error`] if the store cannot be read.
    fn held(&self) -> Result<Vec<Held>, Error>;

    /// Makes a change durable, whole or not at all, if the log still ends at `head`.
    ///
    /// # Errors
    /// [`Error::Moved`] if somebody else has appended since; otherwise [`Error`] if it cannot be written.
    fn append(&mut self, head: &Head, taken: Timestamp, change: &Change) -> Result<Head, Error>;

    /// A fresh random UUID (version 4, RFC 9562).
    ///
    /// # Errors
    /// [`Error`] if the store has no source of randomness.
    fn fresh_id(&self) -> Result<String, Error>;

    /// The personal details that are kept, by digest.
    ///
    /// # Errors
    /// [`Error`] if the store cannot be read.
    fn details(&self) -> Result<BTreeMap<String, String>, Error>;

    /// What should guard the log against change and is not there.
    ///
    /// # Errors
    /// [`Error`] if the store cannot be read.
    fn missing_guards(&self) -> Result<Vec<String>, Error>;
}

/// Why a register cannot be read or written.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Error {
    /// There is none at this place.
    Absent(PathBuf),
    /// The file is something else.
    NotARegister(PathBuf),
    /// A newer Pitwright wrote it; `known` is the newest form that this one knows.
    Newer { path: PathBuf, version: i64, known: usize },
    /// Somebody else has appended in the meantime.
    Moved,
    /// The store failed; what it said.
    Store(String),
    /// A row of the log cannot be read.
    Row { seq: u64, why: String },
}

impl fmt::Display for Error {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Absent(path) => write!(
                f,
                "there is no register at {}; `pitwright join` and `pitwright gather` make one in the folder of a compiled course (--course names it), --register names another",
                path.display()
            ),
            Self::NotARegister(path) => write!(f, "{} is not a register", path.display()),
            Self::Newer { path, version, known } => write!(
                f,
                "{} was written by a newer Pitwright (its form is {version}, this program knows forms up to {known}): install that version or a newer one and use it from now on; the file was left as it is",
                path.display()
            ),
            Self::Moved => f.write_str("somebody else is writing to the register; try again"),
            Self::Store(why) => write!(f, "the register could not be read or written: {why}"),
            Self::Row { seq, why } => write!(
                f,
                "row {seq} of the register cannot be read: {why}; `pitwright audit` tells more"
            ),
        }
    }
}

impl std::error::Error for Error {}

/// How often a change is tried again when others write at the same time.
const TRIES: usize = 20;

/// How many rows are read at a time.
const ROWS: usize = 4096;

/// An open register.
pub struct Register<S> {
    store: S,
    ledger: Ledger,
}

impl<S: Store> Register<S> {
    /// Opens a register, reading its log once.
    ///
    /// # Errors
    /// [`Error`] if the store or a row of it cannot be read.
    pub fn open(store: S) -> Result<Self, Error> {
        let mut ledger = Ledger::default();
        ledger.follow(&store)?;
        Ok(Self { store, ledger })
    }

    /// What the log says so far.
    pub fn ledger(&self) -> &Ledger {
        &self.ledger
    }

    /// The store behind it.
    pub fn store(&self) -> &S {
        &self.store
    }

    /// The markings that it holds.
    pub fn markings(&self) -> &Markings {
        &self.ledger.markings
    }

    /// The personal details that are kept, by digest.
    ///
    /// # Errors
    /// [`Error`] if the store cannot be read.
    pub fn details(&self) -> Result<BTreeMap<String, Details>, Error> {
        let kept = self.store.details()?;
        kept.into_iter()
            .map(|(digest, body)| match serde_json::from_str(&body) {
                Ok(details) => Ok((digest, details)),
                Err(why) => Err(Error::Store(format!("details {digest} cannot be read: {why}"))),
            })
            .collect()
    }

    /// Every statement in the log, in the order of the log.
    ///
    /// # Errors
    /// [`Error`] if the store or a row of it cannot be read.
    pub fn statements(&self) -> Result<Vec<Statement>, Error> {
        statements(&self.store)
    }

    /// Works a change out from the present state and makes it durable; works it out again if somebody else has
    /// appended in the meantime.
    fn change<T>(
        &mut self,
        taken: Timestamp,
        mut work: impl FnMut(&S, &Ledger) -> Result<(Change, T), Error>,
    ) -> Result<T, Error> {
        for _ in 0..TRIES {
            let (change, told) = work(&self.store, &self.ledger)?;
            if change.is_empty() {
                return Ok(told);
            }
            match self.store.append(&self.ledger.head, taken, &change) {
                Err(Error::Moved) => self.ledger.follow(&self.store)?,
                Err(other) => return Err(other),
                Ok(_) => {
                    self.ledger.follow(&self.store)?;
                    return Ok(told);
                }
            }
        }
        Err(Error::Moved)
    }
}

/// Goes over every row, in order; from what something else wrote before row 1 on.
fn walked(store: &impl Store, mut see: impl FnMut(&Entry)) -> Result<(), Error> {
    let mut from = 0;
    loop {
        let rows = store.read_from(from, ROWS)?;
        let Some(last) = rows.last() else {
            return Ok(());
        };
        from = last.seq + 1;
        rows.iter().for_each(&mut see);
    }
}

fn statements(store: &impl Store) -> Result<Vec<Statement>, Error> {
    let mut statements = Vec::new();
    let mut seq = 1;
    loop {
        let rows = store.read_from(seq, ROWS)?;
        let Some(last) = rows.last() else {
            return Ok(statements);
        };
        seq = last.seq + 1;
        for row in rows.iter().filter(|row| row.kind == Kind::Statement.word()) {
            statements.push(ledger::statement(row)?);
        }
    }
}
