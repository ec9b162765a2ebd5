//! Going over all states of a model, beside a model checker and beside a search of a general library.

use super::models::must;
use super::{measure, yardstick};
use pathfinding::directed::bfs::bfs;
use pitwright::explore::{MOST, reach};
use std::cell::Cell;
use std::fmt::Write;
use std::path::Path;
use std::process::Command;
use std::time::Instant;

/// How often each side is run; the middle one counts.
const ROUNDS: usize = 3;

/// A variable and one of its values.
type Is = (usize, u32);

/// A model that can be written in several languages.
struct Model {
    title: &'static str,
    /// How many values each variable has; it begins with 0.
    sizes: Vec<u32>,
    /// What must be, and what then becomes.
    acts: Vec<(Vec<Is>, Is)>,
    /// What must never be together.
    never: Vec<[Is; 2]>,
    /// To what the shortest way is told: something far off, or nothing that there is.
    goal: Vec<Is>,
    states: u64,
}

impl Model {
    /// A disc moves between two pegs if every smaller one stands on the third.
    fn hanoi() -> Self {
        const DISCS: usize = 13;
        let mut acts = Vec::new();
        for disc in 0..DISCS {
            for from in 0..3 {
                for to in (0..3).filter(|to| *to != from) {
                    let smaller = (0..disc).map(|smaller| (smaller, 3 - from - to));
                    acts.push((std::iter::once((disc, from)).chain(smaller).collect(), (disc, to)));
                }
            }
        }
        Self {
            title: "Tower of Hanoi, 13 discs",
            sizes: vec![3; DISCS],
            acts,
            never: Vec::new(),
            goal: (0..DISCS).map(|disc| (disc, 2)).collect(),
            states: 1_594_323,
        }
    }

    /// Six motors, each with a guard: a guard opens only while its motor stands, a motor starts only while its guard is shut.
    /// Five switches, two selectors of four places, a counter of six. 3^6 · 2^5 · 4^2 · 6 states.
    fn interlock() -> Self {
        let (mut sizes, mut acts, mut never) = (Vec::new(), Vec::new(), Vec::new());
        for _ in 0..6 {
            let (guard, motor) = (sizes.len(), sizes.len() + 1);
            sizes.extend([2, 2]);
            acts.extend([
                (vec![(guard, 0), (motor, 0)], (guard, 1)),
                (vec![(guard, 1)], (guard, 0)),
                (vec![(motor, 0), (guard, 0)], (motor, 1)),
                (vec![(motor, 1)], (motor, 0)),
            ]);
            never.push([(guard, 1), (motor, 1)]);
        }
        for size in [2, 2, 2, 2, 2, 4, 4, 6] {
            for value in 1..size {
                acts.push((vec![(sizes.len(), value - 1)], (sizes.len(), value)));
                acts.push((vec![(sizes.len(), value)], (sizes.len(), value - 1)));
            }
            sizes.push(size);
        }
        Self {
            title: "Interlock, 20 variables",
            sizes,
            acts,
            goal: never[0].to_vec(),
            never,
            states: 2_239_488,
        }
    }

    /// As a course has it. `idle` variables of 64 values that nothing touches make it a model that has no room for a bit each.
    fn yaml(&self, idle: usize) -> String {
        let mut text = String::from("state:\n");
        for (variable, size) in self.sizes.iter().enumerate() {
            let _ = writeln!(text, "  v{variable}: 0..{}", size - 1);
        }
        for one in 0..idle {
            let _ = writeln!(text, "  idle{one}: 0..63");
        }
        if !self.never.is_empty() {
            text.push_str("hazards:\n");
        }
        for (at, both) in self.never.iter().enumerate() {
            let _ = writeln!(
                text,
                "  h{at}: {{ when: {{ {} }}, to: person, harm: H, severity: critical }}",
                list(both)
            );
        }
        text.push_str("actions:\n");
        for (at, (needs, does)) in self.acts.iter().enumerate() {
            let _ = writeln!(
                text,
                "  a{at}: {{ says: S, needs: {{ {} }}, does: {{ {} }} }}",
                list(needs),
                list(&[*does])
            );
        }
        text
    }

    fn drill(&self) -> String {
        format!("start: {{}}\ncured: {{ {} }}\n", list(&self.goal))
    }

