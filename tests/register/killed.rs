//! Killed at random moments, 200 times in all: a register always opens, its chain holds, and whatever was acknowledged
//! on stdout is in it. A backup has its name only when it is whole.
//!
//! SIGKILL ends the program between two instructions; all that it had given to the system stays given. What these tests
//! do not show is a loss of power, where the system's own buffers are lost as well: against that stand the flushes that
//! SQLite (`synchronous = EXTRA`) and `File::sync_all` ask for, as far as the disk tells the truth about them.
#![cfg(unix)]

use super::desk::Desk;
use super::made::{Device, course};
use pitwright::record::Statement;
use pitwright::register::{Relation, Sqlite, Store, audit, check};
use rand_xoshiro::Xoshiro256StarStar;
use rand_xoshiro::rand_core::{RngCore, SeedableRng};
use serde_json::Value;
use std::collections::BTreeSet;
use std::fs;
use std::io::Read;
use std::os::unix::process::ExitStatusExt;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

/// Kills runs of a command at moments spread over the time that it takes.
struct Killer {
    random: Xoshiro256StarStar,
    /// How long a whole run takes at present; other tests run beside this one.
    whole: Duration,
    /// Runs that were killed before their end.
    landed: usize,
}

impl Killer {
    fn new(seed: u64) -> Self {
        Self {
            random: Xoshiro256StarStar::seed_from_u64(seed),
            whole: Duration::from_millis(60),
            landed: 0,
        }
    }

    /// Lets a run come to its end, to see how long it takes.
    fn time(&mut self, mut command: Command) {
        let begun = Instant::now();
        let output = command.output().expect("the program was built with the tests");
        assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
        self.whole = begun.elapsed();
    }

    /// Starts a run, kills it, and gives what it had said by then.
    fn run(&mut self, mut command: Command) -> String {
        let begun = Instant::now();
        let mut child = command
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn()
            .expect("the program was built with the tests");
        // Up to a quarter more than a whole run, so that some come to their end.
        let most = self.whole.as_micros() as u64 * 5 / 4;
        let patience = Duration::from_micros(self.random.next_u64() % most.max(1));
        let status = loop {
            match child.try_wait().expect("it was started here") {
                Some(status) => {
                    self.whole = (self.whole * 3 + begun.elapsed()) / 4;
                    break status;
                }
                None if begun.elapsed() >= patience => {
                    child.kill().expect("it was started here");
                    break child.wait().expect("it was started here");
                }
                None => std::thread::sleep(Duration::from_micros(300)),
            }
        };
        if status.signal() == Some(9) {
            self.landed += 1;
            // Where hardly any comes to its end, a run takes longer than was thought: other tests press on.
            self.whole = self.whole * 21 / 20;
        } else {
            assert!(status.success(), "left alone, it works: {status}");
        }
        let mut said = String::new();
        child
            .stdout
            .take()
            .expect("it was asked for")
            .read_to_string(&mut said)
            .expect("it speaks UTF-8");
        said
    }
}

fn register(desk: &Desk) -> PathBuf {
    desk.folder.path().join("data/pitwright/test-house.register")
}

/// The ids of all statements in a register that an audit finds nothing wrong with; none if there is no register yet.
fn sound(file: &Path) -> BTreeSet<String> {
    // Killed before its first commit, a register is absent, or a file that holds nothing yet.
    if fs::metadata(file).map_or(true, |of| of.len() == 0) {
        return BTreeSet::new();
    }
    let store = match Sqlite::read(file) {
        Ok(store) => store,
        // The very first transaction was rolled back just now.
        Err(_) if fs::metadata(file).map_or(true, |of| of.len() == 0) => return BTreeSet::new(),
        Err(why) => panic!("it always opens: {why}"),
    };
    let audited = audit(&store, None, |_| ()).expect("it can be read");
    assert_eq!(audited.findings, []);
    let rows = store.read_from(1, 100_000).expect("it can be read");
    rows.into_iter()
        .filter(|row| row.kind == "statement")
        .map(|row| row.id)
        .collect()
}

fn ids(statements: &[Value]) -> Vec<String> {
    statements
        .iter()
        .map(|value| Statement::read(value).expect("the device makes statements").id)
        .collect()
}

