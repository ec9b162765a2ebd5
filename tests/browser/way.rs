//! Ways through a scenario, found in its marking.

use serde_json::Value;

/// The scenario that tests play, out of a marking that has it whole: that of its own page, or of the record.
pub fn played(marking: &Value) -> &Value {
    let scenarios = marking["scenarios"].as_array().expect("a list");
    let played = scenarios.iter().find(|one| one["id"] == "league-night");
    played.expect("the demo course has it")
}

/// A way through the scenario to an ending: the choices in order. `wanted` is a condition on (ends, unsafe, marks).
pub fn way(marking: &Value, wanted: impl Fn(&str, bool, u64) -> bool) -> Vec<String> {
    let scenario = played(marking);
    let scenes = scenario["scenes"].as_array().expect("scenes");
    let mut open = vec![(scenario["start"].as_str().expect("start"), Vec::new(), false, 0)];
    while let Some((at, way, hurt, marks)) = open.pop() {
        let scene = scenes
            .iter()
            .find(|scene| scene["id"] == at)
            .expect("the scene is there");
        if let Some(ends) = scene["ends"].as_str() {
            if wanted(ends, hurt, marks) {
                return way;
            }
            continue;
        }
        if way.len() > scenes.len() {
            continue;
        }
        for choice in scene["choices"].as_array().expect("choices") {
            let mut longer: Vec<String> = way.clone();
            longer.push(choice["id"].as_str().expect("id").to_owned());
            let to = choice["to"].as_str().expect("to");
            let hurts = choice["unsafe"].as_bool().expect("unsafe");
            open.push((
                to,
                longer,
                hurt || hurts,
                marks + choice["marks"].as_u64().expect("marks"),
            ));
        }
    }
    panic!("the scenario has no such way");
}
