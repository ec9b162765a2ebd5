//! Scenarios that can be played to an end, passed by who acts safely, and by nobody else.

use super::bank::too_easy;
use super::numbers::MOST_MARKS;
use super::{Rule, suggest};
use crate::check::odds::scenario_odds;
use crate::check::walk::{self, index};
use crate::diagnostic::{Code, Finding};
use crate::model::{Course, Ending, Filed, Scenario, Scene};

pub static UNKNOWN_SCENE: Code = Code {
    name: "unknown-scene",
    title: "a choice leads to a scene that is not there",
    explanation: "`start` and every choice's `to` name a scene of the same scenario. Put the name right, or write the scene.",
};

pub static SCENE_SHAPE: Code = Code {
    name: "scene-shape",
    title: "a scene that is neither an ending nor a decision",
    explanation: "A scene either ends the run (`ends: safe` or `ends: unsafe`) and has no choices, or it goes on and has 2 to 6 of them.",
};

pub static SCENE_UNREACHED: Code = Code {
    name: "scene-unreached",
    title: "a scene that no way leads to",
    explanation: "Nobody would ever see this scene. Lead a choice to it, or take it out.",
};

pub static SCENE_WITHOUT_END: Code = Code {
    name: "scene-without-end",
    title: "a scene from which no ending can be reached",
    explanation: "Once there, a run would go round for ever. Give one of the choices on the way a path to an ending.",
};

pub static MARKS_ON_LOOP: Code = Code {
    name: "marks-on-loop",
    title: "a choice earns marks and can be made again and again",
    explanation: "A choice that lies on a loop could be made many times, and marks could be collected without end. Choices on loops earn nothing; put the marks on the \
        choice that leaves the loop.",
};

pub static NO_SAFE_PASS: Code = Code {
    name: "no-safe-pass",
    title: "no way through the scenario passes",
    explanation: "At least one way must reach a safe ending without an unsafe choice and with `pass` marks or more. Otherwise the best mechanic fails. Lower `pass`, or give more marks to the choices of the safe way.",
};

pub static UNSAFE_END_UNEARNED: Code = Code {
    name: "unsafe-end-unearned",
    title: "an unsafe ending is reached without an unsafe choice",
    explanation: "A run that ends in harm must have done something that the debrief can name. Mark the choice that brought it about with `unsafe`, or let the scene end safe.",
};

pub const RULE: Rule = Rule {
    codes: &[
        &UNKNOWN_SCENE,
        &SCENE_SHAPE,
        &SCENE_UNREACHED,
        &SCENE_WITHOUT_END,
        &MARKS_ON_LOOP,
        &NO_SAFE_PASS,
        &UNSAFE_END_UNEARNED,
        &TOO_MANY_WAYS,
    ],
    check,
};

pub static TOO_MANY_WAYS: Code = Code {
    name: "too-many-ways",
    title: "a scenario too large to be walked whole",
    explanation: "Every way through a scenario is walked at compile time, with the marks on the way. Past 200,000 places it is refused rather than half checked. Split it in two.",
};

fn check(course: &Course, findings: &mut Vec<Finding>) {
    for scenario in &course.scenarios {
        let before = findings.len();
        shape(scenario, findings);
        if findings.len() > before {
            continue;
        }
        graph(scenario, findings);
        if findings.len() > before {
            continue;
        }
        ways(course, scenario, findings);
    }
}

fn shape(scenario: &Filed<Scenario>, findings: &mut Vec<Finding>) {
    let scenes = &scenario.value.scenes;
    let tos = scenes
        .values()
        .flat_map(|scene| scene.choices.values())
        .map(|choice| &choice.to);
    for to in std::iter::once(&scenario.value.start).chain(tos) {
        if scenes.get(to).is_none() {
            let known: Vec<&str> = scenes.keys().map(|key| key.value.as_str()).collect();
            findings.push(Finding::new(
                &UNKNOWN_SCENE,
                scenario.span(to),
                format!("there is no scene `{to}`"),
                suggest(to, known.into_iter(), "write the scene"),
            ));
        }
    }
    for (id, scene) in scenes.iter() {
        let choices = scene.choices.len();
        let message = match (&scene.ends, choices) {
            (Some(_), 0) | (None, 2..=6) => continue,
            (Some(_), _) => format!("the scene `{id}` ends the run and has choices all the same"),
            (None, _) => format!("the scene `{id}` goes on and has {choices} choices"),
        };
        findings.push(Finding::new(
            &SCENE_SHAPE,
            scenario.span(id),
            message,
            "let it end (`ends: safe` or `ends: unsafe`), or give it 2 to 6 choices",
        ));
    }
}

