//! Backups: made, checked, replaced.

use super::desk::Desk;
use super::forms::form_1;
use super::made::{Device, course};
use pitwright::register::{Sqlite, Store};
use rusqlite::Connection;
use serde_json::{Value, json};
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Stdio;

/// A desk whose register holds one person's studies and a note.
pub fn desk() -> Desk {
    let desk = Desk::new();
    desk.hand_in(
        "one.json",
        &Device::new("TM-1", &course(), "2026-02-01T08:00:00Z").studies_all(),
    );
    assert_eq!(desk.run(&["gather", "one.json"]).0, 0);
    note(&desk, "Slow at the second lock.");
    desk
}

pub fn note(desk: &Desk, note: &str) {
    let (code, out, err) = desk.run(&Desk::watching(
        "lock-out",
        &["--met", "--real", "--another", "--note", note],
    ));
    assert_eq!(code, 0, "{out}{err}");
}

pub fn file(desk: &Desk, name: &str) -> PathBuf {
    desk.folder.path().join(name)
}

pub fn register(desk: &Desk) -> PathBuf {
    file(desk, "data/pitwright/test-house.register")
}

pub fn rows(file: &Path) -> Vec<pitwright::register::Entry> {
    let store = Sqlite::read(file).expect("it opens");
    store.read_from(0, 1000).expect("it can be read")
}

/// The names of all that lies in the desk's folder.
pub fn names(desk: &Desk) -> Vec<String> {
    let mut names: Vec<String> = fs::read_dir(desk.folder.path())
        .expect("it can be read")
        .map(|entry| {
            entry
                .expect("it can be read")
                .file_name()
                .to_string_lossy()
                .into_owned()
        })
        .collect();
    names.sort();
    names
}

#[test]
fn a_backup_is_a_whole_register_and_an_earlier_state_of_it() {
    let desk = desk();
    let (code, out, err) = desk.run(&["backup", "kept.register"]);
    assert_eq!(code, 0, "{out}{err}");
    assert!(out.contains("13 rows") && out.contains("its chain holds"), "{out}");
    assert!(err.contains("1 name or note"), "it says what it holds: {err}");
    let head = rows(&register(&desk))[12].hash.clone();
    assert!(out.contains(&format!("last row: {head}")), "{out}");
    assert_eq!(rows(&file(&desk, "kept.register")), rows(&register(&desk)));
    assert_eq!(
        names(&desk),
        ["data", "kept.register", "one.json", "out"],
        "nothing else is left"
    );
    let (code, out, _) = desk.run(&["backup", "--check", "kept.register"]);
    assert_eq!(code, 0, "{out}");
    assert!(out.contains("the same 13 rows"), "{out}");
    note(&desk, "Better now.");
    let (code, out, _) = desk.run(&["backup", "--check", "kept.register"]);
    assert_eq!(code, 0, "{out}");
    assert!(
        out.contains("an earlier state") && out.contains("13 rows and 1 more since"),
        "{out}"
    );
    // A backup is itself a register.
    let (code, audited) = desk.json(&["audit", "--register", "kept.register", "--head", &head]);
    assert_eq!((code, &audited["findings"]), (0, &json!([])));
}

/// Two processes gather at once and a third makes backups meanwhile: all of them come through, and every backup is whole.
#[test]
fn backups_are_made_while_others_write() {
    let desk = desk();
    let groups: Vec<Vec<String>> = (0..2)
        .map(|group| {
            let files = (0..8).map(|number| {
                let person = format!("TM-{group}{number}");
                let mut device = Device::new(&person, &course(), "2026-02-01T08:00:00Z");
                desk.hand_in(&format!("{person}.json"), &device.studies_all());
                format!("{person}.json")
            });
            files.collect()
        })
        .collect();
    let mut children: Vec<_> = groups
        .iter()
        .map(|files| {
            let files: Vec<&str> = files.iter().map(String::as_str).collect();
            let mut command = desk.command(&[&["gather"], &files[..]].concat());
            command
                .stdout(Stdio::null())
                .spawn()
                .expect("the program was built with the tests")
        })
        .collect();
    let mut sizes = Vec::new();
    loop {
        let done = children
            .iter_mut()
            .all(|child| child.try_wait().expect("it was started here").is_some());
        let (code, out, err) = desk.run(&["backup", "kept.register", "--replace"]);
        assert_eq!(code, 0, "{out}{err}");
        let (code, checked) = desk.json(&["backup", "--check", "kept.register"]);
        assert_eq!(code, 0, "{checked:#}");
        sizes.push(checked["rows"].as_u64().expect("a number"));
        if done {
            break;
        }
    }
    for mut child in children {
        assert!(child.wait().expect("it was started here").success());
    }
    assert!(sizes.is_sorted(), "{sizes:?}");
    assert_eq!(sizes.last(), Some(&173), "both ended with all of theirs");
    let (code, audited) = desk.json(&["audit"]);
    assert_eq!((code, &audited["findings"]), (0, &json!([])));
}

