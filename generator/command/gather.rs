//! `pitwright gather`: hand-in files into the register.

use super::opening::{Where, failed, now};
use super::{Outcome, Voice};
use crate::record::{HandIn, LARGEST, MEGABYTE, code, read_file};
use crate::register::{Archived, GivenMarking, Item, Register, Sqlite, Stranger, Tidings};
use indicatif::{ProgressBar, ProgressDrawTarget, ProgressStyle};
use serde_json::{Value, json};
use std::collections::BTreeSet;
use std::io::{IsTerminal, stderr};
use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};

#[derive(Debug, clap::Args)]
pub struct Args {
    /// Records that trainees handed in. With none, only the course that was compiled here is taken in.
    #[arg(value_name = "FILE")]
    files: Vec<PathBuf>,
    /// The marking file of an older course, for records that were made on it. It does not become the course in use
    /// unless there is none yet or it is plainly newer.
    #[arg(long, value_name = "FILE")]
    marking: Vec<PathBuf>,
    /// Take this code's records although it is new and nearly somebody else's.
    #[arg(long, value_name = "CODE")]
    take: Vec<String>,
    /// The largest hand-in file that is read, in megabytes.
    #[arg(long, value_name = "MB", default_value_t = LARGEST)]
    largest: u64,
    #[command(flatten)]
    place: Where,
}

/// Takes the files in, one transaction each; a bad file does not stop the others.
pub fn run(args: &Args, voice: &mut Voice) -> Outcome {
    let now = match now() {
        Ok(now) => now,
        Err(why) => return failed(voice, why),
    };
    let (mut markings, bad) = args.place.markings();
    for why in bad {
        voice.tell(format!("warning: {why}"));
    }
    for path in &args.marking {
        match GivenMarking::read(path, false) {
            Ok(marking) => markings.push(marking),
            Err(why) => return failed(voice, why.to_string()),
        }
    }
    if args.files.is_empty() && markings.is_empty() {
        return failed(
            voice,
            "there is nothing to take in: name the files that trainees handed in (record-CODE-DATE.json), or run `pitwright compile` first and give the course's folder with --course",
        );
    }
    let meant = args.take.iter().map(|typed| code(typed).map_err(|why| why.to_string()));
    let meant: BTreeSet<String> = match meant.collect() {
        Ok(codes) => codes,
        Err(why) => return failed(voice, why),
    };
    let opened = args
        .place
        .file(&markings)
        .and_then(|file| Sqlite::create(&file).map_err(|why| why.to_string()))
        .and_then(|store| Register::open(store).map_err(|why| why.to_string()));
    let mut register = match opened {
        Ok(register) => register,
        Err(why) => return failed(voice, why),
    };
    let archived = match register.archive(&markings, now) {
        Ok(archived) => archived,
        Err(why) => return failed(voice, why.to_string()),
    };
    let released = match register.release(now) {
        Ok(released) => released,
        Err(why) => return failed(voice, why.to_string()),
    };
    let mut told = Told {
        archived,
        released,
        files: Vec::new(),
    };
    told.begin(voice);
    let bar = Bar::new(args.files.len());
    for path in &args.files {
        let taken = take(&mut register, path, (args.largest, &meant), now);
        // Said at once: by now it is durable, and whoever stops the command later knows how far it came.
        bar.aside(|| told.file(path, taken, voice));
        bar.step();
    }
    bar.end();
    told.end(voice);
    let broke = told.files.iter().any(|(_, taken)| taken.is_err());
    if broke {
        Outcome::Failed
    } else if told.clean() {
        Outcome::Clean
    } else {
        Outcome::Findings
    }
}

/// What became of one file.
struct Taken {
    told: Tidings,
    /// Whose statements it holds.
    people: BTreeSet<String>,
    /// Whose were left out.
    strangers: Vec<Stranger>,
}

impl Taken {
    fn clean(&self) -> bool {
        self.told.clean() && self.strangers.is_empty()
    }
}

