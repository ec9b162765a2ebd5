//! Random cycles: what the compiler finds to happen together is what a count of every tenth finds.

use super::plain::{self, Cycle};
use crate::findings::fixture;
use rand_xoshiro::Xoshiro128StarStar;
use rand_xoshiro::rand_core::{RngCore, SeedableRng};
use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write;

const UNITS: [&str; 4] = ["arm", "bed", "comb", "drum"];

/// An overlap: cycle, the two spans as `unit.span` in the order of the alphabet, and from when to when in tenths.
type Overlap = (String, [String; 2], u32, u32);

struct Maker(Xoshiro128StarStar);

impl Maker {
    fn below(&mut self, bound: u32) -> u32 {
        self.0.next_u32() % bound
    }

    /// A cycle as YAML: spans that never overlap within a unit, and pairs of all sorts.
    fn cycle(&mut self, name: &str) -> String {
        let most = if self.below(2) == 0 { 120 } else { 3600 };
        let all = 1 + self.below(most);
        let seconds = self.below(2) == 0 || all < 10;
        let mut text = format!("  {name}:\n    title: \"{name}\"\n");
        text += &match seconds {
            true => format!("    lasts: {} s\n    units:\n", number(all)),
            false => format!(
                "    turns: {} degrees\n    shaft: \"the shaft\"\n    units:\n",
                number(all)
            ),
        };
        let units = 2 + self.below(3) as usize;
        let mut known: Vec<Vec<String>> = Vec::new();
        for unit in &UNITS[..units] {
            writeln!(text, "      {unit}:\n        spans:").expect("a text can be written to");
            let mut names = Vec::new();
            let mut at = self.below(all.div_ceil(2));
            while at < all && names.len() < 6 {
                let length = 1 + self.below(all.div_ceil(3));
                let to = (at + length).min(all);
                let still = self.below(3) == 0;
                let span = format!("s{}", names.len());
                writeln!(
                    text,
                    "          {span}: {{ from: {}, to: {}, does: \"goes\", still: {still} }}",
                    number(at),
                    number(to)
                )
                .expect("a text can be written to");
                names.push(span);
                at = to
                    + if self.below(2) == 0 {
                        0
                    } else {
                        self.below(all.div_ceil(4))
                    };
            }
            known.push(names);
        }
        text += "    never-together:\n";
        for _ in 0..1 + self.below(3) {
            let one = self.below(units as u32) as usize;
            let other = (one + 1 + self.below(units as u32 - 1) as usize) % units;
            let (a, b) = (self.words(&known[one]), self.words(&known[other]));
            writeln!(
                text,
                "      - {{ between: {{ {}: {a}, {}: {b} }}, because: \"They meet.\" }}",
                UNITS[one], UNITS[other]
            )
            .expect("a text can be written to");
        }
        text
    }

    fn words(&mut self, spans: &[String]) -> String {
        let mut any = || spans[self.below(spans.len() as u32) as usize].clone();
        let (first, second) = (any(), any());
        match self.below(4) {
            0 => "moving".to_owned(),
            1 => first,
            2 => format!("[moving, {first}]"),
            _ => format!("[{first}, {second}]"),
        }
    }
}

fn number(tenths: u32) -> String {
    match tenths % 10 {
        0 => (tenths / 10).to_string(),
        tenth => format!("{}.{tenth}", tenths / 10),
    }
}

/// Every overlap of a pair, found by looking at every tenth.
fn counted(name: &str, cycle: &Cycle) -> BTreeMap<Overlap, usize> {
    let mut found = BTreeMap::new();
    for apart in &cycle.never_together {
        let sides: Vec<_> = apart.between.iter().collect();
        let mut together: BTreeMap<[String; 2], Vec<u32>> = BTreeMap::new();
        for tenth in 0..cycle.all() {
            let doing: Vec<String> = sides
                .iter()
                .filter_map(|(unit, words)| {
                    let spans = &cycle.units[*unit].spans;
                    let now = spans
                        .iter()
                        .find(|(id, doing)| doing.from() <= tenth && tenth < doing.to() && words.mean(id, doing));
                    now.map(|(id, _)| format!("{unit}.{id}"))
                })
                .collect();
            if let Ok(both) = <[String; 2]>::try_from(doing) {
                together.entry(both).or_default().push(tenth);
            }
        }
        for (both, tenths) in together {
            let overlap = (name.to_owned(), both, tenths[0], tenths[tenths.len() - 1] + 1);
            *found.entry(overlap).or_default() += 1;
        }
    }
    found
}

/// Every overlap that the compiler found in a machine file, by the lines that its places stand on and its own words.
fn found(text: &str) -> BTreeMap<Overlap, usize> {
    let course = fixture::base();
    let path = "lessons/machines/spinner.yml";
    std::fs::write(course.path().join(path), text).expect("the copy can be written");
    let (sources, findings) = fixture::found(course.path());
    let lines: Vec<&str> = text.lines().collect();
    let mut found = BTreeMap::new();
    for finding in &findings {
        assert_eq!(finding.code.name, "moves-together", "{}", finding.message);
        let place = |span| {
            let line = sources.position(span).line - 1;
            let above = |indent: &str| {
                let line = lines[..line].iter().rev().find(|line| {
                    line.strip_prefix(indent).is_some_and(|rest| !rest.starts_with(' ')) && line.ends_with(':')
                });
                line.expect("it stands under one")
                    .trim()
                    .trim_end_matches(':')
                    .to_owned()
            };
            let span = lines[line].trim().split(':').next().expect("a name");
            (above("  "), format!("{}.{span}", above("      ")))
        };
        let (cycle, later) = place(finding.span);
        let (_, earlier) = place(finding.also[0].0);
        let mut both = [earlier, later];
        both.sort();
        let words = finding.message.split("both from ").nth(1).expect("it says from when");
        let mut numbers = words.split([' ', '°', ',']).filter_map(|word| word.parse::<f64>().ok());
        let mut next = || (numbers.next().expect("a number") * 10.0).round() as u32;
        *found.entry((cycle, both, next(), next())).or_default() += 1;
    }
    found
}

#[test]
fn what_is_found_to_happen_together_is_what_a_count_of_every_tenth_finds() {
    let mut maker = Maker(Xoshiro128StarStar::seed_from_u64(20));
    let (mut clean, mut overlaps) = (0, 0);
    for _ in 0..12 {
        let mut text = "title: \"Spinner (an invented machine)\"\ndemo: true\nparts:\n".to_owned();
        for unit in UNITS {
            writeln!(text, "  {unit}: {{ says: \"A part\" }}").expect("a text can be written to");
        }
        text += "cycles:\n";
        for at in 0..50 {
            text += &maker.cycle(&format!("c{at}"));
        }
        let machine = plain::machine(&text);
        let mut expected = BTreeMap::new();
        for (name, cycle) in &machine.cycles {
            expected.extend(counted(name, cycle));
        }
        let touched: BTreeSet<&String> = expected.keys().map(|(cycle, ..)| cycle).collect();
        clean += machine.cycles.len() - touched.len();
        overlaps += expected.len();
        assert_eq!(found(&text), expected);
    }
    assert!(
        clean > 50 && overlaps > 500,
        "{clean} clean cycles, {overlaps} overlaps: too few to tell anything"
    );
}