#[test]
fn a_backup_overwrites_nothing_unless_told_and_never_what_it_lacks() {
    let desk = desk();
    assert_eq!(desk.run(&["backup", "kept.register"]).0, 0);
    note(&desk, "Better now.");
    let before = fs::read(file(&desk, "kept.register")).expect("it can be read");
    let (code, _, err) = desk.run(&["backup", "kept.register"]);
    assert_eq!(code, 2);
    assert!(err.contains("is there already") && err.contains("--replace"), "{err}");
    assert_eq!(fs::read(file(&desk, "kept.register")).expect("it can be read"), before);
    assert_eq!(desk.run(&["backup", "kept.register", "--replace"]).0, 0);
    assert_eq!(rows(&file(&desk, "kept.register")).len(), 14);
    // The register goes back by a row, then another way: the backup now has what it lacks.
    let newest = fs::read(file(&desk, "kept.register")).expect("it can be read");
    fs::write(register(&desk), &before).expect("it can be written");
    let (code, out, _) = desk.run(&["backup", "kept.register", "--replace"]);
    assert_eq!(code, 1, "{out}");
    assert!(
        out.contains("left alone") && out.contains("13 rows and 1 more"),
        "{out}"
    );
    note(&desk, "Another way.");
    let (code, out, _) = desk.run(&["backup", "kept.register", "--replace"]);
    assert_eq!(code, 1, "{out}");
    assert!(out.contains("from row 14 on the two differ"), "{out}");
    assert_eq!(fs::read(file(&desk, "kept.register")).expect("it can be read"), newest);
    // What is no register is never replaced.
    fs::write(file(&desk, "letter.txt"), "Dear Sir").expect("it can be written");
    let (code, _, err) = desk.run(&["backup", "letter.txt", "--replace"]);
    assert_eq!(code, 2);
    assert!(err.contains("nobody can say what would be lost"), "{err}");
    assert_eq!(
        fs::read(file(&desk, "letter.txt")).expect("it can be read"),
        b"Dear Sir"
    );
    let own = register(&desk);
    let own = own.to_str().expect("it is text");
    for (name, due) in [
        (own, "is the register in use"),
        (".", "is not a file"),
        ("absent/kept.register", "absent/kept.register"),
    ] {
        let (code, out, err) = desk.run(&["backup", name, "--replace"]);
        assert_eq!((code, out.as_str()), (2, ""), "{err}");
        assert!(err.contains(due), "{err}");
    }
    assert!(
        !file(&desk, "absent").exists(),
        "a stick that is not there is not made up"
    );
    assert!(names(&desk).iter().all(|name| !name.contains("unfinished")));
}

#[test]
fn a_register_whose_chain_is_broken_makes_no_backup() {
    let desk = desk();
    assert_eq!(desk.run(&["backup", "kept.register"]).0, 0);
    let good = fs::read(file(&desk, "kept.register")).expect("it can be read");
    spoil(
        &register(&desk),
        "UPDATE log SET taken = '2026-02-02T00:00:00.000Z' WHERE seq = 5",
    );
    let (code, out, _) = desk.run(&["backup", "kept.register", "--replace"]);
    assert_eq!(code, 1, "{out}");
    assert!(out.contains("row 5 was changed"), "{out}");
    assert_eq!(fs::read(file(&desk, "kept.register")).expect("it can be read"), good);
    assert_eq!(names(&desk), ["data", "kept.register", "one.json", "out"]);
}

pub fn spoil(file: &Path, sql: &str) {
    let guard = |table: &str, when: &str| {
        format!("CREATE TRIGGER log_never_{table} BEFORE {when} ON log BEGIN SELECT RAISE(ABORT, 'no'); END;")
    };
    let (changes, shrinks) = (guard("changes", "UPDATE"), guard("shrinks", "DELETE"));
    Connection::open(file)
        .and_then(|connection| {
            connection.execute_batch(&format!(
                "DROP TRIGGER log_never_changes; DROP TRIGGER log_never_shrinks; {sql}; {changes} {shrinks}"
            ))
        })
        .expect("the tampering works");
}

