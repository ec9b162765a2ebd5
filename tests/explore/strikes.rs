//! A table that falls, strikes and is up again leaves nothing behind to be seen; it must be met all the same, and told.

use super::made::must;
use pitwright::explore::{Class, Drill, Graph, MOST, Machine, Manner, Procedure, Step, What, World, reach, replay};

/// Somebody can be below the table. `more` is how it falls.
fn machine(more: &str) -> String {
    format!(
        "state: {{ you: [clear, below], table: [up, down], button: [loose, pressed], pin: [stuck, gone] }}\n\
         hazards:\n  \
         struck: {{ to: person, harm: \"The table strikes the person below\", severity: catastrophic }}\n  \
         under: {{ when: {{ table: down, you: below }}, to: person, harm: \"The table is down on the person below\", severity: catastrophic }}\n\
         {more}"
    )
}

const MOVES: &str = "  \
  get-below: { says: \"Get below the table\", needs: { you: clear }, does: { you: below } }
  get-clear: { says: \"Get clear of the table\", needs: { you: below }, does: { you: clear } }
  lift-pin: { says: \"Lift the pin out\", needs: { you: below }, does: { pin: gone } }
";

const DRILL: &str = "start: {}\ncured: { pin: gone, you: clear }\n";

fn procedure(machine: &Machine, acts: &[&str]) -> Procedure {
    let step = |(index, act): (usize, &&str)| Step {
        number: index + 1,
        says: (*act).to_owned(),
        acts: machine.instances(act).collect(),
        repeat: None,
        only: None,
        ends: false,
    };
    Procedure {
        steps: acts.iter().enumerate().map(step).collect(),
    }
}

/// Acts one after another are refused at a step for a hazard; the story names who moved the table, and the harm.
#[track_caller]
fn hurts((machine, drill): &(Machine, Drill), acts: &[&str], step: usize, hazard: &str, mover: &str) {
    let world = World::new(machine);
    let procedure = procedure(machine, acts);
    let replayed = replay(&world, drill, None, &procedure, Manner::Proof).expect("it is small");
    let failure = replayed.failure.expect("it is refused");
    assert_eq!((failure.class, failure.step), (Class::Hurts, Some(step)));
    let met = &machine.hazards[failure.what.expect("a hazard is named")];
    assert_eq!(met.id, hazard);
    let words = machine.words(&failure.story);
    assert!(
        words
            .last()
            .is_some_and(|last| last.starts_with(&format!("{hazard}: {}", met.harm))),
        "{words:#?}"
    );
    assert!(words.iter().any(|line| line.ends_with(mover)), "{words:#?}");
    // The states that anybody can bring about say the same.
    let reached = reach(machine, drill, MOST).expect("it is small");
    let index = machine.hazards.iter().position(|known| known.id == hazard);
    let way = reached.ways[index.expect("it is listed")].as_ref().expect("it is met");
    let told = machine.words(&machine.told(way).expect("it is a way"));
    assert!(told.last().is_some_and(|last| last.contains(&met.harm)), "{told:#?}");
    assert!(told.iter().any(|line| line.ends_with(mover)), "{told:#?}");
}

/// With nobody below, what moves the table changes no bit.
#[track_caller]
fn leaves_nothing((machine, drill): &(Machine, Drill), what: What) {
    let state = drill.starts[0];
    let outcome = match what {
        What::Act(act) => machine.act(act, state),
        What::Other(other) => machine.other(other, state),
        What::Reaction(reaction) => machine.react_with(reaction, state),
    };
    let outcome = outcome.expect("it settles");
    assert_eq!((outcome.state, outcome.met), (state, 0));
}

fn act(machine: &Machine, name: &str) -> usize {
    machine.instances(name).next().expect("the machine has it")
}

const BELOW: &str = "strikes: [ { when: { you: below }, hazard: struck } ]";

#[test]
fn an_act_whose_effect_is_nothing() {
    let made = must(
        &machine(&format!(
            "actions:\n{MOVES}  cycle: {{ says: \"Press for one cycle\", does: {{}}, {BELOW} }}\n"
        )),
        DRILL,
    );
    leaves_nothing(&made, What::Act(act(&made.0, "cycle")));
    hurts(&made, &["get-below", "cycle"], 2, "struck", "Press for one cycle.");
    let (machine, drill) = &made;
    let world = World::new(machine);
    let done = procedure(machine, &["cycle", "get-below", "lift-pin", "get-clear", "cycle"]);
    let replayed = replay(&world, drill, None, &done, Manner::Proof).expect("it is small");
    assert_eq!(replayed.failure, None);
}

#[test]
fn an_act_that_a_reaction_undoes() {
    let made = must(
        &machine(&format!(
            "actions:\n{MOVES}  cycle: {{ says: \"Press for one cycle\", does: {{ table: down }} }}\n\
             reactions:\n  returns: {{ says: \"The table goes up\", when: {{ table: down }}, does: {{ table: up }} }}\n"
        )),
        DRILL,
    );
    leaves_nothing(&made, What::Act(act(&made.0, "cycle")));
    hurts(&made, &["get-below", "cycle"], 2, "under", "Press for one cycle.");
}

#[test]
fn a_reaction_that_another_undoes() {
    let made = must(
        &machine(&format!(
            "actions:\n{MOVES}  cycle: {{ says: \"Press for one cycle\", does: {{ button: pressed }} }}\n\
             reactions:\n  \
             returns: {{ says: \"The table goes up\", when: {{ table: down }}, does: {{ table: up, button: loose }} }}\n  \
             falls: {{ says: \"The table comes down\", when: {{ button: pressed, table: up }}, does: {{ table: down }} }}\n"
        )),
        DRILL,
    );
    leaves_nothing(&made, What::Act(act(&made.0, "cycle")));
    hurts(&made, &["get-below", "cycle"], 2, "under", "The table comes down.");
}

#[test]
fn a_reaction_that_strikes_and_only_lets_the_button_go() {
    let made = must(
        &machine(&format!(
            "actions:\n{MOVES}  cycle: {{ says: \"Press for one cycle\", does: {{ button: pressed }} }}\n\
             reactions:\n  \
             falls: {{ says: \"The table comes down and goes up\", when: {{ button: pressed }}, does: {{ button: loose }}, {BELOW} }}\n"
        )),
        DRILL,
    );
    leaves_nothing(&made, What::Act(act(&made.0, "cycle")));
    hurts(
        &made,
        &["get-below", "cycle"],
        2,
        "struck",
        "The table comes down and goes up.",
    );
}

/// Others may let it fall at any moment, so that to get below is what is unsafe, whether or not it falls this time.
#[track_caller]
fn getting_below_is_unsafe(made: &(Machine, Drill), hazard: &str, mover: &str) {
    leaves_nothing(made, What::Other(0));
    hurts(made, &["get-below", "lift-pin", "get-clear"], 1, hazard, mover);
    let (machine, drill) = made;
    let world = World::new(machine);
    let graph = Graph::of(&world, drill).expect("it is small");
    let index = machine.hazards.iter().position(|known| known.id == hazard);
    assert_eq!(graph.danger, 1 << index.expect("it is listed"));
    assert_eq!(graph.par(), None, "nothing safe leads to the pin");
}

#[test]
fn what_others_do_that_changes_nothing() {
    let made = must(
        &machine(&format!(
            "actions:\n{MOVES}others:\n  slips: {{ says: \"The brake slips for a moment\", when: {{}}, does: {{}}, {BELOW} }}\n"
        )),
        DRILL,
    );
    getting_below_is_unsafe(&made, "struck", "The brake slips for a moment.");
}

#[test]
fn what_others_do_that_a_reaction_undoes() {
    let made = must(
        &machine(&format!(
            "actions:\n{MOVES}\
             reactions:\n  returns: {{ says: \"The table goes up\", when: {{ table: down }}, does: {{ table: up }} }}\n\
             others:\n  slips: {{ says: \"The brake slips for a moment\", when: {{}}, does: {{ table: down }} }}\n"
        )),
        DRILL,
    );
    getting_below_is_unsafe(&made, "under", "The brake slips for a moment.");
}

#[test]
fn what_others_do_and_a_reaction_that_strikes() {
    let made = must(
        &machine(&format!(
            "actions:\n{MOVES}\
             reactions:\n  \
             falls: {{ says: \"The table comes down and goes up\", when: {{ button: pressed }}, does: {{ button: loose }}, {BELOW} }}\n\
             others:\n  presses: {{ says: \"The desk presses for one cycle\", when: {{}}, does: {{ button: pressed }} }}\n"
        )),
        DRILL,
    );
    getting_below_is_unsafe(&made, "struck", "The table comes down and goes up.");
    // Where nobody can press, the same acts are right.
    let (machine, drill) = must(&machine(&format!("actions:\n{MOVES}")), DRILL);
    let world = World::new(&machine);
    let graph = Graph::of(&world, &drill).expect("it is small");
    assert_eq!(graph.par(), Some(3));
}
