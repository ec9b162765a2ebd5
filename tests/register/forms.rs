//! Registers in forms that earlier programs wrote: read, brought forward, or refused with a word.

use super::desk::Desk;
use super::made::day;
use pitwright::register::{Audit, Entry, Error, Held, Register, Sqlite, Store, audit};
use pitwright::standing::{Person, Standing, State, everybody};
use rusqlite::Connection;
use std::fs;
use std::path::{Path, PathBuf};
use tempfile::TempDir;

/// The end of the log in `forms/form-1.sql`, as the program that wrote it said.
const HEAD: &str = "1bc32aca7111fe9177fa8685ec33fab36014b53bebbd183898a60d0602cb6c9d";

/// A register in the first form, as the program of its day wrote it: three markings, records of two people on two of
/// them, a third's that waits, notes of a trainer, a signature.
pub fn form_1(file: &Path) {
    let connection = Connection::open(file).expect("a file can be made");
    connection
        .execute_batch(include_str!("forms/form-1.sql"))
        .expect("the text is SQL");
}

fn kept() -> (TempDir, PathBuf) {
    let folder = tempfile::tempdir().expect("a temporary folder can be made");
    let file = folder.path().join("old.register");
    form_1(&file);
    (folder, file)
}

/// All that an audit finds: signatures carried no proof then, so the one in it does not count any more.
fn only_unproven(audited: &Audit) {
    let says: Vec<&str> = audited.findings.iter().map(|finding| finding.says.as_str()).collect();
    assert_eq!(
        says,
        ["row 34: was signed off for lock-out by MG-1: it carries no proof"]
    );
}

fn form(file: &Path) -> i64 {
    Connection::open(file)
        .and_then(|connection| connection.pragma_query_value(None, "user_version", |row| row.get(0)))
        .expect("it is SQLite")
}

/// All that a register holds.
fn held_in(store: Sqlite) -> (Vec<Entry>, Vec<Held>, Vec<Person>) {
    let rows = store.read_from(0, 1000).expect("it can be read");
    let held = store.held().expect("it can be read");
    let register = Register::open(store).expect("it opens");
    let statements = register.statements().expect("it can be read");
    let details = register.details().expect("they can be read");
    let people = ["2026-02-20", "2026-02-26", "2026-03-02"]
        .iter()
        .flat_map(|on| everybody(&statements, register.markings(), &details, &day(on)))
        .collect();
    (rows, held, people)
}

#[test]
fn a_register_of_the_first_form_is_read_as_it_is() {
    let (_folder, file) = kept();
    let before = fs::read(&file).expect("it can be read");
    let (rows, held, people) = held_in(Sqlite::read(&file).expect("it opens"));
    assert_eq!((rows.len(), held.len()), (36, 2));
    assert_eq!(rows[35].hash, HEAD);
    let notes: Vec<&Entry> = rows.iter().filter(|row| row.body.contains("/xapi/note")).collect();
    assert_eq!(notes.len(), 3, "notes stood in the statements then");
    // What the program that wrote it said of these people.
    let one = &people[2];
    assert_eq!(one.person, "TM-1");
    assert_eq!(one.competencies[0].standing, Standing::ReadyToSign);
    let states: Vec<State> = people[3].attempts.iter().map(|line| line.state).collect();
    assert_eq!(states, [State::Failed, State::Left, State::Failed]);
    let audited = audit(&Sqlite::read(&file).expect("it opens"), Some(HEAD), |_| ()).expect("it can be read");
    only_unproven(&audited);
    assert_eq!(
        fs::read(&file).expect("it can be read"),
        before,
        "reading writes nothing"
    );
    assert_eq!(form(&file), 1);
}

#[test]
fn a_register_of_the_first_form_is_brought_forward_when_it_is_written() {
    let (_folder, file) = kept();
    let before = held_in(Sqlite::read(&file).expect("it opens"));
    let store = Sqlite::write(&file).expect("it opens");
    assert_eq!(form(&file), 2);
    assert_eq!(held_in(store), before, "every row and every standing is as it was");
    let audited = audit(&Sqlite::read(&file).expect("it opens"), Some(HEAD), |_| ()).expect("it can be read");
    only_unproven(&audited);
    let again = fs::read(&file).expect("it can be read");
    drop(Sqlite::write(&file).expect("it opens"));
    assert_eq!(fs::read(&file).expect("it can be read"), again, "once is enough");
}