fn successors(scenario: &Scenario, scene: &Scene) -> Vec<usize> {
    scene
        .choices
        .values()
        .filter_map(|choice| index(&scenario.scenes, &choice.to))
        .collect()
}

/// Reachability, from one scene forwards.
fn reached(scenario: &Scenario, from: usize) -> Vec<bool> {
    let scenes: Vec<&Scene> = scenario.scenes.values().collect();
    let mut seen = vec![false; scenes.len()];
    let mut open = vec![from];
    while let Some(at) = open.pop() {
        if !std::mem::replace(&mut seen[at], true) {
            open.extend(successors(scenario, scenes[at]));
        }
    }
    seen
}

fn graph(scenario: &Filed<Scenario>, findings: &mut Vec<Finding>) {
    let value = &scenario.value;
    let Some(start) = index(&value.scenes, &value.start) else {
        return;
    };
    let from: Vec<Vec<bool>> = (0..value.scenes.len()).map(|at| reached(value, at)).collect();
    let ends: Vec<bool> = value.scenes.values().map(|scene| scene.ends.is_some()).collect();
    for (at, (id, scene)) in value.scenes.iter().enumerate() {
        if !from[start][at] {
            findings.push(Finding::new(
                &SCENE_UNREACHED,
                scenario.span(id),
                format!("no way leads to the scene `{id}`"),
                "lead a choice to it, or take it out",
            ));
        } else if !from[at].iter().zip(&ends).any(|(there, end)| *there && *end) {
            findings.push(Finding::new(
                &SCENE_WITHOUT_END,
                scenario.span(id),
                format!("from the scene `{id}` no ending can be reached"),
                "give a choice on the way a path to an ending",
            ));
        }
        for (choice_id, choice) in scene.choices.iter() {
            let to = index(&value.scenes, &choice.to);
            if choice.marks() > 0 && to.is_some_and(|to| from[to][at]) {
                findings.push(Finding::new(
                    &MARKS_ON_LOOP,
                    scenario.span(choice_id),
                    format!("the choice `{choice_id}` earns marks and leads back to its own scene in the end"),
                    "put the marks on the choice that leaves the loop",
                ));
            }
        }
    }
}

fn ways(course: &Course, scenario: &Filed<Scenario>, findings: &mut Vec<Finding>) {
    let value = &scenario.value;
    let mut choices = value.scenes.values().flat_map(|scene| scene.choices.values());
    if choices.any(|choice| choice.marks() > MOST_MARKS) {
        // Reported as out of range; sums of such marks say nothing.
        return;
    }
    let Some(ways) = walk::ways(value) else {
        findings.push(Finding::new(
            &TOO_MANY_WAYS,
            scenario.span(&value.start),
            format!(
                "the scenario has more than {} places, counted with the marks on the way",
                walk::MOST_STATES
            ),
            "split it in two",
        ));
        return;
    };
    if !ways.states.iter().any(|(state, _)| state.passes(value)) {
        findings.push(Finding::new(
            &NO_SAFE_PASS,
            scenario.span(&value.pass),
            format!(
                "no way reaches a safe ending with {} marks and no unsafe choice; the most at any ending is {}",
                value.pass, ways.most
            ),
            "lower `pass`, or give the safe way more marks",
        ));
        return;
    }
    for (at, (id, scene)) in value.scenes.iter().enumerate() {
        let unsafe_end = scene.ends.as_ref().is_some_and(|ends| ends.value == Ending::Unsafe);
        if unsafe_end && ways.states.iter().any(|(state, _)| state.scene == at && !state.hurt) {
            findings.push(Finding::new(
                &UNSAFE_END_UNEARNED,
                scenario.span(id),
                format!("the unsafe ending `{id}` can be reached without an unsafe choice"),
                "mark the choice that brings it about with `unsafe: { harm, severity }`",
            ));
        }
    }
    if let Some(outline) = &course.outline {
        let attempts = &outline.value.attempts;
        let most = attempts.blind_pass_at_most.value.0;
        if let Some(odds) = scenario_odds(&scenario.id, value, attempts.tries.value)
            && odds.over_tries > most
        {
            findings.push(too_easy(
                scenario.span(&value.pass),
                odds.once,
                odds.over_tries,
                attempts.tries.value,
                most,
            ));
        }
    }
}
