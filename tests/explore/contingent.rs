//! Plans under what is hidden, solved by hand: par is the least time that is enough whatever turns out.

use super::made::must;
use pitwright::explore::{
    Class, Graph, Machine, Manner, Node, Procedure, Progress, Replayed, Situation, State, Step, World, replay,
};

/// What each act takes, in seconds.
struct Costs {
    /// Shows the fault.
    look: u32,
    /// Tells a from the others.
    feel: u32,
    /// Mends a, b or c alone.
    mend: [u32; 3],
    /// Mends whatever it is.
    whole: u32,
}

/// One of three faults, which nobody sees. Whether a mending did anything is not seen either.
fn faulty(costs: &Costs) -> String {
    let Costs {
        look,
        feel,
        mend: [a, b, c],
        whole,
    } = costs;
    format!(
        "state: {{ fault: [none, a, b, c], looked: [not-yet, done], felt: [nothing, at-a, elsewhere] }}\n\
         hidden: {{ fault: {{ until: {{ looked: done }} }} }}\n\
         actions:\n  \
         look: {{ says: S, does: {{ looked: done }}, takes: {look}s }}\n  \
         feel: {{ says: S, does: [ {{ if: {{ fault: a }}, felt: at-a }}, {{ if: {{ fault: [b, c] }}, felt: elsewhere }} ], takes: {feel}s }}\n  \
         mend-a: {{ says: S, does: [ {{ if: {{ fault: a }}, fault: none }} ], takes: {a}s }}\n  \
         mend-b: {{ says: S, does: [ {{ if: {{ fault: b }}, fault: none }} ], takes: {b}s }}\n  \
         mend-c: {{ says: S, does: [ {{ if: {{ fault: c }}, fault: none }} ], takes: {c}s }}\n  \
         whole: {{ says: S, does: {{ fault: none }}, takes: {whole}s }}\n"
    )
}

/// Par, and the act that the best plan begins with.
fn best(machine: &str, drill: &str) -> (Option<u32>, Option<String>) {
    let (machine, drill) = must(machine, drill);
    let world = World::new(&machine);
    let graph = Graph::of(&world, &drill).expect("it is small");
    let first = graph.best(graph.starts()[0]).and_then(|(_, act)| act);
    (graph.par(), first.map(|act| machine.actions[act].id.clone()))
}

const ANY_FAULT: &str = "start: { fault: [a, b, c] }\ncured: { fault: none }\n";

#[track_caller]
fn plan(costs: &Costs, par: u32, first: &[&str]) {
    let (found, act) = best(&faulty(costs), ANY_FAULT);
    assert_eq!(found, Some(par));
    let act = act.expect("there is something to do");
    assert!(first.contains(&act.as_str()), "it begins with {act}, not {first:?}");
}

/// Look first: 3 + max(10, 4, 4) = 13. Feel first: 2 + max(10 at a, at b or c min(look 3 + 4, both 4 + 4) = 7) = 12.
/// Mend a first: 10 + 7 = 17. Mend b first: 4, then a, c or nothing is left, for which feeling is best, 2 + 10: 16. Whole: 20.
#[test]
fn a_cheap_half_answer_is_worth_it() {
    let costs = Costs {
        look: 3,
        feel: 2,
        mend: [10, 4, 4],
        whole: 20,
    };
    plan(&costs, 12, &["feel"]);
}

/// Look first: 1 + 10 = 11. Feel first: 2 + max(10, look 1 + 4) = 12.
#[test]
fn a_cheaper_whole_answer_is_better() {
    let costs = Costs {
        look: 1,
        feel: 2,
        mend: [10, 4, 4],
        whole: 20,
    };
    plan(&costs, 11, &["look"]);
}

/// Whole: 9. Look first: 3 + max(min(10, 9), 4, 4) = 12. Feel first: 2 + max(9, 7) = 11.
#[test]
fn to_ask_nothing_and_change_it_whole() {
    let costs = Costs {
        look: 3,
        feel: 2,
        mend: [10, 4, 4],
        whole: 9,
    };
    plan(&costs, 9, &["whole"]);
}

/// All three blindly: 2 + 3 + 4 = 9, in any order. Look first: 9 + 4 = 13. Feel first: 9 + max(2, 7) = 16. Whole: 20.
#[test]
fn to_mend_all_three_unseen() {
    let costs = Costs {
        look: 9,
        feel: 9,
        mend: [2, 3, 4],
        whole: 20,
    };
    plan(&costs, 9, &["mend-a", "mend-b", "mend-c"]);
}