    /// In Promela, each act one step; what must never be is asserted after the acts that touch it.
    fn promela(&self) -> String {
        let is = |sign: &str, all: &[Is]| {
            let all: Vec<String> = all.iter().map(|(v, value)| format!("v{v} {sign} {value}")).collect();
            all.join(" && ")
        };
        let mut text = String::new();
        for variable in 0..self.sizes.len() {
            let _ = writeln!(text, "byte v{variable} = 0;");
        }
        text.push_str("active proctype all() {\n  do\n");
        for (needs, (variable, value)) in &self.acts {
            let _ = write!(text, "  :: d_step {{ {} -> v{variable} = {value}", is("==", needs));
            for both in &self.never {
                if both.iter().any(|(touched, _)| touched == variable) {
                    let _ = write!(text, "; assert(!({}))", is("==", both));
                }
            }
            text.push_str(" }\n");
        }
        text.push_str("  od\n}\n");
        text
    }
}

fn list(all: &[Is]) -> String {
    let all: Vec<String> = all.iter().map(|(v, value)| format!("v{v}: {value}")).collect();
    all.join(", ")
}

/// What a side came to.
struct Went {
    states: u64,
    transitions: u64,
    seconds: f64,
    bytes: f64,
}

impl Went {
    fn a_second(&self) -> f64 {
        self.states as f64 / self.seconds.max(1e-9)
    }

    fn say(&self, name: &str) {
        println!(
            "  {name:<34} {:7.3} s  {:7.2} million states a second  {:7.1} bytes a state",
            self.seconds,
            self.a_second() / 1e6,
            self.bytes / self.states as f64
        );
    }
}

/// The run with the middle time of several.
fn middle(mut all: Vec<Went>) -> Went {
    all.sort_by(|a, b| a.seconds.total_cmp(&b.seconds));
    all.swap_remove(all.len() / 2)
}

pub fn run() {
    println!(
        "explore: seconds are of the search alone, by each side's own clock; bytes are the most memory that the search added,\n\
         for spin all that it says it used. spin searches depth first and breadth first; the faster one is the yardstick.\n"
    );
    for model in [Model::hanoi(), Model::interlock()] {
        let folder = measure::folder();
        let drill = folder.path().join("drill.yml");
        std::fs::write(&drill, model.drill()).expect("it can be written");
        let narrow = folder.path().join("narrow.yml");
        let wide = folder.path().join("wide.yml");
        std::fs::write(&narrow, model.yaml(0)).expect("it can be written");
        std::fs::write(&wide, model.yaml(4)).expect("it can be written");
        let pans = spin(&model, folder.path());
        let mut sides: [Vec<Went>; 3] = Default::default();
        let mut checked: Vec<Vec<Went>> = pans.iter().flatten().map(|_| Vec::new()).collect();
        for round in 0..ROUNDS {
            sides[0].push(ours("reach", &narrow, &drill));
            sides[1].push(ours("reach", &wide, &drill));
            // The slowest by far, and no goal hangs on it.
            if round == 0 {
                sides[2].push(ours("search", &narrow, &drill));
            }
            for (pan, went) in pans.iter().flatten().zip(&mut checked) {
                went.push(check(pan));
            }
        }
        let [dense, hashed, search] = sides.map(middle);
        let checked: Vec<Went> = checked.into_iter().map(middle).collect();
        println!(
            "{}: {} states, {} transitions",
            model.title, model.states, dense.transitions
        );
        dense.say("reach, a bit for each state");
        hashed.say("reach, a table (4 idle variables)");
        search.say("pathfinding's bfs, same steps");
        for (name, went) in ["spin, depth first", "spin, breadth first"].iter().zip(&checked) {
            went.say(name);
        }
        for side in [&dense, &hashed, &search].into_iter().chain(&checked) {
            assert_eq!(side.states, model.states, "a side missed states");
        }
        let met = |is: bool| if is { "met" } else { "not met" };
        let best = checked.iter().map(Went::a_second).fold(0.0, f64::max);
        for (name, side, faster, smaller) in [("a bit each", &dense, 30.0, 16.0), ("a table", &hashed, 9.0, 32.0)] {
            let bytes = side.bytes / side.states as f64;
            let small = format!("bytes a state {bytes:.1}, goal {smaller}: {}", met(bytes <= smaller));
            let beside = side.a_second() / search.a_second();
            if best > 0.0 {
                let ratio = side.a_second() / best;
                println!(
                    "  {name}: {ratio:.1} × spin, goal {faster}: {}; {beside:.1} × pathfinding; {small}",
                    met(ratio >= faster)
                );
            } else {
                println!(
                    "  {name}: spin did not run, so the goal of {faster} × is open; {beside:.1} × pathfinding; {small}"
                );
            }
        }
        println!();
    }
}

