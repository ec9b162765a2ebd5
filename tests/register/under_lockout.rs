//! What is done behind a guard is done under a lockout, and nobody may do more of it than of that.

use super::desk::Desk;
use super::made::Device;
use super::witnessing::steps_course;
use serde_json::{Value, json};

/// TM-1 has studied all and was watched at the stop as often as is needed, and at the lockout not yet.
fn desk() -> Desk {
    let mut desk = Desk::with(&steps_course());
    let mut device = Device::new("TM-1", &steps_course(), "2026-02-01T08:00:00Z");
    let mut all = device.studies_all();
    all.push(device.read("sweep"));
    desk.hand_in("one.json", &all);
    desk.must(&["gather", "one.json"]);
    for (now, setting) in [("2026-02-10T12:00:00Z", "--real"), ("2026-02-11T12:00:00Z", "--staged")] {
        desk.now = now;
        desk.must(&["witness", "TM-1", "clear-sweep", "--by", "TR-1", "--met", setting]);
    }
    desk
}

/// Standing, and what it allows, of the lockout and of the stop.
fn stands(desk: &Desk) -> Value {
    let (_, told) = desk.json(&["standing", "TM-1"]);
    let all = &told["people"][0]["competencies"];
    json!([all[0]["standing"], all[0]["may"], all[1]["standing"], all[1]["may"]])
}

#[test]
fn a_stop_is_signed_after_its_lockout_and_allows_no_more_than_that() {
    let mut desk = desk();
    let ready = ["ready-to-be-witnessed", "accompanied", "ready-to-sign", "accompanied"];
    assert_eq!(stands(&desk), json!(ready));
    let (_, out, _) = desk.run(&["standing", "TM-1"]);
    assert!(
        out.contains("still needed: be signed off for lock-out, under which it is done"),
        "{out}"
    );
    let (code, told) = desk.signoff(&["TM-1", "clear-sweep", "--by", "MG-1"]);
    assert_eq!(code, 1, "{told:#}");
    assert!(told.to_string().contains("be signed off for lock-out"), "{told:#}");
    desk.lockout_signed("TM-1");
    assert_eq!(desk.signoff(&["TM-1", "clear-sweep", "--by", "MG-1"]).0, 0);
    assert_eq!(stands(&desk), json!(["signed", "alone", "signed", "alone"]));
    let slip = |name: &str| {
        let passphrase = ["--passphrase-file", "data/pitwright/keys/passphrase"];
        let (out, _) = desk.must(&[&["slip", "TM-1", name, "--by", "MG-1"], &passphrase[..]].concat());
        out
    };
    let told = slip("before.json");
    assert!(told.contains("clear-sweep"), "{told}");
    desk.now = "2026-02-13T12:00:00Z";
    desk.must(&["withdraw", "TM-1", "lock-out", "--by", "TR-1", "--note", "Reached in"]);
    assert_eq!(stands(&desk), json!(["withdrawn", "nothing", "signed", "nothing"]));
    let (_, out, _) = desk.run(&["standing", "TM-1"]);
    assert!(out.contains("it is done under lock-out, which is withdrawn"), "{out}");
    desk.must(&["standing", "TM-1", "--into", "pages"]);
    let (code, told) = desk.json(&["audit"]);
    assert_eq!((code, &told["findings"]), (0, &json!([])), "{told:#}");
}