#[test]
fn what_is_entered_into_an_old_register_follows_its_rows() {
    let (folder, file) = kept();
    let desk = Desk::new();
    let file_name = file.to_str().expect("the folder's name is text");
    let (code, out, err) = desk.run(&Desk::watching(
        "lock-out",
        &[
            "--met",
            "--staged",
            "--on",
            "2026-02-28",
            "--note",
            "bench",
            "--register",
            file_name,
        ],
    ));
    assert_eq!(code, 0, "{out}{err}");
    let (code, out, err) = desk.run(&["audit", "--head", HEAD, "--register", file_name]);
    assert_eq!(code, 1, "{out}{err}");
    assert!(
        out.contains("37 rows: 32 statements") && out.contains("1 finding"),
        "{out}"
    );
    drop(folder);
}

/// A step that fails leaves the file as it was: here something else has made a table of the name that is due.
#[test]
fn a_step_that_fails_leaves_the_file_as_it_was() {
    let (_folder, file) = kept();
    Connection::open(&file)
        .and_then(|connection| connection.execute_batch("CREATE TABLE details (note TEXT)"))
        .expect("it is SQLite");
    let before = fs::read(&file).expect("it can be read");
    let why = Sqlite::write(&file).expect_err("the table is in the way").to_string();
    assert!(why.contains("details"), "{why}");
    assert_eq!(fs::read(&file).expect("it can be read"), before);
    assert_eq!(form(&file), 1);
}

/// The system's limit on the size of files stands in for a full disk; where the signal for it is not caught, the
/// program dies in the middle of writing.
#[cfg(unix)]
#[test]
fn a_full_disk_or_a_kill_in_the_middle_leaves_the_file_as_it_was() {
    let desk = Desk::new();
    let file = desk.folder.path().join("old.register");
    for (caught, due) in [("trap '' XFSZ; ", Some(2)), ("", None)] {
        let _ = fs::remove_file(&file);
        form_1(&file);
        let before = fs::read(&file).expect("it can be read");
        let rows = held_in(Sqlite::read(&file).expect("it opens"));
        let script = format!(
            "{caught}ulimit -f {}; exec \"$0\" witness TM-1 lock-out --by TR-1 --met --staged --register old.register",
            before.len() / 512
        );
        let output = desk.shell(&script).output().expect("a shell is there");
        let err = String::from_utf8_lossy(&output.stderr);
        assert_eq!(output.status.code(), due, "{err}");
        if due.is_some() {
            assert!(err.contains("could not be read or written"), "{err}");
            assert_eq!(fs::read(&file).expect("it can be read"), before);
        }
        // What a killed writer left behind is rolled back by the next reader.
        assert_eq!(held_in(Sqlite::read(&file).expect("it opens")), rows);
        assert_eq!(form(&file), 1);
        let audited = audit(&Sqlite::read(&file).expect("it opens"), Some(HEAD), |_| ()).expect("it can be read");
        only_unproven(&audited);
    }
    let (code, out, err) = desk.run(&Desk::watching(
        "lock-out",
        &["--met", "--staged", "--register", "old.register"],
    ));
    assert_eq!(code, 0, "with room it works: {out}{err}");
}

#[test]
fn a_newer_form_is_refused_with_what_to_do() {
    let (_folder, file) = kept();
    drop(Sqlite::write(&file).expect("it opens"));
    Connection::open(&file)
        .and_then(|connection| connection.pragma_update(None, "user_version", 3))
        .expect("it is SQLite");
    let before = fs::read(&file).expect("it can be read");
    for opened in [Sqlite::read(&file), Sqlite::write(&file), Sqlite::create(&file)] {
        let why = opened.expect_err("it is newer");
        assert!(
            matches!(
                why,
                Error::Newer {
                    version: 3,
                    known: 2,
                    ..
                }
            ),
            "{why}"
        );
        assert!(why.to_string().contains("install that version or a newer one"), "{why}");
    }
    assert_eq!(fs::read(&file).expect("it can be read"), before);
}
