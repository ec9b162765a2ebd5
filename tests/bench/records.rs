//! The register: taking records in, and making standing of them.

use super::made::{Device, course};
use super::measure::{Side, compare, folder, pitwright};
use super::yardstick;
use pitwright::marking::canonical;
use serde_json::Value;
use std::fs;
use std::io::Write;
use std::path::{Path, PathBuf};
use std::process::Command;

/// Hand-in files that are gathered while the clock runs, each with an honest record of some 100 statements.
const FILES: usize = 300;

/// The register of which standing is made: so many people with so many statements each.
const PEOPLE: usize = 2_000;
const EACH: usize = 500;

/// An honest record: everything studied and passed once, then practice, day after day.
fn record(person: usize, statements: usize) -> Vec<Value> {
    let mut device = Device::new(&format!("T-{person}"), &course(), "2026-02-01T08:00:00Z");
    let mut all = device.studies_all();
    while all.len() < statements {
        let response = if all.len().is_multiple_of(3) { "no" } else { "yes" };
        all.push(device.practised(response));
    }
    all
}

/// Writes hand-in files and the marking that they name; gives the marking's place.
fn hand_in(place: &Path, people: usize, statements: usize) -> PathBuf {
    let records = place.join("records");
    fs::create_dir_all(&records).expect("it can be made");
    for person in 0..people {
        let record = Value::Array(record(person, statements)).to_string();
        fs::write(records.join(format!("record-{person}.json")), record).expect("it can be written");
    }
    let marking = place.join("marking.json");
    fs::write(&marking, canonical(&course()).expect("it is canonical")).expect("it can be written");
    marking
}

fn gather_command(place: &Path, marking: &Path) -> Command {
    let mut files: Vec<PathBuf> = fs::read_dir(place.join("records"))
        .expect("it can be listed")
        .map(|entry| entry.expect("it can be listed").path())
        .collect();
    files.sort();
    let mut command = pitwright();
    command
        // Apart from whatever course was built in the folder that this runs in.
        .current_dir(place)
        .env("PITWRIGHT_NOW", "2026-06-01T12:00:00Z")
        .arg("gather")
        .arg("--register")
        .arg(place.join("house.register"))
        .arg("--marking")
        .arg(marking)
        .args(files);
    command
}

/// On a real disk, since making each file's statements durable is part of the work.
pub fn gather() {
    let place = tempfile::tempdir().expect("a temporary folder can be made");
    let marking = hand_in(place.path(), FILES, 100);
    let (register, appended) = (place.path().join("house.register"), place.path().join("appended"));
    let ours = Side {
        name: "gather, one transaction a file",
        before: Box::new(|| {
            for ending in ["", "-wal", "-shm", "-journal"] {
                // Most of them are not there.
                let _ = fs::remove_file(format!("{}{ending}", register.display()));
            }
        }),
        command: Box::new(|| gather_command(place.path(), &marking)),
    };
    let append = Side {
        name: "the same bytes appended, durable by file",
        before: Box::new(|| {
            let _ = fs::remove_file(&appended);
        }),
        command: Box::new(|| yardstick::command("append", &[&place.path().join("records"), &appended])),
    };
    compare(
        &format!("Gathering {FILES} records of 100 statements"),
        &ours,
        &append,
        5.0,
    );
}

pub fn standing() {
    let place = folder();
    let marking = hand_in(place.path(), PEOPLE, EACH);
    let gathered = gather_command(place.path(), &marking).output().expect("it can be run");
    assert!(
        gathered.status.success(),
        "{}",
        String::from_utf8_lossy(&gathered.stderr)
    );
    let raw = place.path().join("raw.jsonl");
    let mut file = std::io::BufWriter::new(fs::File::create(&raw).expect("it can be made"));
    for person in 0..PEOPLE {
        for statement in record(person, EACH) {
            let line = canonical(&statement).expect("it is canonical");
            file.write_all(&line)
                .and_then(|()| file.write_all(b"\n"))
                .expect("it can be written");
        }
    }
    file.flush().expect("it can be written");
    let ours = Side {
        name: "standing of everybody, all marked again",
        before: Box::new(|| ()),
        command: Box::new(|| {
            let mut command = pitwright();
            command
                .current_dir(place.path())
                .env("PITWRIGHT_NOW", "2026-06-01T12:00:00Z")
                .arg("standing")
                .arg("--register")
                .arg(place.path().join("house.register"));
            command
        }),
    };
    let parse = Side {
        name: "the same statements parsed from a file",
        before: Box::new(|| ()),
        command: Box::new(|| yardstick::command("parse", &[&raw])),
    };
    compare(
        &format!("Standing from {} statements", PEOPLE * EACH),
        &ours,
        &parse,
        1.2,
    );
}