#[test]
fn checking_says_what_is_wrong_with_a_backup() {
    let desk = desk();
    assert_eq!(desk.run(&["backup", "kept.register"]).0, 0);
    let kept = file(&desk, "kept.register");
    let good = fs::read(&kept).expect("it can be read");
    // Spoilt by SQL.
    for (sql, due) in [
        (
            "UPDATE log SET body = replace(body, 'TM-1', 'TM-9') WHERE seq = 5",
            "row 5 was changed",
        ),
        ("DELETE FROM log WHERE seq = 7", "row 7 is missing"),
        ("DELETE FROM details", "row 13: its details are missing"),
        (
            "UPDATE details SET body = replace(body, 'Slow', 'Good')",
            "row 13: its details were changed",
        ),
    ] {
        fs::write(&kept, &good).expect("it can be written");
        spoil(&kept, sql);
        let (code, out, _) = desk.run(&["backup", "--check", "kept.register"]);
        assert_eq!(code, 1, "{out}");
        assert!(
            out.contains("is not a whole register") && out.contains(due),
            "{due}: {out}"
        );
    }
    // Cut off, as a copy by hand that was stopped; and with its middle overwritten.
    let mut holed = good.clone();
    let middle = holed.len() / 2;
    holed[middle..middle + 4096].fill(b'x');
    for bytes in [&good[..good.len() / 2], &holed] {
        fs::write(&kept, bytes).expect("it can be written");
        let (code, out, err) = desk.run(&["backup", "--check", "kept.register"]);
        assert_eq!(code, 1, "{out}{err}");
        assert!(out.contains("is not a whole register"), "{out}");
    }
    fs::write(&kept, b"Dear Sir").expect("it can be written");
    let (code, _, err) = desk.run(&["backup", "--check", "kept.register"]);
    assert_eq!(code, 2);
    assert!(err.contains("is not a register"), "{err}");
    let (code, _, err) = desk.run(&["backup", "--check", "absent.register"]);
    assert_eq!(code, 2);
    assert!(err.contains("there is no file absent.register"), "{err}");
}

/// A limit on the size of files stands in for a full disk.
#[cfg(unix)]
#[test]
fn a_full_disk_leaves_the_old_backup() {
    let desk = desk();
    assert_eq!(desk.run(&["backup", "kept.register"]).0, 0);
    note(&desk, "Better now.");
    let before = fs::read(file(&desk, "kept.register")).expect("it can be read");
    let output = desk
        .shell("trap '' XFSZ; ulimit -f 16; exec \"$0\" backup kept.register --replace")
        .output()
        .expect("a shell is there");
    let err = String::from_utf8_lossy(&output.stderr);
    assert_eq!(output.status.code(), Some(2), "{err}");
    assert!(err.contains("the copy could not be made"), "{err}");
    assert_eq!(fs::read(file(&desk, "kept.register")).expect("it can be read"), before);
    assert_eq!(names(&desk), ["data", "kept.register", "one.json", "out"]);
}

#[test]
fn a_register_of_the_first_form_is_backed_up_in_its_form() {
    let desk = Desk::new();
    let own = register(&desk);
    fs::create_dir_all(own.parent().expect("it has a folder")).expect("it can be made");
    form_1(&own);
    let before = fs::read(&own).expect("it can be read");
    let (code, out, err) = desk.run(&["backup", "kept.register"]);
    assert_eq!(code, 0, "{out}{err}");
    assert!(out.contains("36 rows"), "{out}");
    assert_eq!(
        fs::read(&own).expect("it can be read"),
        before,
        "a backup brings nothing forward"
    );
    let (_, checked) = desk.json(&["backup", "--check", "kept.register"]);
    assert_eq!(checked["comparison"]["relation"], json!("same"));
    let waiting = Sqlite::read(&file(&desk, "kept.register"))
        .and_then(|store| store.held())
        .expect("it can be read");
    assert_eq!(waiting.len(), 2, "what waits is copied too");
    assert_eq!(desk.run(&["restore", "kept.register"]).0, 0);
    let (code, audited): (i32, Value) = desk.json(&["audit"]);
    // The one signature in it carries no proof.
    assert_eq!((code, &audited["rows"]), (1, &json!(36)));
    assert_eq!(audited["findings"].as_array().map(Vec::len), Some(1));
}