/// Takes a file in, but for the codes that are nearly somebody's and not among those that were meant.
fn take(
    register: &mut Register<Sqlite>,
    path: &Path,
    (largest, meant): (u64, &BTreeSet<String>),
    now: jiff::Timestamp,
) -> Result<Taken, String> {
    let mut hand_in = read(path, largest.saturating_mul(MEGABYTE))?;
    let statements = hand_in.statements.iter().filter_map(|(_, read)| read.as_ref().ok());
    let people = statements.map(|statement| statement.person.clone()).collect();
    let mut strangers = register.strangers(&hand_in);
    strangers.retain(|stranger| !meant.contains(&stranger.code));
    hand_in.statements.retain(|(_, read)| {
        let person = read.as_ref().ok().map(|statement| &statement.person);
        strangers.iter().all(|stranger| person != Some(&stranger.code))
    });
    let told = register.gather(&hand_in, now).map_err(|why| why.to_string())?;
    Ok(Taken {
        told,
        people,
        strangers,
    })
}

fn read(path: &Path, limit: u64) -> Result<HandIn, String> {
    if path.is_dir() {
        return Err(format!(
            "this is a folder, not a record: name the files in it, such as {}",
            path.join("record-CODE-DATE.json").display()
        ));
    }
    read_file(path, limit).map_err(|why| match why.kind() {
        std::io::ErrorKind::NotFound => {
            "there is no such file here: look at how its name and its folder are spelt".to_owned()
        }
        std::io::ErrorKind::PermissionDenied => {
            "you may not read this file: change its permissions, or ask whoever it belongs to".to_owned()
        }
        _ => format!("the file cannot be read: {why}"),
    })
}

/// A bar that shows only on a terminal, and only once the work has lasted a second.
struct Bar {
    bar: ProgressBar,
    begun: Instant,
    terminal: bool,
}

impl Bar {
    fn new(files: usize) -> Self {
        let bar = ProgressBar::with_draw_target(Some(files as u64), ProgressDrawTarget::hidden());
        if let Ok(style) = ProgressStyle::with_template("{pos} of {len} files {wide_bar}") {
            bar.set_style(style);
        }
        Self {
            bar,
            begun: Instant::now(),
            terminal: stderr().is_terminal(),
        }
    }

    /// Says something without the bar in its way.
    fn aside(&self, say: impl FnOnce()) {
        self.bar.suspend(say);
    }

    fn step(&self) {
        if self.terminal && self.bar.is_hidden() && self.begun.elapsed() > Duration::from_secs(1) {
            self.bar.set_draw_target(ProgressDrawTarget::stderr());
        }
        self.bar.inc(1);
    }

    fn end(&self) {
        self.bar.finish_and_clear();
    }
}

/// All that there is to say.
struct Told {
    archived: Vec<Archived>,
    /// What had waited and could be decided before any file was read.
    released: Tidings,
    files: Vec<(PathBuf, Result<Taken, String>)>,
}

impl Told {
    fn clean(&self) -> bool {
        self.archived.iter().all(|line| line.refused.is_none())
            && self.released.refused.is_empty()
            && self
                .files
                .iter()
                .all(|(_, taken)| taken.as_ref().is_ok_and(Taken::clean))
    }

    fn begin(&self, voice: &mut Voice) {
        if voice.json {
            return;
        }
        for line in &self.archived {
            marking(line, voice);
        }
        if !self.released.released.is_empty() || !self.released.refused.is_empty() {
            voice.say("What had waited:");
            tidings(&self.released, voice);
        }
    }

    fn file(&mut self, path: &Path, taken: Result<Taken, String>, voice: &mut Voice) {
        match &taken {
            _ if voice.json => {}
            Ok(taken) => {
                let told = &taken.told;
                let people: Vec<&str> = taken.people.iter().map(String::as_str).collect();
                let whose = match people.as_slice() {
                    [] => String::new(),
                    people => format!(", of {}", people.join(", ")),
                };
                voice.say(format!(
                    "{}: {} new, {} known, {} held, {} refused{whose}",
                    path.display(),
                    told.new.len(),
                    told.known,
                    told.held.len(),
                    told.refused.iter().map(|refusal| refusal.items.len()).sum::<usize>()
                ));
                tidings(told, voice);
                taken.strangers.iter().for_each(|one| stranger(one, voice));
            }
            Err(why) => voice.tell(format!("error: {}: {why}", path.display())),
        }
        self.files.push((path.to_owned(), taken));
    }

