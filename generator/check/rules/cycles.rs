//! Cycles of machines: their spans lie in them, and what may never happen together does not.

use super::{Rule, suggest};
use crate::diagnostic::{Code, Finding};
use crate::model::{Apart, Course, Cycle, Doing, Filed, Id, MOVING, Machine, Measure, UNSEEN};
use crate::source::{At, Span};

use super::references::UNKNOWN_REFERENCE;

pub static CYCLE_SHAPE: Code = Code {
    name: "cycle-shape",
    title: "a cycle that is not written as one",
    explanation: "A cycle is counted either in degrees of a shaft (`turns: 360 degrees` and `shaft: …`) or in seconds (`lasts: 12 s`), and has a unit at least. A pair of \
        `never-together` names exactly two units under `between`, each with one of its spans, the word `moving` (every span that is not `still`), or a list of those. So no \
        span may be called `moving`, and no pose `unseen`, which in a drawing stands for what has no pose. A unit's name and what it does stand in one line of the \
        chart, so that together they have 38 letters at most.",
};

pub static SPAN_OUTSIDE: Code = Code {
    name: "span-outside",
    title: "a span that is not a stretch of its cycle",
    explanation: "A span begins at `from` and is over at `to`. It begins before it ends, and ends no later than its cycle. What goes on past the end of a cycle belongs into a \
        second span from 0. Put the numbers right, or make the cycle longer.",
};

pub static SPANS_OVERLAP: Code = Code {
    name: "spans-overlap",
    title: "one unit does two things at one time",
    explanation: "A unit does one thing after another: a chart that shows two at once teaches something that the machine cannot do. Spans may touch: one ends where the next \
        begins. Put the numbers right, or make one span of the two.",
};

pub static MOVES_TOGETHER: Code = Code {
    name: "moves-together",
    title: "two things happen together that never may",
    explanation: "A pair of `never-together` says what would break the machine or what its cams, switches or drives make impossible. The spans of this cycle overlap all the same, \
        so either a number is wrong or the pair is. Whoever learns from a wrong chart expects a move at the wrong moment, and stands in its way. Touching ends do not \
        overlap.",
};

/// Letters of a unit's name and of what it does that a row of the chart has room for, on the narrowest phone.
const MOST_LETTERS: usize = 38;

pub const RULE: Rule = Rule {
    codes: &[&CYCLE_SHAPE, &SPAN_OUTSIDE, &SPANS_OVERLAP, &MOVES_TOGETHER],
    check,
};

fn check(course: &Course, findings: &mut Vec<Finding>) {
    for machine in &course.machines {
        for (id, cycle) in machine.value.cycles.iter() {
            let one = Look { machine, id, cycle };
            one.shape(findings);
            one.parts(findings);
            one.spans(findings);
            for apart in &cycle.never_together {
                one.apart(apart, findings);
            }
        }
    }
    for lesson in &course.lessons {
        let front = &lesson.value.front;
        let machine = front.machine.as_ref().and_then(|id| course.machine(id));
        if front.machine.is_some() && machine.is_none() {
            // Unread or misspelt: that has its finding already.
            continue;
        }
        for chart in lesson.value.charts() {
            let known: Vec<&str> = machine
                .iter()
                .flat_map(|machine| machine.value.cycles.keys())
                .map(|id| id.value.as_str())
                .collect();
            if !known.contains(&chart.cycle.value.as_str()) {
                findings.push(Finding::new(
                    &UNKNOWN_REFERENCE,
                    lesson.span(&chart.cycle),
                    format!("the lesson's machine has no cycle `{}`", chart.cycle),
                    suggest(
                        &chart.cycle,
                        known.into_iter(),
                        "write it under `cycles` of the machine, and name the machine in the lesson",
                    ),
                ));
            }
        }
    }
}

/// A cycle and where it stands.
struct Look<'a> {
    machine: &'a Filed<Machine>,
    id: &'a Id,
    cycle: &'a Cycle,
}

