//! Erasing names and notes: gone from the file, and the chain still holds.

use super::desk::Desk;
use super::forms::form_1;
use super::made::{Device, Shop, course, day};
use pitwright::record::{Event, Trigger, What};
use pitwright::register::{Audit, Entering, Sqlite, audit};
use rusqlite::Connection;
use serde_json::json;
use std::fs;
use std::path::{Path, PathBuf};

/// All that stands in a file and in what SQLite keeps beside it.
fn raw(file: &Path) -> String {
    let mut text = String::new();
    for ending in ["", "-journal", "-wal", "-shm"] {
        let mut name = file.as_os_str().to_owned();
        name.push(ending);
        if let Ok(bytes) = fs::read(PathBuf::from(name)) {
            text.push_str(&String::from_utf8_lossy(&bytes));
        }
    }
    text
}

fn stands(file: &Path, words: &str) -> bool {
    raw(file).contains(words)
}

/// A shop with so many people, each with a name and notes of their own, entered by turns.
fn crowd(people: usize, notes: usize) -> (Shop, PathBuf) {
    let mut shop = Shop::new();
    let today = day("2026-03-01");
    let codes: Vec<String> = (0..people).map(|person| format!("TM-{person}")).collect();
    let names: Vec<String> = (0..people).map(|person| format!("Name{person:03}X")).collect();
    // Of very different lengths, so that pages fill, split and are packed anew.
    let texts: Vec<String> = (0..people)
        .map(|person| format!("Note{person:03}X{}", "-".repeat(person * 37 % 900)))
        .collect();
    for turn in 0..notes {
        let what = if turn == 0 {
            What::Joined { job: None }
        } else {
            What::MustRetrain {
                competency: "lock-out".to_owned(),
                trigger: Trigger::Machine,
            }
        };
        let entering: Vec<Entering> = (0..people)
            .map(|person| Entering {
                person: &codes[person],
                event: Event {
                    by: "TR-1".to_owned(),
                    what: what.clone(),
                    details: None,
                },
                name: (turn == 0).then_some(names[person].as_str()),
                note: Some(&texts[person]),
                day: &today,
                key: None,
            })
            .collect();
        shop.register.enter(&entering, shop.now).expect("they are entered");
    }
    let file = shop.folder.path().join("shop.register");
    (shop, file)
}

#[test]
fn erased_words_are_gone_from_the_file_and_the_chain_holds() {
    let (mut shop, file) = crowd(60, 4);
    let head = shop.register.ledger().head.clone();
    let text = raw(&file);
    for person in 0..60 {
        let (name, note) = (format!("Name{person:03}X"), format!("Note{person:03}X"));
        assert!(text.contains(&name) && text.contains(&note), "they are there before");
    }
    for person in (0..60).step_by(3) {
        let code = format!("TM-{person}");
        assert_eq!(shop.register.erasable(&code).expect("it can be read").details, 4);
        let erased = shop
            .register
            .erase(&code, "MG-1", &day("2026-03-01"), shop.now)
            .expect("it is erased")
            .expect("there was something");
        assert_eq!(erased.person, code);
        assert_eq!(shop.register.erasable(&code).expect("it can be read").details, 0);
        assert_eq!(
            shop.register.erase(&code, "MG-1", &day("2026-03-01"), shop.now),
            Ok(None),
            "once is enough, and enters nothing more"
        );
    }
    let text = raw(&file);
    for person in 0..60 {
        let (name, note) = (format!("Name{person:03}X"), format!("Note{person:03}X"));
        let due = person % 3 != 0;
        assert_eq!((text.contains(&name), text.contains(&note)), (due, due), "{person}");
    }
    let found = look(&file, Some(&head.hash));
    assert_eq!(found.findings, []);
    assert_eq!(found.rows, head.seq + 20);
    let kept = shop.register.details().expect("it can be read");
    assert_eq!(kept.len(), 160, "nobody else's went");
    let why = shop
        .register
        .erase("TM-1", "TM-2", &day("2026-03-01"), shop.now)
        .expect_err("not everybody may")
        .to_string();
    assert!(why.contains("TM-2 is neither a trainer nor a signer"), "{why}");
    assert_eq!(shop.register.details().expect("it can be read").len(), 160);
}

fn look(file: &Path, head: Option<&str>) -> Audit {
    audit(&Sqlite::read(file).expect("it opens"), head, |_| ()).expect("it can be read")
}

/// What an audit says after this was done to the details of three people, of whom TM-0 had theirs erased.
fn audited(sql: &str) -> Vec<String> {
    let (mut shop, file) = crowd(3, 1);
    shop.register
        .erase("TM-0", "MG-1", &day("2026-03-01"), shop.now)
        .expect("it is erased");
    drop(shop.register);
    Connection::open(&file)
        .and_then(|connection| connection.execute_batch(sql))
        .expect("the tampering works");
    look(&file, None)
        .findings
        .into_iter()
        .map(|finding| finding.says)
        .collect()
}

