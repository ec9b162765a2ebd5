//! Tampering with the file behind a register's back, and what an audit says of it.

use super::made::{Device, Shop, course};
use pitwright::marking::{canonical, sha256_hex};
use pitwright::register::{Audit, Sqlite, Store, audit, hash_of};
use rusqlite::Connection;
use serde_json::Value;
use std::path::PathBuf;

/// A register with a course (rows 1 and 2) and a record, and the file behind it.
fn shop() -> (Shop, PathBuf) {
    let mut shop = Shop::new();
    let mut device = Device::new("TM-1", &course(), "2026-02-01T08:00:00Z");
    shop.must_take(&device.studies_all());
    let file = shop.folder.path().join("shop.register");
    (shop, file)
}

fn tampered(sql: &str) -> Audit {
    let (shop, file) = shop();
    let head = shop.register.ledger().head.clone();
    drop(shop.register);
    let connection = Connection::open(&file).expect("it is SQLite");
    connection
        .execute_batch("DROP TRIGGER log_never_changes; DROP TRIGGER log_never_shrinks;")
        .expect("triggers can be dropped");
    connection.execute_batch(sql).expect("the tampering works");
    put_guards_back(&connection);
    drop(connection);
    look(&file, Some(&head.hash))
}

pub fn put_guards_back(connection: &Connection) {
    connection
        .execute_batch(
            "CREATE TRIGGER log_never_changes BEFORE UPDATE ON log BEGIN SELECT RAISE(ABORT, 'no'); END;
             CREATE TRIGGER log_never_shrinks BEFORE DELETE ON log BEGIN SELECT RAISE(ABORT, 'no'); END;",
        )
        .expect("triggers can be made");
}

pub fn look(file: &std::path::Path, head: Option<&str>) -> Audit {
    let store = Sqlite::read(file).expect("it opens");
    audit(&store, head, |_| ()).expect("it can be read")
}

pub fn says(audit: &Audit, due: &str) {
    assert!(
        audit.findings.iter().any(|finding| finding.says.contains(due)),
        "{due:?} in {:#?}",
        audit.findings
    );
}

#[test]
fn an_honest_register_has_no_findings() {
    let (shop, file) = shop();
    let found = look(&file, Some(&shop.register.ledger().head.hash));
    assert_eq!(found.findings, []);
    assert_eq!(
        (found.rows, found.statements, found.attempts, found.markings),
        (12, 10, 2, 1)
    );
}

#[test]
fn the_log_itself_refuses_change() {
    let (_shop, file) = shop();
    let connection = Connection::open(&file).expect("it is SQLite");
    for (sql, due) in [
        ("UPDATE log SET taken = 'x' WHERE seq = 3", "never changed"),
        ("DELETE FROM log WHERE seq = 3", "nothing is ever deleted"),
    ] {
        let why = connection
            .execute_batch(sql)
            .expect_err("the trigger refuses")
            .to_string();
        assert!(why.contains(due), "{why}");
    }
}

#[test]
fn missing_guards_are_a_finding() {
    let (shop, file) = shop();
    drop(shop.register);
    let connection = Connection::open(&file).expect("it is SQLite");
    connection
        .execute_batch("DROP TRIGGER log_never_changes")
        .expect("a trigger can be dropped");
    drop(connection);
    says(&look(&file, None), "the guard `log_never_changes` of the log is gone");
}

#[test]
fn a_changed_row_is_named() {
    let found = tampered("UPDATE log SET body = replace(body, 'TM-1', 'TM-9') WHERE seq = 5");
    assert_eq!(
        found.findings[0].row,
        Some(5),
        "the first finding is the first row: {:#?}",
        found.findings
    );
    says(&found, "row 5 was changed");
    for sql in [
        "UPDATE log SET taken = '2020-01-01T00:00:00.000Z' WHERE seq = 5",
        "UPDATE log SET id = '00000000-0000-4000-8000-000000000000' WHERE seq = 5",
        "UPDATE log SET hash = replace(hash, substr(hash, 1, 1), 'x') WHERE seq = 5",
    ] {
        says(&tampered(sql), "row 5 was changed");
    }
}

#[test]
fn every_changed_row_is_named() {
    let found = tampered("UPDATE log SET taken = 'x' WHERE seq IN (4, 8, 9)");
    for row in [4, 8, 9] {
        says(&found, &format!("row {row} was changed"));
    }
    assert!(
        !found.findings.iter().any(|finding| finding.row == Some(6)),
        "{:#?}",
        found.findings
    );
}

