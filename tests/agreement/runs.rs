//! Drills, played by the browser's engine and by the library's: after every act the same state, the same knowledge, the same end.

use super::page::Page;
use crate::browser_driver::converse;
use crate::explore::{demo, made, toy::Toy};
use pitwright::explore::{self as explorer, Came, End, Run, World, draw_start};
use pitwright::marking::{Drill, Model, Xoshiro128, written};
use serde_json::{Value, json};
use std::collections::BTreeMap;
use std::fmt::Write;

/// Walks over every drill of the demo, in all at least 100,000.
const WALKS: usize = 100_000;
/// Random models, and walks over each.
const MODELS: usize = 500;
const EACH: usize = 40;
/// No walk is longer. Seven acts of eight follow the way of par, where there is one; else hardly any walk would come far.
const ACTS: usize = 40;

/// FNV-1a with 32 bits (G. Fowler, L. C. Noll, K.-P. Vo); the constants are from memory.
fn digest(text: &str) -> u32 {
    text.bytes().fold(0x811C_9DC5, |hash, byte| {
        (hash ^ u32::from(byte)).wrapping_mul(0x0100_0193)
    })
}

/// The lines of a walk, one an act, and how it ended.
fn walk(world: &World, drill: &explorer::Drill, ways: &[Vec<usize>], seed: &str) -> (String, String, usize) {
    let machine = world.machine;
    let text = |state| written(&machine.variables, state);
    let mut random = Xoshiro128::from_hex(seed).expect("a seed");
    let start = draw_start(machine, drill, &mut |bound| random.below(bound));
    let (mut lines, mut at) = (String::new(), 0);
    let mut tell = |run: &Run, act: usize, came: &str, others: &[usize]| {
        let situation: Vec<String> = run
            .situation()
            .iter()
            .map(|(state, still)| format!("{}{}", text(*state), if *still { "!" } else { "" }))
            .collect();
        let kept: Vec<String> = (0..machine.rules.len())
            .map(|rule| {
                let due = run.progress().due(rule, &machine.rules[rule]).len();
                format!(
                    "{}{due}",
                    if run.progress().complete(rule, &machine.rules[rule]) {
                        "*"
                    } else {
                        ""
                    }
                )
            })
            .collect();
        let end = match run.end() {
            None => "-".to_owned(),
            Some(End::Cured) => "cured".to_owned(),
            Some(End::HandedOver) => "handed".to_owned(),
            Some(End::Unsafe { hazards, hurt, from }) => format!("unsafe {hazards} {hurt} {}", text(*from)),
            Some(End::BreaksRule(rule)) => format!("rule {rule}"),
            Some(End::HarmsMachine { hazards, from }) => format!("harm {hazards} {}", text(*from)),
        };
        writeln!(
            lines,
            "{act} {came} {others:?} {} {} {} {end}",
            text(run.real()),
            situation.join(","),
            kept.join(",")
        )
        .expect("text can be written");
    };
    let mut run = match Run::begin(world, drill, start) {
        Ok(run) => run.expect("there is such a start"),
        Err(_) => return (lines, "flaw".to_owned(), 0),
    };
    for _ in 0..ACTS {
        let offered = run.offered();
        if offered.is_empty() {
            break;
        }
        let due = ways.get(start).and_then(|way| way.get(at)).copied();
        let follow = random.below(8) != 0;
        let any = offered[random.below(u32::try_from(offered.len()).expect("few acts")) as usize];
        let act = match due {
            Some(due) if follow && offered.contains(&due) => {
                at += 1;
                due
            }
            _ => any,
        };
        match run.act(act, &mut || random.next_word()) {
            Ok(turn) => {
                let came = match turn.came {
                    Came::Done => "done",
                    Came::Nothing => "nothing",
                    Came::Held => "held",
                };
                tell(&run, act, came, &turn.others);
            }
            Err(_) => return (lines, "flaw".to_owned(), run.turns()),
        }
    }
    let end = match run.end() {
        None => "open",
        Some(End::Cured) => "cured",
        Some(End::HandedOver) => "handed over",
        Some(End::Unsafe { hurt: true, .. }) => "hurt",
        Some(End::Unsafe { .. }) => "lucky",
        Some(End::BreaksRule(_)) => "rule",
        Some(End::HarmsMachine { .. }) => "harm",
    };
    (lines, end.to_owned(), run.turns())
}

/// A drill to be walked on, in both forms.
struct Case {
    name: String,
    model: Model,
    drill: Drill,
    ways: Vec<Vec<usize>>,
    seeds: Vec<String>,
}

fn seeds(from: usize, many: usize) -> Vec<String> {
    // Odd factors, so that all four words differ from seed to seed.
    let factors = [0x9E37_79B9_u32, 0x85EB_CA6B, 0xC2B2_AE35, 0x27D4_EB2F];
    (from..from + many)
        .map(|number| u32::try_from(number + 1).expect("few seeds"))
        .map(|number| {
            factors
                .iter()
                .map(|factor| format!("{:08x}", number.wrapping_mul(*factor)))
                .collect()
        })
        .collect()
}

/// What the library makes of a case's walks: seed by seed the end, the acts, the digest, and the lines behind it.
fn here(case: &Case) -> Vec<(Value, String, String)> {
    let machine = case.model.runnable("m").expect("what was written can be run");
    let drill = case.drill.runnable(&machine).expect("what was written can be run");
    let world = World::with_budget(&machine, u64::MAX);
    let one = |seed: &String| {
        let (lines, end, turns) = walk(&world, &drill, &case.ways, seed);
        (json!([end, turns, digest(&lines)]), end, lines)
    };
    case.seeds.iter().map(one).collect()
}

