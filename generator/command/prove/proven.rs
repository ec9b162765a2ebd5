//! What was shown of machines, drills and procedures, in lines and as JSON.

use crate::explore::{Blind, Class};
use crate::safety::{Change, DrillProof, Guarded, MOST_COUNTED, ProcedureProof, Proofs, Ways};
use serde_json::{Value, json};

use super::super::Voice;
use super::share;

/// One line a drill and one a procedure; with `all` one more for each change to a step.
pub fn lines(proofs: &Proofs, blind: &[(String, Blind)], all: bool, voice: &mut Voice) {
    for drill in &proofs.drills {
        voice.say(format!(
            "drill {} on {}: {} starts, {} situations; par {}; {} traps; acting blind passes with {}.",
            drill.id,
            drill.machine,
            drill.starts,
            drill.situations,
            drill.par.map_or("none".to_owned(), clock),
            drill.traps,
            chance(drill, blind),
        ));
    }
    for procedure in &proofs.procedures {
        voice.say(format!(
            "procedure of {} (“{}”): proven from all {} starts of {}, in {} pairs of step and situation; {}.",
            procedure.lesson,
            procedure.title,
            procedure.starts,
            procedure.drill,
            procedure.pairs,
            tally(procedure),
        ));
        for skip in procedure.skips.iter().filter(|skip| skip.class.is_none()) {
            let why = match (skip.law.is_empty(), skip.has_reason) {
                (false, _) => format!(
                    "the step fulfils {}: the model is poor, it lacks what this protects from, or somebody who could bring it about",
                    skip.law.join(", ")
                ),
                (true, false) => "the step gives no reason: is it needed, or does the model lack something?".to_owned(),
                (true, true) => continue,
            };
            voice.say(format!(
                "  step {}, “{}”: leaving it out makes no difference, and {why}",
                skip.step, skip.act
            ));
        }
        if all {
            for change in procedure.skips.iter().chain(&procedure.swaps) {
                voice.say(format!("  {}", row(change)));
            }
        }
    }
}

/// All states of each drill, and the shortest way into each hazard.
pub fn ways(ways: &[Ways], voice: &mut Voice) {
    for one in ways {
        match one.states {
            Some(states) => voice.say(format!("states of {}: {states}, whoever does whatever.", one.drill)),
            None => voice.say(format!(
                "states of {}: more than {MOST_COUNTED}, not counted.",
                one.drill
            )),
        }
        for (hazard, story) in &one.hazards {
            voice.say(format!("  the shortest way into {hazard}: {}", story.join(" ")));
        }
    }
}

/// Actions whose `needs` may be permissions in disguise, as questions to the author.
pub fn guards(guarded: &[Guarded], voice: &mut Voice) {
    for one in guarded {
        voice.say(format!(
            "action {} of {}: it never hurts where it is possible, and would hurt where only its `needs` stand in the way. Is that physically so, or is it a permission? {}",
            one.action,
            one.machine,
            one.story.join(" ")
        ));
    }
}

/// A change in one line.
fn row(change: &Change) -> String {
    let what = match &change.before {
        None => format!("step {} left out, “{}”", change.step, change.act),
        Some((number, act)) => format!(
            "step {}, “{}”, done after step {number}, “{act}”",
            change.step, change.act
        ),
    };
    let story = change.story.join(" ");
    let space = if story.is_empty() { "" } else { " " };
    format!("{what}: {}.{space}{story}", class(change.class))
}

/// How many steps do what when left out.
fn tally(procedure: &ProcedureProof) -> String {
    let classes = [
        Some(Class::Hurts),
        Some(Class::BreaksRule),
        Some(Class::HarmsMachine),
        Some(Class::Stuck),
        Some(Class::NotCured),
        Some(Class::HandedOver),
        Some(Class::NotKnown),
        Some(Class::Endless),
        None,
    ];
    let counts: Vec<String> = classes
        .into_iter()
        .filter_map(|one| {
            let count = procedure.skips.iter().filter(|skip| skip.class == one).count();
            (count > 0).then(|| format!("{count} {}", class(one)))
        })
        .collect();
    format!("steps left out: {}", counts.join(", "))
}

/// A class in the words of the command line.
fn class(class: Option<Class>) -> &'static str {
    match class {
        Some(Class::Hurts) => "hurts",
        Some(Class::BreaksRule) => "breaks a rule",
        Some(Class::HarmsMachine) => "harms the machine",
        Some(Class::Stuck) => "stuck",
        Some(Class::NotCured) => "not cured",
        Some(Class::HandedOver) => "handed over for nothing",
        Some(Class::NotKnown) => "not known",
        Some(Class::Endless) => "without end",
        None => "no difference",
    }
}

/// Seconds as minutes and seconds.
fn clock(seconds: u32) -> String {
    format!("{} min {:02} s", seconds / 60, seconds % 60)
}

fn chance(drill: &DrillProof, blind: &[(String, Blind)]) -> String {
    let Some((_, blind)) = blind.iter().find(|(id, _)| *id == drill.id) else {
        return "a chance that was not worked out".to_owned();
    };
    let (least, most) = (blind.least, blind.most());
    if most - least < 1e-12 {
        format!("exactly {}", share(least))
    } else {
        format!("{} at least and {} at most", share(least), share(most))
    }
}

/// Drills and procedures for other programs.
pub fn json(proofs: &Proofs, blind: &[(String, Blind)]) -> (Vec<Value>, Vec<Value>) {
    let drills = proofs
        .drills
        .iter()
        .map(|drill| {
            let chance = blind.iter().find(|(id, _)| *id == drill.id).map(|(_, blind)| blind);
            json!({
                "id": drill.id, "machine": drill.machine, "starts": drill.starts, "situations": drill.situations, "parSeconds": drill.par,
                "traps": drill.traps, "blindAtLeast": chance.map(|blind| blind.least), "blindAtMost": chance.map(|blind| blind.most()),
            })
        })
        .collect();
    let change = |change: &Change| {
        json!({
            "step": change.step, "act": change.act, "doneAfter": change.before.as_ref().map(|(number, act)| json!({ "step": number, "act": act })),
            "comesTo": class(change.class), "story": change.story,
        })
    };
    let procedures = proofs
        .procedures
        .iter()
        .map(|procedure| {
            json!({
                "lesson": procedure.lesson, "title": procedure.title, "drill": procedure.drill, "starts": procedure.starts, "pairs": procedure.pairs,
                "leftOut": procedure.skips.iter().map(change).collect::<Vec<_>>(), "swapped": procedure.swaps.iter().map(change).collect::<Vec<_>>(),
            })
        })
        .collect();
    (drills, procedures)
}

/// As [`ways`], for other programs.
pub fn ways_json(ways: &[Ways]) -> Value {
    let hazard = |(hazard, story): &(String, Vec<String>)| json!({ "hazard": hazard, "shortestWay": story });
    ways.iter()
        .map(|one| {
            json!({
                "drill": one.drill, "states": one.states, "hazards": one.hazards.iter().map(hazard).collect::<Vec<_>>(),
            })
        })
        .collect()
}

/// As [`guards`], for other programs.
pub fn guards_json(guarded: &[Guarded]) -> Value {
    guarded
        .iter()
        .map(|one| json!({ "machine": one.machine, "action": one.action, "story": one.story }))
        .collect()
}
