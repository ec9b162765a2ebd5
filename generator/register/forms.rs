//! The forms that a register's file has had, and the steps from each to the next.
//!
//! A file is brought forward only when it is opened to be written, in one transaction: all steps happen, or none.

use super::Error;
use super::sqlite::at;
use rusqlite::Connection;
use std::path::Path;

/// The mark by which a register is told from other SQLite files: "PITW".
const APPLICATION: i64 = 0x5049_5457;

/// Each brings a register from the form before it to the next; `PRAGMA user_version` counts those that were run.
const FORMS: [&str; 2] = [
    r"
    CREATE TABLE log (
        seq   INTEGER PRIMARY KEY,
        kind  TEXT NOT NULL CHECK (kind IN ('statement', 'marking', 'in-force')),
        id    TEXT NOT NULL,
        taken TEXT NOT NULL,
        body  TEXT NOT NULL,
        prev  TEXT NOT NULL,
        hash  TEXT NOT NULL
    ) STRICT;
    CREATE UNIQUE INDEX log_id ON log (kind, id) WHERE kind <> 'in-force';
    CREATE TRIGGER log_never_changes BEFORE UPDATE ON log
        BEGIN SELECT RAISE(ABORT, 'the log of a register is never changed'); END;
    CREATE TRIGGER log_never_shrinks BEFORE DELETE ON log
        BEGIN SELECT RAISE(ABORT, 'nothing is ever deleted from the log of a register'); END;
    CREATE TABLE held (
        id    TEXT NOT NULL,
        batch TEXT NOT NULL,
        body  TEXT NOT NULL,
        PRIMARY KEY (id, batch)
    ) STRICT, WITHOUT ROWID;
",
    r"
    CREATE TABLE details (
        digest TEXT PRIMARY KEY,
        body   TEXT NOT NULL
    ) STRICT, WITHOUT ROWID;
",
];

/// How many forms the file has been brought through; 0 for a file that holds nothing at all.
///
/// # Errors
/// [`Error`] if the file is something else, or newer than this program.
pub(super) fn form(connection: &Connection, path: &Path) -> Result<usize, Error> {
    let pragma = |name: &str| -> Result<i64, Error> {
        connection
            .pragma_query_value(None, name, |row| row.get(0))
            .map_err(|why| at(path, &why))
    };
    let (application, version) = (pragma("application_id")?, pragma("user_version")?);
    let tables: i64 = connection
        .query_row("SELECT count(*) FROM sqlite_schema", [], |row| row.get(0))
        .map_err(|why| at(path, &why))?;
    if application == 0 && version == 0 && tables == 0 {
        return Ok(0);
    }
    if application != APPLICATION {
        return Err(Error::NotARegister(path.to_owned()));
    }
    match usize::try_from(version) {
        Ok(form) if (1..=FORMS.len()).contains(&form) => Ok(form),
        _ if version > 0 => Err(Error::Newer {
            path: path.to_owned(),
            version,
            known: FORMS.len(),
        }),
        _ => Err(Error::NotARegister(path.to_owned())),
    }
}

/// Runs the steps that are still due, in one transaction.
///
/// # Errors
/// [`Error`]; then the file is as it was.
pub(super) fn bring_forward(connection: &Connection, path: &Path) -> Result<(), Error> {
    if form(connection, path)? == FORMS.len() {
        return Ok(());
    }
    connection
        .execute_batch("BEGIN IMMEDIATE")
        .map_err(|why| at(path, &why))?;
    let due = form(connection, path).and_then(|form| {
        for step in &FORMS[form..] {
            connection.execute_batch(step)?;
        }
        connection.pragma_update(None, "application_id", APPLICATION)?;
        connection.pragma_update(None, "user_version", FORMS.len() as i64)?;
        connection.execute_batch("COMMIT")?;
        Ok(())
    });
    if due.is_err() && !connection.is_autocommit() {
        // The first error is the one to tell; a file left in mid-transaction rolls itself back when it is closed.
        let _ = connection.execute_batch("ROLLBACK");
    }
    due
}
