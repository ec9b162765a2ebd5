//! What the register holds of one person, written down in an open form, and held against the register later.

use super::desk::Desk;
use super::forms::form_1;
use super::made::{Device, End, SEEDS, course, right};
use pitwright::bundle::{archive, unzip};
use serde_json::{Value, json};
use std::collections::BTreeMap;
use std::fs;

type Files = BTreeMap<String, Vec<u8>>;

/// A desk with two people. Rows 1 and 2: the course; 3 to 12 and 18 to 20: TM-1; 13 to 17: TM-2.
fn desk() -> Desk {
    let desk = Desk::new();
    let mut other = Device::new("TM-2", &course(), "2026-02-01T08:00:00Z");
    desk.hand_in(
        "one.json",
        &Device::new("TM-1", &course(), "2026-02-01T08:00:00Z").studies_all(),
    );
    desk.hand_in("two.json", &other.bank(SEEDS[1], right, End::Closed));
    assert_eq!(desk.run(&["gather", "one.json", "two.json"]).0, 0);
    for (on, note) in [
        ("2026-02-20", "Slow at the second lock."),
        ("2026-02-21", "Näher hin."),
        ("2026-02-22", "Good."),
    ] {
        let (code, out, err) = desk.run(&Desk::watching(
            "lock-out",
            &["--met", "--real", "--on", on, "--note", note],
        ));
        assert_eq!(code, 0, "{out}{err}");
    }
    desk
}

fn exported(desk: &Desk) -> Files {
    let (code, out, err) = desk.run(&["export", "TM-1", "tm-1.zip", "--replace"]);
    assert_eq!(code, 0, "{out}{err}");
    let bytes = fs::read(desk.folder.path().join("tm-1.zip")).expect("it is written");
    unzip(&bytes, 10_000_000).expect("it is a zip")
}

fn json_of(files: &Files, name: &str) -> Value {
    serde_json::from_slice(&files[name]).expect("it is JSON")
}

#[test]
fn an_export_holds_all_of_one_person_and_nothing_of_another() {
    let desk = desk();
    let files = exported(&desk);
    let names: Vec<&str> = files.keys().map(String::as_str).collect();
    let marking = Device::new("TM-1", &course(), "2026-02-01T08:00:00Z").hash;
    assert_eq!(
        names,
        [
            "chain.json",
            "details.json",
            &format!("markings/marking-{marking}.json"),
            "standing.json",
            "statements.json",
            "waiting.json",
            "what-is-in-this.txt"
        ]
    );
    let statements = json_of(&files, "statements.json");
    assert_eq!(statements.as_array().map(Vec::len), Some(13));
    let chain = json_of(&files, "chain.json");
    let (_, audited) = desk.json(&["audit"]);
    assert_eq!((&chain["head"], &chain["rows"]), (&audited["head"], &json!(20)));
    assert_eq!(chain["statements"][12]["row"], json!(20));
    let details = json_of(&files, "details.json");
    assert_eq!(details[1]["details"]["note"], json!("Näher hin."));
    let standing = json_of(&files, "standing.json");
    assert_eq!(standing["competencies"][0]["standing"], json!("ready-to-sign"));
    let words = String::from_utf8_lossy(&files["what-is-in-this.txt"]).into_owned();
    for due in [
        "13 statements",
        "3 kept, 0 erased",
        "lock-out: ready to sign",
        "nothing in here proves anything",
        "audit --exported",
    ] {
        assert!(words.contains(due), "{due:?} in {words}");
    }
    for (name, bytes) in &files {
        assert!(
            !String::from_utf8_lossy(bytes).contains("TM-2"),
            "{name} names somebody else"
        );
    }
    let bytes = fs::read(desk.folder.path().join("tm-1.zip")).expect("it is written");
    exported(&desk);
    let again = fs::read(desk.folder.path().join("tm-1.zip")).expect("it is written");
    assert_eq!(again, bytes, "the same rows give the same bytes");
    let (code, _, err) = desk.run(&["export", "TM-1", "tm-1.zip"]);
    assert_eq!(code, 2);
    assert!(err.contains("is there already"), "{err}");
    let (code, _, err) = desk.run(&["export", "TM-11", "other.zip"]);
    assert_eq!(code, 2);
    assert!(err.contains("did you mean TM-1"), "{err}");
}

/// What an audit says of an export after it was edited.
fn findings(desk: &Desk, files: &Files) -> Vec<String> {
    let bytes = archive(files, "register-TM-1").expect("it can be packed");
    fs::write(desk.folder.path().join("edited.zip"), bytes).expect("it can be written");
    let (code, checked) = desk.json(&["audit", "--exported", "edited.zip"]);
    let findings: Vec<String> = checked["findings"]
        .as_array()
        .expect("a list")
        .iter()
        .map(|finding| finding["says"].as_str().expect("a sentence").to_owned())
        .collect();
    assert_eq!(code, i32::from(!findings.is_empty()), "{checked:#}");
    findings
}

