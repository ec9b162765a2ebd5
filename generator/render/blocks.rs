//! Typed blocks and questions → the values that templates print.

use super::Press;
use super::prose::inline;
use crate::explore::Class;
use crate::model::{Answer, Ask, Caution, Filed, Kind, Lesson, Procedure, Question, Step, Text, WalkAway};
use crate::safety::Change;
use serde_json::{Map, Value, json};
use std::collections::BTreeSet;

impl Press<'_> {
    pub fn inline(&self, text: &str, root: &str) -> String {
        inline(text, self.checked.course(), root)
    }

    pub fn caution(&self, caution: &Caution, root: &str) -> Value {
        let signal = caution.signal.value;
        json!({
            "id": caution.id.value,
            "again": false,
            "tag": null,
            "signal": signal.word(),
            "word": self.word(&format!("signal_{}", signal.word())),
            "alert": signal.alert(),
            "hazard": self.inline(&caution.hazard, root),
            "harm": self.inline(&caution.harm, root),
            "avoid": self.inline(&caution.avoid, root),
        })
    }

    /// A procedure, with what was proven of it.
    pub fn procedure(&self, lesson: &Filed<Lesson>, procedure: &Procedure, root: &str) -> Value {
        let cautions: Vec<&Caution> = lesson.value.cautions().collect();
        let place = place(&lesson.value, procedure).unwrap_or(0);
        json!({
            "id": procedure_anchor(&lesson.id, place),
            "title": procedure.title.value,
            "steps": self.steps(&procedure.steps, &cautions, 1, root),
            "proof": self.proof(lesson, procedure),
            "before": self.before(lesson),
            // In an emergency what is long comes after what one does: what was proven, and the rest of each caution.
            "urgent": lesson.value.front.kind.value == Kind::Emergency,
        })
    }

    /// What was proven of a procedure, in words; null where nothing was.
    pub fn proof(&self, lesson: &Filed<Lesson>, procedure: &Procedure) -> Value {
        let place = place(&lesson.value, procedure);
        let Some(proof) = place.and_then(|place| self.checked.proofs().of(&lesson.id, place)) else {
            return Value::Null;
        };
        let skips: Vec<&Change> = proof.skips.iter().collect();
        // Within one written step nobody takes the acts for steps of their own, unless it hurts.
        let apart = |swap: &&Change| {
            let within = swap.before.as_ref().is_some_and(|(number, _)| *number == swap.step);
            !within || swap.class == Some(Class::Hurts)
        };
        let swaps: Vec<&Change> = proof.swaps.iter().filter(apart).collect();
        json!({
            "starts": proof.starts.to_string(),
            "lists": [
                { "title": self.word("skips_title"), "lead": self.word("skips_lead"), "changes": self.changes(&skips, true), "rules": broken(&skips) },
                { "title": self.word("swaps_title"), "lead": self.word("swaps_lead"), "changes": self.changes(&swaps, false), "rules": broken(&swaps) },
            ],
        })
    }

    /// What changes to a procedure come to, those apart that only break a rule; `all` keeps what makes no difference.
    fn changes(&self, changes: &[&Change], all: bool) -> Vec<Value> {
        changes
            .iter()
            .filter(|change| change.class != Some(Class::BreaksRule) && (all || change.class.is_some()))
            .map(|change| {
                let mut value = act(change);
                value["kind"] = change.word().into();
                value["word"] = self.word(&format!("skip_{}", change.word())).into();
                value["story"] = change.story.join(" ").into();
                value
            })
            .collect()
    }

    /// Steps, numbered from `first`. `cautions` are those that they may name, in the order of their letters.
    pub fn steps(&self, steps: &[Step], cautions: &[&Caution], first: usize, root: &str) -> Vec<Value> {
        let lettered = self.lettered(cautions, root);
        let mut told = BTreeSet::new();
        steps
            .iter()
            .enumerate()
            .map(|(index, step)| {
                // Before its first step a caution stands whole; before the others in one bar that opens.
                let named: Vec<Value> = step
                    .cautions
                    .iter()
                    .filter_map(|id| {
                        let at = cautions.iter().position(|caution| caution.id == *id)?;
                        let mut caution = lettered.get(at)?.clone();
                        caution["again"] = (!told.insert(at)).into();
                        caution["tag"] = caution["letter"].clone();
                        Some(caution)
                    })
                    .collect();
                json!({
                    "n": first + index,
                    "says": self.inline(&step.says, root),
                    "because": step.because.as_ref().map(|because| self.inline(because, root)),
                    "law": step.law.iter().map(|law| law.value.as_str()).collect::<Vec<_>>(),
                    "inside": step.inside,
                    "not_staged": step.not_staged,
                    "modelled": step.acts.is_some(),
                    "cautions": named,
                })
            })
            .collect()
    }

    /// Cautions with a letter each, by which a step can name one in the room that a sheet of paper leaves.
    pub fn lettered(&self, cautions: &[&Caution], root: &str) -> Vec<Value> {
        cautions
            .iter()
            .enumerate()
            .map(|(index, caution)| {
                let mut value = self.caution(caution, root);
                value["letter"] = letter(index).into();
                value
            })
            .collect()
    }

    /// A caution where a lesson has it, with the letter by which steps name it; those that no step names have none.
    pub fn caution_block(&self, lesson: &Filed<Lesson>, caution: &Caution, root: &str) -> Value {
        let mut value = self.caution(caution, root);
        let mut steps = lesson.value.procedures().flat_map(|(_, procedure)| &procedure.steps);
        if steps.any(|step| step.cautions.contains(&caution.id)) {
            let at = lesson.value.cautions().position(|other| other.id == caution.id);
            value["tag"] = json!(at.map(letter));
        }
        value
    }

    pub fn ask(&self, lesson: &Filed<Lesson>, ask: &Ask, root: &str) -> Value {
        let question = &ask.question;
        let texts = self.question(question, root);
        // Without script nothing is shuffled. By the alphabet, the order tells nothing of steps and pairs.
        let mut shown: Vec<String> = question
            .answer
            .columns()
            .last()
            .into_iter()
            .flatten()
            .map(|text| self.inline(text, root))
            .collect();
        shown.sort();
        json!({
            "id": ask.id.value,
            "lesson": lesson.id,
            "kind": question.answer.word(),
            "stem": texts["stem"],
            "drawing": self.drawing(question),
            "left": texts["left"].as_object().map(|left| left.values().collect::<Vec<_>>()),
            "shown": shown,
            "unit": texts["unit"],
        })
    }

    /// A question's texts as the scripts read them: what is shown in a drawn order is `shown`, the left side of pairs is `left`.
    pub fn question(&self, question: &Question, root: &str) -> Value {
        let by_id = |texts: Vec<&Text>| -> Map<String, Value> {
            let keys = question.answer.ids().into_iter().map(|id| id.value.clone());
            keys.zip(texts.into_iter().map(|text| self.inline(text, root).into()))
                .collect()
        };
        let mut texts = json!({
            "stem": self.inline(&question.stem, root),
            "because": self.inline(&question.because, root),
        });
        let mut columns = question.answer.columns();
        if let Some(shown) = columns.pop() {
            texts["shown"] = by_id(shown).into();
        }
        if let Some(left) = columns.pop() {
            texts["left"] = by_id(left).into();
        }
        if let Answer::Numeric { unit, .. } = &question.answer {
            texts["unit"] = unit.value.as_str().into();
        }
        if let Some(name) = &question.drawing {
            texts["drawing"] = name.value.as_str().into();
        }
        texts
    }

    /// The drawing shown with a question, as it stands in a page.
    pub fn drawing(&self, question: &Question) -> Option<&str> {
        let drawing = self.checked.course().drawing(question.drawing.as_ref()?)?;
        // One that cannot be printed is a finding, so a checked course's question has none.
        Some(&drawing.content.as_ref().ok()?.svg)
    }

    pub fn walk_away(&self, walk_away: &WalkAway, root: &str) -> Value {
        json!({
            "when": walk_away.when.iter().map(|when| self.inline(when, root)).collect::<Vec<_>>(),
            "call": self.call(&walk_away.call),
        })
    }

    /// The lessons that nobody should have to look for.
    pub fn emergencies(&self) -> Vec<Value> {
        let lessons = self.checked.course().lessons.iter();
        lessons
            .filter(|lesson| lesson.value.front.kind.value == Kind::Emergency)
            .map(|lesson| self.lesson_ref(lesson))
            .collect()
    }

    /// Everybody whom the centre says to call, in its own order.
    pub fn calls(&self) -> Vec<Value> {
        let centre = self.checked.course().centre.iter();
        centre
            .flat_map(|centre| centre.value.call.keys())
            .map(|key| self.call(key))
            .filter(|call| !call["words"].is_null())
            .collect()
    }

    /// Somebody to call: the number apart, where the centre's words begin with one. Who has no word in the theme is called by the centre's own key.
    pub fn call(&self, key: &str) -> Value {
        let centre = self.checked.course().centre.as_ref();
        let words = centre
            .and_then(|centre| centre.value.fact(&format!("call.{key}")))
            .flatten();
        let known = format!("call_{key}");
        let label = self.words.get(&known).map_or_else(
            || {
                let mut letters = key.chars();
                let first: String = letters.next().into_iter().flat_map(char::to_uppercase).collect();
                (first + letters.as_str()).replace('-', " ")
            },
            String::clone,
        );
        let number = words.and_then(number);
        let rest = words
            .zip(number)
            .map(|(words, number)| words[number.len()..].trim_start_matches([' ', ',', ';', ':']));
        let short = number.or(words);
        json!({ "key": key, "label": label, "words": words, "number": number, "rest": rest, "short": short })
    }

    /// What a page by which a machine is locked out says before anything else; null elsewhere.
    pub fn before(&self, lesson: &Filed<Lesson>) -> Value {
        let front = &lesson.value.front;
        let (Some(centre), Some(machine), true) =
            (&self.checked.course().centre, &front.machine, lesson.value.locks_out())
        else {
            return Value::Null;
        };
        let calls = ["emergency", "trainer", "qualified"].map(|key| self.call(key));
        json!({
            "lockout_procedure": centre.value.lockout_procedure.value,
            "isolation": self.isolation(machine),
            "calls": calls,
        })
    }

    /// Where this centre cuts a machine off.
    pub fn isolation(&self, machine: &str) -> Vec<Value> {
        let centre = self.checked.course().centre.as_ref();
        let points = centre.and_then(|centre| centre.value.isolation.get(machine));
        points
            .into_iter()
            .flatten()
            .map(|point| json!({ "point": point.point.value, "where": point.place.value, "shuts": point.shuts.value }))
            .collect()
    }
}

