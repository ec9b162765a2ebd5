//! `pitwright preview`: over HTTP as any program would ask, and in a real browser.

use crate::browser_driver::{Driver, converse};
use crate::ground::{copy, out, pitwright, root};
use std::io::{BufRead, BufReader, Read, Write};
use std::net::TcpStream;
use std::path::Path;
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};
use tempfile::TempDir;

/// A small course that is shown, ended when dropped.
struct Shown {
    folder: TempDir,
    program: Child,
    /// `127.0.0.1:PORT`.
    address: String,
}

impl Shown {
    fn start() -> Self {
        let folder = tempfile::tempdir().expect("a temporary folder can be made");
        copy(&root().join("tests/sources/base"), folder.path());
        let mut program = Command::new(env!("CARGO_BIN_EXE_pitwright"))
            .args(["preview", ".", "--port", "0"])
            .current_dir(folder.path())
            .stdout(Stdio::piped())
            .spawn()
            .expect("the program was built with the tests");
        let mut first = String::new();
        let mut lines = BufReader::new(program.stdout.take().expect("its output is piped"));
        lines.read_line(&mut first).expect("it says where to look");
        let address = first
            .split("http://")
            .nth(1)
            .and_then(|rest| rest.split('/').next())
            .unwrap_or_else(|| panic!("no address: {first}"))
            .to_owned();
        // What it says later is read, so that it never waits for a reader.
        std::thread::spawn(move || std::io::copy(&mut lines, &mut std::io::sink()));
        Self {
            folder,
            program,
            address,
        }
    }

    /// Asks for a path; the head and the body of the answer.
    fn ask_as(&self, path: &str, host: &str) -> (String, String) {
        let mut stream = TcpStream::connect(&self.address).expect("somebody listens");
        write!(
            stream,
            "GET {path} HTTP/1.1\r\nHost: {host}\r\nConnection: close\r\n\r\n"
        )
        .expect("it can be asked");
        let mut answer = String::new();
        stream.read_to_string(&mut answer).expect("it answers in text");
        let (head, body) = answer.split_once("\r\n\r\n").expect("a head and a body");
        (head.to_owned(), body.to_owned())
    }

    fn ask(&self, path: &str) -> String {
        let (head, body) = self.ask_as(path, &self.address);
        assert!(head.starts_with("HTTP/1.1 200"), "{path}: {head}");
        body
    }

    /// The number of the edition that a page stands for.
    fn edition(page: &str) -> u64 {
        let rest = page
            .split("wait.js?seen=")
            .nth(1)
            .expect("the page waits for the next edition");
        rest.chars()
            .take_while(char::is_ascii_digit)
            .collect::<String>()
            .parse()
            .expect("a number")
    }

    /// Changes a file, and waits until a page of a newer edition says so.
    fn change(&self, file: &str, from: &str, to: &str) -> String {
        let before = Self::edition(&self.ask(PAGE));
        let path = self.folder.path().join(file);
        rewrite(&path, from, to);
        let script = self.ask(&format!("/preview/news.js?seen={before}"));
        assert!(script.contains("location.reload()"), "{script}");
        let page = self.ask(PAGE);
        assert!(Self::edition(&page) > before);
        page
    }
}

impl Drop for Shown {
    fn drop(&mut self) {
        let _ = self.program.kill();
        let _ = self.program.wait();
    }
}

const PAGE: &str = "/lesson/pin-across.html";
const LESSON: &str = "lessons/stops/pin-across.md";

fn rewrite(path: &Path, from: &str, to: &str) {
    let text = std::fs::read_to_string(path).expect("a source is text");
    assert!(text.contains(from), "{from}");
    std::fs::write(path, text.replace(from, to)).expect("a temporary folder can be written");
}

#[test]
fn a_change_is_shown_and_a_mistake_is_told_until_it_is_mended() {
    let shown = Shown::start();
    assert!(shown.ask(PAGE).contains("The lane shows no pins."));
    let page = shown.change(LESSON, "The lane shows no pins.", "The lane shows its bar alone.");
    assert!(page.contains("The lane shows its bar alone."));
    // A step is taken out: this is proven anew, and refused with its story.
    let hook = "lessons/stops/stuck-latch.md";
    let page = shown.change(hook, "  - do: set-prop\n    law: [\"(d)(5)\"]\n", "");
    assert!(page.contains("1 finding") || page.contains("findings"), "{page}");
    assert!(
        page.contains("procedure-hurts") || page.contains("lockout-order"),
        "{page}"
    );
    assert!(
        shown.ask("/script/page-lesson.js").contains("{"),
        "the last good pages' files are still there"
    );
    let page = shown.change(
        hook,
        "  - do: [try-it, let-go]",
        "  - do: set-prop\n    law: [\"(d)(5)\"]\n  - do: [try-it, let-go]",
    );
    assert!(page.contains("The lane shows its bar alone."));
    assert!(
        !shown.folder.path().join("out").exists(),
        "nothing is written to the disk"
    );
}

#[test]
fn only_this_machine_by_its_own_name_is_answered() {
    let shown = Shown::start();
    assert!(shown.address.starts_with("127.0.0.1:"));
    let (head, body) = shown.ask_as(PAGE, "elsewhere.example");
    assert!(head.starts_with("HTTP/1.1 421"), "{head}");
    assert!(!body.contains("The lane"));
    let (head, _) = shown.ask_as("/lesson/..%2F..%2Flessons/outline.yml", &shown.address);
    assert!(head.starts_with("HTTP/1.1 404"), "{head}");
}

#[test]
fn the_reader_keeps_the_place() {
    let shown = Shown::start();
    converse(async {
        let driver = Driver::start(None, 390, 500, false).await;
        driver
            .goto(format!("http://{}{PAGE}", shown.address))
            .await
            .expect("the page opens");
        let ask = async |script: &str| {
            driver
                .execute(script, Vec::new())
                .await
                .expect("the script runs")
                .json()
                .clone()
        };
        ask("window.scrollTo({ top: 700, behavior: 'instant' })").await;
        tokio::time::sleep(Duration::from_millis(200)).await;
        let stood = ask("return Math.round(scrollY)").await.as_f64().expect("a number");
        assert!(stood > 200.0, "the page is long enough to stand at {stood}");
        let path = shown.folder.path().join(LESSON);
        rewrite(&path, "The lane shows no pins.", "The lane shows its bar alone.");
        let end = Instant::now() + Duration::from_secs(20);
        while ask("return document.body.textContent.includes('its bar alone')").await != true {
            assert!(Instant::now() < end, "the page never followed");
            tokio::time::sleep(Duration::from_millis(50)).await;
        }
        let at = ask("return Math.round(scrollY)").await.as_f64().expect("a number");
        assert!(
            (at - stood).abs() < 20.0,
            "the reader stood at {stood} and stands at {at}"
        );
        assert_eq!(driver.errors().await, Vec::<String>::new());
    });
}

#[test]
fn a_folder_that_is_no_course_is_told() {
    let folder = tempfile::tempdir().expect("a temporary folder can be made");
    let told = pitwright(folder.path(), &["preview", "--port", "0"]);
    assert_eq!(told.status.code(), Some(2));
    assert_eq!(out(&told), "");
    assert!(String::from_utf8_lossy(&told.stderr).contains("pitwright starter"));
}
