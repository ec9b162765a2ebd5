//! Typed blocks and questions → the values that templates print.

use super::Press;
use super::prose::inline;
use crate::model::{Answer, Ask, Caution, Filed, Lesson, Procedure, Step, WalkAway};
use serde_json::{Value, json};

impl Press<'_> {
    pub fn inline(&self, text: &str, root: &str) -> String {
        inline(text, self.checked.course(), root)
    }

    pub fn caution(&self, caution: &Caution, root: &str) -> Value {
        let signal = caution.signal.value;
        json!({
            "id": caution.id.value,
            "signal": signal.word(),
            "word": self.word(&format!("signal_{}", signal.word())),
            "alert": signal.alert(),
            "hazard": self.inline(&caution.hazard, root),
            "harm": self.inline(&caution.harm, root),
            "avoid": self.inline(&caution.avoid, root),
        })
    }

    pub fn procedure(&self, lesson: &Filed<Lesson>, procedure: &Procedure, root: &str) -> Value {
        let cautions: Vec<&Caution> = lesson.value.cautions().collect();
        json!({
            "title": procedure.title.value,
            "steps": self.steps(&procedure.steps, &cautions, 1, root),
            // No machine model stands behind a procedure yet, and the page says so.
            "proven": false,
            "before": self.before(lesson),
        })
    }

    /// Steps, numbered from `first`. `cautions` are those that they may name, in the order of their letters.
    pub fn steps(&self, steps: &[Step], cautions: &[&Caution], first: usize, root: &str) -> Vec<Value> {
        let lettered = self.lettered(cautions, root);
        steps
            .iter()
            .enumerate()
            .map(|(index, step)| {
                let named: Vec<&Value> = step
                    .cautions
                    .iter()
                    .filter_map(|id| lettered.get(cautions.iter().position(|caution| caution.id == *id)?))
                    .collect();
                json!({
                    "n": first + index,
                    "says": self.inline(&step.says, root),
                    "because": step.because.as_ref().map(|because| self.inline(because, root)),
                    "law": step.law.iter().map(|law| law.value.as_str()).collect::<Vec<_>>(),
                    "inside": step.inside,
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

    pub fn ask(&self, lesson: &Filed<Lesson>, ask: &Ask, root: &str) -> Value {
        let question = &ask.question;
        let (kind, options, unit) = match &question.answer {
            Answer::Choice { options, .. } => {
                let options: Vec<Value> = options
                    .iter()
                    .map(|(id, says)| json!({ "id": id.value, "says": self.inline(says, root) }))
                    .collect();
                ("choice", options, None)
            }
            Answer::Numeric { unit, .. } => ("numeric", Vec::new(), Some(unit.value.as_str())),
        };
        json!({
            "id": ask.id.value,
            "lesson": lesson.id,
            "kind": kind,
            "stem": self.inline(&question.stem, root),
            "options": options,
            "unit": unit,
        })
    }

    pub fn walk_away(&self, walk_away: &WalkAway, root: &str) -> Value {
        json!({
            "when": walk_away.when.iter().map(|when| self.inline(when, root)).collect::<Vec<_>>(),
            "call": self.call(&walk_away.call),
        })
    }

    fn call(&self, key: &str) -> Value {
        let centre = self.checked.course().centre.as_ref();
        let words = centre
            .and_then(|centre| centre.value.fact(&format!("call.{key}")))
            .flatten();
        json!({ "key": key, "words": words })
    }

    /// What a hands-on page says before anything else; null elsewhere.
    pub fn before(&self, lesson: &Filed<Lesson>) -> Value {
        let front = &lesson.value.front;
        let (Some(centre), Some(machine), true) = (&self.checked.course().centre, &front.machine, front.hands_on)
        else {
            return Value::Null;
        };
        let isolation: Vec<Value> = centre
            .value
            .isolation
            .get(machine)
            .into_iter()
            .flatten()
            .map(|point| json!({ "point": point.point.value, "where": point.place.value, "shuts": point.shuts.value }))
            .collect();
        let calls = ["emergency", "trainer", "qualified"].map(|key| self.call(key));
        json!({
            "lockout_procedure": centre.value.lockout_procedure.value,
            "isolation": isolation,
            "calls": calls,
        })
    }
}

/// A, B, …, Z, AA, AB, …
fn letter(index: usize) -> String {
    let (before, last) = (index / 26, index % 26);
    let last = char::from(b'A' + u8::try_from(last).unwrap_or(0));
    match before.checked_sub(1) {
        None => last.to_string(),
        Some(before) => format!("{}{last}", letter(before)),
    }
}
