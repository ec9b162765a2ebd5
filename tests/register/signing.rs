//! Keys made and kept, sign-offs signed with them, and signatures that do not count.

use super::made::{Device, Shop, at, course, day};
use crate::keys::{self, public};
use pitwright::marking::{Marking, canonical};
use pitwright::record::{Event, Occasion, Statement, What, Witnessing, signed, unsigned};
use pitwright::register::{Audit, Change, Entering, Fresh, Kind, NotEntered, Register, Sqlite, Store, audit};
use pitwright::standing::{Competence, Standing, person};
use serde_json::{Value, json};

/// Ready to sign since 2026-02-10; it is 2026-03-01.
fn ready(course: &Value) -> Shop {
    let mut shop = Shop::new();
    if *course != super::made::course() {
        shop.archive(course, true);
    }
    let mut device = Device::new("TM-1", course, "2026-02-01T08:00:00Z");
    shop.must_take(&device.studies_all());
    for (on, real) in [("2026-02-09", false), ("2026-02-10", true)] {
        let seen = Witnessing {
            competency: "lock-out".to_owned(),
            met: true,
            prompted: false,
            real,
            out_of_turn: false,
            steps: Vec::new(),
        };
        shop.enter("TM-1", "TR-1", What::Witnessed(seen), on)
            .expect("it is entered");
    }
    shop
}

fn sign_off() -> What {
    What::SignedOff {
        competency: "lock-out".to_owned(),
        proof: None,
    }
}

/// Signs with the key of `holder`, on 2026-02-20.
fn sign(shop: &mut Shop, holder: Option<&str>) -> Result<Statement, NotEntered> {
    let (key, on) = (holder.map(keys::key), day("2026-02-20"));
    let entering = Entering {
        person: "TM-1",
        event: Event {
            by: "MG-1".to_owned(),
            what: sign_off(),
            details: None,
        },
        name: None,
        note: None,
        day: &on,
        key: key.as_ref(),
    };
    let before = shop.register.ledger().head.clone();
    let entered = shop.register.enter(&[entering], shop.now);
    assert_eq!(entered.is_ok(), shop.register.ledger().head != before);
    Ok(entered?.remove(0))
}

fn competence<S: Store>(register: &Register<S>, on: &str) -> Competence {
    let statements = register.statements().expect("the log can be read");
    let details = register.details().expect("they can be read");
    person("TM-1", &statements, register.markings(), &details, &day(on))
        .and_then(|person| person.competence("lock-out").cloned())
        .expect("the course has it")
}

#[test]
fn a_sign_off_carries_a_proof_over_all_the_rest_of_it() {
    let mut shop = ready(&course());
    let statement = sign(&mut shop, Some("MG-1")).expect("it is ready");
    let mut value: Value = serde_json::from_str(&statement.body).expect("it is JSON");
    let proof = value["context"]["extensions"]
        .as_object_mut()
        .and_then(|extensions| extensions.remove("https://pitwright.example/xapi/proof"))
        .expect("the proof is one of the extensions");
    let signed = pitwright::proof::verify(&value, &proof).expect("it holds");
    assert_eq!(signed.by.multikey(), public("MG-1"));
    assert_eq!(
        signed.created, shop.now,
        "made when it was entered, not on the day that it is entered for"
    );
    assert_eq!(competence(&shop.register, "2026-02-20").standing, Standing::Signed);
}

#[test]
fn only_the_key_that_the_course_names_signs() {
    let mut shop = ready(&course());
    assert_eq!(
        sign(&mut shop, None),
        Err(NotEntered::KeyNeeded {
            code: "MG-1".to_owned(),
            public: public("MG-1")
        })
    );
    let why = sign(&mut shop, Some("TR-1")).expect_err("a trainer's key").to_string();
    assert!(why.contains(&public("MG-1")) && why.contains("--key"), "{why}");
    let mut shop = ready(&rekeyed(None));
    let why = sign(&mut shop, Some("MG-1")).expect_err("no key is named").to_string();
    assert!(
        why.contains("names no key for MG-1") && why.contains("pitwright key MG-1"),
        "{why}"
    );
}

/// Puts statements into a log past the register's own door, as somebody who knows the form would.
fn slipped_in(shop: Shop, bodies: &[String]) -> (Register<Sqlite>, Audit) {
    let file = shop.folder.path().join("shop.register");
    let head = shop.register.ledger().head.clone();
    drop(shop.register);
    let mut store = Sqlite::write(&file).expect("it opens");
    let append = bodies.iter().map(|body| Fresh {
        kind: Kind::Statement,
        id: serde_json::from_str::<Value>(body).expect("it is JSON")["id"]
            .as_str()
            .expect("it has an id")
            .to_owned(),
        body: body.clone(),
    });
    let change = Change {
        append: append.collect(),
        ..Change::default()
    };
    store.append(&head, shop.now, &change).expect("it can be written");
    let audited = audit(&store, None, |_| ()).expect("it can be read");
    (Register::open(store).expect("it opens"), audited)
}

fn id(number: u32) -> String {
    format!("00000000-0000-4000-8000-{number:012}")
}

/// A sign-off by MG-1 for 2026-02-20, as JSON without a proof.
fn bare(number: u32) -> Value {
    let marking: Marking = serde_json::from_value(course()).expect("the test's course is a marking");
    let occasion = Occasion {
        id: &id(number),
        at: at("2026-02-20T18:00:00Z"),
        hash: &marking.hash().expect("it is canonical"),
        marking: &marking,
        person: "TM-1",
    };
    let event = Event {
        by: "MG-1".to_owned(),
        what: sign_off(),
        details: None,
    };
    unsigned(&occasion, &event)
}