/// The model as two programs of spin's: depth first and breadth first. None, with the reason on the page, if that cannot be.
fn spin(model: &Model, folder: &Path) -> Option<[std::path::PathBuf; 2]> {
    std::fs::write(folder.join("model.pml"), model.promela()).expect("it can be written");
    let made =
        |program: &str, arguments: &[&str]| match Command::new(program).args(arguments).current_dir(folder).output() {
            Ok(output) if output.status.success() => true,
            Ok(output) => {
                println!("{program} failed: {}", String::from_utf8_lossy(&output.stderr));
                false
            }
            Err(why) => {
                println!("{program} is not there ({why}); install the Debian packages spin and gcc");
                false
            }
        };
    let both = [("deep", "-DNOREDUCE"), ("broad", "-DBFS")];
    (made("spin", &["-a", "model.pml"])
        && both.iter().all(|(name, how)| {
            // One process: there is nothing that partial orders could leave out.
            made(
                "gcc",
                &[
                    "-O3",
                    "-march=native",
                    "-DSAFETY",
                    "-DNOREDUCE",
                    "-DMEMLIM=8000",
                    how,
                    "-o",
                    name,
                    "pan.c",
                ],
            )
        }))
    .then(|| both.map(|(name, _)| folder.join(name)))
}

/// Runs one of them. The table's size fits the models, and the depth is enough for any way.
fn check(pan: &Path) -> Went {
    let output = Command::new(pan)
        .args(["-m4000000", "-w22", "-n"])
        .output()
        .expect("it was made");
    let said = String::from_utf8_lossy(&output.stdout);
    let number = |before: &str| {
        let line = said.lines().find(|line| line.contains(before));
        let word = line.and_then(|line| line.split_whitespace().find_map(|word| word.parse::<f64>().ok()));
        word.unwrap_or_else(|| panic!("spin says nothing of {before}: {said}"))
    };
    assert!(said.contains("errors: 0"), "{said}");
    Went {
        states: number("states, stored") as u64,
        transitions: number("transitions (") as u64,
        seconds: number("elapsed time"),
        bytes: number("total actual memory usage") * 1024.0 * 1024.0,
    }
}

/// Runs one of ours as a process of its own.
fn ours(how: &str, model: &Path, drill: &Path) -> Went {
    let output = yardstick::command("explore", &[Path::new(how), model, drill])
        .output()
        .expect("it can be run");
    let said = String::from_utf8_lossy(&output.stdout);
    let numbers: Vec<f64> = said.split_whitespace().filter_map(|word| word.parse().ok()).collect();
    let [states, transitions, seconds, bytes] = numbers.as_slice() else {
        panic!("{said}{}", String::from_utf8_lossy(&output.stderr));
    };
    Went {
        states: *states as u64,
        transitions: *transitions as u64,
        seconds: *seconds,
        bytes: *bytes,
    }
}

/// The process: reads a model and goes over it. Prints states, transitions, seconds and bytes.
pub fn search(how: &str, model: &Path, drill: &Path) {
    let read = |path: &Path| std::fs::read_to_string(path).expect("it is text");
    let (machine, drill) = must(&read(model), &read(drill));
    let before = memory("VmRSS");
    let began = Instant::now();
    let (states, transitions) = if how == "reach" {
        let found = reach(&machine, &drill, MOST).expect("it is within the budget");
        assert_eq!(found.met, 0);
        (found.states as u64, found.transitions)
    } else {
        let (states, transitions) = (Cell::new(0), Cell::new(0));
        let way = bfs(
            &drill.starts[0],
            |state| {
                let state = *state;
                states.set(states.get() + 1);
                let machine = &machine;
                let transitions = &transitions;
                (0..machine.actions.len())
                    .filter(move |act| machine.possible(*act, state))
                    .map(move |act| {
                        transitions.set(transitions.get() + 1);
                        machine.act(act, state).expect("it settles").state
                    })
            },
            |_| false,
        );
        assert!(way.is_none());
        (states.get(), transitions.get())
    };
    let seconds = began.elapsed().as_secs_f64();
    let bytes = memory("VmHWM").saturating_sub(before);
    println!("{states} {transitions} {seconds} {bytes}");
}

/// This process's memory, now or at most, in bytes; 0 where the system does not tell it here.
fn memory(which: &str) -> u64 {
    let status = std::fs::read_to_string("/proc/self/status").unwrap_or_default();
    let line = status.lines().find(|line| line.starts_with(which));
    let kilobytes = line.and_then(|line| line.split_whitespace().nth(1)?.parse::<u64>().ok());
    kilobytes.unwrap_or(0) * 1024
}