/// The longest that is shown large: more would not stand in one line of a telephone.
const NUMBER_LETTERS: usize = 24;

/// What is dialled, where the words begin with it: all before the first bracket, comma, semicolon or colon, if that is short, ends
/// in a figure and has one word at most. Nothing is picked out of the middle of a sentence, where a figure may count lanes.
fn number(words: &str) -> Option<&str> {
    let first = words.split(['(', ',', ';', ':']).next()?.trim_end();
    let figure = |letter: char| letter.is_ascii_digit();
    let plain = first.split_whitespace().filter(|word| !word.contains(figure)).count();
    let short = first.chars().count() <= NUMBER_LETTERS;
    (short && plain <= 1 && first.ends_with(figure)).then_some(first)
}

/// Which of a lesson's procedures this is.
fn place(lesson: &Lesson, procedure: &Procedure) -> Option<usize> {
    lesson
        .procedures()
        .position(|(_, other)| std::ptr::eq(other, procedure))
}

/// Where a lesson's page has a procedure. The lesson's id is in it, since one page shows procedures of two.
pub fn procedure_anchor(lesson: &str, place: usize) -> String {
    format!("steps-{lesson}-{}", place + 1)
}

/// An act that is left out, or done too late.
fn act(change: &Change) -> Value {
    json!({
        "n": change.step,
        "act": change.act,
        "before": change.before.as_ref().map(|(number, act)| json!({ "n": number, "act": act })),
    })
}

