//! A small invented course and devices that make honest records on it.

use crate::keys::{key, public};
use jiff::{SignedDuration, Timestamp};
use pitwright::marking::{Marking, canonical, draw, sha256_hex};
use pitwright::record::{Event, HandIn, Occasion, Statement, What, entered, read_bytes, seal, signed, stamp};
use pitwright::register::{Entering, GivenMarking, NotEntered, Register, Sqlite, Tidings};
use pitwright::score::{mark, scenario_result};
use pitwright::standing::Day;
use serde_json::{Value, json};
use tempfile::TempDir;

pub const HOME: &str = "https://house.example";
pub const X: &str = "https://pitwright.example/xapi/";
pub const V: &str = "http://adlnet.gov/expapi/verbs/";
/// Two seeds that draw different forms.
pub const SEEDS: [&str; 2] = ["0123456789abcdef0123456789abcdef", "fedcba98765432100000000000000001"];

pub fn at(text: &str) -> Timestamp {
    text.parse().expect("the test gives a time")
}

pub fn day(text: &str) -> Day {
    Day {
        date: text.parse().expect("the test gives a date"),
        zone: jiff::tz::TimeZone::UTC,
    }
}

/// The invented course as a value, so that a test can raise an edition.
pub fn course() -> Value {
    let choice = |id: &str, critical: bool| json!({"id": id, "kind": "choice", "competency": "lock-out", "critical": critical, "options": ["yes", "no", "ask"], "right": ["yes"]});
    json!({
        "format": 1, "course": "test-house", "title": "Test house", "home": HOME, "language": "en",
        "attempts": {"tries": 2, "waitHours": 12},
        "lessons": [
            {"id": "lockout", "title": "Lockout", "edition": 1, "kind": "lockout"},
            {"id": "sweep", "title": "Sweep", "edition": 1, "kind": "stop"},
        ],
        "competencies": [{
            "id": "lock-out", "says": "Locks out alone", "study": ["lockout"],
            "evidence": [{"bank": "alone"}, {"scenario": "night"}],
            "witnessed": {"times": 2, "real": 1}, "holdsMonths": 12, "signedBy": "manager",
        }],
        "trainers": {"TR-1": "A trainer"},
        "keys": {"TR-1": public("TR-1"), "MG-1": public("MG-1"), "OW-1": public("OW-1")},
        "signers": {"MG-1": {"name": "A manager", "role": "manager"}, "OW-1": {"name": "An owner", "role": "owner"}},
        "banks": [{
            "id": "alone", "title": "Alone", "edition": 1, "pass": 60,
            "draw": [{"competency": "lock-out", "count": 2}, {"competency": "pins", "count": 1}],
            "questions": [
                choice("a", true), choice("b", false), choice("c", false),
                {"id": "n", "kind": "numeric", "competency": "pins", "critical": false, "answer": "10", "tolerance": "0.5", "unit": "pins"},
            ],
        }],
        "practice": [{"lesson": "lockout", "questions": [choice("p", false)]}],
        "scenarios": [{
            "id": "night", "title": "Night", "edition": 1, "competencies": ["lock-out"], "start": "call", "pass": 2, "most": 3,
            "scenes": [
                {"id": "call", "ends": null, "choices": [
                    {"id": "tell", "to": "machine", "marks": 1, "unsafe": false},
                    {"id": "run", "to": "machine", "marks": 0, "unsafe": true},
                ]},
                {"id": "machine", "ends": null, "choices": [
                    {"id": "lock", "to": "done", "marks": 2, "unsafe": false},
                    {"id": "reach", "to": "hurt", "marks": 0, "unsafe": true},
                ]},
                {"id": "done", "ends": "safe", "choices": []},
                {"id": "hurt", "ends": "unsafe", "choices": []},
            ],
        }],
    })
}

pub fn given(course: &Value, current: bool) -> GivenMarking {
    GivenMarking::from_bytes(course.to_string().as_bytes(), "a test", current).expect("the test's course is a marking")
}

/// How an attempt ends.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum End {
    Closed,
    /// Left after so many answers.
    Left(usize),
    /// Still open after so many answers.
    Open(usize),
}

/// A device on which one person works. Its clock runs a minute with every statement.
pub struct Device {
    pub person: String,
    pub marking: Marking,
    pub hash: String,
    pub clock: Timestamp,
    count: u64,
}

impl Device {
    pub fn new(person: &str, course: &Value, clock: &str) -> Self {
        let marking: Marking = serde_json::from_value(course.clone()).expect("the test's course is a marking");
        Self {
            person: person.to_owned(),
            hash: marking.hash().expect("the test's course is canonical"),
            marking,
            clock: at(clock),
            count: 0,
        }
    }

    pub fn wait(&mut self, hours: i64) {
        self.clock += SignedDuration::from_hours(hours);
    }

    pub fn id(&mut self) -> String {
        self.count += 1;
        let text = format!("{}{}{}{}", self.person, self.hash, self.clock, self.count);
        let hex = sha256_hex(text.as_bytes());
        format!(
            "{}-{}-4{}-8{}-{}",
            &hex[..8],
            &hex[8..12],
            &hex[13..16],
            &hex[17..20],
            &hex[20..32]
        )
    }

