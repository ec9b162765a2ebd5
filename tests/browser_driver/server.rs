//! A driver's own process.

use std::io::{BufRead, BufReader};
use std::process::{Child, Command, Stdio};

/// It listens for WebDriver commands on this computer, and ends when dropped.
pub struct Server {
    child: Child,
    pub port: u16,
}

impl Server {
    /// Starts a driver that takes a free port by itself. It tells which after the words `before_port`.
    pub fn start(mut command: Command, before_port: &str) -> Self {
        let mut child = command
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn()
            .unwrap_or_else(|why| panic!("{command:?}: {why}; tests/run installs it"));
        let out = child.stdout.take().expect("its output is piped");
        let mut lines = BufReader::new(out).lines();
        let port = lines.by_ref().map_while(Result::ok).find_map(|line| {
            let port = line.split(before_port).nth(1)?;
            let digits: String = port.chars().take_while(char::is_ascii_digit).collect();
            digits.parse().ok()
        });
        // A full pipe would stop it: what else it says is read and thrown away.
        std::thread::spawn(move || lines.map_while(Result::ok).for_each(drop));
        let mut server = Self { child, port: 0 };
        // The process that did not say it is ended by the drop.
        server.port = port.unwrap_or_else(|| panic!("{command:?} did not say which port it took"));
        server
    }

    pub fn address(&self) -> String {
        format!("http://127.0.0.1:{}", self.port)
    }
}

impl Drop for Server {
    fn drop(&mut self) {
        // It may have ended by itself; either way it is gone afterwards.
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}