/// The changes that break a rule and do nothing worse, by rule in the order in which they come.
fn broken(changes: &[&Change]) -> Vec<Value> {
    let mut rules: Vec<(String, Vec<Value>)> = Vec::new();
    for change in changes.iter().filter(|change| change.class == Some(Class::BreaksRule)) {
        let says = change.story.join(" ");
        match rules.iter_mut().find(|(known, _)| *known == says) {
            Some((_, acts)) => acts.push(act(change)),
            None => rules.push((says, vec![act(change)])),
        }
    }
    rules
        .into_iter()
        .map(|(says, acts)| json!({ "says": says, "acts": acts }))
        .collect()
}

/// A, B, …, Z, AA, AB, …
pub fn letter(index: usize) -> String {
    let (before, last) = (index / 26, index % 26);
    let last = char::from(b'A' + u8::try_from(last).unwrap_or(0));
    match before.checked_sub(1) {
        None => last.to_string(),
        Some(before) => format!("{}{last}", letter(before)),
    }
}

#[cfg(test)]
mod tests {
    use super::number;

    #[test]
    fn a_number_to_call_is_what_the_words_begin_with() {
        for (words, found) in [
            ("extension 11 (demo) for the emergency line", Some("extension 11")),
            ("911; say the street first", Some("911")),
            ("112", Some("112")),
            ("+44 20 7946 0000, day and night", Some("+44 20 7946 0000")),
            ("the desk, on channel 4", None),
            ("your local emergency number", None),
            ("from lane 3 to lane 18 call the desk", None),
            ("phone at lane 12 (911)", None),
            ("", None),
        ] {
            assert_eq!(number(words), found, "{words}");
        }
    }
}