impl Look<'_> {
    fn span<T>(&self, at: &At<T>) -> Span {
        self.machine.span(at)
    }

    fn shape(&self, findings: &mut Vec<Finding>) {
        let mut wrong =
            |span, message: String, help: &str| findings.push(Finding::new(&CYCLE_SHAPE, span, message, help));
        let cycle = self.cycle;
        match cycle.length() {
            None => wrong(
                self.span(self.id),
                format!(
                    "nothing says what the cycle `{}` is counted in, or two things do",
                    self.id
                ),
                "write `turns: 360 degrees` with `shaft: …`, or `lasts: 12 s`",
            ),
            Some((Measure::Degrees, _)) if cycle.shaft.is_none() => wrong(
                self.span(self.id),
                format!("nothing says whose degrees the cycle `{}` counts", self.id),
                "name the shaft: `shaft: \"the shaft that …\"`",
            ),
            Some((Measure::Seconds, _)) if cycle.shaft.is_some() => wrong(
                cycle
                    .shaft
                    .as_ref()
                    .map_or(self.span(self.id), |shaft| self.span(shaft)),
                "a cycle that is counted in seconds has no shaft".to_owned(),
                "delete `shaft`, or count in its degrees with `turns`",
            ),
            Some(_) => {}
        }
        if cycle.units.is_empty() {
            wrong(
                self.span(self.id),
                format!("nothing moves or rests in the cycle `{}`", self.id),
                "name its units, each a part of the machine",
            );
        }
        for unit in cycle.units.values() {
            if let Some(id) = unit.spans.key(MOVING) {
                wrong(
                    self.span(id),
                    format!("a span cannot be called `{MOVING}`"),
                    "that word stands for every span in which a unit moves: choose another",
                );
            }
            for pose in unit.poses().filter(|pose| pose.value == UNSEEN) {
                wrong(
                    self.span(pose),
                    format!("a pose cannot be called `{UNSEEN}`"),
                    "in a drawing that word stands for what has no pose: choose another",
                );
            }
        }
        for (id, unit) in cycle.units.iter() {
            let name = unit.name(id).chars().count();
            for words in unit.rests.iter().chain(unit.spans.values().map(|doing| &doing.does)) {
                if name + words.chars().count() > MOST_LETTERS {
                    wrong(
                        self.span(words),
                        format!(
                            "with the name of its unit this is longer than {MOST_LETTERS} letters, and would be cut off on a phone"
                        ),
                        "say it in fewer words; the lesson has room for the rest",
                    );
                }
            }
        }
        for apart in &cycle.never_together {
            if apart.pair().is_none() {
                let at = apart
                    .between
                    .keys()
                    .next()
                    .map_or(self.span(&apart.because), |unit| self.span(unit));
                wrong(
                    at,
                    "this is no pair: `between` names exactly two units, and of each what it does".to_owned(),
                    "write it like `between: { sweep: drags, table: [moving, feels] }`",
                );
            }
        }
    }

    fn parts(&self, findings: &mut Vec<Finding>) {
        let parts = &self.machine.value.parts;
        for unit in self.cycle.units.keys().filter(|unit| parts.get(unit).is_none()) {
            findings.push(Finding::new(
                &UNKNOWN_REFERENCE,
                self.span(unit),
                format!("the machine has no part `{unit}`"),
                suggest(
                    unit,
                    parts.keys().map(|id| id.value.as_str()),
                    "add it to `parts` of the machine",
                ),
            ));
        }
    }

    fn spans(&self, findings: &mut Vec<Finding>) {
        let length = self.cycle.length();
        let measure = length.map_or(Measure::Seconds, |(measure, _)| measure);
        for (unit_id, unit) in self.cycle.units.iter() {
            let name = unit.name(unit_id);
            let mut known: Vec<(&Id, &Doing)> = Vec::new();
            for (id, doing) in unit.spans.iter() {
                let (from, to) = (&doing.from, &doing.to);
                if from.value >= to.value {
                    findings.push(Finding::new(
                        &SPAN_OUTSIDE,
                        self.span(to),
                        format!(
                            "`{id}` of the {name} begins at {} and is over at {}: it lasts no time",
                            measure.of(**from),
                            measure.of(**to)
                        ),
                        "let it end after it begins",
                    ));
                    continue;
                }
                if let Some((_, all)) = length.filter(|(_, all)| to.value > *all) {
                    findings.push(Finding::new(
                        &SPAN_OUTSIDE,
                        self.span(to),
                        format!(
                            "`{id}` of the {name} ends at {}, and the cycle at {}",
                            measure.of(**to),
                            measure.of(all)
                        ),
                        "end it with the cycle, or make the cycle longer",
                    ));
                }
                for (other_id, other) in &known {
                    let (begins, ends) = (from.value.max(*other.from), to.value.min(*other.to));
                    if begins < ends {
                        findings.push(
                            Finding::new(
                                &SPANS_OVERLAP,
                                self.span(id),
                                format!(
                                    "the {name} would do two things from {} to {}: `{other_id}` and `{id}`",
                                    measure.of(begins),
                                    measure.of(ends)
                                ),
                                "let one end where the other begins",
                            )
                            .also(
                                self.span(other_id),
                                format!("`{other_id}`, {}", stretch(measure, other)),
                            ),
                        );
                    }
                }
                known.push((id, doing));
            }
        }
    }

    fn apart(&self, apart: &Apart, findings: &mut Vec<Finding>) {
        let Some(pair) = apart.pair() else {
            return;
        };
        let mut names: Vec<String> = Vec::new();
        let mut sides: Vec<Vec<(&Id, &Doing)>> = Vec::new();
        for (id, words) in pair {
            let Some((_, unit)) = self.cycle.units.iter().find(|(known, _)| known.value == id.value) else {
                findings.push(Finding::new(
                    &UNKNOWN_REFERENCE,
                    self.span(id),
                    format!("the cycle `{}` has no unit `{id}`", self.id),
                    suggest(
                        id,
                        self.cycle.units.keys().map(|unit| unit.value.as_str()),
                        "add it to `units` of the cycle",
                    ),
                ));
                continue;
            };
            for word in words
                .iter()
                .filter(|word| word.value != MOVING && unit.spans.get(word).is_none())
            {
                findings.push(Finding::new(
                    &UNKNOWN_REFERENCE,
                    self.span(word),
                    format!("the {} has no span `{word}` in the cycle `{}`", unit.name(id), self.id),
                    suggest(
                        word,
                        unit.spans.keys().map(|span| span.value.as_str()).chain([MOVING]),
                        "add it to the unit's `spans`",
                    ),
                ));
            }
            names.push(unit.name(id));
            sides.push(unit.meant(&words));
        }
        if let ([one, other], [ones, others]) = (names.as_slice(), sides.as_slice()) {
            for a in ones {
                for b in others {
                    findings.extend(self.together((one, *a), (other, *b), apart));
                }
            }
        }
    }

    /// The finding if two spans overlap. It stands at the one that begins later.
    fn together(&self, a: Named<'_>, b: Named<'_>, apart: &Apart) -> Option<Finding> {
        let (one, other) = (a.1.1, b.1.1);
        let begins = one.from.value.max(*other.from);
        let ends = one.to.value.min(*other.to);
        if begins >= ends {
            return None;
        }
        let measure = self.cycle.length().map_or(Measure::Seconds, |(measure, _)| measure);
        let later = one.from.value > *other.from;
        let [(first, (first_id, first_doing)), (second, (second_id, second_doing))] =
            if later { [b, a] } else { [a, b] };
        Some(
            Finding::new(
                &MOVES_TOGETHER,
                self.span(second_id),
                format!(
                    "the {first} {} {}, and the {second} {} {}: both from {} to {}, and they may never",
                    first_doing.does,
                    stretch(measure, first_doing),
                    second_doing.does,
                    stretch(measure, second_doing),
                    measure.of(begins),
                    measure.of(ends)
                ),
                "put the numbers right; if the machine does this, the pair under `never-together` is wrong",
            )
            .also(self.span(first_id), format!("`{first_id}` of the {first}"))
            .also(self.span(&apart.because), "why they may never"),
        )
    }
}

/// A span with its id and the name of its unit.
type Named<'a> = (&'a String, (&'a Id, &'a Doing));

/// "from 140° to 165°".
fn stretch(measure: Measure, doing: &Doing) -> String {
    format!("from {} to {}", measure.of(*doing.from), measure.of(*doing.to))
}