#[test]
fn missing_rows_are_named() {
    let found = tampered("DELETE FROM log WHERE seq IN (6, 7)");
    says(&found, "rows 6 to 7 are missing");
    let found = tampered(
        "DELETE FROM log WHERE seq = 6; UPDATE log SET seq = -seq WHERE seq > 6; UPDATE log SET seq = -seq - 1 WHERE seq < 0",
    );
    says(&found, "row 6 does not follow row 5");
}

#[test]
fn moved_rows_are_named() {
    let found = tampered(
        "UPDATE log SET seq = 99 WHERE seq = 5; UPDATE log SET seq = 5 WHERE seq = 6; UPDATE log SET seq = 6 WHERE seq = 99",
    );
    says(&found, "row 5 was changed");
    says(&found, "row 5 does not follow row 4");
}

#[test]
fn rows_written_by_something_else_are_named() {
    let copy = |seq: i64| {
        format!(
            "INSERT INTO log SELECT {seq}, kind, '00000000-0000-4000-8000-000000000000', taken, body, prev, hash FROM log WHERE seq = 5"
        )
    };
    let found = tampered(&copy(13));
    says(&found, "row 13 was changed");
    says(&found, "row 13 does not follow row 12");
    let found = tampered(&copy(-1));
    says(&found, "a row before the first was written by something else");
}

#[test]
fn rows_cut_off_at_the_end_show_against_a_noted_head() {
    let found = tampered("DELETE FROM log WHERE seq > 9");
    says(&found, "no row has the hash that was noted down");
}

/// The chain made anew from row `from` on, with an edit: what somebody who knows the form would do.
fn forged(edit: impl Fn(&mut Value)) -> Audit {
    let (shop, file) = shop();
    let rows = shop.register.store().read_from(1, 100).expect("it can be read");
    let noted = shop.register.ledger().head.hash.clone();
    drop(shop.register);
    let connection = Connection::open(&file).expect("it is SQLite");
    connection
        .execute_batch("DROP TRIGGER log_never_changes; DROP TRIGGER log_never_shrinks;")
        .expect("triggers can be dropped");
    let mut prev = rows[0].prev.clone();
    for row in rows {
        let mut value: Value = serde_json::from_str(&row.body).expect("a row is JSON");
        edit(&mut value);
        let body = String::from_utf8(canonical(&value).expect("it is canonical")).expect("JSON is text");
        let id = if row.kind == "marking" {
            sha256_hex(body.as_bytes())
        } else {
            row.id.clone()
        };
        let hash = hash_of(row.seq, &row.kind, &id, &row.taken, &body, &prev);
        connection
            .execute(
                "UPDATE log SET id = ?1, body = ?2, prev = ?3, hash = ?4 WHERE seq = ?5",
                (&id, &body, &prev, &hash, row.seq as i64),
            )
            .expect("the tampering works");
        prev = hash;
    }
    put_guards_back(&connection);
    drop(connection);
    let found = look(&file, Some(&noted));
    says(&found, "no row has the hash that was noted down");
    found
}

#[test]
fn a_chain_made_anew_still_shows_in_the_marks() {
    let found = forged(|value| {
        if value["result"]["response"] == "10" {
            value["result"]["response"] = Value::from("3");
        }
    });
    says(&found, "the record claims full marks, the response `3` earns none");
    says(&found, "the seal does not fit");
    let found = forged(|value| {
        if value.get("banks").is_some() {
            value["banks"][0]["pass"] = Value::from(100);
        }
    });
    says(&found, "the marking that came into force is not in the log before it");
    says(&found, "does not hold the marking it was made on");
}

#[test]
fn a_changed_marking_is_named_and_not_used() {
    let found = tampered("UPDATE log SET body = replace(body, '\"pass\":60', '\"pass\":10') WHERE seq = 1");
    says(&found, "row 1: the marking was changed");
    let (shop, file) = shop();
    drop(shop.register);
    let connection = Connection::open(&file).expect("it is SQLite");
    connection.execute_batch("DROP TRIGGER log_never_changes; UPDATE log SET body = replace(body, '\"pass\":60', '\"pass\":10') WHERE seq = 1").expect("the tampering works");
    drop(connection);
    let store = Sqlite::read(&file).expect("it opens");
    let why = pitwright::register::Register::open(store)
        .err()
        .expect("a changed marking marks nothing")
        .to_string();
    assert!(why.contains("row 1") && why.contains("audit"), "{why}");
}
