//! How long the proof of a procedure takes, beside reading the course that it stands in.

use pitwright::load::load;
use pitwright::safety;
use pitwright::source::{Body, read};
use std::path::Path;
use std::time::Instant;

/// A stop with hundreds of starts: the demo's extra pin, with three more things that can be so and make no difference.
pub fn run() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let mut sources = read(root).expect("the demo course is in the repository");
    for file in &mut sources.files {
        if let Body::Text(text) = &mut file.body
            && file.path == "quizzes/drills/extra-pin.yml"
        {
            let more =
                "plate: [right, a-wrong], lift-push: [none, \"on\"], resets: [none, one], found: [nothing, pin] }";
            *text = text.replace("plate: [right, a-wrong] }", more);
        }
    }
    let begun = Instant::now();
    let (course, findings) = load(&sources);
    let reading = begun.elapsed();
    assert!(findings.is_empty(), "the demo course is clean");
    let begun = Instant::now();
    let refused = safety::refused(&course, "extra-pin");
    let proof = begun.elapsed();
    assert!(refused.is_empty(), "its procedure is proven");
    println!(
        "proof of a procedure from {} starts\n  {:.3} s, reading the course {:.3} s; ratio {:.2}; goal: well under a second\n",
        starts(&course),
        proof.as_secs_f64(),
        reading.as_secs_f64(),
        proof.as_secs_f64() / reading.as_secs_f64()
    );
}

/// How many starts the drill has now.
fn starts(course: &pitwright::model::Course) -> usize {
    let mut findings = Vec::new();
    let models = safety::models(course, &mut findings);
    let drills = models.iter().flat_map(|model| &model.drills);
    drills
        .filter(|stop| stop.source.id == "extra-pin")
        .map(|stop| stop.drill.starts.len())
        .sum()
}
