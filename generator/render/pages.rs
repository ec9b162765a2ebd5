//! The pages of a course, each a job that can run beside the others.

use super::cards::is_stop_of;
use super::wall::has_wall;
use super::{Press, alone, body, parts};
use crate::apart::Stops;
use crate::glossary;
use crate::marking::Competency;
use crate::model::{Bank, Course, Drill, Filed, Kind, Lesson, Machine, Module, Scenario, Shows, Staging};
use crate::source::Sources;
use crate::theme::{Theme, ThemeError};
use serde_json::{Value, json};
use std::collections::HashMap;

/// One page.
pub enum Job<'a> {
    Index,
    Record,
    About,
    Glossary,
    Find,
    /// Practice questions whose day has come again.
    Again,
    /// What pages are built from, for whoever keeps the course.
    Parts,
    Store,
    Lesson(&'a Filed<Lesson>),
    Sheet(&'a Filed<Lesson>),
    /// What a trainer ticks while watching, and the lesson whose steps it lists.
    Witness(&'a Competency, &'a Filed<Lesson>),
    Staging(&'a Filed<Lesson>, &'a Staging),
    /// Cards for the pocket: the stops of a machine.
    Cards(&'a Filed<Machine>),
    /// A lockout, large, for the wall.
    Wall(&'a Filed<Lesson>),
    /// Labels with codes, where the course has an address that they can hold.
    Labels,
    Bank(&'a Filed<Bank>),
    Scenario(&'a Filed<Scenario>),
    Drill(&'a Filed<Drill>),
    /// What tells the stops of a machine apart.
    Apart(Stops),
}

/// Where a lesson stands in the outline.
pub struct Place<'a> {
    module: &'a Module,
    /// The next lesson, in the next module where this one ends.
    then: Option<&'a str>,
}

/// The place of every lesson that the outline names.
pub fn places(course: &Course) -> HashMap<&str, Place<'_>> {
    let modules = course.outline.iter().flat_map(|outline| &outline.value.modules);
    let order: Vec<(&Module, &str)> = modules
        .flat_map(|module| module.lessons.iter().map(move |id| (module, id.value.as_str())))
        .collect();
    let then = order.iter().skip(1).map(|(_, id)| Some(*id)).chain([None]);
    let mut places = HashMap::new();
    for ((module, id), then) in order.iter().zip(then) {
        places.entry(*id).or_insert(Place { module, then });
    }
    places
}

/// All pages of a course.
pub fn jobs<'a>(press: &Press<'a>) -> Vec<Job<'a>> {
    let course = press.checked.course();
    let mut jobs = vec![
        Job::Index,
        Job::Record,
        Job::About,
        Job::Glossary,
        Job::Find,
        Job::Again,
        Job::Parts,
        Job::Store,
    ];
    jobs.extend(course.lessons.iter().map(Job::Lesson));
    jobs.extend(course.lessons.iter().filter(|lesson| has_sheet(lesson)).map(Job::Sheet));
    jobs.extend(
        press
            .witnessed()
            .map(|(competency, lesson)| Job::Witness(competency, lesson)),
    );
    jobs.extend(
        course
            .lessons
            .iter()
            .filter_map(|lesson| Some(Job::Staging(lesson, lesson.value.stagings().next()?.1))),
    );
    jobs.extend(press.carded().map(Job::Cards));
    jobs.extend(press.walled().map(Job::Wall));
    jobs.extend(press.web_address().map(|_| Job::Labels));
    jobs.extend(course.banks.iter().map(Job::Bank));
    jobs.extend(course.scenarios.iter().map(Job::Scenario));
    jobs.extend(course.drills.iter().map(Job::Drill));
    jobs.extend(press.stops.iter().cloned().map(Job::Apart));
    jobs
}

/// Whether a lesson has steps to print.
pub fn has_sheet(lesson: &Filed<Lesson>) -> bool {
    lesson.value.procedures().next().is_some()
}

impl Job<'_> {
    /// The page's path and bytes.
    pub fn run(&self, press: &Press<'_>, sources: &Sources, theme: &Theme) -> Result<(String, Vec<u8>), ThemeError> {
        let (kind, id, title) = match self {
            Self::Index => ("index", "index", press.checked.marking().title.as_str()),
            Self::Record => ("record", "record", press.word("my_record")),
            Self::About => ("about", "about", press.word("about")),
            Self::Glossary => ("glossary", "glossary", press.word("glossary")),
            Self::Find => ("find", "find", press.word("find")),
            Self::Again => ("again", "again", press.word("again")),
            Self::Parts => ("parts", parts::STOP, press.word("parts_title")),
            Self::Store => ("store", "store", ""),
            Self::Lesson(lesson) => ("lesson", lesson.id.as_str(), lesson.value.front.title.as_str()),
            Self::Sheet(lesson) => ("sheet", lesson.id.as_str(), lesson.value.front.title.as_str()),
            Self::Witness(competency, lesson) => ("witness", competency.id.as_str(), lesson.value.front.title.as_str()),
            Self::Staging(lesson, _) => ("staging", lesson.id.as_str(), lesson.value.front.title.as_str()),
            Self::Cards(machine) => ("cards", machine.id.as_str(), press.word("cards")),
            Self::Wall(lesson) => ("wall", lesson.id.as_str(), lesson.value.front.title.as_str()),
            Self::Labels => ("labels", "labels", press.word("labels")),
            Self::Bank(bank) => ("bank", bank.id.as_str(), bank.value.title.as_str()),
            Self::Scenario(scenario) => ("scenario", scenario.id.as_str(), scenario.value.title.as_str()),
            Self::Drill(drill) => ("drill", drill.id.as_str(), drill.value.title.as_str()),
            Self::Apart(stops) => ("apart", stops.machine.as_str(), press.word("apart_title")),
        };
        let (path, root) = match self {
            Self::Index
            | Self::Record
            | Self::About
            | Self::Glossary
            | Self::Find
            | Self::Again
            | Self::Parts
            | Self::Store
            | Self::Labels => (format!("{kind}.html"), ""),
            _ => (format!("{kind}/{id}.html"), "../"),
        };
        let page = json!({ "kind": kind, "id": id, "title": title });
        let values = match self {
            Self::Index => press.index(),
            Self::Record => json!({ "competencies": press.all_competencies() }),
            Self::About => json!({ "trainer": press.for_trainers() }),
            Self::Glossary => json!({ "entries": press.glossary("") }),
            Self::Find => {
                json!({ "emergencies": press.emergencies(), "emergency": press.call("emergency"), "calls": press.calls() })
            }
            Self::Again => json!({ "boxes": super::study::boxes(press.checked.course()) }),
            Self::Parts => parts::values(press, theme, &page)?,
            Self::Store => json!({}),
            Self::Lesson(lesson) => {
                let mut values = press.lesson(lesson, root);
                values["lesson"]["body"] = body::body(press, lesson, sources.text(lesson.file), root, &page)?.into();
                values
            }
            Self::Sheet(lesson) => press.sheet(lesson, root),
            Self::Witness(competency, lesson) => press.witness(competency, lesson, root),
            Self::Staging(lesson, staging) => press.staging(lesson, staging, root),
            Self::Cards(machine) => press.cards(machine, root),
            Self::Wall(lesson) => press.wall(lesson, root),
            Self::Labels => press.labels(),
            Self::Bank(bank) => json!({ "bank": press.bank(bank), "attempts": press.attempts() }),
            Self::Scenario(scenario) => json!({ "scenario": press.scenario(scenario), "attempts": press.attempts() }),
            Self::Drill(drill) => json!({ "drill": press.drill(drill), "attempts": press.attempts() }),
            Self::Apart(stops) => press.telling(stops, root),
        };
        let html = press.fill(&format!("{kind}.html"), root, &page, &values)?;
        Ok((path, html.into_bytes()))
    }
}

impl Press<'_> {
    /// What can be looked up, by name.
    pub fn glossary(&self, root: &str) -> Vec<Value> {
        let entries = glossary::entries(self.checked.course());
        let of = |entry: &glossary::Entry| {
            json!({
                "anchor": entry.anchor,
                "name": entry.name,
                "also": entry.also,
                "says": self.inline(entry.says, root),
                "hurts": entry.hurts.map(|text| self.inline(text, root)),
                "machine": entry.machine.and_then(|id| Some(self.checked.course().machine(id)?.value.title.as_str())),
            })
        };
        entries.iter().map(of).collect()
    }

    fn modules(&self) -> &[Module] {
        self.checked
            .course()
            .outline
            .as_ref()
            .map_or(&[], |outline| &outline.value.modules)
    }

    pub fn attempts(&self) -> Value {
        let attempts = self.checked.marking().attempts;
        json!({ "tries": attempts.tries, "wait_hours": attempts.wait_hours })
    }

    pub fn competencies<'c>(&self, ids: impl Iterator<Item = &'c str>) -> Vec<Value> {
        let marking = self.checked.marking();
        let mut all: Vec<Value> = Vec::new();
        for competency in ids.filter_map(|id| marking.competency(id)) {
            all.push(json!({ "id": competency.id, "says": competency.says }));
        }
        all
    }

    fn all_competencies(&self) -> Vec<Value> {
        self.competencies(
            self.checked
                .marking()
                .competencies
                .iter()
                .map(|competency| competency.id.as_str()),
        )
    }

    pub fn lesson_ref(&self, lesson: &Filed<Lesson>) -> Value {
        let front = &lesson.value.front;
        let after: Vec<Value> = front
            .after
            .iter()
            .filter_map(|id| self.checked.course().lesson(id))
            .map(|known| json!({ "id": known.id, "title": known.value.front.title.value }))
            .collect();
        json!({
            "id": lesson.id,
            "title": front.title.value,
            "kind": front.kind.word(),
            "kind_words": self.word(&format!("kind_{}", front.kind.word())),
            "minutes": (super::study::lesson_seconds(&lesson.value) + 30).div_euclid(60).max(1),
            "hands_on": front.hands_on,
            "after": after,
            "has_sheet": has_sheet(lesson),
            "has_staging": lesson.value.stagings().next().is_some(),
        })
    }

    pub fn index(&self) -> Value {
        let course = self.checked.course();
        let modules: Vec<Value> = self
            .modules()
            .iter()
            .map(|module| {
                let lessons: Vec<Value> = module
                    .lessons
                    .iter()
                    .filter_map(|id| course.lesson(id))
                    .map(|lesson| self.lesson_ref(lesson))
                    .collect();
                json!({ "id": module.id.value, "title": module.title.value, "lessons": lessons })
            })
            .collect();
        let marking = self.checked.marking();
        let word = |key| self.word(key);
        let banks = marking.banks.iter().map(|bank| {
            let facts = format!(
                "{} {} · {} {} %",
                bank.count(),
                word("questions"),
                word("pass_at"),
                bank.pass
            );
            json!({ "id": bank.id, "title": bank.title, "facts": facts })
        });
        let scenarios = marking.scenarios.iter().map(|one| {
            let facts = format!(
                "{} {} {} {} {}",
                word("pass_at"),
                one.pass,
                word("of"),
                one.most,
                word("marks")
            );
            json!({ "id": one.id, "title": one.title, "facts": facts })
        });
        // As the competencies are learned, and not by the names of their files.
        let mut drills: Vec<_> = course.drills.iter().collect();
        drills.sort_by_key(|drill| {
            let counts = |id: &str| drill.value.competencies.iter().any(|counted| counted.value == id);
            marking
                .competencies
                .iter()
                .position(|competency| counts(&competency.id))
        });
        let drills = drills.into_iter().map(|drill| {
            json!({ "id": drill.id, "title": drill.value.title.value, "says": self.inline(&drill.value.report, "") })
        });
        let list = |kind: &str, id: &str, rows: Vec<Value>| {
            let key = format!("{id}_lead");
            let lead = self.word(&key);
            json!({ "kind": kind, "id": id, "title": self.word(id), "lead": lead, "rows": rows })
        };
        json!({
            "modules": modules,
            "apart": self.telling_pages(),
            "emergencies": self.emergencies(),
            "emergency": self.call("emergency"),
            "calls": self.calls(),
            "lists": [
                list("bank", "tests", banks.collect()),
                list("scenario", "calls", scenarios.collect()),
                list("drill", "drills", drills.collect()),
            ],
        })
    }

    fn bank(&self, bank: &Filed<Bank>) -> Value {
        let value = &bank.value;
        json!({
            "id": bank.id,
            "title": value.title.value,
            "edition": value.edition.value,
            "count": value.draw.values().map(|count| count.value).sum::<u32>(),
            "pass": value.pass.value,
            "critical": value.questions.values().any(|question| question.critical),
            "competencies": self.competencies(value.draw.keys().map(|key| key.value.as_str())),
        })
    }

    fn scenario(&self, scenario: &Filed<Scenario>) -> Value {
        let value = &scenario.value;
        let most = self
            .checked
            .marking()
            .scenario(&scenario.id)
            .map(|scenario| scenario.most);
        json!({
            "id": scenario.id,
            "title": value.title.value,
            "edition": value.edition.value,
            "pass": value.pass.value,
            "most": most,
            "competencies": self.competencies(value.competencies.iter().map(|id| id.value.as_str())),
        })
    }

    pub fn lesson(&self, lesson: &Filed<Lesson>, root: &str) -> Value {
        let course = self.checked.course();
        let front = &lesson.value.front;
        let mut value = self.lesson_ref(lesson);
        let machine = front.machine.as_ref().and_then(|id| course.machine(id));
        let mut signs: Vec<_> = front.signs.iter().collect();
        signs.sort_by_key(|(_, shows)| shows.value);
        let signs: Vec<Value> = signs
            .into_iter()
            .filter_map(|(id, shows)| {
                let says = machine?.value.signs.get(id)?;
                let shows = shows.value.word();
                Some(json!({ "says": self.inline(says, root), "shows": shows, "shows_words": self.word(&format!("shows_{shows}")) }))
            })
            .collect();
        let headings: Vec<Value> = lesson
            .value
            .body
            .headings
            .iter()
            .map(|heading| json!({ "id": heading.id, "text": heading.text, "level": heading.level }))
            .collect();
        let place = self.places.get(lesson.id.as_str());
        let then = place.and_then(|place| course.lesson(place.then?));
        value["edition"] = front.edition.value.into();
        value["machine"] = machine.map_or(
            Value::Null,
            |machine| json!({ "id": machine.id, "title": machine.value.title.value }),
        );
        value["competencies"] = self
            .competencies(front.competencies.iter().map(|id| id.value.as_str()))
            .into();
        value["never_shows"] = signs.iter().any(|sign| sign["shows"] == Shows::Never.word()).into();
        value["signs"] = signs.into();
        let told_apart = |stops: &&Stops| stops.stops.contains(&lesson.id);
        value["apart"] = json!(self.stops.iter().find(told_apart).map(|stops| stops.machine.as_str()));
        value["headings"] = headings.into();
        value["wall"] = has_wall(lesson).into();
        let on_card = machine.filter(|machine| is_stop_of(lesson, &machine.id));
        value["cards"] = json!(on_card.map(|machine| machine.id.as_str()));
        value["witness"] = self
            .competencies(
                self.witnessed()
                    .filter(|(_, watched)| watched.id == lesson.id)
                    .map(|(competency, _)| competency.id.as_str()),
            )
            .into();
        value["alone"] = alone::needs(course, lesson).map_or(Value::Null, |needs| json!({ "needs": needs.join(" ") }));
        value["has_cycles"] = lesson.value.charts().next().is_some().into();
        value["has_drawings"] = lesson.value.drawings().next().is_some().into();
        let clears = lesson.value.procedures().filter_map(|(_, one)| one.clears.as_ref());
        let drills: Vec<Value> = clears
            .filter_map(|id| course.drills.iter().find(|drill| drill.id == id.value))
            .map(|drill| json!({ "id": drill.id, "title": drill.value.title.value }))
            .collect();
        value["drills"] = drills.into();
        let has_steps = lesson.value.procedures().next().is_some();
        value["steps"] = json!(has_steps.then(|| super::blocks::procedure_anchor(&lesson.id, 0)));
        value["has_asks"] = lesson.value.asks().next().is_some().into();
        value["module"] = place.map_or(
            Value::Null,
            |place| json!({ "id": place.module.id.value, "title": place.module.title.value }),
        );
        value["then"] = then.map_or(Value::Null, |then| self.lesson_ref(then));
        // On the page for the worst of days the number to call comes before everything else.
        value["calls"] = match front.kind.value {
            Kind::Emergency => json!([self.call("emergency")]),
            _ => Value::Null,
        };
        json!({ "lesson": value, "before": self.before(lesson) })
    }
}
