//! The page that asks what can be seen of a stop, and ranks the stops by it.

use super::{Press, alone};
use crate::apart::{LEAST_WORTH, STANDS_OUT, Stops, hundredths, look};
use crate::model::Shows;
use serde_json::{Value, json};

impl Press<'_> {
    /// What the page of a machine prints by itself: what comes first, all its stops, and how it is reckoned.
    pub fn telling(&self, stops: &Stops, root: &str) -> Value {
        let course = self.checked.course();
        let machine = course.machine(&stops.machine);
        let reasons = machine.into_iter().flat_map(|machine| machine.value.at_once.iter());
        let at_once: Vec<Value> = reasons
            .map(|(id, reason)| {
                let signs: Vec<&str> = reason.signs.iter().map(|sign| sign.value.as_str()).collect();
                json!({
                    "id": id.value, "when": self.inline(&reason.when, root), "says": self.inline(&reason.says, root),
                    "call": self.call(&reason.call), "signs": signs.join(" "),
                })
            })
            .collect();
        let first = look(stops, &vec![None; stops.signs.len()]).next.ok();
        let first = first.and_then(|at| {
            let id = &stops.signs[at].id;
            Some(json!({ "id": id, "says": self.sign_says(stops, id, root)? }))
        });
        let centre = course.centre.as_ref();
        let calls: Vec<Value> = ["emergency", "trainer", "qualified"]
            .into_iter()
            .filter(|key| {
                let fact = centre.and_then(|centre| centre.value.fact(&format!("call.{key}")));
                fact.flatten().is_some()
            })
            .map(|key| self.call(key))
            .collect();
        let words = [
            ("shows_always", Some(Shows::Always)),
            ("shows_often", Some(Shows::Often)),
            ("shows_sometimes", Some(Shows::Sometimes)),
            ("apart_not_listed", None),
            ("shows_never", Some(Shows::Never)),
        ];
        let shows: Vec<Value> = words
            .into_iter()
            .map(|(key, shows)| json!({ "word": self.word(key), "hundredths": hundredths(course, shows) }))
            .collect();
        json!({ "apart": {
            "machine": stops.machine,
            "title": machine.map(|machine| machine.value.title.value.as_str()),
            "at_once": at_once,
            "first": first,
            "calls": calls,
            "stops": self.stop_titles(stops),
            "shows": shows,
            "stands_out": STANDS_OUT / 10_000,
            "least_worth": f64::from(LEAST_WORTH) / 1e6,
        } })
    }

    fn sign_says(&self, stops: &Stops, sign: &str, root: &str) -> Option<String> {
        let machine = self.checked.course().machine(&stops.machine)?;
        Some(self.inline(machine.value.signs.get(sign)?, root))
    }

    /// What its script asks and reckons with.
    pub fn telling_data(&self, stops: &Stops, root: &str) -> Value {
        let signs: Vec<Value> = stops
            .signs
            .iter()
            .filter_map(|sign| {
                let says = self.sign_says(stops, &sign.id, root)?;
                Some(json!({ "id": sign.id, "says": says, "alarm": sign.alarm, "shows": sign.shows }))
            })
            .collect();
        json!({
            "standsOut": STANDS_OUT, "leastWorth": LEAST_WORTH, "stops": self.stop_titles(stops), "signs": signs,
            "trainer": self.call("trainer"),
        })
    }

    fn stop_titles(&self, stops: &Stops) -> Vec<Value> {
        let course = self.checked.course();
        let lessons = stops.stops.iter().filter_map(|id| course.lesson(id));
        lessons
            .map(|lesson| {
                let needs = alone::needs(course, lesson).unwrap_or_default();
                json!({ "id": lesson.id, "title": lesson.value.front.title.value, "needs": needs.join(" ") })
            })
            .collect()
    }

    /// The machines that have such a page.
    pub fn telling_pages(&self) -> Vec<Value> {
        let course = self.checked.course();
        let machines = self.stops.iter().filter_map(|stops| course.machine(&stops.machine));
        machines
            .map(|machine| json!({ "id": machine.id, "title": machine.value.title.value }))
            .collect()
    }
}
