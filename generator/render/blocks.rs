//! Typed blocks and questions → the values that templates print.

use super::Press;
use super::prose::inline;
use crate::model::{Answer, Ask, Caution, Filed, Id, Lesson, Procedure, WalkAway};
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
        let steps: Vec<Value> = procedure
            .steps
            .iter()
            .enumerate()
            .map(|(index, step)| {
                let cautions: Vec<Value> = step
                    .cautions
                    .iter()
                    .filter_map(|id| self.named_caution(lesson, id, root))
                    .collect();
                json!({
                    "n": index + 1,
                    "says": self.inline(&step.says, root),
                    "because": step.because.as_ref().map(|because| self.inline(because, root)),
                    "law": step.law.iter().map(|law| law.value.as_str()).collect::<Vec<_>>(),
                    "inside": step.inside,
                    "cautions": cautions,
                })
            })
            .collect();
        json!({
            "title": procedure.title.value,
            "steps": steps,
            // No machine model stands behind a procedure yet, and the page says so.
            "proven": false,
            "before": self.before(lesson),
        })
    }

    fn named_caution(&self, lesson: &Filed<Lesson>, id: &Id, root: &str) -> Option<Value> {
        let caution = lesson.value.cautions().find(|caution| caution.id == *id)?;
        Some(self.caution(caution, root))
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