/// Walks over every case in the page and, at the same time, here.
fn compare(cases: &[Case]) -> BTreeMap<String, usize> {
    let (made, wanted) = std::thread::scope(|scope| {
        let wanted = scope.spawn(|| cases.iter().map(here).collect::<Vec<_>>());
        let made = converse(async {
            let page = Page::open().await;
            let mut made = Vec::new();
            // One at a time: a whole drill's walks take the page some seconds.
            for case in cases {
                let asked = json!({
                    "kind": "runs", "model": case.model, "drill": case.drill, "ways": case.ways, "seeds": case.seeds, "acts": ACTS,
                });
                made.extend(page.run(&[asked]).await);
            }
            page.close().await;
            made
        });
        (made, wanted.join().expect("the library walks"))
    });
    let mut tally = BTreeMap::new();
    for ((case, made), wanted) in cases.iter().zip(&made).zip(wanted) {
        let made = made.as_array().expect("a list of walks");
        assert_eq!(made.len(), wanted.len(), "{}", case.name);
        for ((seed, made), (wanted, end, lines)) in case.seeds.iter().zip(made).zip(wanted) {
            assert_eq!(*made, wanted, "{} with the seed {seed}:\n{lines}", case.name);
            *tally.entry(end).or_default() += 1;
        }
    }
    tally
}

#[test]
fn walks_over_every_demo_machine_come_out_the_same() {
    let checked = demo::checked();
    let marking = checked.marking();
    let each = WALKS.div_ceil(marking.drills.len());
    // In batches, so that the page answers in time.
    let cases: Vec<Case> = marking
        .drills
        .iter()
        .flat_map(|drill| {
            let model = marking
                .machine(&drill.machine)
                .and_then(|machine| machine.model.clone())
                .expect("a model");
            let proof = checked
                .proofs()
                .drills
                .iter()
                .find(|proof| proof.id == drill.id)
                .expect("a proof");
            let all = seeds(0, each);
            let batches: Vec<Vec<String>> = all.chunks(2_500).map(<[String]>::to_vec).collect();
            batches.into_iter().map(move |seeds| Case {
                name: drill.id.clone(),
                model: model.clone(),
                drill: drill.clone(),
                ways: proof.ways.clone(),
                seeds,
            })
        })
        .collect();
    let walks: usize = cases.iter().map(|case| case.seeds.len()).sum();
    assert!(walks >= WALKS);
    let tally = compare(&cases);
    println!("{walks} walks over {} drills: {tally:?}", marking.drills.len());
    for end in ["open", "cured", "handed over", "hurt", "lucky", "rule", "harm"] {
        assert!(
            tally.get(end).is_some_and(|many| *many >= 50),
            "{end} came up too seldom: {tally:?}"
        );
    }
}

/// Of each drill of the demo, practice left and gone on with.
const PRACTICE: usize = 60;

#[test]
fn practice_that_was_left_goes_on_as_it_was() {
    let checked = demo::checked();
    let marking = checked.marking();
    let cases: Vec<Value> = (marking.drills.iter())
        .map(|drill| {
            let machine = marking.machine(&drill.machine).expect("it is there");
            let proof = checked.proofs().drills.iter().find(|proof| proof.id == drill.id);
            json!({
                "kind": "traces", "model": machine.model, "drill": drill, "seeds": seeds(0, PRACTICE), "acts": ACTS,
                "ways": proof.expect("a proof").ways,
            })
        })
        .collect();
    let made = converse(async {
        let page = Page::open().await;
        let mut made = Vec::new();
        for case in &cases {
            made.extend(page.run(std::slice::from_ref(case)).await);
        }
        page.close().await;
        made
    });
    let mut tally: BTreeMap<&str, u64> = BTreeMap::new();
    for one in made.iter().flat_map(|all| all.as_array().expect("a list")) {
        let one = one.as_object().unwrap_or_else(|| panic!("{one}"));
        for (what, many) in one {
            *tally.entry(what).or_default() += many.as_u64().expect("a count");
        }
    }
    println!("{} practices: {tally:?}", PRACTICE * cases.len());
    assert_eq!(tally.len(), 5);
    assert!(
        tally.values().all(|many| *many >= 200),
        "something came up too seldom: {tally:?}"
    );
}

#[test]
fn walks_over_random_models_come_out_the_same() {
    let mut cases = Vec::new();
    for seed in 0.. {
        if cases.len() == MODELS {
            break;
        }
        let toy = Toy::roll(seed);
        let (machine, drill) = made::must(&toy.machine_yaml(), &toy.drill_yaml());
        // A start that is dangerous as it stands is a finding of its own, and no run begins there.
        let world = World::new(&machine);
        let unsafe_start = |start: &explorer::State| !matches!(world.unsafe_start(*start), Ok(None));
        if drill.starts.iter().any(unsafe_start) {
            continue;
        }
        cases.push(Case {
            name: format!("model {seed}"),
            model: Model::of(&machine),
            drill: Drill::of(&machine, &drill),
            ways: Vec::new(),
            seeds: seeds(cases.len() * EACH, EACH),
        });
    }
    let tally = compare(&cases);
    println!("{} walks over {MODELS} models: {tally:?}", MODELS * EACH);
    for end in ["open", "cured", "handed over", "hurt", "lucky", "rule", "harm"] {
        assert!(
            tally.get(end).is_some_and(|many| *many >= 50),
            "{end} came up too seldom: {tally:?}"
        );
    }
}
