//! Two sides of a comparison, run in turn.

use std::path::PathBuf;
use std::process::Command;
use std::time::Instant;

/// How often each side is run; the middle one counts.
const ROUNDS: usize = 5;

/// Seconds on the clock, and of the processors.
#[derive(Clone, Copy)]
pub struct Took {
    clock: f64,
    processors: f64,
}

/// A side of a comparison: what is done before each run without being timed, and the command that is.
pub struct Side<'a> {
    pub name: &'a str,
    pub before: Box<dyn Fn() + 'a>,
    pub command: Box<dyn Fn() -> Command + 'a>,
}

/// Runs both in turn and prints what they took and how they stand to each other.
pub fn compare(what: &str, side: &Side<'_>, yardstick: &Side<'_>, goal: f64) {
    let mut took = [Vec::new(), Vec::new()];
    for _ in 0..ROUNDS {
        for (side, took) in [side, yardstick].into_iter().zip(&mut took) {
            (side.before)();
            took.push(run((side.command)()));
        }
    }
    let [ours, theirs] = took.map(|mut all| {
        let mut middle = |part: fn(&Took) -> f64| {
            all.sort_by(|a, b| part(a).total_cmp(&part(b)));
            part(&all[ROUNDS / 2])
        };
        Took {
            clock: middle(|took| took.clock),
            processors: middle(|took| took.processors),
        }
    });
    let ratio = |ours: f64, theirs: f64| if theirs > 0.0 { ours / theirs } else { f64::NAN };
    println!("{what}");
    for (name, took) in [(side.name, ours), (yardstick.name, theirs)] {
        println!(
            "  {name:<40} {:8.3} s   processors {:8.3} s",
            took.clock, took.processors
        );
    }
    println!(
        "  ratio {:.2}, of the processors {:.2}; goal {goal}\n",
        ratio(ours.clock, theirs.clock),
        ratio(ours.processors, theirs.processors)
    );
}

fn run(mut command: Command) -> Took {
    let (began, before) = (Instant::now(), children());
    let output = command.output().expect("it can be run");
    let took = Took {
        clock: began.elapsed().as_secs_f64(),
        processors: children() - before,
    };
    assert!(
        output.status.success(),
        "{command:?}: {}{}",
        String::from_utf8_lossy(&output.stdout),
        String::from_utf8_lossy(&output.stderr)
    );
    took
}

/// Seconds of the processors that finished children have used, in hundredths; 0 where the system does not tell it here.
fn children() -> f64 {
    let stat = std::fs::read_to_string("/proc/self/stat").unwrap_or_default();
    // proc(5): after the name in brackets, fields 16 and 17 count from the third.
    let fields: Vec<&str> = stat.rsplit(") ").next().unwrap_or_default().split(' ').collect();
    let ticks = |field: usize| {
        fields
            .get(field - 3)
            .and_then(|text| text.parse::<f64>().ok())
            .unwrap_or(0.0)
    };
    (ticks(16) + ticks(17)) / 100.0
}

/// The program under measurement.
pub fn pitwright() -> Command {
    Command::new(env!("CARGO_BIN_EXE_pitwright"))
}

/// A folder to work in: in memory where the system has such a place, so that the disk is not what is measured.
pub fn folder() -> tempfile::TempDir {
    let memory = PathBuf::from("/dev/shm");
    let made = if memory.is_dir() {
        tempfile::tempdir_in(memory)
    } else {
        tempfile::tempdir()
    };
    made.expect("a temporary folder can be made")
}
