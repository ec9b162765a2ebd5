//! A centre with keys, and what a page says there of a slip.

use super::page::Page;
use super::way::{played, way};
use crate::browser_driver::Browser;
use crate::ground::{demo, out, pitwright, root};
use crate::keys;
use crate::register::made::{Device, End, HOME};
use jiff::{SignedDuration, Timestamp};
use pitwright::proof::sign;
use pitwright::record::stamp;
use serde_json::{Value, json};
use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};
use tempfile::TempDir;

/// A centre with keys: the demo course under another home, its register, T-07 signed off for two things, T-09 out of
/// tries at the call and given another.
pub(super) struct Centre {
    pub(super) folder: TempDir,
    pub(super) marking: Value,
}

impl Centre {
    pub(super) fn open() -> Self {
        let centre = Self::empty();
        centre.people();
        centre
    }

    /// The same, before anybody has come.
    pub(super) fn empty() -> Self {
        let folder = demo();
        let put = |file: &str, what: &str, with: &str| {
            let place = folder.path().join(file);
            let text = fs::read_to_string(&place).expect("it is there");
            assert!(text.contains(what), "{file} has {what}");
            fs::write(place, text.replace(what, with)).expect("it can be written");
        };
        let outline = "lessons/outline.yml";
        put(outline, "https://thistlegauge.example", HOME);
        for (code, field) in [("TR-1", "name: \"Demo trainer\""), ("MG-1", "role: manager")] {
            put(outline, field, &format!("{field}, key: {}", keys::public(code)));
            keys::files(folder.path(), code);
        }
        put(
            "lessons/competencies.yml",
            "{ bank: alone }, { scenario: league-night }",
            "{ scenario: league-night }",
        );
        let mut centre = Self {
            folder,
            marking: Value::Null,
        };
        centre.run(&["compile"]);
        let written = fs::read_dir(centre.path("out")).expect("it was built");
        let marking = written
            .filter_map(Result::ok)
            .find(|entry| entry.file_name().to_string_lossy().starts_with("marking-"))
            .expect("compile writes a marking file");
        centre.marking = serde_json::from_slice(&fs::read(marking.path()).expect("it is there")).expect("it is JSON");
        centre
    }

    pub(super) fn path(&self, name: &str) -> PathBuf {
        self.folder.path().join(name)
    }

    pub(super) fn run(&self, arguments: &[&str]) -> String {
        let mut all = arguments.to_vec();
        if arguments[0] != "compile" {
            all.extend(["--register", "house.register"]);
        }
        let output = pitwright(self.folder.path(), &all);
        assert!(
            output.status.success(),
            "{arguments:?}: {}{}",
            out(&output),
            String::from_utf8_lossy(&output.stderr)
        );
        out(&output)
    }

    /// A file of statements, as a course hands it in.
    pub(super) fn hand_in(&self, code: &str, statements: &[Value]) -> PathBuf {
        let place = self.path(&format!("record-{code}.json"));
        fs::write(&place, Value::Array(statements.to_vec()).to_string()).expect("it can be written");
        place
    }

    pub(super) fn people(&self) {
        let ago = |days: i64| stamp(Timestamp::now() - SignedDuration::from_hours(24 * days));
        let pass = played(&self.marking)["pass"].as_u64().expect("a pass mark");
        let well = way(&self.marking, |ends, hurt, marks| {
            ends == "safe" && !hurt && marks >= pass
        });
        let well: Vec<&str> = well.iter().map(String::as_str).collect();
        let mut device = Device::new("T-07", &self.marking, &ago(5));
        let signed = ["lock-out", "clear-extra-pin"];
        let competencies = self.marking["competencies"].as_array().expect("a list");
        let to_read: BTreeSet<&str> = competencies
            .iter()
            .filter(|one| signed.iter().any(|id| one["id"] == *id))
            .flat_map(|one| one["study"].as_array().expect("a list"))
            .filter_map(Value::as_str)
            .collect();
        let mut all: Vec<Value> = to_read.into_iter().map(|id| device.read(id)).collect();
        all.extend(device.scenario(&well, End::Closed));
        let seven = self.hand_in("T-07", &all);
        let mut device = Device::new("T-09", &self.marking, &ago(4));
        let mut all = device.scenario(&[], End::Left(0));
        device.wait(24);
        all.extend(device.scenario(&[], End::Left(0)));
        let nine = self.hand_in("T-09", &all);
        self.run(&["gather", seven.to_str().expect("UTF-8"), nine.to_str().expect("UTF-8")]);
        for competency in signed {
            for setting in ["--real", "--staged", "--staged"] {
                self.run(&[
                    "witness",
                    "T-07",
                    competency,
                    "--by",
                    "TR-1",
                    "--met",
                    "--another",
                    setting,
                ]);
            }
            self.sign_off(competency);
        }
        let tomorrow = &stamp(Timestamp::now() + SignedDuration::from_hours(24))[..10];
        self.run(&[
            "assign",
            "T-07",
            "--by",
            "TR-1",
            "--lesson",
            "ball-held-at-exit",
            "--due",
            tomorrow,
        ]);
        self.run(&["assign", "T-07", "--by", "TR-1", "--bank", "alone"]);
        self.run(&["release", "T-09", "league-night", "--by", "TR-1"]);
    }