    fn edition(&self, path: &str) -> u32 {
        let id = path.split('/').nth(1).unwrap_or_default();
        self.marking
            .lesson(id)
            .map(|lesson| lesson.edition)
            .or_else(|| self.marking.bank(id).map(|bank| bank.edition))
            .or_else(|| self.marking.scenario(id).map(|scenario| scenario.edition))
            .or_else(|| self.marking.drill(id).map(|drill| drill.edition))
            .unwrap_or(1)
    }

    pub fn says(&mut self, verb: &str, path: &str) -> Value {
        self.clock += SignedDuration::from_mins(1);
        let (id, edition) = (self.id(), self.edition(path));
        json!({
            "id": id, "version": "1.0.3", "timestamp": stamp(self.clock),
            "actor": {"objectType": "Agent", "account": {"homePage": HOME, "name": self.person}},
            "verb": {"id": format!("{V}{verb}"), "display": {"en": verb}},
            "object": {"objectType": "Activity", "id": format!("{HOME}/{path}")},
            "context": {"platform": "Pitwright", "language": "en", "extensions": {format!("{X}marking"): self.hash, format!("{X}edition"): edition}},
        })
    }

    pub fn read(&mut self, lesson: &str) -> Value {
        let mut value = self.says("completed", &format!("lesson/{lesson}"));
        value["result"] = json!({"completion": true});
        value
    }

    pub fn practised(&mut self, response: &str) -> Value {
        let mut value = self.says("answered", "lesson/lockout/ask/p");
        let right = response == "yes";
        value["result"] =
            json!({"response": response, "success": right, "score": {"scaled": f64::from(u8::from(right))}});
        value["context"]["extensions"][format!("{X}practice")] = json!(true);
        value
    }

    /// An attempt at the bank. `response` answers a question by its id.
    pub fn bank(&mut self, seed: &str, response: impl Fn(&str) -> &'static str, end: End) -> Vec<Value> {
        let bank = self.marking.bank("alone").expect("the course has it").clone();
        let form: Vec<_> = draw(&bank, seed)
            .expect("the seed is one")
            .into_iter()
            .map(|asked| asked.question.clone())
            .collect();
        let count = match end {
            End::Closed => form.len(),
            End::Left(count) | End::Open(count) => count,
        };
        let registration = self.id();
        let mut all = vec![self.begun("bank/alone", &registration, seed)];
        let (mut parts, mut missed) = (0, false);
        for (turn, question) in form.iter().enumerate() {
            let given = response(&question.id);
            let earned = mark(question, given);
            if turn < count {
                parts += earned;
                let mut value = self.answer(&format!("bank/alone/question/{}", question.id), &registration, turn);
                value["result"] = json!({"response": given, "success": earned == 2520, "score": {"scaled": f64::from(earned) / 2520.0}});
                all.push(value);
            }
            missed |= question.critical && (turn >= count || earned < 2520);
        }
        let raw = f64::from(parts) / 2520.0;
        let passed = end == End::Closed && !missed && raw / 3.0 >= 0.6;
        self.close("bank/alone", &registration, end, passed, (raw, 3.0), all)
    }

    /// A run through the scenario; in the demo course, which has several, through the first that was written.
    pub fn scenario(&mut self, choices: &[&str], end: End) -> Vec<Value> {
        let all = &self.marking.scenarios;
        let meant = all.iter().find(|one| one.id == "league-night");
        let scenario = meant.unwrap_or(&all[0]).clone();
        let path = format!("scenario/{}", scenario.id);
        let registration = self.id();
        let mut all = vec![self.begun(&path, &registration, SEEDS[0])];
        let mut scene = scenario.start.clone();
        let mut turns = Vec::new();
        for (turn, choice) in choices.iter().enumerate() {
            let mut value = self.answer(&format!("{path}/scene/{scene}"), &registration, turn);
            value["result"] = json!({"response": choice});
            all.push(value);
            turns.push((scene.clone(), *choice));
            let here = scenario.scene(&scene).expect("the run stands in a scene");
            scene = here
                .choices
                .iter()
                .find(|known| known.id == *choice)
                .expect("the choice is offered")
                .to
                .clone();
        }
        let turns: Vec<(&str, &str)> = turns.iter().map(|(scene, choice)| (scene.as_str(), *choice)).collect();
        let result = scenario_result(&scenario, &turns).expect("the run is one");
        let passed = end == End::Closed && result.passed;
        let score = (f64::from(result.marks), f64::from(scenario.most));
        self.close(&path, &registration, end, passed, score, all)
    }

    pub fn begun(&mut self, path: &str, registration: &str, seed: &str) -> Value {
        let mut value = self.says("attempted", path);
        value["context"]["registration"] = json!(registration);
        value["context"]["extensions"][format!("{X}seed")] = json!(seed);
        value
    }

    pub fn answer(&mut self, path: &str, registration: &str, turn: usize) -> Value {
        let mut value = self.says("answered", path);
        value["context"]["registration"] = json!(registration);
        value["context"]["extensions"][format!("{X}turn")] = json!(turn);
        value
    }

