//! The demo machine and its drills.

use pitwright::diagnostic::text;
use pitwright::explore::{self, Graph, Manner, Procedure, Step, Stop, World, blind, replay};
use pitwright::load::load;
use pitwright::source;
use std::time::Instant;

#[test]
fn measure() {
    let sources = source::read(&crate::ground::root()).expect("the course can be read");
    let (course, _) = load(&sources);
    let mut findings = Vec::new();
    let machine = explore::machine(&course.machines[0], &mut findings);
    for finding in &findings {
        println!("{}", text(finding, &sources, false));
    }
    let machine = machine.expect("the machine compiles");
    for filed in &course.drills {
        let drill = explore::drill(filed, &machine, &mut findings);
        for finding in &findings {
            println!("{}", text(finding, &sources, false));
        }
        let drill = drill.expect("the drill compiles");
        println!("{}: {} starts", drill.id, drill.starts.len());
        let world = World::new(&machine);
        let begun = Instant::now();
        match Graph::of(&world, &drill) {
            Ok(graph) => {
                println!(
                    "{} situations, {} nodes, par {:?}, traps {}, unsafe {}, in {:?}",
                    graph.situations(),
                    graph.nodes.len(),
                    graph.par(),
                    graph.traps().count(),
                    graph
                        .nodes
                        .iter()
                        .map(|node| usize::from(node.unsafe_acts))
                        .sum::<usize>(),
                    begun.elapsed()
                );
            }
            Err(Stop::Budget) => println!("budget spent in {:?}", begun.elapsed()),
            Err(Stop::Flaw(flaw)) => println!("{flaw:?}"),
        }
        let steps =
            "read-procedure tell-desk shut-down turn-a-off turn-b-off hang-locks throw-levers try-out switches-off";
        let procedure = Procedure {
            steps: steps
                .split(' ')
                .enumerate()
                .map(|(index, act)| Step {
                    number: index + 1,
                    says: act.to_owned(),
                    acts: machine.instances(act).collect(),
                    repeat: None,
                    only: None,
                    ends: false,
                })
                .collect(),
        };
        let begun = Instant::now();
        let replayed = replay(&world, &drill, None, &procedure, Manner::Proof).expect("it is replayed");
        println!(
            "{:?} pairs {} in {:?}",
            replayed.failure.as_ref().map(|failure| (failure.class, failure.step)),
            replayed.pairs,
            begun.elapsed()
        );
        if let Some(failure) = replayed.failure {
            println!("{}", machine.words(&failure.story).join("\n"));
        }
        let _ = blind;
    }
}