    /// T-07 is signed off by the manager.
    pub(super) fn sign_off(&self, competency: &str) {
        let by = ["--by", "MG-1", "--key", "MG-1.pem", "--passphrase-file", "passphrase"];
        self.run(&[["signoff", "T-07", competency].as_slice(), &by].concat());
    }

    /// A slip made by the command.
    pub(super) fn slip(&self, code: &str, file: &str) -> PathBuf {
        self.run(&[
            "slip",
            code,
            file,
            "--by",
            "TR-1",
            "--key",
            "TR-1.pem",
            "--passphrase-file",
            "passphrase",
        ]);
        self.path(file)
    }

    /// A slip changed as `change` says; signed anew with the key of `holder`, if anybody signs it.
    pub(super) fn another(
        &self,
        slip: &Path,
        file: &str,
        holder: Option<&str>,
        change: impl Fn(&mut Value),
    ) -> PathBuf {
        let mut value: Value = serde_json::from_slice(&fs::read(slip).expect("it is there")).expect("it is JSON");
        if let Some(holder) = holder {
            value.as_object_mut().expect("an object").remove("proof");
            change(&mut value);
            value["proof"] = sign(&value, &keys::key(holder), Timestamp::now()).expect("it is canonical");
        } else {
            change(&mut value);
        }
        let place = self.path(file);
        fs::write(&place, value.to_string()).expect("it can be written");
        place
    }

    pub(super) async fn page(&self, browser: Browser, hours: i32) -> Page {
        let (profile, downloads) = (self.path("profile"), self.path("downloads"));
        fs::create_dir_all(&profile).expect("it can be made");
        fs::create_dir_all(&downloads).expect("it can be made");
        let page = Page::open(browser, &self.path("out/course"), &profile, &downloads, hours).await;
        page.goto("record.html").await;
        page
    }
}

/// What a page says under a key. It comes from the theme, since a page has only the words that it shows itself.
pub(super) async fn word(_: &Page, key: &str, values: Value) -> String {
    let theme = fs::read_to_string(root().join("theme/words/en.yml")).expect("the words are text");
    let words: BTreeMap<String, String> = serde_yaml::from_str(&theme).expect("the words are a mapping");
    let mut said = words[key].clone();
    for (name, value) in values.as_object().into_iter().flatten() {
        let value = value.as_str().map_or_else(|| value.to_string(), str::to_owned);
        said = said.replace(&format!("{{{name}}}"), &value);
    }
    said
}

/// Puts somebody in the place of whoever was here.
pub(super) async fn is_here(page: &Page, code: &str) {
    page.goto("record.html").await;
    page.there("main .standing").await;
    page.ask(&format!("return PITWRIGHT.here.set({}).then(() => true)", json!(code)))
        .await;
    page.until(&format!(
        "document.querySelector('main .standing h2')?.textContent.includes({})",
        json!(code)
    ))
    .await;
}

/// Brings a file in on the record page, and gives what the page then says of it.
pub(super) async fn bring(page: &Page, file: &Path) -> String {
    page.goto("record.html").await;
    page.there("main #bring").await;
    page.type_into("main #bring", file.to_str().expect("UTF-8")).await;
    page.until("Array.from(document.querySelectorAll('main .hand-told')).some((one) => one.textContent)")
        .await;
    let told = page
        .ask("return Array.from(document.querySelectorAll('main .hand-told')).map((one) => one.textContent).join('')")
        .await;
    told.as_str().expect("text").to_owned()
}

/// What a lesson answers to "may I do this alone?", once it has looked.
pub(super) async fn alone(page: &Page, lesson: &str) -> String {
    page.goto(&format!("lesson/{lesson}.html")).await;
    page.until("document.querySelectorAll('[data-answer] p').length > 1")
        .await;
    // A store and a signature lie between: long enough for either to have spoken.
    tokio::time::sleep(std::time::Duration::from_millis(500)).await;
    let says = page
        .ask("return document.querySelector('[data-answer]').innerText")
        .await;
    says.as_str().expect("text").to_owned()
}

pub(super) async fn asks_the_trainer(page: &Page, lesson: &str, why: &str) {
    let says = alone(page, lesson).await;
    let ask = word(page, "alone_ask", json!({})).await;
    assert!(says.starts_with(&ask) && says.contains(why), "{why:?} in {says:?}");
}

pub(super) fn issued(slip: &Path) -> Timestamp {
    let value: Value = serde_json::from_slice(&fs::read(slip).expect("it is there")).expect("it is JSON");
    value["issued"].as_str().expect("a time").parse().expect("a time")
}
