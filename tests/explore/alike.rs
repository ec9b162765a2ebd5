//! Members of a family that are alike are gone over as one. That must change how much is gone over, and nothing else.

use super::made::must;
use pitwright::explore::{Graph, World, blind};

/// Four cups, any of which may hold a pin too many; somebody may switch the power on while no lock hangs.
const MACHINE: &str = r#"
places: { out: { says: "Outside" }, in: { says: "Inside", inside: true } }
state:
  you: { places: [out, in] }
  power: ["on", "off"]
  lock: [none, mine]
  cup: { each: 1..4, of: [one, two] }
hazards:
  drawn-in: { when: { you: in, power: "on" }, to: person, harm: "It starts", severity: critical }
  dropped: { to: machine, harm: "The pin drops into the works", severity: marginal }
actions:
  turn-off: { says: "Power off", at: out, does: { power: "off" }, takes: 2s }
  turn-on: { says: "Power on", at: out, needs: { lock: none }, does: { power: "on" }, takes: 2s }
  hang-lock: { says: "Lock on", at: out, needs: { power: "off" }, does: { lock: mine }, takes: 3s }
  take-lock: { says: "Lock off", at: out, does: { lock: none }, takes: 3s }
  go-in: { says: "In", at: out, does: { you: in }, takes: 5s }
  come-out: { says: "Out", at: in, does: { you: out }, takes: 5s }
  take-pin: { says: "Pin out of cup {n}", at: in, for: { n: 1..4 }, needs: { cup.n: two }, does: { cup.n: one }, takes: 4s }
  knock: { says: "Knock at cup {n}", at: in, for: { n: 1..4 }, strikes: [ { when: { cup.n: two }, hazard: dropped } ], takes: 1s }
others:
  somebody: { says: "Somebody turns it on", when: { power: "off", lock: none }, does: { power: "on" } }
"#;

/// An act that names one cup and is never possible: the cups are no longer alike, and nothing else is different.
const APART: &str =
    "  never: { says: \"Never\", at: in, needs: { cup.1: two, you: out }, does: { cup.1: one } }\nothers:";

const DRILL: &str = r#"
start: [ { some: { cup: two } }, { cup.1: two, cup.3: two } ]
cured: { every: { cup: one }, you: out, power: "on" }
"#;

#[test]
fn alike_or_apart_par_dead_ends_and_chance_are_the_same() {
    let gone_over = |machine: &str| {
        let (machine, drill) = must(machine, DRILL);
        let world = World::new(&machine);
        let mut graph = Graph::of(&world, &drill).expect("it is small");
        let (situations, par, traps) = (graph.situations(), graph.par(), graph.traps().count());
        let danger = (graph.danger, graph.harm);
        let chance = blind(&world, &drill, &mut graph).expect("it is small");
        (situations, (par, traps, danger), chance)
    };
    let (few, alike, one) = gone_over(MACHINE);
    let (many, apart, other) = gone_over(&MACHINE.replace("others:", APART));
    assert_eq!(alike, apart);
    // Off, lock, in, two pins, out, lock off, on: 2 + 3 + 5 + 4 + 4 + 5 + 3 + 2.
    assert_eq!(alike.0, Some(28));
    assert!(few < many, "{few} situations alike, {many} apart");
    // Both bounds hold the one true chance.
    assert!(one.least > 0.01, "{one:?}");
    assert!(
        one.least <= other.most() && other.least <= one.most(),
        "{one:?} {other:?}"
    );
    assert!((one.least - other.least).abs() < 2e-3, "{one:?} {other:?}");
}