fn with_proof(mut value: Value, proof: &Value) -> String {
    value["context"]["extensions"]["https://pitwright.example/xapi/proof"] = proof.clone();
    String::from_utf8(canonical(&value).expect("it is canonical")).expect("JSON is text")
}

fn proof_of(value: &Value, holder: &str) -> Value {
    pitwright::proof::sign(value, &keys::key(holder), at("2026-02-20T18:00:00Z")).expect("it is canonical")
}

/// What standing and audit say of one body slipped into a log that may hold an honest signature already.
fn void(body: String, honest_first: bool, in_reasons: &str, in_audit: &str) {
    let mut shop = ready(&course());
    if honest_first {
        sign(&mut shop, Some("MG-1")).expect("it is ready");
    }
    let (register, audited) = slipped_in(shop, &[body]);
    assert_eq!(audited.findings.len(), 1, "{:#?}", audited.findings);
    let finding = &audited.findings[0];
    assert!(finding.says.contains(in_audit), "{in_audit:?} in {finding:?}");
    assert!(finding.says.contains("was signed off for lock-out by MG-1"));
    let now = competence(&register, "2026-03-01");
    let due = if honest_first {
        Standing::Signed
    } else {
        Standing::ReadyToSign
    };
    assert_eq!(now.standing, due, "{now:#?}");
    assert!(
        now.reasons.iter().any(|reason| reason.contains(in_reasons)),
        "{in_reasons:?} in {now:#?}"
    );
}

#[test]
fn a_signature_without_a_proof_is_void() {
    let body = String::from_utf8(canonical(&bare(1)).expect("it is canonical")).expect("JSON is text");
    void(
        body,
        false,
        "does not count: it carries no proof",
        "it carries no proof",
    );
}

#[test]
fn a_statement_altered_after_signing_is_void() {
    let proof = proof_of(&bare(1), "MG-1");
    let mut altered = bare(1);
    altered["timestamp"] = json!("2026-02-21T18:00:00.000Z");
    void(
        with_proof(altered, &proof),
        false,
        "is not what it was at signing",
        "its proof does not hold",
    );
}

#[test]
fn a_key_swapped_in_a_proof_does_not_help() {
    let mut proof = proof_of(&bare(1), "TR-1");
    proof["verificationMethod"] = proof_of(&bare(1), "MG-1")["verificationMethod"].clone();
    void(
        with_proof(bare(1), &proof),
        false,
        "is not what it was at signing",
        "its proof does not hold",
    );
}

#[test]
fn a_signature_with_a_key_that_no_outline_named_is_void() {
    let proof = proof_of(&bare(1), "TR-1");
    void(
        with_proof(bare(1), &proof),
        false,
        "a key that the outline does not name for MG-1",
        "which no outline ever named for MG-1",
    );
}

#[test]
fn a_proof_moved_from_another_statement_is_void_and_its_home_is_named() {
    let mut shop = ready(&course());
    let honest = sign(&mut shop, Some("MG-1")).expect("it is ready");
    let value: Value = serde_json::from_str(&honest.body).expect("it is JSON");
    let proof = &value["context"]["extensions"]["https://pitwright.example/xapi/proof"];
    let row = shop.register.ledger().head.seq;
    let (register, audited) = slipped_in(shop, &[with_proof(bare(2), proof)]);
    assert_eq!(audited.findings.len(), 1, "{:#?}", audited.findings);
    let due = format!("its proof was taken from another signature, that of row {row}");
    assert!(audited.findings[0].says.contains(&due), "{:#?}", audited.findings);
    assert!(
        competence(&register, "2026-03-01")
            .reasons
            .iter()
            .any(|reason| reason.contains("does not count"))
    );
}

/// A course on which MG-1 has another key, or none.
fn rekeyed(key: Option<&str>) -> Value {
    let mut course = course();
    course["title"] = json!("Test house, new keys");
    match key {
        Some(holder) => course["keys"]["MG-1"] = json!(public(holder)),
        None => {
            course.as_object_mut().expect("it is an object").remove("keys");
        }
    }
    course
}

#[test]
fn a_key_counts_if_it_is_named_then_or_now() {
    let mut shop = ready(&course());
    sign(&mut shop, Some("MG-1")).expect("it is ready");
    shop.now = day("2026-03-05").end();
    shop.archive(&rekeyed(Some("OW-1")), true);
    assert_eq!(
        competence(&shop.register, "2026-03-06").standing,
        Standing::Signed,
        "the key of that time stays good for what it signed"
    );
    assert!(
        audit(shop.register.store(), None, |_| ())
            .expect("it can be read")
            .findings
            .is_empty()
    );

    // Named only since: good from then on, and unknown before.
    let mut shop = ready(&rekeyed(None));
    shop.now = day("2026-03-05").end();
    shop.archive(&rekeyed(Some("OW-1")), true);
    sign(&mut shop, Some("OW-1")).expect("the course names it now");
    assert_eq!(competence(&shop.register, "2026-03-06").standing, Standing::Signed);
    assert_eq!(competence(&shop.register, "2026-03-04").standing, Standing::ReadyToSign);
}

#[test]
fn signing_is_the_same_whoever_asks() {
    let marking: Marking = serde_json::from_value(course()).expect("the test's course is a marking");
    let occasion = Occasion {
        id: &id(3),
        at: at("2026-02-20T18:00:00Z"),
        hash: &marking.hash().expect("it is canonical"),
        marking: &marking,
        person: "TM-1",
    };
    let event = Event {
        by: "MG-1".to_owned(),
        what: sign_off(),
        details: None,
    };
    let made = signed(&occasion, &event, &keys::key("MG-1"), at("2026-02-20T18:00:00Z")).expect("it is a statement");
    assert_eq!(made.body, with_proof(bare(3), &proof_of(&bare(3), "MG-1")));
}
