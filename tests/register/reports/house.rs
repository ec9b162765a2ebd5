//! A centre with people in every standing, entered by the commands, and its reports.

use super::super::made::End;
use super::super::made::{Device, SEEDS, Shop, at, course, right};
use pitwright::record::What;
use serde_json::{Value, json};
use std::collections::BTreeMap;
use std::fs;
use std::path::Path;
use std::process::Command;

/// The day of most reports.
pub const DAY: &str = "2026-11-25";

/// Why performances are entered months later.
const FROM_PAPER: &str = "From the sheet of that day";

/// The invented course with more to be able to do, a machine, a job, and a centre that says that it is a demo.
pub fn wide_course() -> Value {
    let mut course = course();
    course["centre"] = json!("Marlpit Lanes, “the Pit” (demo)");
    course["demo"] = json!(true);
    let first = course["competencies"][0].clone();
    let more = [
        (
            "read-the-cycle",
            "Tells from outside the guards where a machine stands in its cycle",
        ),
        (
            "raise-the-alarm",
            "Stops the machine and gets help first when a person is caught",
        ),
        (
            "clear-short-set",
            "Finds a short set by its signs, clears it locked out, and knows when pins are held back elsewhere",
        ),
        (
            "clear-extra-pin",
            "Finds an extra pin by its signs and clears it locked out",
        ),
        (
            "clear-ball-held",
            "Finds a ball held at the exit, clears it locked out; tells a slipping belt from a tripped motor",
        ),
    ];
    let mut all = vec![first.clone()];
    for (id, says) in more {
        let mut one = first.clone();
        one["id"] = json!(id);
        one["says"] = json!(says);
        all.push(one);
    }
    for one in &mut all {
        one["sheet"] = json!({"lesson": "lockout", "steps": [
            "Tell the desk that both lanes go dark", "Turn the handle off, hang your own lock", "Try it: nothing moves",
            "Come out, count, look round, lock off, tell people",
        ]});
    }
    course["competencies"] = json!(all);
    course["jobs"] =
        json!([{"id": "mechanic", "title": "Mechanic, late shift", "competencies": ["lock-out", "clear-short-set"]}]);
    course["machines"] = json!([{"id": "brindlewick", "title": "Brindlewick (an invented machine)"}]);
    course["language"] = json!("en");
    course
}

pub struct House {
    shop: Shop,
    pub course: Value,
}

impl House {
    /// An empty register that holds the course since 2026-01-01.
    pub fn new() -> Self {
        let mut shop = Shop::empty();
        let course = wide_course();
        shop.now = at("2026-01-01T00:00:00Z");
        shop.archive(&course, true);
        shop.now = at("2026-11-25T12:00:00Z");
        Self { shop, course }
    }

    /// People in every standing.
    pub fn full() -> Self {
        let mut house = Self::new();
        let people = [
            ("T-07", "Ada Brückner-Ōyama"),
            ("T-08", "Bo Nilsson"),
            ("T-09", "Cleo O'Hara"),
            ("T-11", "Dmitri Wołek"),
            ("T-12", "Ebba Castellanos de la Fuente"),
            ("T-13", "Finn"),
            ("T-14", "Gus Leaver"),
            ("T-15", "Ida New"),
        ];
        for (code, name) in people {
            house.must(&[
                "join",
                code,
                "--by",
                "MG-1",
                "--name",
                name,
                "--job",
                "mechanic",
                "--on",
                "2026-02-01",
            ]);
        }
        for code in ["T-07", "T-08", "T-12", "T-13", "T-14"] {
            house.studies(code, "2026-03-01T08:00:00Z");
        }
        house.studies("T-11", "2026-10-01T08:00:00Z");
        let mut device = Device::new("T-09", &house.course, "2026-11-01T08:00:00Z");
        let mut some = vec![device.read("lockout")];
        some.extend(device.bank(SEEDS[1], |id| if id == "a" { "no" } else { right(id) }, End::Closed));
        house.shop.must_take(&some);
        for code in ["T-07", "T-08", "T-12", "T-13", "T-14"] {
            house.watched_and_signed(code, "lock-out", "2026-03-03");
        }
        for competency in ["clear-short-set", "clear-extra-pin", "read-the-cycle"] {
            house.watched_and_signed("T-07", competency, "2026-03-10");
        }
        house.must(&[
            "witness",
            "T-08",
            "clear-short-set",
            "--by",
            "TR-1",
            "--on",
            "2026-04-02",
            "--staged",
            "--step",
            "2=prompted",
            "--note",
            FROM_PAPER,
        ]);
        house.must(&[
            "witness",
            "T-08",
            "clear-short-set",
            "--by",
            "TR-1",
            "--on",
            "2026-04-03",
            "--real",
            "--step",
            "3=not-met",
            "--note",
            "Did not look at the fan; stopped him before the gate",
        ]);
        house.must(&[
            "retrain",
            "T-12",
            "lock-out",
            "--because",
            "procedure",
            "--by",
            "TR-1",
            "--on",
            "2026-09-01",
            "--note",
            "LP-1 has a second handle now",
        ]);
        house.must(&[
            "withdraw",
            "T-13",
            "lock-out",
            "--by",
            "MG-1",
            "--on",
            "2026-10-05",
            "--note",
            "worked without his own lock",
        ]);
        house.must(&["leave", "T-14", "--by", "MG-1", "--on", "2026-08-31"]);
        house.must(&[
            "assign",
            "T-09",
            "T-15",
            "--by",
            "TR-1",
            "--lesson",
            "lockout,sweep",
            "--due",
            "2026-11-10",
            "--on",
            "2026-10-20",
        ]);
        house.must(&[
            "assign",
            "T-11",
            "--by",
            "TR-1",
            "--competency",
            "lock-out",
            "--due",
            "2026-12-20",
            "--on",
            "2026-11-20",
        ]);
        house.must(&[
            "inspect",
            "brindlewick",
            "--by",
            "TR-1",
            "--included",
            "T-07",
            "T-08",
            "--clean",
            "--on",
            "2026-06-01",
        ]);
        house
    }

