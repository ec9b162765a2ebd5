//! One life on the command line, and all that was said on its days said again at its end.

use super::desk::Desk;
use super::made::{Device, End, SEEDS, course, right};
use serde_json::{Value, json};

/// The invented course with a job, a machine and a sheet of steps.
pub fn staffed() -> Value {
    let mut course = course();
    course["jobs"] = json!([
        {"id": "mechanic", "title": "Mechanic", "competencies": ["lock-out"]},
        {"id": "desk", "title": "Desk", "competencies": ["lock-out"]},
    ]);
    course["machines"] = json!([{"id": "marrow", "title": "Marrow"}]);
    course["competencies"][0]["sheet"] =
        json!({"lesson": "lockout", "steps": ["Tell the desk", "Open the switch", "Hang your own lock"]});
    course
}

/// The desk, the trainee's device, and what was said at the end of some days.
struct Story {
    desk: Desk,
    course: Value,
    said: Vec<(&'static str, Value)>,
    files: u32,
}

impl Story {
    fn on(&mut self, now: &'static str) {
        self.desk.now = now;
    }

    /// Runs a command that must succeed.
    fn must(&self, arguments: &[&str]) -> Value {
        let (code, told) = self.desk.json(arguments);
        assert_eq!(code, 0, "{arguments:?} on {}: {told:#}", self.desk.now);
        told
    }

    /// Hands in what the device makes from eight in the morning on.
    fn hands_in(&mut self, make: impl Fn(&mut Device) -> Vec<Value>) {
        let date = self.desk.now.split('T').next().unwrap_or_default();
        let mut device = Device::new("TM-1", &self.course, &format!("{date}T08:00:00Z"));
        self.files += 1;
        let name = format!("record-TM-1-{}.json", self.files);
        self.desk.hand_in(&name, &make(&mut device));
        self.must(&["gather", &name]);
    }

    fn watched(&self, how: &[&str]) {
        let told = self.must(&[&["witness", "TM-1", "lock-out", "--by", "TR-1"], how].concat());
        assert!(told["entered"].is_object(), "{told:#}");
    }

    fn signed(&self) {
        let (code, told) = self.desk.signoff(&["TM-1", "lock-out", "--by", "MG-1"]);
        assert_eq!((code, &told["standing"]["standing"]), (0, &json!("signed")), "{told:#}");
    }

