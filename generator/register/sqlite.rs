//! A register in one SQLite file.
//!
//! The journal is SQLite's rollback journal and every commit is flushed, so that the one file is the whole register
//! and may be copied whenever nobody writes.

use super::chain::{FIRST, hash_of};
use super::forms;
use super::{Change, Entry, Error, Head, Held, Store};
use crate::record::stamp;
use jiff::Timestamp;
use rusqlite::{Connection, OpenFlags, OptionalExtension, Transaction, TransactionBehavior, params};
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::time::Duration;

/// What guards the log.
const GUARDS: [&str; 2] = ["log_never_changes", "log_never_shrinks"];

/// How long another writer is waited for.
const PATIENCE: Duration = Duration::from_secs(10);

/// A [`Store`] in one file.
#[derive(Debug)]
pub struct Sqlite {
    connection: Connection,
}

impl From<rusqlite::Error> for Error {
    fn from(error: rusqlite::Error) -> Self {
        Self::Store(error.to_string())
    }
}

impl Sqlite {
    /// Opens the register in this file, making it (and its folder) if it is not there.
    ///
    /// # Errors
    /// [`Error`] if the file is something else, newer than this program, or cannot be written.
    pub fn create(path: &Path) -> Result<Self, Error> {
        if let Some(folder) = path.parent().filter(|folder| !folder.as_os_str().is_empty()) {
            std::fs::create_dir_all(folder)
                .map_err(|why| Error::Store(format!("the folder {} cannot be made: {why}", folder.display())))?;
        }
        let access = OpenFlags::SQLITE_OPEN_READ_WRITE | OpenFlags::SQLITE_OPEN_CREATE;
        let connection = Connection::open_with_flags(plain(path), access).map_err(|why| at(path, &why))?;
        let sqlite = Self { connection };
        sqlite.prepare(path)?;
        forms::bring_forward(&sqlite.connection, path)?;
        Ok(sqlite)
    }

    /// A register that is kept nowhere and gone when it is dropped: to try something out.
    ///
    /// # Errors
    /// [`Error`] if there is no room for it.
    pub fn in_memory() -> Result<Self, Error> {
        let sqlite = Self {
            connection: Connection::open_in_memory()?,
        };
        let path = Path::new("memory");
        sqlite.prepare(path)?;
        forms::bring_forward(&sqlite.connection, path)?;
        Ok(sqlite)
    }

    /// Opens a register to read it; no row is ever written through it.
    ///
    /// # Errors
    /// [`Error::Absent`] if there is none, else as [`Sqlite::create`].
    pub fn read(path: &Path) -> Result<Self, Error> {
        // Not opened read-only: a writer that was killed leaves a journal, which the next reader must roll back.
        let sqlite = Self::existing(path)?;
        sqlite.connection.pragma_update(None, "query_only", true)?;
        Ok(sqlite)
    }

    /// Opens a register that is there, to add to it.
    ///
    /// # Errors
    /// As [`Sqlite::read`].
    pub fn write(path: &Path) -> Result<Self, Error> {
        let sqlite = Self::existing(path)?;
        forms::bring_forward(&sqlite.connection, path)?;
        Ok(sqlite)
    }

    fn existing(path: &Path) -> Result<Self, Error> {
        if !path.exists() {
            return Err(Error::Absent(path.to_owned()));
        }
        let connection = Connection::open_with_flags(plain(path), OpenFlags::SQLITE_OPEN_READ_WRITE)
            .map_err(|why| at(path, &why))?;
        let sqlite = Self { connection };
        sqlite.prepare(path)?;
        match forms::form(&sqlite.connection, path)? {
            0 => Err(Error::NotARegister(path.to_owned())),
            _ => Ok(sqlite),
        }
    }

    /// What SQLite itself finds wrong in the file, at most so many faults; nothing if it is sound.
    ///
    /// # Errors
    /// [`Error`] if it cannot even look.
    pub(super) fn faults(&self, most: usize) -> Result<Vec<String>, Error> {
        let mut query = self.connection.prepare(&format!("PRAGMA integrity_check({most})"))?;
        let found = query.query_map([], |row| row.get::<_, String>(0))?;
        let mut faults: Vec<String> = found.collect::<Result<_, _>>()?;
        faults.retain(|fault| fault != "ok");
        Ok(faults)
    }

