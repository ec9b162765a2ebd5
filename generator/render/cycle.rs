//! A cycle → the values of its timing chart and of the table that says the same.

use super::Press;
use super::blocks::letter;
use crate::model::{Chart, Cycle, Doing, Filed, Id, Lesson, MOVING, Measure, Tenths, Unit};
use serde_json::{Value, json};

/// How wide the chart is on a phone that is 390 CSS pixels wide, and on a screen of 44 rem and more.
const WIDTHS: (u32, u32) = (334, 628);

/// What a letter takes at most, and a bar's number with its margins, in CSS pixels.
const LETTER: u32 = 7;
const NUMBER: u32 = 26;

/// Heights within a row, in CSS pixels: its words, its bar, the strip below, the space to the next.
const WORDS: u32 = 22;
const BAR: u32 = 26;
const STRIP: u32 = 17;
const SPACE: u32 = 10;

/// Steps between the ticks of an axis, in tenths.
const DEGREES: [u32; 10] = [10, 50, 100, 150, 300, 450, 600, 900, 1800, 3600];
const SECONDS: [u32; 12] = [1, 2, 5, 10, 20, 50, 100, 150, 300, 600, 1200, 3000];

/// The most steps that have room for their labels on a phone.
const STEPS: u32 = 9;

impl Press<'_> {
    /// The chart of a cycle of the lesson's machine; `None` where there is none of that name.
    pub fn cycle(&self, lesson: &Filed<Lesson>, chart: &Chart, root: &str) -> Option<Value> {
        let course = self.checked.course();
        let machine = course.machine(lesson.value.front.machine.as_ref()?)?;
        let cycle = machine.value.cycles.get(&chart.cycle)?;
        let (measure, all) = cycle.length()?;
        let spans = in_order(cycle);
        let barred = barred(cycle);
        let mut top = 0;
        let rows: Vec<Value> = cycle
            .units
            .iter()
            .map(|(id, unit)| {
                let strips = strips(&barred, id, all);
                let bars = spans.iter().enumerate().filter(|(_, span)| span.unit == id);
                let row = json!({
                    "unit": id.value,
                    "name": unit.name(id),
                    "label": capital(&unit.name(id)),
                    "rests": self.rests(unit),
                    "pose": unit.pose.as_ref().map(|pose| pose.value.as_str()),
                    "words": top + WORDS - 7,
                    "bar": top + WORDS,
                    "strip": top + WORDS + BAR + 2,
                    "bars": bars.map(|(at, span)| bar(at + 1, span.doing, all)).collect::<Vec<_>>(),
                    "strips": strips,
                });
                top += WORDS + BAR + SPACE + if strips.is_empty() { 0 } else { STRIP };
                row
            })
            .collect();
        let list: Vec<Value> = spans
            .iter()
            .enumerate()
            .map(|(at, span)| {
                json!({
                    "n": at + 1,
                    "unit": span.unit.value,
                    "label": capital(&span.called.name(span.unit)),
                    "from": span.doing.from.to_string(),
                    "to": span.doing.to.to_string(),
                    "begins": span.doing.from.0,
                    "ends": span.doing.to.0,
                    "does": span.doing.does.value,
                    "still": span.doing.still,
                    "pose": span.doing.pose.as_ref().map(|pose| pose.value.as_str()),
                })
            })
            .collect();
        let axis = match &cycle.shaft {
            Some(shaft) => self.word("cycle_degrees_of").replace("{shaft}", shaft),
            None => capital(self.word("cycle_seconds")),
        };
        let drawing = cycle.drawing.as_ref().and_then(|name| course.drawing(name));
        Some(json!({
            "id": chart.cycle.value,
            "title": cycle.title.value,
            "says": cycle.says.as_ref().map(|says| self.inline(says, root)),
            "caption": chart.caption.as_ref().map(|caption| self.inline(caption, root)),
            "demo": machine.value.demo,
            "measure": measure.word(),
            "counted": capital(self.word(&format!("cycle_{}", measure.word()))),
            "axis": axis,
            "all": all.to_string(),
            "ends": all.0,
            "step": step(cycle, all),
            "height": top,
            "ticks": ticks(measure, all),
            "rows": rows,
            "spans": list,
            "apart": self.apart(cycle, root),
            // One that cannot be printed is a finding, so a checked course's cycle has none.
            "drawing": drawing.and_then(|drawing| Some(&drawing.content.as_ref().ok()?.svg)),
        }))
    }

    fn rests(&self, unit: &Unit) -> String {
        match &unit.rests {
            Some(rests) => rests.value.clone(),
            None => self.word("cycle_rests").to_owned(),
        }
    }

    /// The pairs that never happen together, by their letters.
    fn apart(&self, cycle: &Cycle, root: &str) -> Vec<Value> {
        let pairs = cycle.never_together.iter().enumerate();
        pairs
            .map(|(at, apart)| {
                let sides = apart.pair().into_iter().flatten().filter_map(|(id, words)| {
                    let unit = cycle.units.get(id)?;
                    let does: Vec<&str> = words
                        .iter()
                        .filter_map(|word| match word.value.as_str() {
                            MOVING => Some(self.word("cycle_moves")),
                            span => Some(unit.spans.get(span)?.does.value.as_str()),
                        })
                        .collect();
                    let times: Vec<String> = joined(unit.meant(&words).into_iter().map(|(_, doing)| doing))
                        .into_iter()
                        .map(|(from, to)| format!("{}–{}", Tenths(from), Tenths(to)))
                        .collect();
                    Some(json!({
                        "name": unit.name(id),
                        "does": does.join(", "),
                        "times": times.join(", "),
                    }))
                });
                json!({
                    "letter": letter(at),
                    "sides": sides.collect::<Vec<_>>(),
                    "because": self.inline(&apart.because, root),
                })
            })
            .collect()
    }
}