#[test]
fn an_audit_names_details_that_do_not_fit() {
    assert_eq!(audited("SELECT 1"), Vec::<String>::new());
    assert_eq!(
        audited("DELETE FROM details WHERE body LIKE '%Name001X%'"),
        ["row 4: its details are missing, and no erasure says that they were erased"]
    );
    assert_eq!(
        audited("UPDATE details SET body = replace(body, 'Name002X', 'Somebody')"),
        ["row 5: its details were changed: they do not have the digest that it names"]
    );
    let stray = "a".repeat(64);
    assert_eq!(
        audited(&format!("INSERT INTO details VALUES ('{stray}', '{{}}')")),
        [format!("details {stray} are kept, and no row names them")]
    );
    // The two people's details change places.
    let swapped = audited(
        "CREATE TEMP TABLE two AS SELECT * FROM details;
         UPDATE details SET body = (SELECT body FROM two WHERE two.digest <> details.digest)",
    );
    assert_eq!(swapped.len(), 2, "{swapped:?}");
    assert!(swapped[0].starts_with("row 4: its details were changed") && swapped[1].starts_with("row 5"));
    // Erased details that somebody put back.
    let back = audited(
        "INSERT INTO details SELECT json_extract(body, '$.context.extensions.\"https://pitwright.example/xapi/details\"'), '{}' FROM log WHERE seq = 3",
    );
    assert_eq!(back, ["row 3: its details were erased by row 6, and are there again"]);
}

#[test]
fn the_command_asks_says_what_stays_and_names_the_backups() {
    let desk = Desk::new();
    desk.hand_in(
        "one.json",
        &Device::new("TM-1", &course(), "2026-02-01T08:00:00Z").studies_all(),
    );
    assert_eq!(desk.run(&["gather", "one.json"]).0, 0);
    let (code, out, err) = desk.run(&[
        "witness", "TM-1", "lock-out", "--by", "TR-1", "--met", "--real", "--note", "Grumbler",
    ]);
    assert_eq!(code, 0, "{out}{err}");
    assert_eq!(desk.run(&["backup", "kept.register"]).0, 0);
    let file = desk.folder.path().join("data/pitwright/test-house.register");
    let (code, _, err) = desk.run(&["erase", "TM-1", "--by", "MG-1"]);
    assert_eq!(code, 2);
    assert!(err.contains("--yes") && err.contains("cannot be undone"), "{err}");
    assert!(stands(&file, "Grumbler"));
    let (code, _, err) = desk.run(&["erase", "TM-9", "--by", "MG-1", "--yes"]);
    assert_eq!(code, 2);
    assert!(
        err.contains("did you mean TM-1") && !err.contains("--new-person"),
        "{err}"
    );
    let (code, out, err) = desk.run(&["erase", "TM-1", "--by", "MG-1", "--yes"]);
    assert_eq!(code, 0, "{out}{err}");
    assert!(out.contains("Erased 1 name or note of TM-1"), "{out}");
    assert!(err.contains("Backups"), "{err}");
    assert!(!stands(&file, "Grumbler"));
    assert!(stands(&desk.folder.path().join("kept.register"), "Grumbler"));
    let (code, audited) = desk.json(&["audit"]);
    assert_eq!((code, &audited["findings"]), (0, &json!([])));
    let (code, out, err) = desk.run(&["backup", "--check", "kept.register"]);
    assert_eq!(code, 0, "{out}");
    assert!(err.contains("erased from the register since, of TM-1"), "{err}");
    let (code, out, _) = desk.run(&["restore", "kept.register", "--set-aside"]);
    assert_eq!(code, 0, "{out}");
    assert!(out.contains("are back, of TM-1: erase them again"), "{out}");
    assert_eq!(desk.run(&["erase", "TM-1", "--by", "MG-1", "--yes"]).0, 0);
    let (code, out, err) = desk.run(&["backup", "kept.register", "--replace"]);
    assert_eq!(code, 0, "the new one lacks only what was erased: {out}{err}");
    assert!(!stands(&desk.folder.path().join("kept.register"), "Grumbler"));
}

#[test]
fn notes_within_the_chain_are_named_not_erased() {
    let desk = Desk::new();
    form_1(&desk.folder.path().join("old.register"));
    let (code, out, err) = desk.run(&["erase", "TM-1", "--by", "MG-1", "--yes", "--register", "old.register"]);
    assert_eq!(code, 0, "{out}{err}");
    assert!(out.contains("There was nothing to erase"), "{out}");
    assert!(out.contains("rows 28, 30, 31"), "{out}");
}
