//! How long the proof of a procedure takes, beside reading the course that it stands in.

use pitwright::explore::{Graph, Manner, World, replay};
use pitwright::load::load;
use pitwright::safety;
use pitwright::source::{Body, read};
use std::path::Path;
use std::time::Instant;

/// A stop with hundreds of starts: the demo's extra pin, and the pin may be missing from any other cup.
pub fn run() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let mut sources = read(root).expect("the demo course is in the repository");
    for file in &mut sources.files {
        if let Body::Text(text) = &mut file.body
            && file.path == "quizzes/drills/extra-pin.yml"
        {
            let mut more = String::from("start:\n");
            for (two, empty) in (1..=10).flat_map(|two| (1..=10).map(move |empty| (two, empty))) {
                if two != empty {
                    for feed in ["feed: away", "feed: leaning, belt-push: \"on\""] {
                        more += &format!(
                            "  - {{ cup.{two}: two, cup.{empty}: empty, sweep: guard, {feed}, plate: [right, a-wrong] }}\n"
                        );
                    }
                }
            }
            *text = text.replace("start:\n", &more);
        }
    }
    let begun = Instant::now();
    let (course, findings) = load(&sources);
    let reading = begun.elapsed();
    assert!(findings.is_empty(), "the demo course is clean");
    let mut findings = Vec::new();
    let models = safety::models(&course, &mut findings);
    let model = models
        .iter()
        .find(|model| model.source.id == "marrowbell")
        .expect("the demo machine");
    let stop = model
        .drills
        .iter()
        .find(|stop| stop.source.id == "extra-pin")
        .expect("the demo drill");
    let written = stop.written.first().expect("its procedure");
    let world = World::new(&model.machine);
    let begun = Instant::now();
    let graph = Graph::of(&world, &stop.drill).expect("it is within the budget");
    let whole = begun.elapsed();
    let begun = Instant::now();
    let replayed =
        replay(&world, &stop.drill, Some(&graph), &written.procedure, Manner::Proof).expect("it is within the budget");
    let proof = begun.elapsed();
    assert!(replayed.failure.is_none(), "its procedure is proven");
    println!(
        "A stop with {} starts; goal: proven in well under a second",
        stop.drill.starts.len()
    );
    for (what, time) in [
        ("reading the course", reading),
        ("going over the drill: par, traps, what is curable", whole),
        ("replaying the procedure from every start", proof),
    ] {
        println!(
            "  {what:<50} {:.3} s, {:.1} × reading",
            time.as_secs_f64(),
            time.as_secs_f64() / reading.as_secs_f64()
        );
    }
    println!(
        "  {} situations, {} pairs of step and situation\n",
        graph.situations(),
        replayed.pairs
    );
}
