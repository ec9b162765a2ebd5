//! The demo machine's model, and one of its stops.

use super::made::must;
use pitwright::explore::{Class, Manner, Procedure, Step, World, replay};

const MACHINE: &str = include_str!("marrowbell.yml");
const DRILL: &str = include_str!("extra-pin.yml");

/// The worst that some acts come to, one after another: its class, the step, and the last line of its story.
fn worst(acts: &str) -> Option<(Class, Option<usize>, String)> {
    let (machine, drill) = must(MACHINE, DRILL);
    assert_eq!(drill.starts.len(), 76);
    let world = World::new(&machine);
    let step = |(index, act): (usize, &str)| Step {
        number: index + 1,
        says: act.to_owned(),
        acts: machine.instances(act).collect(),
        repeat: None,
        only: None,
        ends: false,
    };
    let procedure = Procedure {
        steps: acts.split(' ').enumerate().map(step).collect(),
    };
    let replayed = replay(&world, &drill, None, &procedure, Manner::Proof).expect("it is within the budget");
    replayed.failure.map(|failure| {
        let words = machine.words(&failure.story);
        (failure.class, failure.step, words.last().cloned().unwrap_or_default())
    })
}

#[test]
fn reaching_in_before_isolating_hurts() {
    let (class, step, last) = worst("read-procedure tell-desk shut-down climb-step").expect("it is refused");
    assert_eq!((class, step), (Class::Hurts, Some(4)));
    assert!(last.starts_with("live-machine:"), "{last}");
}

#[test]
fn getting_in_without_a_try_out_hurts_where_a_plate_may_be_wrong() {
    let acts = "read-procedure tell-desk shut-down turn-a-off turn-b-off hang-locks throw-levers climb-step";
    let (class, step, last) = worst(acts).expect("it is refused");
    assert_eq!((class, step), (Class::Hurts, Some(8)));
    assert!(last.starts_with("live-machine:"), "{last}");
}