    /// Copies the register into a file that is not there yet, as it stands at one moment, while others read and write.
    ///
    /// `VACUUM INTO` rather than the page-by-page backup interface: that one begins anew whenever somebody else writes,
    /// and it copies pages as they are, with whatever erased text the gaps between their rows might hold.
    ///
    /// # Errors
    /// [`Error`]; then the file is to be thrown away.
    pub(super) fn copy_into(&self, file: &Path) -> Result<(), Error> {
        let name = file.to_str().ok_or_else(|| {
            Error::Store(format!(
                "the name {} is not Unicode text, which SQLite needs",
                file.display()
            ))
        })?;
        let only: bool = self
            .connection
            .pragma_query_value(None, "query_only", |row| row.get(0))?;
        // The copy is written through this connection too, so that it must be allowed to write for a moment.
        self.connection.pragma_update(None, "query_only", false)?;
        let copied = self.connection.execute("VACUUM INTO ?1", [name]);
        self.connection.pragma_update(None, "query_only", only)?;
        copied?;
        Ok(())
    }

    /// Opens a register that is there, in whatever form it is, and keeps everybody else from reading and writing it
    /// until this is dropped.
    ///
    /// # Errors
    /// As [`Sqlite::read`]; also if others keep it busy.
    pub(super) fn seize(path: &Path) -> Result<Self, Error> {
        let sqlite = Self::existing(path)?;
        // Another tool may have given it a journal of another kind, which would stay behind when the file is moved.
        let journal: String = sqlite
            .connection
            .pragma_update_and_check(None, "journal_mode", "delete", |row| row.get(0))?;
        if journal != "delete" {
            return Err(Error::Store("somebody else has it open".to_owned()));
        }
        sqlite.connection.execute_batch("BEGIN EXCLUSIVE")?;
        Ok(sqlite)
    }

    fn prepare(&self, path: &Path) -> Result<(), Error> {
        self.connection.busy_timeout(PATIENCE)?;
        // EXTRA flushes the folder too, once the journal is gone: with FULL, a power loss right after a commit could
        // bring the journal back and take away what was acknowledged.
        self.connection
            .execute_batch("PRAGMA synchronous = EXTRA; PRAGMA foreign_keys = ON; PRAGMA trusted_schema = OFF; PRAGMA secure_delete = ON; PRAGMA temp_store = MEMORY;")
            .map_err(|why| at(path, &why))
    }
}

/// The path in a form that SQLite takes for nothing but a file: it gives names such as `:memory:` a meaning of their own.
fn plain(path: &Path) -> PathBuf {
    if path.is_absolute() {
        path.to_owned()
    } else {
        Path::new(".").join(path)
    }
}

/// What SQLite says of a file.
pub(super) fn at(path: &Path, why: &rusqlite::Error) -> Error {
    match why.sqlite_error_code() {
        Some(rusqlite::ErrorCode::NotADatabase) => Error::NotARegister(PathBuf::from(path)),
        _ => Error::Store(format!("{}: {why}", path.display())),
    }
}

fn head(connection: &Connection) -> Result<Head, Error> {
    let head = connection
        .prepare_cached("SELECT seq, hash FROM log ORDER BY seq DESC LIMIT 1")?
        .query_row([], |row| {
            Ok(Head {
                seq: counted(row.get(0)?),
                hash: row.get(1)?,
            })
        })
        .optional()?;
    Ok(head.unwrap_or_else(|| Head {
        seq: 0,
        hash: FIRST.to_owned(),
    }))
}

fn number(seq: u64) -> i64 {
    i64::try_from(seq).unwrap_or(i64::MAX)
}

/// Rows are counted from 1; what something else wrote before them is read as row 0.
fn counted(seq: i64) -> u64 {
    u64::try_from(seq).unwrap_or(0)
}

fn write(transaction: &Transaction, from: &Head, taken: Timestamp, change: &Change) -> Result<Head, Error> {
    let taken = stamp(taken);
    let mut head = from.clone();
    let mut insert = transaction.prepare_cached(
        "INSERT INTO log (kind, seq, id, taken, body, prev, hash) VALUES (?2, ?1, ?3, ?4, ?5, ?6, ?7)",
    )?;
    for fresh in &change.append {
        let (seq, kind) = (head.seq + 1, fresh.kind.word());
        let hash = hash_of(seq, kind, &fresh.id, &taken, &fresh.body, &head.hash);
        insert.execute(params![number(seq), kind, fresh.id, taken, fresh.body, head.hash, hash])?;
        head = Head { seq, hash };
    }
    let mut release = transaction.prepare_cached("DELETE FROM held WHERE id = ?1 AND batch = ?2")?;
    for (id, batch) in &change.release {
        release.execute([id, batch])?;
    }
    let mut hold = transaction.prepare_cached("INSERT INTO held (id, batch, body) VALUES (?1, ?2, ?3)")?;
    for held in &change.hold {
        hold.execute([&held.id, &held.batch, &held.body])?;
    }
    let mut keep = transaction.prepare_cached("INSERT INTO details (digest, body) VALUES (?1, ?2)")?;
    for (digest, body) in &change.details {
        keep.execute([digest, body])?;
    }
    erase(transaction, &change.erase)?;
    Ok(head)
}

