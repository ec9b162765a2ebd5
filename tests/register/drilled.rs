//! The invented course with a drill, and devices on which runs are played.

use super::made::{Device, End};
use crate::findings::fixture;
use pitwright::check::check;
use pitwright::explore::{Machine, Run, World, draw_start};
use pitwright::marking::{Marking, Xoshiro128};
use pitwright::source::read;
use serde_json::{Value, json};
use std::sync::LazyLock;

/// The drill of the fixtures' good course, and its machine.
pub const DRILL: &str = "stuck-latch";
const MACHINE: &str = "thrumble";

static BASE: LazyLock<Marking> = LazyLock::new(|| {
    let folder = fixture::base();
    let sources = read(folder.path()).expect("it can be read");
    let checked = check(&sources).unwrap_or_else(|found| panic!("the good course is good: {found:?}"));
    checked.marking().clone()
});

/// A course that has a drill besides, and the drill as evidence.
pub fn drilled(mut course: Value) -> Value {
    course["format"] = json!(4);
    let mut machines = course["machines"].as_array().cloned().unwrap_or_default();
    machines.push(json!(BASE.machine(MACHINE).expect("the base has it")));
    course["machines"] = json!(machines);
    course["drills"] = json!([BASE.drill(DRILL).expect("the base has it")]);
    let evidence = course["competencies"][0]["evidence"].as_array_mut();
    evidence.expect("it has evidence").push(json!({ "drill": DRILL }));
    course
}

/// What somebody does next who knows the stop: by what shows, as the lesson of the fixtures teaches it.
pub fn by_the_book(machine: &Machine, run: &Run) -> String {
    let shows = |name: &str| {
        let variable = machine.variables.iter().find(|variable| variable.name == name);
        variable.expect("the machine has it").value(run.real()).to_owned()
    };
    let is = |name: &str, value: &str| shows(name) == value;
    let act = if is("panel", "pressed") {
        "let-go"
    } else if is("you", "tray-side") {
        if is("latch", "stuck") { "free-latch" } else { "come-out" }
    } else if is("latch", "free") {
        if is("prop", "under") { "draw-prop" } else { "take-lock" }
    } else if is("lock", "none") {
        if is("switch", "on") { "turn-off" } else { "hang-lock" }
    } else if is("prop", "out") {
        "set-prop"
    } else if is("tried", "no") {
        "try-it"
    } else if is("tried", "live") {
        "call"
    } else {
        "go-in"
    };
    act.to_owned()
}

/// By the book for so many acts, then this one.
pub fn then(acts: usize, last: &'static str) -> impl FnMut(&Machine, &Run) -> String {
    move |machine, run| {
        if run.turns() == acts {
            last.to_owned()
        } else {
            by_the_book(machine, run)
        }
    }
}

impl Device {
    /// A run through the drill: what is done next, until it ends.
    pub fn drill(&mut self, seed: &str, mut next: impl FnMut(&Machine, &Run) -> String, end: End) -> Vec<Value> {
        let marking = self.marking.clone();
        let drill = marking.drill(DRILL).expect("the course has it");
        let model = marking.machine(MACHINE).and_then(|machine| machine.model.as_ref());
        let machine = model.expect("it is modelled").runnable(MACHINE).expect("it can be run");
        let stop = drill.runnable(&machine).expect("it can be run");
        let world = World::new(&machine);
        let mut random = Xoshiro128::from_hex(seed).expect("the seed is one");
        let start = draw_start(&machine, &stop, &mut |bound| random.below(bound));
        let mut run = Run::begin(&world, &stop, start)
            .expect("it is small")
            .expect("there is such a start");
        let most = match end {
            End::Closed => usize::MAX,
            End::Left(count) | End::Open(count) => count,
        };
        let path = format!("drill/{DRILL}");
        let registration = self.id();
        let mut all = vec![self.begun(&path, &registration, seed)];
        for turn in 0..most {
            if run.end().is_some() {
                break;
            }
            let response = next(&machine, &run);
            let of = response.split('.').next().unwrap_or_default().to_owned();
            let mut value = self.answer(&format!("{path}/act/{of}"), &registration, turn);
            value["result"] = json!({ "response": response });
            let mut others = Vec::new();
            if response != "leave-it" {
                let act = machine.actions.iter().position(|action| action.word() == response);
                let act = act.expect("the machine has the act");
                assert!(run.offered().contains(&act), "{response} is offered");
                others = run.act(act, &mut || random.next_word()).expect("it is small").others;
            }
            if !others.is_empty() {
                let ids: Vec<&str> = others.iter().map(|other| machine.others[*other].id.as_str()).collect();
                value["context"]["extensions"]["https://pitwright.example/xapi/others"] = json!(ids);
            }
            all.push(value);
            if response == "leave-it" {
                break;
            }
        }
        let passed = end == End::Closed && run.end().is_some_and(|end| end.passes());
        let score = (f64::from(u8::from(passed)), 1.0);
        self.close(&path, &registration, end, passed, score, all)
    }

    pub fn passes_drill(&mut self) -> Vec<Value> {
        self.drill(super::made::SEEDS[0], by_the_book, End::Closed)
    }
}
