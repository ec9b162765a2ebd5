//! The way that par takes, from every start of every demo drill: it ends well, within par, and nobody is in danger on it.

use super::demo;
use pitwright::explore::{Run, World};

#[test]
fn par_ends_well_from_every_start_of_every_drill() {
    let checked = demo::checked();
    let marking = checked.marking();
    let mut ways = 0;
    for drill in &marking.drills {
        let proof = checked
            .proofs()
            .drills
            .iter()
            .find(|proof| proof.id == drill.id)
            .expect("a proof");
        let model = marking
            .machine(&drill.machine)
            .and_then(|machine| machine.model.as_ref())
            .expect("a model");
        let machine = model.runnable(&drill.machine).expect("it can be run");
        let played = drill.runnable(&machine).expect("it can be run");
        let world = World::new(&machine);
        assert_eq!(proof.ways.len(), drill.starts.len());
        for (start, way) in proof.ways.iter().enumerate() {
            let mut run = Run::begin(&world, &played, start)
                .expect("it is no flaw")
                .expect("it is a start");
            for act in way {
                assert!(run.end().is_none(), "{}: it ended before its last act", drill.id);
                assert!(
                    run.offered().contains(act),
                    "{}: {} is not offered",
                    drill.id,
                    machine.actions[*act].name()
                );
                run.act(*act, &mut || u32::MAX).expect("it is no flaw");
            }
            let end = run
                .end()
                .unwrap_or_else(|| panic!("{}, start {start}: it has no end", drill.id));
            assert!(end.passes(), "{}, start {start}: {end:?}", drill.id);
            let takes: u32 = way.iter().map(|act| machine.actions[*act].takes).sum();
            assert!(
                takes <= proof.par.expect("a par"),
                "{}, start {start}: {takes} s",
                drill.id
            );
            ways += 1;
        }
    }
    assert!(ways > 100, "{ways}");
}
