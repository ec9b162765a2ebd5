//! Tampering between people and by somebody who knows the form and makes the whole chain anew.

use super::audit::{look, put_guards_back, says};
use super::made::{Device, End, SEEDS, Shop, X, course, right};
use pitwright::marking::canonical;
use pitwright::record::{What, Witnessing};
use pitwright::register::{Audit, Entry, Store, hash_of};
use rusqlite::Connection;
use serde_json::{Value, json};

/// Two people's records. Rows 1 and 2: the course. 3 to 12: TM-1 studies all. 13: TM-2 reads; 14 to 18: TM-2 passes the
/// bank. 19: TM-1 is watched, with a note.
fn two() -> Shop {
    let mut shop = Shop::new();
    shop.must_take(&Device::new("TM-1", &course(), "2026-02-01T08:00:00Z").studies_all());
    let mut other = Device::new("TM-2", &course(), "2026-02-01T08:00:00Z");
    let mut all = vec![other.read("lockout")];
    all.extend(other.bank(SEEDS[1], right, End::Closed));
    shop.must_take(&all);
    let seen = Witnessing {
        competency: "lock-out".to_owned(),
        met: true,
        prompted: false,
        real: true,
        out_of_turn: false,
        steps: Vec::new(),
    };
    shop.enter("TM-1", "TR-1", What::Witnessed(seen), "2026-02-20")
        .expect("it is entered");
    shop
}

/// The register after somebody has edited its rows behind its back; `anew` if they made every hash anew as well.
fn after(anew: bool, edit: impl FnOnce(&mut Vec<Entry>)) -> Audit {
    let shop = two();
    let file = shop.folder.path().join("shop.register");
    let noted = shop.register.ledger().head.hash.clone();
    let mut rows = shop.register.store().read_from(1, 100).expect("it can be read");
    assert_eq!(rows.len(), 19);
    drop(shop.register);
    edit(&mut rows);
    let connection = Connection::open(&file).expect("it is SQLite");
    connection
        .execute_batch(
            "DROP TRIGGER log_never_changes; DROP TRIGGER log_never_shrinks; DROP INDEX log_id; DELETE FROM log;",
        )
        .expect("guards can be dropped");
    let mut prev = "0".repeat(64);
    for (row, seq) in rows.into_iter().zip(1u64..) {
        let hash = hash_of(seq, &row.kind, &row.id, &row.taken, &row.body, &prev);
        let (seq, prev_kept, hash_kept) = if anew {
            (seq, prev, hash.clone())
        } else {
            (row.seq, row.prev, row.hash)
        };
        connection
            .execute(
                "INSERT INTO log (kind, seq, id, taken, body, prev, hash) VALUES (?2, ?1, ?3, ?4, ?5, ?6, ?7)",
                (seq as i64, row.kind, row.id, row.taken, row.body, prev_kept, hash_kept),
            )
            .expect("the tampering works");
        prev = hash;
    }
    put_guards_back(&connection);
    drop(connection);
    look(&file, Some(&noted))
}

/// Says something else in a row's statement.
fn change(row: &mut Entry, edit: impl FnOnce(&mut Value)) {
    let mut value: Value = serde_json::from_str(&row.body).expect("a row is JSON");
    edit(&mut value);
    row.body = String::from_utf8(canonical(&value).expect("it is canonical")).expect("JSON is text");
}

fn give_to(row: &mut Entry, person: &str) {
    change(row, |value| value["actor"]["account"]["name"] = json!(person));
}

fn rename(row: &mut Entry, id: &str) {
    change(row, |value| value["id"] = json!(id));
    row.id = id.to_owned();
}

const OTHER_ID: &str = "00000000-0000-4000-8000-000000000000";

#[test]
fn untouched_there_is_nothing_to_find() {
    assert_eq!(after(false, |_| ()).findings, []);
    assert_eq!(
        after(true, |_| ()).findings,
        [],
        "a chain made anew from the same rows is the same chain"
    );
}