/// Two handles, and to turn the wrong one hurts. While it can be looked at first, 5 + max(3, 8) = 13; where it cannot, every
/// act that leads on is unsafe, and the start is a trap.
#[test]
fn a_trap_has_no_par() {
    let machine = |look: &str| {
        format!(
            "state: {{ side: [left, right], looked: [not-yet, done], pin: [stuck, gone] }}\n\
             hidden: {{ side: {{ until: {{ looked: done }} }} }}\n\
             hazards:\n  springs: {{ to: person, harm: H, severity: critical }}\n\
             actions:\n  {look}\n  \
             turn-left: {{ says: S, does: {{ pin: gone }}, strikes: [ {{ when: {{ side: right }}, hazard: springs }} ], takes: 3s }}\n  \
             turn-right: {{ says: S, does: {{ pin: gone }}, strikes: [ {{ when: {{ side: left }}, hazard: springs }} ], takes: 8s }}\n"
        )
    };
    let drill = "start: { side: [left, right] }\ncured: { pin: gone }\n";
    let (par, first) = best(&machine("look: { says: S, does: { looked: done }, takes: 5s }"), drill);
    assert_eq!((par, first.as_deref()), (Some(13), Some("look")));

    let (made, drill) = must(&machine("wait: { says: S, takes: 5s }"), drill);
    let world = World::new(&made);
    let graph = Graph::of(&world, &drill).expect("it is small");
    assert_eq!(graph.par(), None);
    assert_eq!(graph.traps().collect::<Vec<_>>(), graph.starts());
    let start = graph.starts()[0];
    assert!(!graph.curable(start) && !graph.passes(start));
    assert_eq!(graph.wrong(start), (2, 0));
}

/// Alone: off 3, reach in 5, clear 4, out 2 = 14. Where somebody may switch on as long as no lock hangs, 7 more for the lock.
#[test]
fn a_lock_is_for_others() {
    let alone = "\
state: { power: [live, dead], lock: [none, mine], hand: [out, inside], jam: [stuck, gone] }
hazards:
  drawn-in: { when: { power: live, hand: inside }, to: person, harm: H, severity: catastrophic }
actions:
  switch-off: { says: S, needs: { power: live }, does: { power: dead }, takes: 3s }
  hang-lock: { says: S, needs: { power: dead, lock: none }, does: { lock: mine }, takes: 7s }
  reach-in: { says: S, needs: { hand: out }, does: { hand: inside }, takes: 5s }
  clear: { says: S, needs: { hand: inside }, does: { jam: gone }, takes: 4s }
  come-out: { says: S, needs: { hand: inside }, does: { hand: out }, takes: 2s }
";
    let others = format!(
        "{alone}others:\n  switches-on: {{ says: S, when: {{ power: dead, lock: none }}, does: {{ power: live }} }}\n"
    );
    let drill = "start: {}\ncured: { jam: gone, hand: out }\n";
    assert_eq!(
        (planned(alone, drill), planned(&others, drill)),
        (
            (14, "switch-off reach-in clear come-out".to_owned()),
            (21, "switch-off hang-lock reach-in clear come-out".to_owned())
        )
    );
}

/// Par, and the acts of the best plan where nothing is hidden and others keep still.
fn planned(machine: &str, drill: &str) -> (u32, String) {
    let (machine, drill) = must(machine, drill);
    let world = World::new(&machine);
    let graph = Graph::of(&world, &drill).expect("it is small");
    let mut node = graph.starts()[0];
    let mut acts = Vec::new();
    while let Some(act) = graph.best(node).and_then(|(_, act)| act) {
        acts.push(machine.actions[act].id.clone());
        let mut found = after(&world, &graph, node, act);
        found.retain(|node| graph.facts(*node).undisturbed);
        node = found[0];
    }
    (graph.par().expect("there is a plan"), acts.join(" "))
}

fn after(world: &World, graph: &Graph, node: Node, act: usize) -> Vec<Node> {
    let judged = world
        .judge(act, graph.situation(node), graph.progress(node))
        .expect("it is small");
    let found = world.look(&judged.after).expect("it is small");
    found
        .iter()
        .filter_map(|found| graph.find(&found.situation, judged.progress))
        .collect()
}

/// Whether the label on the handle is right is seen by nobody; the try-out shows the supply while the button is held.
const LOCKOUT: &str = "\
state:
  you: [out, inside]
  handle: [on, off]
  supply: [live, dead]
  button: [neutral, pressed]
  lock: [none, mine]
  label: [right, wrong]
  pin: [stuck, gone]
  called: [nobody, qualified]
hidden:
  supply: { until: { button: pressed } }
  label: {}