    pub fn close(
        &mut self,
        path: &str,
        registration: &str,
        end: End,
        passed: bool,
        (raw, max): (f64, f64),
        mut all: Vec<Value>,
    ) -> Vec<Value> {
        if let End::Open(_) = end {
            return all;
        }
        let left = matches!(end, End::Left(_));
        let mut value = self.says(if passed { "passed" } else { "failed" }, path);
        value["context"]["registration"] = json!(registration);
        value["context"]["extensions"][format!("{X}seal")] = json!(seal_of(&all));
        if left {
            value["context"]["extensions"][format!("{X}left")] = json!(true);
        }
        value["result"] = json!({"completion": !left, "success": passed, "score": {"raw": raw, "min": 0, "max": max, "scaled": raw / max}});
        all.push(value);
        all
    }

    /// All answers right.
    pub fn passes_bank(&mut self) -> Vec<Value> {
        self.bank(SEEDS[0], right, End::Closed)
    }

    pub fn passes_scenario(&mut self) -> Vec<Value> {
        self.scenario(&["tell", "lock"], End::Closed)
    }

    /// Reads, and passes bank and scenario.
    pub fn studies_all(&mut self) -> Vec<Value> {
        let mut all = vec![self.read("lockout")];
        all.extend(self.passes_bank());
        all.extend(self.passes_scenario());
        all
    }
}

pub fn right(question: &str) -> &'static str {
    if question == "n" { "10" } else { "yes" }
}

pub fn wrong(question: &str) -> &'static str {
    if question == "n" { "3" } else { "no" }
}

/// The seal over these statements, as a device makes it.
pub fn seal_of(statements: &[Value]) -> String {
    let bodies: Vec<String> = statements
        .iter()
        .map(|value| String::from_utf8(canonical(value).expect("it is canonical")).expect("JSON is text"))
        .collect();
    seal(bodies.iter().map(String::as_str))
}

pub fn file(statements: &[Value]) -> HandIn {
    read_bytes(Value::Array(statements.to_vec()).to_string().as_bytes())
}

/// An event as the statement that a register would make of it, a sign-off with its signer's key.
pub fn entry(occasion: &Occasion, event: &Event) -> Statement {
    match event.what {
        What::SignedOff { .. } => signed(occasion, event, &key(&event.by), occasion.at),
        _ => entered(occasion, event),
    }
    .expect("the test's event is one")
}

/// A register in a folder of its own.
pub struct Shop {
    pub register: Register<Sqlite>,
    pub folder: TempDir,
    pub now: Timestamp,
}

impl Shop {
    /// One that holds the invented course since 2026-01-01.
    pub fn new() -> Self {
        let mut shop = Self::empty();
        shop.now = at("2026-01-01T00:00:00Z");
        shop.archive(&course(), true);
        shop.now = at("2026-03-01T12:00:00Z");
        shop
    }

    pub fn empty() -> Self {
        let folder = tempfile::tempdir().expect("a temporary folder can be made");
        let store = Sqlite::create(&folder.path().join("shop.register")).expect("a register can be made");
        Self::with(store, folder)
    }

    /// One that is kept in memory only, which spares the disk where many are needed.
    pub fn passing() -> Self {
        let folder = tempfile::tempdir().expect("a temporary folder can be made");
        Self::with(Sqlite::in_memory().expect("a register can be made"), folder)
    }

    fn with(store: Sqlite, folder: TempDir) -> Self {
        Self {
            register: Register::open(store).expect("a new register opens"),
            folder,
            now: at("2026-03-01T12:00:00Z"),
        }
    }

    pub fn archive(&mut self, course: &Value, current: bool) {
        self.register
            .archive(&[given(course, current)], self.now)
            .expect("the register takes it");
    }

    pub fn take(&mut self, statements: &[Value]) -> Tidings {
        self.register
            .gather(&file(statements), self.now)
            .expect("the register can be written")
    }

    /// Takes what must be taken whole.
    pub fn must_take(&mut self, statements: &[Value]) {
        let told = self.take(statements);
        assert!(told.clean(), "an honest record is taken: {told:#?}");
        assert_eq!(told.new.len(), statements.len());
    }

    /// Enters one event on a day.
    pub fn enter(&mut self, person: &str, by: &str, what: What, on: &str) -> Result<Statement, NotEntered> {
        let (day, key) = (day(on), key(by));
        let entering = Entering {
            person,
            name: matches!(what, What::Joined { .. }).then_some("Somebody"),
            event: Event {
                by: by.to_owned(),
                what,
                details: None,
            },
            note: Some("lane 7"),
            day: &day,
            key: Some(&key),
        };
        let entered = self.register.enter(&[entering], self.now)?;
        Ok(entered.into_iter().next().expect("one was asked for"))
    }

    pub fn bodies(&self) -> Vec<String> {
        let mut bodies: Vec<String> = self
            .register
            .statements()
            .expect("the log can be read")
            .into_iter()
            .map(|statement| statement.body)
            .collect();
        bodies.sort();
        bodies
    }
}