/// A span with its unit.
struct Placed<'a> {
    unit: &'a Id,
    called: &'a Unit,
    doing: &'a Doing,
}

/// All spans as they begin; those that begin together in the order of the rows.
fn in_order(cycle: &Cycle) -> Vec<Placed<'_>> {
    let mut spans: Vec<Placed<'_>> = cycle
        .units
        .iter()
        .flat_map(|(unit, called)| {
            let spans = called.spans.values();
            spans.map(move |doing| Placed { unit, called, doing })
        })
        .collect();
    spans.sort_by_key(|span| *span.doing.from);
    spans
}

fn bar(number: usize, doing: &Doing, all: Tenths) -> Value {
    let (from, to) = (doing.from.0, doing.to.0);
    let letters = u32::try_from(doing.does.chars().count()).unwrap_or(u32::MAX);
    let room = |width: u32| (to - from) * width / all.0;
    let fits = |width: u32| letters.saturating_mul(LETTER).saturating_add(NUMBER) <= room(width);
    json!({
        "n": number,
        "x": share(from, all),
        "width": share(to - from, all),
        "middle": share_of(from + to, 2 * all.0),
        "still": doing.still,
        "does": doing.does.value,
        // Where the words have room; elsewhere the number stands alone, and stands out where even that has none.
        "fits": if fits(WIDTHS.0) { "always" } else if fits(WIDTHS.1) { "wide" } else { "never" },
        "slim": room(WIDTHS.0) < if number < 10 { 12 } else { 19 },
    })
}

/// For each pair, both units with the stretches in which each is held back by what the other does.
fn barred(cycle: &Cycle) -> Vec<(String, Vec<(&Id, Stretches)>)> {
    let pairs = cycle.never_together.iter().enumerate();
    pairs
        .filter_map(|(at, apart)| {
            let [(one, words), (other, other_words)] = apart.pair()?;
            let times = |id: &Id, words: &[Id]| {
                let unit = cycle.units.get(id)?;
                Some(joined(unit.meant(words).into_iter().map(|(_, doing)| doing)))
            };
            let (held, holds) = (times(other, &other_words)?, times(one, &words)?);
            Some((letter(at), vec![(one, held), (other, holds)]))
        })
        .collect()
}

type Stretches = Vec<(u32, u32)>;