    /// Notes what is said of the day at its end.
    fn note(&mut self, standing: &str) {
        let date = self.desk.now.split('T').next().unwrap_or_default();
        let told = self.must(&["standing", "TM-1"]);
        assert_eq!(
            told["people"][0]["competencies"][0]["standing"],
            json!(standing),
            "on {date}: {told:#}"
        );
        self.said.push((date, told));
    }
}

fn passes(device: &mut Device) -> Vec<Value> {
    let mut all = device.bank(SEEDS[1], right, End::Closed);
    all.extend(device.passes_scenario());
    all
}

#[test]
fn a_life_is_told_at_its_end_as_it_was_told_on_each_day() {
    let mut story = Story {
        desk: Desk::with(&staffed()),
        course: staffed(),
        said: Vec::new(),
        files: 0,
    };
    story.on("2026-01-10T10:00:00Z");
    story.hands_in(|_| Vec::new());
    story.must(&[
        "join",
        "tm-1",
        "--by",
        "TR-1",
        "--name",
        "Ada Example",
        "--job",
        "mechanic",
        "--note",
        "from the desk",
    ]);
    story.note("nothing-yet");
    story.on("2026-01-11T10:00:00Z");
    let told = story.must(&["assign", "TM-1", "--gap", "--due", "2026-01-13", "--by", "TR-1"]);
    assert_eq!(
        told["entered"].as_array().map(Vec::len),
        Some(3),
        "a lesson, a bank, a scenario: {told:#}"
    );
    let told = story.must(&["assign", "TM-1", "--gap", "--by", "MG-1"]);
    assert_eq!(told["entered"], json!([]), "all of it is open already");
    assert_eq!(told["skipped"].as_array().map(Vec::len), Some(3));
    story.hands_in(|device| vec![device.read("lockout")]);
    story.note("studying");
    assert_eq!(
        states(&story.said[1].1),
        ["open", "open", "open"],
        "read before it was asked for"
    );

    story.on("2026-01-12T18:00:00Z");
    story.hands_in(Device::studies_all);
    story.note("ready-to-be-witnessed");
    assert_eq!(states(&story.said[2].1), ["done", "done", "done"]);
    for (now, how) in [
        ("2026-01-15T15:00:00Z", &["--met", "--staged"][..]),
        ("2026-01-16T15:00:00Z", &["--step", "2=prompted", "--real"]),
        (
            "2026-01-17T15:00:00Z",
            &["--step", "3=met", "--real", "--note", "clean work"],
        ),
    ] {
        story.on(now);
        story.watched(how);
    }
    story.note("ready-to-sign");
    story.on("2026-01-18T09:00:00Z");
    story.signed();
    story.note("signed");

    story.on("2027-01-18T09:00:00Z");
    story.note("lapsed");
    story.on("2027-01-20T18:00:00Z");
    story.hands_in(passes);
    story.watched(&["--met", "--real"]);
    story.watched(&["--met", "--staged"]);
    story.signed();
    story.on("2027-02-01T09:00:00Z");
    story.must(&[
        "retrain",
        "TM-1",
        "lock-out",
        "--because",
        "procedure",
        "--by",
        "MG-1",
        "--note",
        "second lock point",
    ]);
    story.note("lapsed");
    story.on("2027-02-02T18:00:00Z");
    story.hands_in(|device| [vec![device.read("lockout")], passes(device)].concat());
    story.watched(&["--met", "--real"]);
    story.watched(&["--met", "--real", "--another"]);
    story.signed();
    story.note("signed");

    story.on("2027-03-01T09:00:00Z");
    story.must(&[
        "withdraw",
        "TM-1",
        "lock-out",
        "--by",
        "TR-1",
        "--note",
        "reached in without a lock",
    ]);
    story.note("withdrawn");
    story.on("2027-03-03T18:00:00Z");
    story.hands_in(passes);
    story.watched(&["--met", "--real"]);
    story.watched(&["--met", "--staged"]);
    let told = story.must(&["standing", "TM-1"]);
    assert_eq!(told["people"][0]["competencies"][0]["renewable"], json!(true));
    assert_eq!(told["people"][0]["competencies"][0]["may"], json!("nothing"));
    story.signed();
    story.note("signed");

    story.on("2027-04-01T09:00:00Z");
    story.course["banks"][0]["edition"] = json!(2);
    story.desk.compile(&story.course);
    story.hands_in(|_| Vec::new());
    story.note("lapsed");
    story.on("2027-04-02T09:00:00Z");
    story.must(&["leave", "TM-1", "--by", "TR-1", "--on", "2027-04-01"]);

    // What the last day is told to have been has changed: the leaving was entered later. All else stands.
    let (_, last) = story.said.pop().expect("days were noted");
    assert_eq!(last["people"][0]["competencies"][0]["may"], json!("accompanied"));
    let now = story.must(&["standing", "TM-1", "--on", "2027-04-01"]);
    assert_eq!(now["people"][0]["competencies"][0]["may"], json!("nothing"));
    assert_eq!(now["people"][0]["left"], json!("2027-04-01"));
    assert_eq!(story.said.len(), 10, "ten days");
    for (date, said) in &story.said {
        let told = story.must(&["standing", "TM-1", "--on", date]);
        assert_eq!(told, *said, "on {date}");
    }
    let matrix = story.must(&["standing"]);
    assert_eq!(matrix["people"], json!([]), "whoever has left is on no list");
    let (code, out, _) = story.desk.run(&["standing", "TM-1", "--on", "2027-03-03"]);
    assert_eq!(code, 0);
    for due in [
        "TM-1  Ada Example, Mechanic; joined 2026-01-10",
        "lock-out: signed (may do alone)",
        "lapses on 2028-03-03",
        "done 2026-01-12",
        "  had lock-out withdrawn by TR-1 — reached in without a lock",
        "  joined the centre as mechanic (entered by TR-1) — from the desk",
    ] {
        assert!(out.contains(due), "{due:?} in {out}");
    }
    assert_eq!(story.desk.run(&["audit"]).0, 0);
}

fn states(told: &Value) -> Vec<&str> {
    let all = told["people"][0]["assignments"].as_array().expect("a list");
    all.iter().filter_map(|one| one["state"].as_str()).collect()
}
