//! Hand-in files, good and bad.

use super::made::{Device, course};
use pitwright::record::{FileFault, Place, code, near, read_bytes, read_file};
use serde_json::{Value, json};
use std::io::{Seek, Write};

fn some() -> Vec<Value> {
    let mut device = Device::new("TM-1", &course(), "2026-02-01T08:00:00Z");
    let mut all = vec![device.read("lockout"), device.practised("no")];
    all.extend(device.passes_bank());
    all
}

#[test]
fn a_file_cut_off_anywhere_gives_every_whole_statement_before_the_cut() {
    let all = some();
    let text = serde_json::to_string_pretty(&Value::Array(all.clone())).expect("it is JSON");
    let mut most = 0;
    for cut in 1..text.len() {
        if !text.is_char_boundary(cut) {
            continue;
        }
        let read = read_bytes(&text.as_bytes()[..cut]);
        let whole: Vec<_> = read
            .statements
            .iter()
            .map(|(_, read)| read.as_ref().expect("what is whole is sound").id.clone())
            .collect();
        let due: Vec<&str> = all
            .iter()
            .take(whole.len())
            .map(|value| value["id"].as_str().expect("it has one"))
            .collect();
        assert_eq!(whole, due);
        assert!(
            matches!(read.faults[..], [FileFault::CutOff { .. }]),
            "cut at {cut}: {:?}",
            read.faults
        );
        most = most.max(whole.len());
    }
    assert_eq!(most, all.len());
    assert_eq!(read_bytes(text.as_bytes()).faults, []);
}

#[test]
fn rubbish_in_mid_file_is_named_by_its_place() {
    let text = format!("[\n{},\n{{\"id\": oops}}\n]", some()[0]);
    let read = read_bytes(text.as_bytes());
    assert_eq!(read.statements.len(), 1);
    let [FileFault::NotJson { place, .. }] = &read.faults[..] else {
        panic!("one fault: {:?}", read.faults);
    };
    assert_eq!(*place, Place { line: 3, column: 8 });
}

#[test]
fn what_is_no_record_is_said_to_be_none() {
    for (text, due) in [
        ("", "the file is empty"),
        ("  \n ", "the file is empty"),
        ("<html>", "at 1:1: this is not a record"),
        ("\n\n  PK\u{3}", "at 3:3: this is not a record"),
        ("[] x", "at 1:4: something follows"),
        ("[1 2]", "at 1:4: this is not JSON"),
        ("[", "at 1:2: the file is cut off"),
    ] {
        let read = read_bytes(text.as_bytes());
        let said = read.faults.first().map(ToString::to_string).unwrap_or_default();
        assert!(said.starts_with(due), "{text:?} says {said:?}");
    }
    assert_eq!(
        read_bytes(b"\xEF\xBB\xBF[]").faults,
        [],
        "a byte-order mark is no fault"
    );
    assert_eq!(
        read_bytes(&[b'[', 0xFF, 0xFE]).faults.len(),
        1,
        "bytes that are no text are no panic"
    );
    let deep = "[".repeat(100_000);
    assert_eq!(
        read_bytes(deep.as_bytes()).faults.len(),
        1,
        "deep nesting is no overflow"
    );
}

#[test]
fn a_hundred_megabytes_of_rubbish_are_given_up_at_once() {
    let mut file = tempfile::NamedTempFile::new().expect("a temporary file can be made");
    file.as_file().set_len(100_000_000).expect("a sparse file can be made");
    let read = read_file(file.path(), 200_000_000).expect("it can be read");
    assert!(matches!(
        read.faults[..],
        [FileFault::NotARecord {
            place: Place { line: 1, column: 1 }
        }]
    ));
    file.rewind().expect("it can be written");
    file.write_all(b"[").expect("it can be written");
    let read = read_file(file.path(), 64_000_000).expect("it can be read");
    assert_eq!(read.faults, [FileFault::TooLarge { limit: 64_000_000 }]);
    assert!(read.faults[0].to_string().contains("64 MB"));
    let read = read_file(file.path(), 200_000_000).expect("it can be read");
    assert!(
        matches!(read.faults[..], [FileFault::NotJson { .. }]),
        "{:?}",
        read.faults
    );
}

#[test]
fn wrong_types_are_named_and_unknown_fields_are_kept() {
    let good = some()[0].clone();
    let edit = |path: &str, value: Value| {
        let mut bad = good.clone();
        *bad.pointer_mut(path).expect("the path is there") = value;
        bad
    };
    for (bad, due) in [
        (edit("/id", json!(5)), "`id` is the number 5 where text is due"),
        (edit("/id", json!("5")), "`id` is `5`, which is not a UUID"),
        (edit("/timestamp", json!("yesterday")), "`timestamp` is `yesterday`"),
        (edit("/actor", json!("TM-1")), "`actor` is text where an object is due"),
        (
            edit("/actor/account/name", json!("tm 1")),
            "`actor.account.name` is `tm 1`",
        ),
        (
            edit("/verb/id", json!("http://example.org/ate")),
            "`verb.id` is `http://example.org/ate`",
        ),
        (
            edit("/object/id", json!("https://house.example/table/1")),
            "`object.id` is",
        ),
        (
            edit("/object/id", json!("https://house.example/bank/alone")),
            "a record never says `completed` of a bank",
        ),
        (
            edit("/context/extensions", json!([])),
            "`context.extensions` is a list where an object is due",
        ),
        (edit("/version", json!("2.0.0")), "`version` is `2.0.0`"),
        (json!(7), "the statement is the number 7 where an object is due"),
        (json!(null), "the statement is null"),
    ] {
        let read = read_bytes(Value::Array(vec![bad]).to_string().as_bytes());
        let why = read.statements[0]
            .1
            .as_ref()
            .expect_err("it is no statement")
            .to_string();
        assert!(why.contains(due), "{why:?} says {due:?}");
    }
    let mut more = good.clone();
    more["stored"] = json!("2026-02-01T08:00:00Z");
    more["context"]["extensions"]["https://other.example/x"] = json!({"kept": [1, 2]});
    let read = read_bytes(Value::Array(vec![more]).to_string().as_bytes());
    let statement = read.statements[0].1.as_ref().expect("unknown fields are tolerated");
    assert!(statement.body.contains("\"kept\":[1,2]"));
    let mut large = good;
    large["context"]["extensions"]["https://other.example/x"] = json!(9_007_199_254_740_993_u64);
    let read = read_bytes(Value::Array(vec![large]).to_string().as_bytes());
    assert!(
        read.statements[0].1.is_err(),
        "a number that would change in silence is refused"
    );
}

#[test]
fn codes_are_tidied_and_slips_of_the_hand_are_found() {
    assert_eq!(code(" tm-1 ").as_deref(), Ok("TM-1"));
    for bad in ["", "A", "-AB", "TM 1", "TM_1", "ABCDEFGHIJKLMNOPQ", "ÄB"] {
        assert!(code(bad).is_err(), "{bad:?}");
    }
    let known = ["TM-1", "TM-12", "MT-1", "XX-99"];
    assert_eq!(near("TM-2", known), ["TM-1", "TM-12"], "only the nearest");
    assert_eq!(near("MT-2", known), ["MT-1"]);
    assert_eq!(near("T-1M", ["TM-1"]), ["TM-1"]);
    assert_eq!(near("QQQQ", known), [""; 0]);
}