fn edit(files: &mut Files, name: &str, edit: impl FnOnce(&mut Vec<Value>)) {
    let mut items: Vec<Value> = serde_json::from_slice(&files[name]).expect("it is a list");
    edit(&mut items);
    files.insert(name.to_owned(), serde_json::to_vec(&items).expect("it is JSON"));
}

#[test]
fn every_alteration_of_an_export_is_named() {
    let desk = desk();
    let good = exported(&desk);
    assert_eq!(findings(&desk, &good), Vec::<String>::new());
    let statements: Vec<Value> = serde_json::from_slice(&good["statements.json"]).expect("a list");
    let ids: Vec<&str> = statements.iter().filter_map(|value| value["id"].as_str()).collect();
    let stranger: Vec<Value> =
        serde_json::from_slice(&fs::read(desk.folder.path().join("two.json")).expect("it was written"))
            .expect("a list");
    type Edit<'a> = Box<dyn Fn(&mut Files) + 'a>;
    let items = |name: &'static str, deed: fn(&mut Vec<Value>)| -> Edit {
        Box::new(move |files: &mut Files| edit(files, name, deed))
    };
    let cases: Vec<(String, Edit)> = vec![
        (
            format!("statement {} was changed; in the register, row 5", ids[2]),
            items("statements.json", |all| all[2]["result"]["response"] = json!("no")),
        ),
        (
            format!(
                "statement {} was taken out; in the register, row 3: read lesson lockout",
                ids[0]
            ),
            items("statements.json", |all| {
                all.remove(0);
            }),
        ),
        (
            format!("statement {} (turn 1:", ids[3]),
            items("statements.json", |all| all.swap(3, 4)),
        ),
        (
            format!("statement {} (read lesson lockout) is there twice", ids[0]),
            items("statements.json", |all| all.push(all[0].clone())),
        ),
        (
            "was added: the register has none of this id".to_owned(),
            items("statements.json", |all| {
                let mut more = all[0].clone();
                more["id"] = json!("00000000-0000-4000-8000-000000000000");
                all.push(more);
            }),
        ),
        (
            "was added: in the register it is TM-2's, row 13".to_owned(),
            Box::new(|files| edit(files, "statements.json", |all| all.push(stranger[0].clone()))),
        ),
        (
            format!("the details of statement {} were changed", ids[10]),
            items("details.json", |all| all[0]["details"]["note"] = json!("Quick.")),
        ),
        (
            format!("the details of statement {} were changed", ids[10]),
            items("details.json", |all| {
                let other = all[1]["details"].clone();
                all[0]["details"] = other;
            }),
        ),
        (
            format!("the details of statement {} were taken out", ids[11]),
            items("details.json", |all| {
                all.remove(1);
            }),
        ),
        (
            "were added: no statement of TM-1 names them".to_owned(),
            items("details.json", |all| {
                let mut more = all[0].clone();
                more["digest"] = json!("a".repeat(64));
                all.push(more);
            }),
        ),
        (
            "an entry of details.json cannot be read".to_owned(),
            items("details.json", |all| all[0] = json!(1)),
        ),
        (
            "in waiting.json is not in the register".to_owned(),
            Box::new(|files| edit(files, "waiting.json", |all| all.push(stranger[0].clone()))),
        ),
        (
            "statements.json cannot be read".to_owned(),
            Box::new(|files| {
                files.insert("statements.json".to_owned(), b"[".to_vec());
            }),
        ),
        (
            "standing.json was changed".to_owned(),
            Box::new(|files| replace(files, "standing.json", "ready-to-sign", "signed")),
        ),
        (
            "what-is-in-this.txt was changed".to_owned(),
            Box::new(|files| replace(files, "what-is-in-this.txt", "ready to sign", "signed")),
        ),
        (
            "chain.json was changed".to_owned(),
            Box::new(|files| replace(files, "chain.json", "\"row\": 3", "\"row\": 4")),
        ),
        (
            "names another hash for row 19".to_owned(),
            Box::new(|files| replace(files, "chain.json", "\"rows\": 20", "\"rows\": 19")),
        ),
        (
            "was taken from 21 rows, and the register has 20".to_owned(),
            Box::new(|files| replace(files, "chain.json", "\"rows\": 20", "\"rows\": 21")),
        ),
        (
            "standing.json was taken out".to_owned(),
            Box::new(|files| {
                files.remove("standing.json");
            }),
        ),
        (
            "certificate.txt was added".to_owned(),
            Box::new(|files| {
                files.insert("certificate.txt".to_owned(), b"signed".to_vec());
            }),
        ),
        (
            ".json was changed".to_owned(),
            Box::new(|files| {
                let name = files
                    .keys()
                    .find(|name| name.starts_with("markings/"))
                    .expect("one is there")
                    .clone();
                replace(files, &name, "\"pass\":60", "\"pass\":10");
            }),
        ),
    ];
    for (due, edit) in cases {
        let mut files = good.clone();
        edit(&mut files);
        assert_ne!(files, good, "{due}: the case changes something");
        let found = findings(&desk, &files);
        assert!(found.iter().any(|says| says.contains(&due)), "{due:?} in {found:#?}");
    }
}