/// Deletes details so that their bytes are gone from the file.
///
/// `secure_delete` overwrites deleted rows and freed pages, but not what a page that was packed anew still holds in the
/// gap between its rows. So the whole table is emptied, which frees and overwrites its pages, and what stays is written
/// anew.
fn erase(transaction: &Transaction, digests: &[String]) -> Result<(), Error> {
    if digests.is_empty() {
        return Ok(());
    }
    let mut delete = transaction.prepare_cached("DELETE FROM details WHERE digest = ?1")?;
    for digest in digests {
        delete.execute([digest])?;
    }
    transaction.execute_batch(
        "CREATE TEMP TABLE kept AS SELECT digest, body FROM details;
         DELETE FROM details;
         INSERT INTO details SELECT digest, body FROM kept ORDER BY digest;
         DROP TABLE kept;",
    )?;
    Ok(())
}

impl Store for Sqlite {
    fn head(&self) -> Result<Head, Error> {
        head(&self.connection)
    }

    fn read_from(&self, seq: u64, most: usize) -> Result<Vec<Entry>, Error> {
        let mut query = self.connection.prepare_cached(
            "SELECT seq, kind, id, taken, body, prev, hash FROM log WHERE seq >= ?1 ORDER BY seq LIMIT ?2",
        )?;
        let from = if seq == 0 { i64::MIN } else { number(seq) };
        let rows = query.query_map(params![from, i64::try_from(most).unwrap_or(i64::MAX)], |row| {
            Ok(Entry {
                seq: counted(row.get(0)?),
                kind: row.get(1)?,
                id: row.get(2)?,
                taken: row.get(3)?,
                body: row.get(4)?,
                prev: row.get(5)?,
                hash: row.get(6)?,
            })
        })?;
        Ok(rows.collect::<Result<_, _>>()?)
    }

    fn held(&self) -> Result<Vec<Held>, Error> {
        let mut query = self
            .connection
            .prepare_cached("SELECT id, batch, body FROM held ORDER BY batch, id")?;
        let rows = query.query_map([], |row| {
            Ok(Held {
                id: row.get(0)?,
                batch: row.get(1)?,
                body: row.get(2)?,
            })
        })?;
        Ok(rows.collect::<Result<_, _>>()?)
    }

    fn append(&mut self, from: &Head, taken: Timestamp, change: &Change) -> Result<Head, Error> {
        // Dropped without a commit, a transaction is rolled back.
        let transaction = self
            .connection
            .transaction_with_behavior(TransactionBehavior::Immediate)?;
        if head(&transaction)? != *from {
            return Err(Error::Moved);
        }
        let head = write(&transaction, from, taken, change)?;
        transaction.commit()?;
        Ok(head)
    }

    fn fresh_id(&self) -> Result<String, Error> {
        let random: Vec<u8> = self
            .connection
            .query_row("SELECT randomblob(16)", [], |row| row.get(0))?;
        let mut bytes = u128::from_be_bytes(
            random
                .try_into()
                .map_err(|_| Error::Store("no random bytes came".to_owned()))?,
        );
        bytes = bytes & !(0xF << 76) | (0x4 << 76);
        bytes = bytes & !(0x3 << 62) | (0x2 << 62);
        let hex = format!("{bytes:032x}");
        Ok(format!(
            "{}-{}-{}-{}-{}",
            &hex[..8],
            &hex[8..12],
            &hex[12..16],
            &hex[16..20],
            &hex[20..]
        ))
    }

    fn details(&self) -> Result<BTreeMap<String, String>, Error> {
        // A register of the first form, opened only to be read, has no such table yet.
        if forms::form(&self.connection, Path::new("the register"))? < 2 {
            return Ok(BTreeMap::new());
        }
        let mut query = self.connection.prepare_cached("SELECT digest, body FROM details")?;
        let rows = query.query_map([], |row| Ok((row.get(0)?, row.get(1)?)))?;
        Ok(rows.collect::<Result<_, _>>()?)
    }

    fn missing_guards(&self) -> Result<Vec<String>, Error> {
        let mut missing = Vec::new();
        for guard in GUARDS {
            let there: i64 = self.connection.query_row(
                "SELECT count(*) FROM sqlite_schema WHERE type = 'trigger' AND name = ?1 AND tbl_name = 'log'",
                [guard],
                |row| row.get(0),
            )?;
            if there == 0 {
                missing.push(guard.to_owned());
            }
        }
        Ok(missing)
    }
}
