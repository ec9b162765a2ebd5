//! A backup put in the register's place, and what stood there kept.

use super::backup::{desk, file, note, register, rows, spoil};
use super::made::{Device, course};
use rusqlite::Connection;
use serde_json::json;
use std::fs;

#[test]
fn restoring_puts_the_backup_back_and_keeps_what_stood_there() {
    let desk = desk();
    assert_eq!(desk.run(&["backup", "kept.register"]).0, 0);
    let own = register(&desk);
    let then = rows(&own);
    // Where nothing stands, the backup is simply put; a journal of the register that is gone is not taken for its own.
    fs::remove_file(&own).expect("it can be removed");
    let journal = own.with_file_name("test-house.register-journal");
    fs::write(&journal, b"what a stopped writer left").expect("it can be written");
    let (code, out, err) = desk.run(&["restore", "kept.register"]);
    assert_eq!(code, 0, "{out}{err}");
    assert_eq!(rows(&own), then);
    assert!(!journal.exists());
    assert!(
        own.with_file_name("test-house.register.set-aside-2026-03-01-journal")
            .is_file()
    );
    // Where the register has more, only with a word, and what has more is kept.
    note(&desk, "Better now.");
    let more = fs::read(&own).expect("it can be read");
    let (code, out, _) = desk.run(&["restore", "kept.register"]);
    assert_eq!(code, 1, "{out}");
    assert!(out.contains("lacks 1 row") && out.contains("--set-aside"), "{out}");
    assert_eq!(fs::read(&own).expect("it can be read"), more);
    let (code, out, _) = desk.run(&["restore", "kept.register", "--set-aside"]);
    assert_eq!(code, 0, "{out}");
    assert_eq!(rows(&own), then);
    let aside = own.with_file_name("test-house.register.set-aside-2026-03-01");
    assert!(out.contains(&aside.display().to_string()), "{out}");
    assert!(out.contains("Only there now: 1 row."), "{out}");
    assert_eq!(fs::read(&aside).expect("it is kept"), more, "byte for byte");
    // What was set aside can be put back in its turn: it has all that stands there now.
    let (code, out, err) = desk.run(&["restore", aside.to_str().expect("it is text")]);
    assert_eq!(code, 0, "{out}{err}");
    assert_eq!(rows(&own).len(), 14);
    assert!(
        own.with_file_name("test-house.register.set-aside-2026-03-01-2")
            .is_file()
    );
    assert!(aside.is_file(), "nothing is ever deleted");
    let (code, audited) = desk.json(&["audit"]);
    assert_eq!((code, &audited["findings"]), (0, &json!([])));
}

#[test]
fn restoring_over_what_cannot_be_read_needs_a_word_and_keeps_it() {
    let desk = desk();
    assert_eq!(desk.run(&["backup", "kept.register"]).0, 0);
    let own = register(&desk);
    let good = rows(&own);
    fs::write(&own, b"no register any more").expect("it can be written");
    let beside = ["-journal", "-wal"].map(|ending| own.with_file_name(format!("test-house.register{ending}")));
    for file in &beside {
        fs::write(file, b"what a stopped writer left").expect("it can be written");
    }
    let (code, _, err) = desk.run(&["restore", "kept.register"]);
    assert_eq!(code, 2);
    assert!(err.contains("nobody can say what would be lost"), "{err}");
    let (code, out, err) = desk.run(&["restore", "kept.register", "--set-aside"]);
    assert_eq!(code, 0, "{out}{err}");
    assert_eq!(rows(&own), good);
    let aside = own.with_file_name("test-house.register.set-aside-2026-03-01");
    assert_eq!(fs::read(aside).expect("it is kept"), b"no register any more");
    for file in &beside {
        assert!(!file.exists(), "what belongs to the old file would spoil the new one");
    }
    // Spoilt in its middle, it opens and cannot be read to its end.
    let mut holed = fs::read(&own).expect("it can be read");
    let middle = holed.len() / 2;
    holed[middle - 8192..middle + 8192].fill(b'x');
    fs::write(&own, &holed).expect("it can be written");
    let (code, out, err) = desk.run(&["restore", "kept.register"]);
    assert_eq!(code, 2, "{out}");
    assert!(err.contains("nobody can say"), "{err}");
    let (code, out, err) = desk.run(&["restore", "kept.register", "--set-aside"]);
    assert_eq!(code, 0, "{out}{err}");
    assert_eq!(rows(&own), good);
    let aside = own.with_file_name("test-house.register.set-aside-2026-03-01-2");
    assert_eq!(fs::read(aside).expect("it is kept"), holed);
    // A backup that is not whole never takes the place.
    spoil(&file(&desk, "kept.register"), "DELETE FROM log WHERE seq = 7");
    let before = fs::read(&own).expect("it can be read");
    let (code, out, _) = desk.run(&["restore", "kept.register", "--set-aside"]);
    assert_eq!(code, 1, "{out}");
    assert!(out.contains("row 7 is missing"), "{out}");
    assert_eq!(fs::read(&own).expect("it can be read"), before);
    let (code, _, err) = desk.run(&["restore", own.to_str().expect("it is text")]);
    assert_eq!(code, 2);
    assert!(err.contains("is the register in use"), "{err}");
}

/// What only waits in the register is not lost in silence either.
#[test]
fn restoring_counts_what_waits() {
    let desk = desk();
    assert_eq!(desk.run(&["backup", "kept.register"]).0, 0);
    let mut unknown = course();
    unknown["title"] = json!("Another course");
    desk.hand_in(
        "held.json",
        &[Device::new("TM-1", &unknown, "2026-02-01T08:00:00Z").read("sweep")],
    );
    assert_eq!(desk.run(&["gather", "held.json"]).0, 1);
    let (code, out, _) = desk.run(&["restore", "kept.register"]);
    assert_eq!(code, 1, "{out}");
    assert!(out.contains("lacks 1 waiting statement"), "{out}");
    assert_eq!(desk.run(&["restore", "kept.register", "--set-aside"]).0, 0);
}

/// Somebody who has the old register open when another takes its place cannot write to it any more.
#[cfg(unix)]
#[test]
fn a_writer_of_the_old_file_is_told() {
    let desk = desk();
    assert_eq!(desk.run(&["backup", "kept.register"]).0, 0);
    let own = register(&desk);
    let old = Connection::open(&own).expect("it is SQLite");
    old.query_row("SELECT count(*) FROM log", [], |row| row.get::<_, i64>(0))
        .expect("it can be read");
    assert_eq!(desk.run(&["restore", "kept.register"]).0, 0);
    let why = old
        .execute("INSERT INTO held VALUES ('a', 'b', 'c')", [])
        .expect_err("the file has moved");
    assert!(why.to_string().contains("readonly"), "{why}");
}