    fn end(&self, voice: &mut Voice) {
        if voice.json {
            voice.say_json(&self.json());
            return;
        }
        let waiting = self
            .files
            .iter()
            .rev()
            .find_map(|(_, taken)| taken.as_ref().ok())
            .map_or(&self.released, |taken| &taken.told)
            .waiting;
        if self.files.is_empty() && self.archived.iter().all(|line| !line.new && line.refused.is_none()) {
            voice.say("No record was named, and the register knows the course already.");
        }
        if waiting > 0 {
            voice.say(format!(
                "{waiting} {} in the register.",
                count(waiting, "statement waits", "statements wait")
            ));
        }
    }

    fn json(&self) -> Value {
        let files: Vec<Value> = self
            .files
            .iter()
            .map(|(path, taken)| match taken {
                Ok(taken) => {
                    let mut value = json!(taken.told);
                    value["people"] = json!(taken.people);
                    value["notTaken"] = json!(taken.strangers);
                    value["file"] = json!(path.display().to_string());
                    value
                }
                Err(why) => json!({ "file": path.display().to_string(), "error": why }),
            })
            .collect();
        json!({ "markings": self.archived, "waited": self.released, "files": files })
    }
}

fn count(number: usize, one: &'static str, many: &'static str) -> &'static str {
    if number == 1 { one } else { many }
}

fn marking(line: &Archived, voice: &mut Voice) {
    let short = line.hash.get(..12).unwrap_or(&line.hash);
    if let Some(why) = &line.refused {
        voice.say(format!("marking {short} refused ({}): {why}", line.from));
    } else if line.came_into_force {
        voice.say(format!(
            "course “{}” is in use from now on, marking {short}",
            line.title
        ));
    } else if line.new {
        voice.say(format!(
            "marking {short} of “{}” archived, for older records",
            line.title
        ));
    }
    if let Some(why) = &line.warning {
        voice.tell(format!("warning: marking {short}: {why}"));
    }
}

/// Says whose statements were left out, and what to do.
fn stranger(one: &Stranger, voice: &mut Voice) {
    let Stranger { code, near, statements } = one;
    let of = count(*statements, "statement of", "statements of");
    let meant = near.join(" or ");
    for line in [
        format!(
            "  not taken {statements} {of} {code}: nobody with the code {code} is on record; did you mean {meant}?"
        ),
        format!(
            "           If {code} is somebody new: `pitwright join {code}`, then gather this file again (or gather it with --take {code})."
        ),
        format!(
            "           If {code} was typed by mistake: they enter their own code in the course and do it again there; what was done under a code stays under it."
        ),
    ] {
        voice.say(line);
    }
}

fn tidings(told: &Tidings, voice: &mut Voice) {
    for item in told.new.iter().filter(|item| tells(item)) {
        voice.say(format!("  new      {}", line(item)));
    }
    for item in told.released.iter().filter(|item| tells(item)) {
        voice.say(format!("  released {}", line(item)));
    }
    for item in &told.held {
        voice.say(format!("  held     {}", line(item)));
        if let Some(why) = &item.why {
            voice.say(format!("           {why}"));
        }
    }
    for refusal in &told.refused {
        voice.say(format!("  refused  {}", refusal.what));
        for reason in &refusal.reasons {
            voice.say(format!("           {reason}"));
        }
        for item in &refusal.items {
            voice.say(format!("           · {}", line(item)));
        }
    }
    for fault in &told.faults {
        voice.say(format!("  file     {fault}"));
    }
    for warning in &told.warnings {
        voice.tell(format!("warning: {warning}"));
    }
}

/// Single answers would drown the rest: their attempt is told of by its beginning and its end.
fn tells(item: &Item) -> bool {
    !item.what.starts_with("turn ") && !item.what.starts_with("practised ") && !item.what.starts_with("opened ")
}

fn line(item: &Item) -> String {
    let mut line = item.id.clone();
    if !item.person.is_empty() {
        line.push_str(&format!(" {}", item.person));
    }
    line.push_str(&format!(" {}", item.what));
    if let Some(place) = &item.place {
        line.push_str(&format!(" (at {place})"));
    }
    line
}
