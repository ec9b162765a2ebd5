//! The way back: slips made by the command, brought into the course by a real browser, refused where they must be, and
//! what a page where hands go in answers by them.

use super::page::Page;
use super::way::way;
use super::{accessible, valid};
use crate::browser_driver::{Browser, converse};
use crate::ground::{demo, out, pitwright};
use crate::keys;
use crate::register::made::{Device, End, HOME};
use jiff::{SignedDuration, Timestamp};
use pitwright::proof::sign;
use pitwright::record::stamp;
use serde_json::{Value, json};
use std::fs;
use std::path::{Path, PathBuf};
use tempfile::TempDir;

/// A centre with keys: the demo course under another home, its register, T-07 signed off for two things, T-09 out of
/// tries at the call and given another.
struct Centre {
    folder: TempDir,
    marking: Value,
}

impl Centre {
    fn open() -> Self {
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
        centre.people();
        centre
    }

    fn path(&self, name: &str) -> PathBuf {
        self.folder.path().join(name)
    }

    fn run(&self, arguments: &[&str]) -> String {
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
    fn hand_in(&self, code: &str, statements: &[Value]) -> PathBuf {
        let place = self.path(&format!("record-{code}.json"));
        fs::write(&place, Value::Array(statements.to_vec()).to_string()).expect("it can be written");
        place
    }

    fn people(&self) {
        let ago = |days: i64| stamp(Timestamp::now() - SignedDuration::from_hours(24 * days));
        let pass = self.marking["scenarios"][0]["pass"].as_u64().expect("a pass mark");
        let well = way(&self.marking, |ends, hurt, marks| {
            ends == "safe" && !hurt && marks >= pass
        });
        let well: Vec<&str> = well.iter().map(String::as_str).collect();
        let mut device = Device::new("T-07", &self.marking, &ago(5));
        let mut all: Vec<Value> = ["orientation", "lockout", "extra-pin"]
            .map(|id| device.read(id))
            .to_vec();
        all.extend(device.scenario(&well, End::Closed));
        let seven = self.hand_in("T-07", &all);
        let mut device = Device::new("T-09", &self.marking, &ago(4));
        let mut all = device.scenario(&[], End::Left(0));
        device.wait(24);
        all.extend(device.scenario(&[], End::Left(0)));
        let nine = self.hand_in("T-09", &all);
        self.run(&["gather", seven.to_str().expect("UTF-8"), nine.to_str().expect("UTF-8")]);
        for competency in ["lock-out", "clear-extra-pin"] {
            for setting in ["--real", "--staged", "--staged"] {
                self.run(&["witness", "T-07", competency, "--by", "TR-1", "--met", setting]);
            }
            self.run(&[
                "signoff",
                "T-07",
                competency,
                "--by",
                "MG-1",
                "--key",
                "MG-1.pem",
                "--passphrase-file",
                "passphrase",
            ]);
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

    /// A slip made by the command.
    fn slip(&self, code: &str, file: &str) -> PathBuf {
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
    fn another(&self, slip: &Path, file: &str, holder: Option<&str>, change: impl Fn(&mut Value)) -> PathBuf {
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

    async fn page(&self, browser: Browser, hours: i32) -> Page {
        let (profile, downloads) = (self.path("profile"), self.path("downloads"));
        fs::create_dir_all(&profile).expect("it can be made");
        fs::create_dir_all(&downloads).expect("it can be made");
        let page = Page::open(browser, &self.path("out/course"), &profile, &downloads, hours).await;
        page.goto("record.html").await;
        page
    }
}

/// What the page says under a key.
async fn word(page: &Page, key: &str, values: Value) -> String {
    let words = page
        .ask(&format!("return PITWRIGHT.word({}, {values})", json!(key)))
        .await;
    words.as_str().expect("words").to_owned()
}

/// Puts somebody in the place of whoever was here.
async fn is_here(page: &Page, code: &str) {
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
async fn bring(page: &Page, file: &Path) -> String {
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
async fn alone(page: &Page, lesson: &str) -> String {
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

async fn asks_the_trainer(page: &Page, lesson: &str, why: &str) {
    let says = alone(page, lesson).await;
    let ask = word(page, "alone_ask", json!({})).await;
    assert!(says.starts_with(&ask) && says.contains(why), "{why:?} in {says:?}");
}

fn issued(slip: &Path) -> Timestamp {
    let value: Value = serde_json::from_slice(&fs::read(slip).expect("it is there")).expect("it is JSON");
    value["issued"].as_str().expect("a time").parse().expect("a time")
}

#[test]
fn a_slip_comes_back_into_chromium() {
    back_into(Browser::Chromium);
}

#[test]
fn a_slip_comes_back_into_firefox() {
    back_into(Browser::Firefox);
}

fn back_into(browser: Browser) {
    let centre = Centre::open();
    let slip = centre.slip("T-07", "slip.json");
    converse(async {
        let page = centre.page(browser, 0).await;
        page.say_who("T-07").await;
        asks_the_trainer(&page, "extra-pin", &word(&page, "alone_none", json!({})).await).await;
        let told = bring(&page, &slip).await;
        let day = page
            .ask(&format!("return PITWRIGHT.day({})", issued(&slip).as_millisecond()))
            .await;
        assert_eq!(told, word(&page, "slip_taken", json!({ "date": day })).await);
        says_all(&page, &slip).await;
        page.is_quiet().await;
        page.driver.kill();

        let page = centre.page(browser, 0).await;
        page.goto("record.html").await;
        says_all(&page, &slip).await;
        let until = until(&page, &slip).await;
        let may = word(&page, "alone_may", json!({ "until": until })).await;
        for lesson in ["extra-pin", "lockout"] {
            let says = alone(&page, lesson).await;
            assert!(says.starts_with(&may), "{may:?} in {says:?}");
        }
        let not = word(&page, "alone_not", json!({ "date": day })).await;
        asks_the_trainer(&page, "ball-held-at-exit", &not).await;
        page.is_quiet().await;

        // Somebody else at the same PC.
        is_here(&page, "T-08").await;
        assert!(!page.text().await.contains(&until), "nothing of it is shown to another");
        asks_the_trainer(&page, "extra-pin", &word(&page, "alone_none", json!({})).await).await;
        let told = bring(&page, &slip).await;
        let due = word(&page, "slip_other_person", json!({ "code": "T-07", "mine": "T-08" })).await;
        assert!(told.contains(&due), "{due:?} in {told:?}");
        page.driver.kill();

        // By the clock it answers to the last hour, and no longer; and not before it was made.
        let days = i32::try_from(centre.marking["slipDays"].as_u64().expect("days")).expect("few");
        let page = centre.page(browser, -24 * days + 1).await;
        is_here(&page, "T-07").await;
        assert!(alone(&page, "extra-pin").await.starts_with(&may));
        page.driver.kill();
        let page = centre.page(browser, -24 * days - 1).await;
        let old = word(&page, "alone_old", json!({ "date": day, "days": days })).await;
        asks_the_trainer(&page, "extra-pin", &old).await;
        page.goto("record.html").await;
        page.there("main .slip-silent").await;
        let text = page.text().await;
        assert!(
            text.contains(&word(&page, "slip_no_longer", json!({ "days": days })).await),
            "{text}"
        );
        assert!(!text.contains(&until), "nobody may alone any more: {text}");
        let overdue = word(&page, "asked_overdue", json!({ "date": "" })).await;
        assert!(text.contains(&overdue), "{text}");
        let told = bring(&page, &slip).await;
        assert!(
            told.contains(&word(&page, "slip_old", json!({ "date": day, "days": days })).await),
            "{told}"
        );
        page.driver.kill();
        let page = centre.page(browser, 1).await;
        asks_the_trainer(&page, "extra-pin", &word(&page, "slip_future", json!({})).await).await;
        page.driver.kill();
    });
}

/// Until when the slip answers, as the page writes it.
async fn until(page: &Page, slip: &Path) -> String {
    let until = page
        .ask(&format!(
            "return PITWRIGHT.moment({} + PITWRIGHT.marking.slipDays * 86400000)",
            issued(slip).as_millisecond()
        ))
        .await;
    until.as_str().expect("text").to_owned()
}

/// The record page shows standing, what is missing, what was asked for and until when the slip answers.
async fn says_all(page: &Page, slip: &Path) {
    page.there("main .slip-answers").await;
    let text = page.text().await;
    let until = until(page, slip).await;
    let mut due = vec![
        word(page, "slip_answers", json!({ "until": until })).await,
        word(page, "may_alone", json!({ "until": until })).await,
        word(page, "asked_open", json!({})).await,
        word(page, "asked_due", json!({ "date": "" })).await,
    ];
    for key in ["standing_signed", "standing_studying", "may_nothing", "still_needed"] {
        due.push(word(page, key, json!({})).await);
    }
    due.push("read “Ball held at the exit” to its end".to_owned());
    for due in due {
        assert!(text.contains(&due), "{due:?} in {text}");
    }
}

#[test]
fn a_slip_that_is_not_good_is_refused_with_a_plain_sentence() {
    let centre = Centre::open();
    let good = centre.slip("T-07", "good.json");
    let at = |days: i64| stamp(issued(&good) + SignedDuration::from_hours(24 * days));
    let bytes = fs::read_to_string(&good).expect("it is there");
    let byte = centre.path("byte.json");
    let spoilt = bytes
        .replacen("\"accompanied\"", "\"alone\"", 1)
        .replacen("\"nothing\"", "\"alone\"", 1);
    assert_ne!(spoilt, bytes);
    fs::write(&byte, spoilt).expect("it can be written");
    let digit = centre.path("digit.json");
    fs::write(&digit, bytes.replacen("\"format\": 1", "\"format\": 2", 1)).expect("it can be written");
    let alone = |slip: &mut Value| {
        for stands in slip["standings"].as_array_mut().expect("a list") {
            stands["may"] = json!("alone");
            stands["until"] = json!("2099-01-01");
        }
    };
    let cases = [
        (byte, "slip_altered"),
        (digit, "slip_not_one"),
        // Forged: signed, but by a key that the course does not name; or with a key that is named, over something else.
        (
            centre.another(&good, "forged.json", Some("T-07"), alone),
            "slip_unknown_key",
        ),
        (centre.another(&good, "unsigned.json", None, alone), "slip_altered"),
        (
            centre.another(&good, "swapped.json", None, |slip| {
                slip["proof"]["verificationMethod"] = json!(keys::key("MG-1").public().method());
            }),
            "slip_altered",
        ),
        (
            centre.another(&good, "course.json", Some("TR-1"), |slip| {
                slip["course"] = json!("another")
            }),
            "slip_other_course",
        ),
        (
            centre.another(&good, "home.json", Some("TR-1"), |slip| {
                slip["home"] = json!("https://other.example")
            }),
            "slip_other_course",
        ),
        (
            centre.another(&good, "future.json", Some("TR-1"), |slip| slip["issued"] = json!(at(1))),
            "slip_future",
        ),
        (
            centre.another(&good, "old.json", Some("TR-1"), |slip| slip["issued"] = json!(at(-400))),
            "slip_old",
        ),
        (
            centre.another(&good, "older.json", Some("TR-1"), |slip| slip["issued"] = json!(at(-1))),
            "slip_older",
        ),
        (
            centre.another(&good, "short.json", Some("TR-1"), |slip| {
                slip.as_object_mut().expect("an object").remove("tries");
            }),
            "slip_not_one",
        ),
    ];
    converse(async {
        let page = centre.page(Browser::Chromium, 0).await;
        page.say_who("T-07").await;
        let told = bring(&page, &good).await;
        assert_eq!(
            bring(&page, &good).await,
            word(&page, "slip_known", json!({})).await,
            "{told}"
        );
        for (file, key) in &cases {
            let told = bring(&page, file).await;
            // Up to the first value that is filled in.
            let words = word(&page, key, json!({})).await;
            let due = words.split('{').next().expect("a first part");
            let name = file.file_name().expect("it has a name").to_string_lossy().into_owned();
            assert!(told.contains(due) && told.contains(&name), "{key}, {due:?} in {told:?}");
            says_all(&page, &good).await;
        }
        // What lies in the store is not trusted either.
        for (file, key) in [("unsigned.json", "slip_altered"), ("forged.json", "slip_unknown_key")] {
            let slip = fs::read_to_string(centre.path(file)).expect("it is there");
            page.ask(&format!(
                "return PITWRIGHT.keeper.keepSlip('T-07', {slip}).then(() => true)"
            ))
            .await;
            asks_the_trainer(&page, "ball-held-at-exit", &word(&page, key, json!({})).await).await;
            page.goto("record.html").await;
            page.there("main .slip-silent").await;
            let text = page.text().await;
            assert!(text.contains(&word(&page, key, json!({})).await), "{text}");
            assert!(!text.contains("2099"), "nothing of it is shown: {text}");
        }
        // A good one takes its place again.
        let told = bring(&page, &good).await;
        assert!(
            told.starts_with(
                word(&page, "slip_taken", json!({}))
                    .await
                    .split('{')
                    .next()
                    .expect("a part")
            ),
            "{told}"
        );
        // Another state of the course: the slip answers nothing, and says so.
        page.ask("PITWRIGHT.course.markingHash = '0'.repeat(64); PITWRIGHT.here.set('T-08').then(() => PITWRIGHT.here.set('T-07'))")
            .await;
        page.there("main .slip-silent").await;
        let text = page.text().await;
        assert!(
            text.contains(&word(&page, "slip_other_edition", json!({})).await),
            "{text}"
        );
        page.is_quiet().await;
        page.driver.kill();
    });
}

#[test]
fn without_a_way_to_check_signatures_the_trainer_is_asked() {
    let centre = Centre::open();
    let slip = centre.slip("T-07", "slip.json");
    converse(async {
        let page = centre.page(Browser::Chromium, 0).await;
        page.say_who("T-07").await;
        bring(&page, &slip).await;
        page.driver
            .before_every_page(
                "SubtleCrypto.prototype.importKey = () => Promise.reject(new DOMException('unknown', 'NotSupportedError'));",
            )
            .await;
        let due = word(&page, "slip_cannot_check", json!({})).await;
        asks_the_trainer(&page, "extra-pin", &due).await;
        let told = bring(&page, &slip).await;
        assert!(told.contains(&due), "{told}");
        page.driver.kill();
    });
}

#[test]
fn tries_that_a_trainer_released_can_be_begun() {
    let centre = Centre::open();
    let slip = centre.slip("T-09", "slip.json");
    converse(async {
        let page = centre.page(Browser::Chromium, 0).await;
        page.say_who("T-09").await;
        bring(&page, &centre.path("record-T-09.json")).await;
        page.goto("scenario/league-night.html").await;
        page.there(".begin-not").await;
        let text = page.text().await;
        assert!(text.contains(&word(&page, "tries_used", json!({})).await), "{text}");
        bring(&page, &slip).await;
        page.goto("scenario/league-night.html").await;
        page.there(".begin-tries").await;
        let text = page.text().await;
        assert!(
            text.contains(&word(&page, "tries_left", json!({ "count": 1 })).await),
            "{text}"
        );
        page.begin("scenario/league-night.html").await;
        // Left, it is used up.
        page.goto("record.html").await;
        page.there("main .standing").await;
        page.goto("scenario/league-night.html").await;
        page.there(".begin-not").await;
        page.is_quiet().await;
        page.driver.kill();
    });
}

#[test]
fn pages_with_a_slip_are_valid_and_accessible() {
    let centre = Centre::open();
    let slip = centre.slip("T-07", "slip.json");
    let complaints = converse(async {
        let page = centre.page(Browser::Chromium, 0).await;
        page.say_who("T-07").await;
        bring(&page, &slip).await;
        let (mut complaints, mut taken) = (Vec::new(), Vec::new());
        for (name, path, wait) in [
            ("record", "record.html", "main .slip-answers"),
            ("may", "lesson/extra-pin.html", ".alone-may"),
            ("ask", "lesson/short-set.html", ".alone-why"),
        ] {
            page.goto(path).await;
            page.there(wait).await;
            // Tables that are laid out as blocks carry their roles for readers that forget them; the checker finds that idle.
            page.ask("document.querySelectorAll('table, table *').forEach((one) => one.removeAttribute('role'))")
                .await;
            let place = centre.path(&format!("{name}.html"));
            fs::write(&place, page.html().await).expect("it can be written");
            taken.push(place);
            complaints.extend(accessible::complaints(&page.driver, name).await);
        }
        complaints.extend(valid::complaints(&taken));
        page.driver.kill();
        complaints
    });
    assert!(complaints.is_empty(), "{}", complaints.join("\n"));
}