    /// As many people more, of whom nothing is known yet.
    pub fn crowd(&self, many: usize) {
        for n in 0..many {
            let code = format!("C-{n:03}");
            self.must(&[
                "join",
                &code,
                "--by",
                "MG-1",
                "--name",
                "One of many",
                "--on",
                "2026-11-01",
            ]);
        }
    }

    pub fn studies(&mut self, code: &str, at: &str) {
        let mut device = Device::new(code, &self.course, at);
        let mut all = device.studies_all();
        all.push(device.read("sweep"));
        self.shop.must_take(&all);
    }

    pub fn watched_and_signed(&mut self, code: &str, competency: &str, on: &str) {
        for setting in ["--staged", "--real"] {
            self.must(&[
                "witness", code, competency, "--by", "TR-1", "--on", on, setting, "--met", "--note", FROM_PAPER,
            ]);
        }
        let what = What::SignedOff {
            competency: competency.to_owned(),
            proof: None,
        };
        self.shop.enter(code, "MG-1", what, on).expect("it is ready to sign");
    }

    /// The folder for what a test makes.
    pub fn folder(&self) -> &Path {
        self.shop.folder.path()
    }

    /// Runs the program on this register; its exit code and what it said.
    pub fn run(&self, arguments: &[&str]) -> (i32, String) {
        let output = Command::new(env!("CARGO_BIN_EXE_pitwright"))
            .args(arguments)
            .arg("--register")
            .arg(self.folder().join("shop.register"))
            .current_dir(self.folder())
            .env("PITWRIGHT_NOW", "2026-11-25T12:00:00Z")
            .env("TZ", "UTC")
            .env("NO_COLOR", "1")
            .output()
            .expect("the program was built with the tests");
        let said = [output.stdout, output.stderr].concat();
        (
            output.status.code().unwrap_or(-1),
            String::from_utf8_lossy(&said).into_owned(),
        )
    }

    /// Runs what must succeed.
    pub fn must(&self, arguments: &[&str]) -> String {
        let (code, said) = self.run(arguments);
        assert_eq!(code, 0, "{arguments:?}: {said}");
        said
    }

    /// Everybody's pages as of a day: path → bytes.
    pub fn pages(&self, on: &str) -> BTreeMap<String, Vec<u8>> {
        let into = self.folder().join(format!("pages-{on}"));
        self.must(&["standing", "--on", on, "--into", into.to_str().expect("UTF-8")]);
        tree(&into)
    }
}

/// Every file of a folder with its bytes.
pub fn tree(folder: &Path) -> BTreeMap<String, Vec<u8>> {
    walkdir::WalkDir::new(folder)
        .into_iter()
        .map(|entry| entry.expect("the folder can be walked"))
        .filter(|entry| entry.file_type().is_file())
        .map(|entry| {
            let path = entry.path().strip_prefix(folder).expect("walked from there");
            let bytes = fs::read(entry.path()).expect("the file can be read");
            (path.to_string_lossy().into_owned(), bytes)
        })
        .collect()
}

pub fn text(pages: &BTreeMap<String, Vec<u8>>, path: &str) -> String {
    let bytes = pages
        .get(path)
        .unwrap_or_else(|| panic!("{path} is missing: {:?}", pages.keys()));
    String::from_utf8(bytes.clone()).expect("pages are UTF-8")
}