hazards:
  drawn-in: { when: { you: inside, supply: live }, to: person, harm: It starts, severity: catastrophic }
actions:
  turn-off: { says: S, needs: { handle: on }, does: [ { handle: off }, { if: { label: right }, supply: dead } ], takes: 10s }
  hang-lock: { says: S, needs: { handle: off, lock: none }, does: { lock: mine }, takes: 20s }
  try-out: { says: S, needs: { you: out, button: neutral }, does: { button: pressed }, takes: 5s }
  let-go: { says: S, needs: { button: pressed }, does: { button: neutral }, takes: 1s }
  get-in: { says: S, needs: { you: out }, does: { you: inside }, takes: 10s }
  take-pin: { says: S, needs: { you: inside }, does: { pin: gone }, takes: 5s }
  get-out: { says: S, needs: { you: inside }, does: { you: out }, takes: 10s }
  take-lock: { says: S, needs: { you: out, lock: mine }, does: { lock: none }, takes: 15s }
  call: { says: S, needs: { you: out }, does: { called: qualified }, takes: 60s }
others:
  desk-restarts: { says: S, when: { handle: off, lock: none }, does: { handle: on, supply: live } }
";

const RULE: &str = "\
rules:
  lockout: { when: { you: inside }, order: [turn-off, hang-lock, try-out, let-go], again-after: [take-lock], source: 29 CFR 1910.147(d) }
";

fn drill(labels: &str) -> String {
    format!(
        "start: {{ label: {labels} }}\n\
         cured: {{ pin: gone, you: out, button: neutral, lock: none }}\n\
         handed-over: {{ called: qualified, lock: mine, you: out, button: neutral }}\n"
    )
}

/// One run with others still: acts one after another, judged by all that can be believed.
struct Run<'w, 'm> {
    world: &'w World<'m>,
    real: State,
    situation: Situation,
    progress: Progress,
}

impl<'w, 'm> Run<'w, 'm> {
    fn begin(world: &'w World<'m>, drill: &pitwright::explore::Drill, real: State) -> Self {
        let begin = world.begin(drill).expect("it settles");
        let found = world.look(&begin).expect("it is small");
        let seen = world.machine.seen(real);
        let here = found.into_iter().find(|found| found.seen == seen);
        Self {
            world,
            real,
            situation: here.expect("it begins somewhere").situation,
            progress: Progress::default(),
        }
    }

    fn does(mut self, names: &str) -> Self {
        for name in names.split(' ') {
            let act = act(self.world.machine, name);
            let judged = self
                .world
                .judge(act, &self.situation, self.progress)
                .expect("it is small");
            assert!(judged.clean(), "{name} is not right here: {judged:?}");
            self.real = self.world.machine.act(act, self.real).expect("it settles").state;
            let seen = self.world.machine.seen(self.real);
            let found = self.world.look(&judged.after).expect("it is small");
            let here = found.into_iter().find(|found| found.done && found.seen == seen);
            self.situation = here.expect("it ends somewhere").situation;
            self.progress = judged.progress;
        }
        self
    }
}

fn act(machine: &Machine, name: &str) -> usize {
    machine.instances(name).next().expect("the machine has it")
}

fn proven(machine: &str, drill: &str, acts: &str) -> Replayed {
    let (machine, drill) = must(machine, drill);
    let world = World::new(&machine);
    let graph = Graph::of(&world, &drill).expect("it is small");
    let procedure = Procedure {
        steps: acts
            .split(' ')
            .enumerate()
            .map(|(index, name)| Step {
                number: index + 1,
                says: name.to_owned(),
                acts: vec![act(&machine, name)],
                repeat: None,
                only: None,
                ends: false,
            })
            .collect(),
    };
    replay(&world, &drill, Some(&graph), &procedure, Manner::Proof).expect("it is small")
}

fn failed(machine: &str, drill: &str, acts: &str) -> Option<(Class, Option<usize>)> {
    let failure = proven(machine, drill, acts).failure?;
    Some((failure.class, failure.step))
}

