//! Drills: their pages, and the words and drawings that the scripts show.

use super::Press;
use crate::model::{Drill, Filed, Machine};
use serde_json::{Map, Value, json};

impl Press<'_> {
    /// What a drill's page says before it begins.
    pub fn drill(&self, drill: &Filed<Drill>) -> Value {
        let value = &drill.value;
        json!({
            "id": drill.id,
            "title": value.title.value,
            "edition": value.edition.value,
            "machine": value.machine.value,
            "competencies": self.competencies(value.competencies.iter().map(|id| id.value.as_str())),
            "lessons": self.lessons_clearing(drill),
        })
    }

    /// The lessons with a procedure that clears a drill.
    fn lessons_clearing(&self, drill: &Filed<Drill>) -> Vec<Value> {
        let lessons = self.checked.course().lessons.iter();
        lessons
            .filter(|lesson| {
                let clears = |one: &crate::model::Procedure| one.clears.as_ref().is_some_and(|id| id.value == drill.id);
                lesson.value.procedures().any(|(_, one)| clears(one))
            })
            .map(|lesson| json!({ "id": lesson.id, "title": lesson.value.front.title.value }))
            .collect()
    }

    /// What a run of a drill shows: the call, and the way that par takes from each start.
    pub fn drill_words(&self, drill: &Filed<Drill>, root: &str) -> Value {
        let proof = self.checked.proofs().drills.iter().find(|proof| proof.id == drill.id);
        // Many starts have the same way, which is given once.
        let mut ways = Vec::new();
        let of: Vec<usize> = proof
            .iter()
            .flat_map(|proof| &proof.ways)
            .map(|way| {
                ways.iter().position(|known| *known == way).unwrap_or_else(|| {
                    ways.push(way);
                    ways.len() - 1
                })
            })
            .collect();
        json!({
            "report": self.inline(&drill.value.report, root),
            "ways": ways,
            "wayOf": of,
            "lessons": self.lessons_clearing(drill),
        })
    }

    /// A machine in words and drawings.
    pub fn machine_words(&self, machine: &Filed<Machine>, root: &str) -> Value {
        let value = &machine.value;
        let texts = |all: Vec<(&str, Value)>| -> Map<String, Value> {
            all.into_iter().map(|(id, says)| (id.to_owned(), says)).collect()
        };
        let views: Vec<Value> = value
            .views
            .iter()
            .map(|(id, view)| {
                let drawing = self.checked.course().drawing(&view.drawing);
                json!({
                    "id": id.value,
                    "says": self.inline(&view.says, root),
                    "otherwise": view.otherwise.as_ref().map(|text| self.inline(text, root)),
                    "from": view.from.iter().map(|place| place.value.as_str()).collect::<Vec<_>>(),
                    "svg": drawing.and_then(|drawing| Some(drawing.content.as_ref().ok()?.svg.as_str())),
                })
            })
            .collect();
        let spots: Vec<Value> = value
            .spots
            .values()
            .map(|spot| {
                let acts: Vec<&str> = spot.acts.iter().map(|act| act.value.as_str()).collect();
                json!({ "says": self.inline(&spot.says, root), "acts": acts })
            })
            .collect();
        let places = value.places.iter();
        let places = places.map(|(id, place)| {
            let says = json!({ "says": self.inline(&place.says, root), "inside": place.inside });
            (id.value.as_str(), says)
        });
        let acts = value.actions.iter().map(|(id, action)| {
            let index = action.each.keys().next().map(|key| key.value.as_str());
            let says = json!({ "says": self.inline(&action.says, root), "index": index });
            (id.value.as_str(), says)
        });
        let happenings = |all: &crate::model::Keyed<crate::model::Reaction>| -> Map<String, Value> {
            let says = all.iter();
            says.map(|(id, one)| (id.value.clone(), self.inline(&one.says, root).into()))
                .collect()
        };
        let hazards = value.hazards.iter().map(|(id, hazard)| {
            let says = json!({
                "harm": self.inline(&hazard.harm, root),
                "severity": hazard.severity.value.word(),
                "source": hazard.source.as_ref().map(|source| self.inline(source, root)),
            });
            (id.value.as_str(), says)
        });
        let rules = value.rules.iter().map(|(id, rule)| {
            let says = json!({
                "says": rule.says.as_ref().map(|says| self.inline(says, root)),
                "source": self.inline(&rule.source, root),
            });
            (id.value.as_str(), says)
        });
        let tells = value.tells.iter().map(|(name, clauses)| {
            let clauses: Map<String, Value> = clauses
                .iter()
                .map(|(value, clause)| (value.value.clone(), self.inline(clause, root).into()))
                .collect();
            (name.value.as_str(), clauses.into())
        });
        json!({
            "title": value.title.value,
            "places": texts(places.collect()),
            "views": views,
            "spots": spots,
            "acts": texts(acts.collect()),
            "reactions": happenings(&value.reactions),
            "others": happenings(&value.others),
            "hazards": texts(hazards.collect()),
            "rules": texts(rules.collect()),
            "tells": texts(tells.collect()),
        })
    }
}
