//! The sheets that are printed: the job sheet, what a trainer ticks while watching, and how a stop is staged.

use super::Press;
use super::pages::has_sheet;
use crate::marking::Competency;
use crate::model::{Caution, Filed, Lesson, Staging, Step};
use serde_json::{Value, json};

/// Whom the centre calls the trainer.
const TRAINER: &str = "trainer";

/// What is typed after the command that enters a performance: one that went well, and one with a prompt and a step not met, of the
/// steps that come up when it is staged.
fn entries(real: u32, steps: &[&Step]) -> Vec<String> {
    let numbered = || steps.iter().zip(1usize..);
    let well = if real == 0 { "--staged --met" } else { "--real --met" };
    // Two steps that the sheet has, and that come up.
    let seen: Vec<usize> = numbered()
        .filter(|(step, _)| !step.not_staged)
        .map(|(_, number)| number)
        .collect();
    let prompted = seen.get(seen.len() / 3);
    let not_met = seen.last().filter(|last| Some(*last) != prompted);
    let named = [(prompted, "prompted"), (not_met, "not-met")];
    let named: Vec<String> = named
        .into_iter()
        .filter_map(|(number, how)| number.map(|number| format!(" --step {number}={how}")))
        .collect();
    vec![well.to_owned(), format!("--staged{}", named.concat())]
}

impl<'a> Press<'a> {
    /// Competencies with steps to be watched, and the lessons that have those steps.
    pub fn witnessed(&self) -> impl Iterator<Item = (&'a Competency, &'a Filed<Lesson>)> + use<'a> {
        let checked = self.checked;
        checked.marking().competencies.iter().filter_map(|competency| {
            let sheet = competency.sheet.as_ref()?;
            Some((competency, checked.course().lesson(&sheet.lesson)?))
        })
    }
}

impl Press<'_> {
    /// The steps of a lesson with all of its cautions, on one sheet.
    pub fn sheet(&self, lesson: &Filed<Lesson>, root: &str) -> Value {
        let cautions: Vec<&Caution> = lesson.value.cautions().collect();
        let mut values = self.lesson(lesson, root);
        values["procedures"] = lesson
            .value
            .procedures()
            .map(|(_, procedure)| self.procedure(lesson, procedure, root))
            .collect::<Vec<_>>()
            .into();
        values["cautions"] = self.lettered(&cautions, root).into();
        values["walk_away"] = self.walk_aways(lesson, root).into();
        values
    }

    /// The same steps with boxes to tick. They are numbered through, as the command that enters them counts them.
    pub fn witness(&self, competency: &Competency, lesson: &Filed<Lesson>, root: &str) -> Value {
        let cautions: Vec<&Caution> = lesson.value.cautions().collect();
        let mut first = 1;
        let mut parts = Vec::new();
        for (_, procedure) in lesson.value.procedures() {
            let steps = self.steps(&procedure.steps, &cautions, first, root);
            first += steps.len();
            let proof = self.proof(lesson, procedure);
            parts.push(json!({ "title": procedure.title.value, "steps": steps, "proof": proof }));
        }
        let mut values = self.lesson(lesson, root);
        values["competency"] = json!({
            "id": competency.id,
            "says": competency.says,
            "times": competency.witnessed.times,
            "real": competency.witnessed.real,
        });
        values["cautions"] = self.lettered(&cautions, root).into();
        values["unseen"] = parts
            .iter()
            .flat_map(|part| part["steps"].as_array().into_iter().flatten())
            .any(|step| step["not_staged"] == true)
            .into();
        values["parts"] = parts.into();
        let steps = lesson.value.procedures().flat_map(|(_, procedure)| &procedure.steps);
        values["entries"] = entries(competency.witnessed.real, &steps.collect::<Vec<_>>()).into();
        values
    }

    /// How a trainer sets the stop of a lesson up, and takes it back.
    pub fn staging(&self, lesson: &Filed<Lesson>, staging: &Staging, root: &str) -> Value {
        let named = |caution: &&Caution| {
            let mut steps = staging.steps.iter().chain(&staging.undo);
            steps.any(|step| step.cautions.contains(&caution.id))
        };
        // Its own cautions first: they are about what only staging brings.
        let cautions: Vec<&Caution> = staging
            .cautions
            .iter()
            .chain(lesson.value.cautions().filter(named))
            .collect();
        let texts = |texts: &[crate::model::Text]| -> Vec<String> {
            texts.iter().map(|text| self.inline(text, root)).collect()
        };
        let steps = |steps: &[Step]| self.steps(steps, &cautions, 1, root);
        let mut values = self.lesson(lesson, root);
        values["staging"] = json!({
            "tell": texts(&staging.tell),
            "needs": texts(&staging.needs),
            "not_when": texts(&staging.not_when),
            "steps": steps(&staging.steps),
            "undo": steps(&staging.undo),
        });
        values["cautions"] = self.lettered(&cautions, root).into();
        // Who reads this is the trainer: there is no other to call.
        let mut leaving = self.walk_aways(lesson, root);
        for block in &mut leaving {
            if block["call"]["key"] == TRAINER {
                block["call"] = self.call("qualified");
                block["yours"] = true.into();
            }
        }
        values["walk_away"] = leaving.into();
        if let Some(calls) = values["before"].get_mut("calls").and_then(Value::as_array_mut) {
            calls.retain(|call| call["key"] != TRAINER);
        }
        values
    }

    pub fn walk_aways(&self, lesson: &Filed<Lesson>, root: &str) -> Vec<Value> {
        let blocks = lesson.value.walk_aways();
        blocks.map(|block| self.walk_away(block, root)).collect()
    }

    /// All sheets, for the page that lists them.
    pub fn for_trainers(&self) -> Value {
        let lessons = || self.checked.course().lessons.iter();
        let titled = |lesson: &Filed<Lesson>| json!({ "id": lesson.id, "title": lesson.value.front.title.value });
        json!({
            "witness": lessons()
                .flat_map(|lesson| self.witnessed().filter(|(_, shown)| shown.id == lesson.id))
                .map(|(competency, lesson)| json!({ "id": competency.id, "title": lesson.value.front.title.value }))
                .collect::<Vec<_>>(),
            "staging": lessons()
                .filter(|lesson| lesson.value.stagings().next().is_some())
                .map(titled)
                .collect::<Vec<_>>(),
            "cards": self.carded().map(|one| json!({ "id": one.id, "title": one.value.title.value })).collect::<Vec<_>>(),
            "walls": self.walled().map(titled).collect::<Vec<_>>(),
            "labels": self.web_address().is_some(),
            "sheets": lessons().filter(|lesson| has_sheet(lesson)).map(titled).collect::<Vec<_>>(),
        })
    }
}
