//! Pocket cards: how a stop is known and what can hurt there, and what is done at once. They remind; none holds a procedure.

use super::Press;
use crate::model::{Caution, Filed, Kind, Lesson, Machine};
use serde_json::{Value, json};
use std::collections::BTreeSet;

/// Width of a code's module on a card, which is held close to a telephone, in hundredths of a millimetre.
const ON_CARD: usize = 42;

impl<'a> Press<'a> {
    /// The machines that have stops to carry on cards.
    pub fn carded(&self) -> impl Iterator<Item = &'a Filed<Machine>> + use<'a> {
        let course = self.checked.course();
        let has_stop = |machine: &&Filed<Machine>| course.lessons.iter().any(|lesson| is_stop_of(lesson, &machine.id));
        course.machines.iter().filter(has_stop)
    }
}

/// Whether a lesson is about a stop of a machine.
pub fn is_stop_of(lesson: &Filed<Lesson>, machine: &str) -> bool {
    let front = &lesson.value.front;
    front.kind.value == Kind::Stop && front.machine.as_ref().is_some_and(|id| id.value == machine)
}

impl Press<'_> {
    /// The cards of a machine: what is done at once, where it is cut off, then a card for each stop in the outline's order.
    pub fn cards(&self, machine: &Filed<Machine>, root: &str) -> Value {
        let course = self.checked.course();
        let told_apart = self.stops.iter().any(|stops| stops.machine == machine.id);
        let apart = if told_apart {
            self.code(&format!("apart/{}.html", machine.id), ON_CARD)
        } else {
            Value::Null
        };
        let reasons = machine.value.at_once.iter().map(|(_, reason)| {
            json!({
                "when": self.inline(&reason.when, root), "says": self.inline(&reason.says, root),
                "call": self.call(&reason.call), "code": apart,
            })
        });
        let mut stops: Vec<&Filed<Lesson>> = course
            .lessons
            .iter()
            .filter(|lesson| is_stop_of(lesson, &machine.id))
            .collect();
        let order = self.order();
        stops.sort_by_key(|lesson| order.iter().position(|id| *id == lesson.id));
        let lockout = self.walled().find(|lesson| {
            let of = lesson.value.front.machine.as_ref();
            of.is_some_and(|id| id.value == machine.id)
        });
        let way = lockout.map(|lesson| self.code(&format!("lesson/{}.html", lesson.id), ON_CARD));
        json!({ "cards": {
            "machine": machine.value.title.value,
            "edition": lockout.map(|lesson| lesson.value.front.edition.value),
            "lockout_procedure": self.lockout_procedure(),
            "at_once": reasons.collect::<Vec<_>>(),
            "isolation": self.isolation(&machine.id),
            "isolation_code": way,
            "stops": stops.into_iter().map(|lesson| self.stop_card(lesson, machine, root)).collect::<Vec<_>>(),
        } })
    }

    /// The centre's written lockout procedure, where it is filled in.
    fn lockout_procedure(&self) -> Option<&str> {
        let centre = self.checked.course().centre.as_ref()?;
        centre.value.fact("lockout-procedure").flatten()
    }

    fn stop_card(&self, lesson: &Filed<Lesson>, machine: &Filed<Machine>, root: &str) -> Value {
        let front = &lesson.value.front;
        let signs: Vec<Value> = ["always", "often", "sometimes"]
            .into_iter()
            .filter_map(|word| {
                let shown = front.signs.iter().filter(|(_, shows)| shows.value.word() == word);
                let says: Vec<String> = shown
                    .filter_map(|(id, _)| Some(self.inline(machine.value.signs.get(id)?, root)))
                    .collect();
                (!says.is_empty()).then(|| json!({ "shows": self.word(&format!("shows_{word}")), "says": says }))
            })
            // What shows only now and then stands in the lesson: a card reminds of what it is known by.
            .take(2)
            .collect();
        // The worst first; within a signal word, in the order of the lesson.
        let mut cautions: Vec<&Caution> = lesson.value.cautions().collect();
        cautions.sort_by_key(|caution| caution.signal.value);
        let hazards: Vec<Value> = cautions
            .chunk_by(|one, other| one.signal.value == other.signal.value)
            .map(|alike| {
                let value = self.caution(alike[0], root);
                let says = alike.iter().map(|caution| self.inline(&caution.hazard, root));
                json!({ "signal": value["signal"], "word": value["word"], "says": says.collect::<Vec<_>>() })
            })
            .collect();
        let named: BTreeSet<&str> = lesson.value.walk_aways().map(|one| one.call.value.as_str()).collect();
        let calls: Vec<Value> = ["trainer", "qualified"]
            .into_iter()
            .chain(
                named
                    .into_iter()
                    .filter(|key| !["trainer", "qualified", "emergency"].contains(key)),
            )
            .map(|key| self.call(key))
            .filter(|call| !call["words"].is_null())
            .collect();
        let code = self.code(&format!("lesson/{}.html", lesson.id), ON_CARD);
        json!({
            "id": lesson.id, "title": front.title.value, "edition": front.edition.value, "hands_on": front.hands_on,
            "signs": signs, "hazards": hazards, "calls": calls,
            "code": code,
        })
    }

    /// The lessons' ids in the order of the outline.
    fn order(&self) -> Vec<&str> {
        let modules = self
            .checked
            .course()
            .outline
            .iter()
            .flat_map(|outline| &outline.value.modules);
        modules
            .flat_map(|module| module.lessons.iter().map(|id| id.value.as_str()))
            .collect()
    }
}