/// Spans as stretches, those that touch or overlap as one.
fn joined<'a>(spans: impl Iterator<Item = &'a Doing>) -> Stretches {
    let mut times: Stretches = spans.map(|doing| (doing.from.0, doing.to.0)).collect();
    times.sort_unstable();
    let mut joined: Stretches = Vec::new();
    for (from, to) in times {
        match joined.last_mut() {
            Some((_, last)) if *last >= from => *last = to.max(*last),
            _ => joined.push((from, to)),
        }
    }
    joined
}

/// The strip below a unit's bar: where it is held back, and by which pairs.
fn strips(barred: &[(String, Vec<(&Id, Stretches)>)], unit: &Id, all: Tenths) -> Vec<Value> {
    let held: Vec<(&str, &Stretches)> = barred
        .iter()
        .flat_map(|(letter, sides)| sides.iter().map(move |(id, times)| (letter.as_str(), *id, times)))
        .filter(|(_, id, _)| *id == unit)
        .map(|(letter, _, times)| (letter, times))
        .collect();
    let mut edges: Vec<u32> = held
        .iter()
        .flat_map(|(_, times)| times.iter().flat_map(|(from, to)| [*from, *to]))
        .collect();
    edges.sort_unstable();
    edges.dedup();
    let mut strips: Vec<(u32, u32, String)> = Vec::new();
    for pair in edges.windows(2) {
        let (from, to) = (pair[0], pair[1]);
        let letters: Vec<&str> = held
            .iter()
            .filter(|(_, times)| times.iter().any(|(begins, ends)| *begins <= from && to <= *ends))
            .map(|(letter, _)| *letter)
            .collect();
        let letters = letters.join(" ");
        match strips.last_mut() {
            _ if letters.is_empty() => {}
            Some((_, end, same)) if *end == from && *same == letters => *end = to,
            _ => strips.push((from, to, letters)),
        }
    }
    strips
        .into_iter()
        .map(|(from, to, letters)| {
            json!({
                "x": share(from, all),
                "width": share(to - from, all),
                "middle": share_of(from + to, 2 * all.0),
                "letters": letters,
            })
        })
        .collect()
}

/// The widest step of the scrubber that meets every edge: whole numbers where all edges are whole and there are enough of them.
fn step(cycle: &Cycle, all: Tenths) -> u32 {
    let spans = cycle.units.values().flat_map(|unit| unit.spans.values());
    let whole = spans
        .flat_map(|doing| [doing.from.0, doing.to.0])
        .chain([all.0])
        .all(|edge| edge % 10 == 0);
    if whole && all.0 >= 1000 { 10 } else { 1 }
}

/// The ticks of the axis. The last stands at the end of the cycle, whatever the step.
fn ticks(measure: Measure, all: Tenths) -> Vec<Value> {
    let steps: &[u32] = match measure {
        Measure::Degrees => &DEGREES,
        Measure::Seconds => &SECONDS,
    };
    let widest = steps.last().copied().unwrap_or(all.0);
    let step = steps.iter().copied().find(|step| all.0 / step <= STEPS);
    let step = usize::try_from(step.unwrap_or(widest)).unwrap_or(usize::MAX);
    // A tick too near to the end would print its label over the last one.
    let room = u32::try_from(step).unwrap_or(u32::MAX) / 2;
    let mut at: Vec<u32> = (0..all.0).step_by(step).filter(|at| all.0 - at > room).collect();
    at.push(all.0);
    at.iter()
        .map(|at| {
            let anchor = match *at {
                0 => "start",
                at if at == all.0 => "end",
                _ => "middle",
            };
            json!({ "x": share(*at, all), "label": Tenths(*at).to_string(), "anchor": anchor })
        })
        .collect()
}

fn share(part: u32, all: Tenths) -> String {
    share_of(part, all.0)
}

/// A share of the chart's width, in per cent to a thousandth.
fn share_of(part: u32, all: u32) -> String {
    let all = u64::from(all.max(1));
    let thousandths = (u64::from(part) * 200_000 + all) / (2 * all);
    format!("{}.{:03}%", thousandths / 1000, thousandths % 1000)
}

/// With its first letter in upper case.
fn capital(words: &str) -> String {
    let mut letters = words.chars();
    match letters.next() {
        Some(first) => first.to_uppercase().chain(letters).collect(),
        None => String::new(),
    }
}