#[test]
fn a_gathering_killed_at_any_moment() {
    let mut killer = Killer::new(1);
    let (mut partly, mut acknowledged) = (0, 0);
    // A fresh register now and then keeps the audits short.
    for batch in 0..16 {
        let desk = Desk::new();
        let files: Vec<(String, Vec<String>)> = (0..25)
            .map(|number| {
                let all = Device::new(&format!("TM-{number}"), &course(), "2026-02-01T08:00:00Z").studies_all();
                let name = format!("{number}.json");
                desk.hand_in(&name, &all);
                (name, ids(&all))
            })
            .collect();
        for (turn, group) in files.chunks(5).enumerate() {
            let names: Vec<&str> = group.iter().map(|(name, _)| name.as_str()).collect();
            let arguments = [&["gather"], &names[..]].concat();
            if (batch, turn) == (0, 0) {
                let other = Desk::new();
                for (name, _) in group {
                    fs::copy(desk.folder.path().join(name), other.folder.path().join(name)).expect("it can be copied");
                }
                killer.time(other.command(&arguments));
            }
            let said = killer.run(desk.command(&arguments));
            let there = sound(&register(&desk));
            let mut whole = 0;
            for (name, ids) in group {
                let count = ids.iter().filter(|id| there.contains(*id)).count();
                assert!(count == 0 || count == ids.len(), "a file is taken whole or not at all");
                whole += usize::from(count > 0);
                if said.contains(&format!("{name}: {} new", ids.len())) {
                    acknowledged += 1;
                    assert_eq!(count, ids.len(), "{name} was acknowledged");
                }
            }
            partly += usize::from(whole > 0 && whole < group.len());
        }
    }
    let landed = killer.landed;
    assert!(
        landed >= 32 && partly >= 4 && acknowledged >= 20,
        "{landed} {partly} {acknowledged}"
    );
}

#[test]
fn an_entry_killed_at_any_moment() {
    let desk = Desk::new();
    desk.hand_in(
        "one.json",
        &Device::new("TM-1", &course(), "2026-02-01T08:00:00Z").studies_all(),
    );
    assert_eq!(desk.run(&["gather", "one.json"]).0, 0);
    let mut killer = Killer::new(2);
    killer.time(desk.command(&Desk::watching("lock-out", &["--met", "--real"])));
    let mut acknowledged = BTreeSet::new();
    for number in 0..60 {
        let note = format!("Note {number}");
        let said = killer.run(desk.command(&Desk::watching(
            "lock-out",
            &["--met", "--staged", "--another", "--note", &note],
        )));
        let id = said.strip_prefix("Entered ").and_then(|rest| rest.split(':').next());
        acknowledged.extend(id.map(str::to_owned));
        let there = sound(&register(&desk));
        assert!(acknowledged.is_subset(&there), "{acknowledged:?} in {there:?}");
        assert!(there.len() <= 12 + number, "each run enters one at most");
    }
    let (landed, acknowledged) = (killer.landed, acknowledged.len());
    assert!(landed >= 24 && acknowledged >= 3, "{landed} {acknowledged}");
}

#[test]
fn a_backup_killed_at_any_moment() {
    let desk = Desk::new();
    let mut device = Device::new("TM-1", &course(), "2026-02-01T08:00:00Z");
    let many: Vec<Value> = (0..400).map(|_| device.practised("yes")).collect();
    desk.hand_in("many.json", &many);
    assert_eq!(desk.run(&["gather", "many.json"]).0, 0);
    let kept = desk.folder.path().join("kept.register");
    let mut killer = Killer::new(3);
    killer.time(desk.command(&["backup", "kept.register"]));
    let (mut unfinished, mut acknowledged) = (0, 0);
    for number in 0..60 {
        // Over the last one, over none, and over one with fewer rows.
        if number % 3 == 0 {
            let _ = fs::remove_file(&kept);
        }
        if number % 10 == 5 {
            desk.hand_in("more.json", &[device.practised("yes")]);
            assert_eq!(desk.run(&["gather", "more.json"]).0, 0);
        }
        let said = killer.run(desk.command(&["backup", "kept.register", "--replace"]));
        let register = Sqlite::read(&register(&desk)).expect("the register opens");
        let head = register.head().expect("it can be read");
        if kept.exists() {
            let checkup = check(&kept, Some(&register)).expect("whatever has the name is a register");
            assert!(checkup.clean(), "{checkup:?}");
            if said.contains("last row: ") {
                acknowledged += 1;
                assert_eq!(checkup.comparison.map(|of| of.relation), Some(Relation::Same));
                assert!(said.contains(&head.hash), "{said}");
            }
        } else {
            assert!(!said.contains("last row: "), "it was acknowledged and is not there");
        }
        for entry in fs::read_dir(desk.folder.path()).expect("it can be read") {
            let entry = entry.expect("it can be read");
            if entry
                .file_name()
                .to_string_lossy()
                .starts_with("kept.register.unfinished-")
            {
                unfinished += 1;
                fs::remove_dir_all(entry.path()).expect("it can be removed");
            }
        }
    }
    let landed = killer.landed;
    assert!(
        landed >= 24 && unfinished >= 4 && acknowledged >= 2,
        "{landed} {unfinished} {acknowledged}"
    );
    assert_eq!(sound(&register(&desk)).len(), 406);
}
