//! The program at work: a course's `out/`, a home for the register, a clock that is set.

use super::made::course;
use crate::keys;
use pitwright::marking::{Marking, canonical};
use serde_json::Value;
use std::fs;
use std::process::{Command, Output};
use tempfile::TempDir;

/// A folder with a course's `out/`, and a home for the register.
pub struct Desk {
    pub folder: TempDir,
    pub now: &'static str,
}

impl Desk {
    pub fn new() -> Self {
        Self::with(&course())
    }

    /// One with this course.
    pub fn with(course: &Value) -> Self {
        let desk = Self {
            folder: tempfile::tempdir().expect("a temporary folder can be made"),
            now: "2026-03-01T12:00:00Z",
        };
        fs::create_dir(desk.folder.path().join("out")).expect("it can be written");
        desk.compile(course);
        desk
    }

    pub fn compile(&self, course: &Value) {
        let marking: Marking = serde_json::from_value(course.clone()).expect("the test's course is a marking");
        let name = format!("out/marking-{}.json", marking.hash().expect("it is canonical"));
        fs::write(
            self.folder.path().join(name),
            canonical(course).expect("it is canonical"),
        )
        .expect("it can be written");
    }

    pub fn hand_in(&self, name: &str, statements: &[Value]) {
        fs::write(
            self.folder.path().join(name),
            Value::Array(statements.to_vec()).to_string(),
        )
        .expect("it can be written");
    }

    /// What a command prints that has to go well: its answer, and what it says beside it.
    pub fn must(&self, line: &[&str]) -> (String, String) {
        let (code, out, err) = self.run(line);
        assert_eq!(code, 0, "{line:?}: {out}{err}");
        (out, err)
    }

    /// The line by which TR-1 enters that TM-1 was watched at something, and what else there is to say.
    pub fn watching<'a>(competency: &'a str, more: &[&'a str]) -> Vec<&'a str> {
        [&["witness", "TM-1", competency, "--by", "TR-1"], more].concat()
    }

    /// Somebody is watched at the lockout, staged and on a real call, and signed off.
    pub fn lockout_signed(&self, person: &str) {
        for setting in ["--staged", "--real"] {
            self.must(&["witness", person, "lock-out", "--by", "TR-1", "--met", setting]);
        }
        assert_eq!(self.signoff(&[person, "lock-out", "--by", "MG-1"]).0, 0);
    }

    pub fn command(&self, arguments: &[&str]) -> Command {
        let mut command = Command::new(env!("CARGO_BIN_EXE_pitwright"));
        self.seat(command.args(arguments));
        command
    }

    /// A line of shell, in which `$0` is the program.
    #[cfg(unix)]
    pub fn shell(&self, script: &str) -> Command {
        let mut command = Command::new("sh");
        self.seat(command.args(["-c", script, env!("CARGO_BIN_EXE_pitwright")]));
        command
    }

    fn seat(&self, command: &mut Command) {
        command
            .current_dir(self.folder.path())
            .env("XDG_DATA_HOME", self.folder.path().join("data"))
            .env("APPDATA", self.folder.path().join("data"))
            .env("PITWRIGHT_NOW", self.now)
            .env("TZ", "UTC")
            .env("NO_COLOR", "1");
    }

    pub fn run(&self, arguments: &[&str]) -> (i32, String, String) {
        let Output { status, stdout, stderr } = self
            .command(arguments)
            .output()
            .expect("the program was built with the tests");
        let text = |bytes: Vec<u8>| String::from_utf8(bytes).expect("it speaks UTF-8");
        (status.code().unwrap_or(-1), text(stdout), text(stderr))
    }

    /// Signs a competency off with the key of MG-1: `PERSON COMPETENCY --by CODE` and what else there is to say.
    pub fn signoff(&self, arguments: &[&str]) -> (i32, Value) {
        keys::files(&self.folder.path().join("data/pitwright/keys"), "MG-1");
        let passphrase = ["--passphrase-file", "data/pitwright/keys/passphrase"];
        self.json(&[&["signoff"], arguments, &passphrase].concat())
    }

    pub fn json(&self, arguments: &[&str]) -> (i32, Value) {
        let (code, out, err) = self.run(&[&["--json"], arguments].concat());
        (
            code,
            serde_json::from_str(&out).unwrap_or_else(|why| panic!("{why}: {out}{err}")),
        )
    }
}
