//! A machine written into a marking and read back moves as the machine does, act for act.

use crate::ground::root;
use pitwright::check::check;
use pitwright::explore::{Drill, Machine, Run, World};
use pitwright::load::load;
use pitwright::marking::{Marking, Model, Xoshiro128};
use pitwright::safety;
use pitwright::source::{Sources, read};

/// Random runs over all drills of the demo, and the most acts of each.
const RUNS: usize = 2000;
const ACTS: usize = 25;

fn demo() -> Sources {
    read(&root()).expect("the demo course is in the repository")
}

/// Leads both through the same run; how many acts there were.
fn lead(one: (&World, &Drill), other: (&World, &Drill), seed: u32) -> usize {
    let seed = format!("{seed:08x}{:08x}{:016x}", seed.wrapping_mul(0x9E37_79B9), 5);
    let random = || Xoshiro128::from_hex(&seed).expect("it is a seed");
    let (mut pick, mut here, mut there) = (random(), random(), random());
    let start = pick.below(u32::try_from(one.1.starts.len()).expect("few")) as usize;
    let begin = |(world, drill)| {
        Run::begin(world, drill, start)
            .expect("it is small")
            .expect("it is there")
    };
    let (mut run, mut again): (Run, Run) = (begin(one), begin(other));
    let mut acts = 0;
    loop {
        assert_eq!((run.real(), run.situation()), (again.real(), again.situation()));
        assert_eq!((run.progress(), run.end()), (again.progress(), again.end()));
        let offered = run.offered();
        assert_eq!(offered, again.offered());
        if offered.is_empty() || acts == ACTS {
            return acts;
        }
        let act = offered[pick.below(u32::try_from(offered.len()).expect("few")) as usize];
        let turns = (
            run.act(act, &mut || here.next_word()),
            again.act(act, &mut || there.next_word()),
        );
        let (turn, same) = turns;
        assert_eq!(turn, same);
        if turn.is_err() {
            return acts;
        }
        acts += 1;
    }
}

/// The marking as it comes from its file, so that what is tested has been bytes.
fn from_file(marking: &Marking) -> Marking {
    serde_json::from_slice(&marking.bytes().expect("it is canonical")).expect("it is a marking")
}

#[test]
fn the_machine_of_a_marking_moves_as_the_machine_of_the_course() {
    let sources = demo();
    let (course, mut findings) = load(&sources);
    let models = safety::models(&course, &mut findings);
    let checked = check(&sources).unwrap_or_else(|found| panic!("the demo is right: {found:?}"));
    let marking = from_file(checked.marking());
    assert!(findings.is_empty(), "{findings:?}");
    let stops: usize = models.iter().map(|model| model.drills.len()).sum();
    assert_eq!(stops, marking.drills.len());
    let (mut acts, mut runs) = (0, 0);
    for model in &models {
        let id = &model.source.id;
        let written = marking.machine(id).and_then(|machine| machine.model.as_ref());
        let machine: Machine = written.expect("it is modelled").runnable(id).expect("it can be run");
        assert_eq!(
            Model::of(&machine),
            Model::of(&model.machine),
            "written again it is the same"
        );
        for stop in &model.drills {
            let written = marking.drill(&stop.drill.id).expect("the marking has it");
            let drill = written.runnable(&machine).expect("it can be run");
            assert_eq!(drill.starts, stop.drill.starts);
            let (one, other) = (
                World::with_budget(&model.machine, u64::MAX),
                World::with_budget(&machine, u64::MAX),
            );
            for seed in 0..RUNS.div_ceil(stops) {
                let seed = u32::try_from(seed).expect("few") + 1;
                acts += lead((&one, &stop.drill), (&other, &drill), seed);
                runs += 1;
            }
        }
    }
    assert!(runs >= RUNS && acts > 2 * runs, "{acts} acts in {runs} runs");
}