#[test]
fn statements_that_change_places_between_people_are_named() {
    // Each person's reading under the other's name.
    let swap = |rows: &mut Vec<Entry>| {
        give_to(&mut rows[2], "TM-2");
        give_to(&mut rows[12], "TM-1");
    };
    let found = after(false, swap);
    says(&found, "row 3 was changed");
    says(&found, "row 13 was changed");
    says(&after(true, swap), "no row has the hash that was noted down");
    // Bodies exchanged whole.
    let exchange = |rows: &mut Vec<Entry>| {
        let body = rows[2].body.clone();
        rows[2].body = std::mem::replace(&mut rows[12].body, body);
    };
    let found = after(true, exchange);
    says(&found, "row 3: the row names another id than its statement");
    says(&found, "row 13: the row names another id than its statement");
}

#[test]
fn an_attempt_given_to_another_person_is_named() {
    // The whole attempt: its seal was made over statements with the other name.
    let found = after(true, |rows| {
        rows[13..18].iter_mut().for_each(|row| give_to(row, "TM-1"))
    });
    says(&found, "the seal does not fit");
    // Only its end.
    let found = after(true, |rows| give_to(&mut rows[17], "TM-1"));
    says(&found, "from row 14");
}

#[test]
fn a_statement_played_again_is_named() {
    // As it is.
    let again = |rows: &mut Vec<Entry>| rows.push(rows[2].clone());
    says(&after(true, again), "row 20: this statement stands in the log twice");
    // An attempt's end under another name and id.
    let found = after(true, |rows| {
        let mut copy = rows[17].clone();
        give_to(&mut copy, "TM-1");
        rename(&mut copy, OTHER_ID);
        rows.push(copy);
    });
    says(&found, "from row 14");
    // What was watched, for another person, note and all.
    let found = after(true, |rows| {
        let mut copy = rows[18].clone();
        give_to(&mut copy, "TM-2");
        rename(&mut copy, OTHER_ID);
        rows.push(copy);
    });
    says(&found, "row 20: it names the details that belong to row 19");
}

#[test]
fn a_note_taken_from_its_statement_is_named() {
    let found = after(true, |rows| {
        change(&mut rows[18], |value| {
            if let Some(extensions) = value["context"]["extensions"].as_object_mut() {
                extensions.remove(&format!("{X}details"));
            }
        });
    });
    says(&found, "are kept, and no row names them");
}

/// Somebody who makes the whole chain anew leaves no mark in the chain itself: only a hash that was noted down outside
/// shows it.
#[test]
fn rows_deleted_inserted_or_moved_under_a_new_chain_show_against_a_noted_head() {
    type Deed = fn(&mut Vec<Entry>);
    let deeds: [(&str, Deed); 3] = [
        ("deleted", |rows| {
            rows.remove(12);
        }),
        ("inserted", |rows| {
            let mut copy = rows[2].clone();
            rename(&mut copy, OTHER_ID);
            rows.insert(5, copy);
        }),
        ("moved", |rows| rows.swap(2, 12)),
    ];
    for (deed, edit) in deeds {
        let found = after(true, edit);
        let says: Vec<&str> = found.findings.iter().map(|finding| finding.says.as_str()).collect();
        assert_eq!(
            says,
            ["no row has the hash that was noted down: rows were cut off, or the whole log was written anew"],
            "{deed}"
        );
    }
}

#[test]
fn rows_deleted_inserted_or_moved_in_the_old_chain_are_named() {
    let found = after(false, |rows| {
        rows.remove(12);
    });
    says(&found, "row 13 is missing");
    let found = after(false, |rows| {
        let (a, b) = (rows[2].seq, rows[12].seq);
        rows.swap(2, 12);
        rows[2].seq = a;
        rows[12].seq = b;
    });
    says(&found, "row 3 was changed");
    says(&found, "row 13 was changed");
    says(&found, "row 4 does not follow row 3");
}