/// On a machine whose label is right the supply is dead, nobody can switch it on, and nothing would happen. It is unsafe all
/// the same: the person cannot know that the label is right.
#[test]
fn getting_in_without_a_try_out_is_unsafe_and_lucky() {
    let (machine, both) = must(LOCKOUT, &drill("[right, wrong]"));
    let (_, right) = must(LOCKOUT, &drill("right"));
    let world = World::new(&machine);
    let real = right.starts[0];
    let get_in = act(&machine, "get-in");

    let run = Run::begin(&world, &both, real).does("turn-off hang-lock");
    // Nothing can happen in the real state, whatever others do …
    let lucky = machine.act(get_in, run.real).expect("it settles");
    assert_eq!(lucky.met, 0);
    assert_eq!(world.meanwhile(lucky.state).expect("it is small").danger, 0);
    // … and it is unsafe, and the debrief can say from which belief.
    let judged = world.judge(get_in, &run.situation, run.progress).expect("it is small");
    assert_ne!(judged.danger, 0);
    assert_ne!(judged.danger_from, Some(run.real));

    // After the try-out the same act in the same state is safe.
    let tried = Run::begin(&world, &both, real).does("turn-off hang-lock try-out let-go");
    assert_eq!(tried.real, run.real);
    assert_ne!(tried.situation, run.situation);
    let judged = world
        .judge(get_in, &tried.situation, tried.progress)
        .expect("it is small");
    assert!(judged.clean());

    assert_eq!(
        failed(
            LOCKOUT,
            &drill("[right, wrong]"),
            "turn-off hang-lock get-in take-pin get-out take-lock"
        ),
        Some((Class::Hurts, Some(3)))
    );
}

/// Off 10, lock 20, try 5; dead: let go 1, in 10, pin 5, out 10, lock off 15 = 76. Live: let go 1, call 60 = 96. So 96 where the
/// label may be wrong, with or without the rule; where it cannot be, no rule asks and nobody doubts, 76 less 6 is 70.
#[test]
fn par_does_not_skip_the_try_out() {
    let ruled = format!("{LOCKOUT}{RULE}");
    let par = |machine: &str, labels: &str| best(machine, &drill(labels)).0;
    assert_eq!(par(LOCKOUT, "[right, wrong]"), Some(96));
    assert_eq!(par(&ruled, "[right, wrong]"), Some(96));
    assert_eq!(par(&ruled, "right"), Some(76));
    assert_eq!(par(LOCKOUT, "right"), Some(70));
}

#[test]
fn trying_out_before_anything_is_off_proves_nothing() {
    let early = "try-out let-go turn-off hang-lock get-in take-pin get-out take-lock";
    let late = "turn-off hang-lock try-out let-go get-in take-pin get-out take-lock";
    let ruled = format!("{LOCKOUT}{RULE}");
    // It shows a live supply, as it should, and leaves both labels possible.
    let (machine, both) = must(LOCKOUT, &drill("[right, wrong]"));
    let world = World::new(&machine);
    let (_, right) = must(LOCKOUT, &drill("right"));
    let run = Run::begin(&world, &both, right.starts[0]).does("try-out let-go turn-off hang-lock");
    let label = machine.variable("label").expect("it has one");
    for value in ["right", "wrong"] {
        assert!(run.situation.iter().any(|(state, _)| label.value(*state) == value));
    }
    let hurts = Some((Class::Hurts, Some(5)));
    assert_eq!(failed(LOCKOUT, &drill("[right, wrong]"), early), hurts);
    assert_eq!(failed(&ruled, &drill("[right, wrong]"), early), hurts);
    // Where no label is wrong it hurts nobody, and the rule alone refuses it.
    assert_eq!(failed(LOCKOUT, &drill("right"), early), None);
    assert_eq!(
        failed(&ruled, &drill("right"), early),
        Some((Class::BreaksRule, Some(5)))
    );
    assert_eq!(failed(&ruled, &drill("right"), late), None);
}

#[test]
fn handing_over_what_could_have_been_cured_is_no_pass() {
    let over = "turn-off hang-lock try-out let-go call";
    let ruled = format!("{LOCKOUT}{RULE}");
    assert_eq!(failed(&ruled, &drill("right"), over), Some((Class::HandedOver, None)));
    assert_eq!(
        failed(&ruled, &drill("[right, wrong]"), over),
        Some((Class::HandedOver, None))
    );
    assert_eq!(failed(&ruled, &drill("wrong"), over), None);

    // The same in the graph: at the end of it the two labels differ by what was seen on the way.
    let (machine, both) = must(&ruled, &drill("[right, wrong]"));
    let world = World::new(&machine);
    let graph = Graph::of(&world, &both).expect("it is small");
    for (label, passes) in [("right", false), ("wrong", true)] {
        let (_, one) = must(&ruled, &drill(label));
        let run = Run::begin(&world, &both, one.starts[0]).does(over);
        let node = graph.find(&run.situation, run.progress).expect("it is safe");
        assert!(graph.facts(node).handed_over);
        assert_eq!(graph.passes(node), passes, "{label}");
        assert_eq!(graph.curable(node), !passes, "{label}");
    }
}
