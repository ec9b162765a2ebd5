//! A course that is served over http: kept whole at the first visit, and still there when the network is gone.

use crate::browser_driver::{Driver, converse};
use crate::ground::demo_course;
use serde_json::json;
use std::io::{BufRead, BufReader, Write};
use std::net::{TcpListener, TcpStream};
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::{Duration, Instant};
use thirtyfour::By;

/// Serves the files of a folder on loopback until it is told to stop answering.
pub(super) struct Served {
    pub(super) address: String,
    pub(super) cut: Arc<AtomicBool>,
}

impl Served {
    pub(super) fn start(folder: PathBuf) -> Self {
        let listener = TcpListener::bind("127.0.0.1:0").expect("loopback is there");
        let address = format!("http://{}/", listener.local_addr().expect("it is bound"));
        let cut = Arc::new(AtomicBool::new(false));
        let stop = cut.clone();
        std::thread::spawn(move || {
            for stream in listener.incoming().flatten() {
                // A network that is cut answers nothing at all.
                if !stop.load(Ordering::SeqCst) {
                    let folder = folder.clone();
                    std::thread::spawn(move || answer(stream, &folder));
                }
            }
        });
        Self { address, cut }
    }
}

fn answer(mut stream: TcpStream, folder: &Path) {
    let mut line = String::new();
    let mut reader = BufReader::new(stream.try_clone().expect("a socket can be shared"));
    reader.read_line(&mut line).unwrap_or_default();
    let mut rest = String::new();
    while reader.read_line(&mut rest).is_ok_and(|read| read > 2) {
        rest.clear();
    }
    let path = line.split(' ').nth(1).unwrap_or("/").trim_start_matches('/');
    let path = path.split(['?', '#']).next().unwrap_or_default();
    let path = if path.is_empty() { "index.html" } else { path };
    let kind = match path.rsplit('.').next().unwrap_or_default() {
        "html" => "text/html",
        "js" => "text/javascript",
        "css" => "text/css",
        "svg" => "image/svg+xml",
        _ => "application/json",
    };
    let (status, body) = match std::fs::read(folder.join(path)) {
        Ok(body) => ("200 OK", body),
        Err(_) => ("404 Not Found", Vec::new()),
    };
    let head = format!(
        "HTTP/1.1 {status}\r\nContent-Type: {kind}\r\nContent-Length: {}\r\nConnection: close\r\n\r\n",
        body.len()
    );
    // A browser may have gone away; then there is nobody to tell.
    stream
        .write_all(head.as_bytes())
        .and_then(|()| stream.write_all(&body))
        .unwrap_or_default();
}

async fn until(driver: &Driver, script: &str) {
    let end = Instant::now() + Duration::from_secs(20);
    let script = format!("return Boolean({script})");
    while *driver
        .execute(&script, Vec::new())
        .await
        .expect("the script runs")
        .json()
        != json!(true)
    {
        assert!(Instant::now() < end, "never came true: {script}");
        tokio::time::sleep(Duration::from_millis(50)).await;
    }
}

#[test]
fn a_served_course_goes_on_with_its_record_when_the_network_is_cut() {
    let built = demo_course();
    let course = built.path().join("course");
    let served = Served::start(course.clone());
    converse(async {
        let driver = Driver::start(None, 390, 844, false).await;
        driver.goto(&served.address).await.expect("it is served");
        until(&driver, "document.querySelector('main .who-input')").await;
        let manifest = "document.querySelector('link[rel=manifest]')";
        until(&driver, manifest).await;
        until(&driver, "navigator.serviceWorker.controller").await;
        let code = driver.find(By::Css("main .who-input")).await.expect("it is there");
        code.send_keys("T-07").await.expect("it can be typed into");
        let press = driver
            .find(By::Css("main .who-form .press"))
            .await
            .expect("it is there");
        press.click().await.expect("it can be pressed");
        until(&driver, "document.querySelector('.break-length')").await;

        served.cut.store(true, Ordering::SeqCst);
        let lesson = format!("{}lesson/orientation.html", served.address);
        driver.goto(&lesson).await.expect("it is kept");
        until(&driver, "document.querySelector('.lesson-end .press-main')").await;
        driver
            .execute("document.querySelector('.lesson-end .press-main').click()", Vec::new())
            .await
            .expect("it can be pressed");
        until(&driver, "document.querySelector('.read-done')").await;
        for page in [
            "drill/short-set.html",
            "bank/alone.html",
            "staging/short-set.html",
            "glossary.html",
        ] {
            driver
                .goto(format!("{}{page}", served.address))
                .await
                .expect("it is kept");
            until(&driver, "document.querySelector('h1')").await;
        }
        driver.goto(&served.address).await.expect("it is kept");
        until(
            &driver,
            "document.querySelector('[data-lesson=orientation] [data-state]').textContent.startsWith('Read ')",
        )
        .await;
        let complaints = driver.errors().await;
        assert!(complaints.is_empty(), "{complaints:?}");
    });
}