fn replace(files: &mut Files, name: &str, old: &str, new: &str) {
    let text = String::from_utf8_lossy(&files[name]).replace(old, new);
    files.insert(name.to_owned(), text.into_bytes());
}

#[test]
fn an_export_still_fits_when_the_register_has_gone_on() {
    let desk = desk();
    let good = exported(&desk);
    desk.hand_in(
        "more.json",
        &[Device::new("TM-1", &course(), "2026-02-25T08:00:00Z").read("sweep")],
    );
    assert_eq!(desk.run(&["gather", "more.json"]).0, 0);
    // Entered late, for a day that the export's standing had already counted.
    let (code, out, err) = desk.run(&Desk::watching(
        "lock-out",
        &["--not-met", "--real", "--on", "2026-02-27"],
    ));
    assert_eq!(code, 0, "{out}{err}");
    assert_eq!(findings(&desk, &good), Vec::<String>::new());
    assert_eq!(desk.run(&["erase", "TM-1", "--by", "MG-1", "--yes"]).0, 0);
    assert_eq!(findings(&desk, &good), Vec::<String>::new());
    let (code, out, err) = desk.run(&["audit", "--exported", "edited.zip"]);
    assert_eq!(code, 0, "{out}");
    assert!(out.contains("at row 20 of its 23, unaltered"), "{out}");
    assert!(err.contains("were erased from the register since"), "{err}");
    assert!(
        err.contains("3 statements of TM-1 came into the register since"),
        "{err}"
    );
    // The digest in the chain still tells what was erased from what never was.
    let mut forged = good.clone();
    edit(&mut forged, "details.json", |all| {
        all[0]["details"]["note"] = json!("Quick.")
    });
    assert!(
        findings(&desk, &forged)
            .iter()
            .any(|says| says.contains("were changed"))
    );
    // What is exported now holds no names.
    let now = exported(&desk);
    let text: String = now.values().map(|bytes| String::from_utf8_lossy(bytes)).collect();
    assert!(!text.contains("Näher hin"));
    assert!(text.contains("0 kept, 3 erased"), "{text}");
    assert_eq!(findings(&desk, &now), Vec::<String>::new());
}

#[test]
fn an_export_from_another_register_is_named_and_what_is_no_export_refused() {
    let desk = desk();
    let files = exported(&desk);
    let other = self::desk();
    let found = findings(&other, &files);
    assert!(
        found.iter().any(|says| says.contains("names another hash for row 20")),
        "ids of what is entered are random: {found:#?}"
    );
    for (bytes, due) in [
        (b"Dear Sir".to_vec(), "it is not a zip"),
        (
            archive(&Files::from([("letter.txt".to_owned(), b"Dear Sir".to_vec())]), "x").expect("it can be packed"),
            "there is no chain.json in it",
        ),
    ] {
        fs::write(desk.folder.path().join("other.zip"), bytes).expect("it can be written");
        let (code, _, err) = desk.run(&["audit", "--exported", "other.zip"]);
        assert_eq!(code, 2);
        assert!(err.contains(due), "{err}");
    }
}

#[test]
fn what_waits_and_what_older_forms_hold_is_exported_too() {
    let desk = Desk::new();
    form_1(&desk.folder.path().join("old.register"));
    let old = ["--register", "old.register"];
    for (person, statements, waiting, due) in [
        ("TM-3", 0, 2, "2 statements that were handed in and wait"),
        ("TM-1", 18, 0, "signed"),
    ] {
        let name = format!("{person}.zip");
        let (code, out, err) = desk.run(&[&["export", person, &name][..], &old].concat());
        assert_eq!(code, 0, "{out}{err}");
        let bytes = fs::read(desk.folder.path().join(&name)).expect("it is written");
        let files = unzip(&bytes, 10_000_000).expect("it is a zip");
        let count = |name: &str| json_of(&files, name).as_array().map(Vec::len);
        assert_eq!(
            (count("statements.json"), count("waiting.json")),
            (Some(statements), Some(waiting))
        );
        let words = String::from_utf8_lossy(&files["what-is-in-this.txt"]).into_owned();
        assert!(words.contains(due), "{words}");
        let (code, out, err) = desk.run(&[&["audit", "--exported", &name][..], &old].concat());
        assert_eq!(code, 0, "{out}{err}");
    }
}
