//! Typed values with their places, no I/O: what the sources say, whether or not it is right.

use crate::source::{At, FileId, Span};

mod assessment;
mod course;
mod cycle;
mod drawing;
mod keyed;
mod lesson;
mod machine;
mod question;
mod shelf;
mod tree;

pub use assessment::{Bank, Choice, Ending, Harm, Scenario, Scene, Severity};
pub use course::{
    Attempts, Centre, Competencies, Competency, Everyday, Evidence, Glossary, IsolationPoint, Job, Module, Outline,
    Percent, Roles, Shares, Signer, Term, Trainer, Witnessed,
};
pub use cycle::{Apart, Cycle, Degrees, Doing, MOVING, Measure, Seconds, Tenths, UNSEEN, Unit};
pub use drawing::{Binding, Drawing, Inline, Piece, When};
pub use keyed::Keyed;
pub use lesson::{
    Ask, Block, Body, Caution, Chart, FrontMatter, Heading, Kind, Lesson, Link, Procedure, Shown, Shows, Signal,
    Staging, Step, TypedBlock, WalkAway,
};
pub use machine::{
    ActSpot, Action, AtOnce, Drill, Hazard, Machine, Order, Part, Place, Reaction, Strike, Victim, View,
};
pub use question::{Answer, Guess, Modelled, Pair, Question};
pub use shelf::Shelf;
pub use tree::Tree;

/// Prose in inline CommonMark. A fact of the centre stands in it as an autolink, `<centre:NAME>`.
pub type Text = At<String>;

/// The name of something: a file's stem or a key.
pub type Id = At<String>;

/// A source file that was read, and what it says.
#[derive(Debug, Clone)]
pub struct Filed<T> {
    pub file: FileId,
    /// The file's stem.
    pub id: String,
    /// The folder it lies in, from the course folder.
    pub folder: String,
    pub value: T,
}

/// A path's last part without its ending.
pub fn stem(path: &str) -> &str {
    let name = path.rsplit('/').next().unwrap_or(path);
    name.rsplit_once('.').map_or(name, |(stem, _)| stem)
}

impl<T> Filed<T> {
    pub fn new(file: FileId, path: &str, value: T) -> Self {
        Self {
            file,
            id: stem(path).to_owned(),
            folder: path.rsplit_once('/').map_or("", |(folder, _)| folder).to_owned(),
            value,
        }
    }

    /// The path from the course folder of a file named from this one's folder; `None` if it climbs out of `lessons/`.
    pub fn beside(&self, to: &str) -> Option<String> {
        let mut parts: Vec<&str> = self.folder.split('/').collect();
        for part in to.split('/') {
            match part {
                "." | "" => {}
                ".." => {
                    parts.pop()?;
                }
                part => parts.push(part),
            }
        }
        (parts.first() == Some(&"lessons")).then(|| parts.join("/"))
    }

    /// The place of one of its values.
    pub fn span<U>(&self, at: &At<U>) -> Span {
        at.span(self.file)
    }
}

/// All sources of a course as typed values. What could not be read is missing here and has its finding.
#[derive(Debug, Default)]
pub struct Course {
    pub outline: Option<Filed<Outline>>,
    pub centre: Option<Filed<Centre>>,
    pub competencies: Option<Filed<Competencies>>,
    pub glossary: Option<Filed<Glossary>>,
    pub everyday: Option<Filed<Everyday>>,
    pub machines: Shelf<Machine>,
    pub lessons: Shelf<Lesson>,
    pub banks: Shelf<Bank>,
    pub scenarios: Shelf<Scenario>,
    pub drills: Shelf<Drill>,
    /// Ids by kind whose file is there but could not be read: a reference to one is not reported a second time.
    pub unread: Vec<(Sort, String)>,
    /// Pictures and clips, by path from the course folder.
    pub media: Vec<String>,
    /// Drawings of the theme, sorted by name.
    pub drawings: Vec<Drawing>,
}

/// The sorts of things that ids name.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Sort {
    Outline,
    Centre,
    Competency,
    Term,
    Everyday,
    Machine,
    Lesson,
    Bank,
    Scenario,
    Drill,
}

impl Sort {
    /// Where one is written.
    pub fn place(self) -> &'static str {
        match self {
            Self::Outline => "lessons/outline.yml",
            Self::Centre => "lessons/centre.yml",
            Self::Competency => "lessons/competencies.yml",
            Self::Term => "lessons/glossary.yml",
            Self::Everyday => "lessons/everyday.yml",
            Self::Machine => "lessons/machines/",
            Self::Lesson => "a folder of lessons/",
            Self::Bank => "quizzes/banks/",
            Self::Scenario => "quizzes/scenarios/",
            Self::Drill => "quizzes/drills/",
        }
    }

    pub fn word(self) -> &'static str {
        match self {
            Self::Outline => "outline",
            Self::Centre => "centre",
            Self::Competency => "competency",
            Self::Term => "term",
            Self::Everyday => "everyday word",
            Self::Machine => "machine",
            Self::Lesson => "lesson",
            Self::Bank => "bank",
            Self::Scenario => "scenario",
            Self::Drill => "drill",
        }
    }
}

impl Course {
    /// The lesson whose steps show a competency: of those under it that teach it and have a procedure the last one, which builds
    /// on the others.
    pub fn shown_by(&self, competency: &str, study: &[Id]) -> Option<&Filed<Lesson>> {
        study
            .iter()
            .filter_map(|id| self.lesson(&id.value))
            .filter(|lesson| lesson.value.procedures().next().is_some())
            .rfind(|lesson| {
                let mut teaches = lesson.value.front.competencies.iter();
                teaches.any(|id| id.value == competency)
            })
    }

    pub fn lesson(&self, id: &str) -> Option<&Filed<Lesson>> {
        self.lessons.get(id)
    }

    pub fn machine(&self, id: &str) -> Option<&Filed<Machine>> {
        self.machines.get(id)
    }

    pub fn bank(&self, id: &str) -> Option<&Filed<Bank>> {
        self.banks.get(id)
    }

    pub fn scenario(&self, id: &str) -> Option<&Filed<Scenario>> {
        self.scenarios.get(id)
    }

    pub fn drawing(&self, name: &str) -> Option<&Drawing> {
        self.drawings.iter().find(|drawing| drawing.name == name)
    }

    /// Every question of banks and lessons, with its file and id.
    pub fn questions(&self) -> impl Iterator<Item = (FileId, &Id, &Question)> {
        let banks = self.banks.iter().flat_map(|bank| {
            let questions = bank.value.questions.iter();
            questions.map(|(id, question)| (bank.file, id, question))
        });
        let asks = self.lessons.iter().flat_map(|lesson| {
            let asks = lesson.value.asks();
            asks.map(|ask| (lesson.file, &ask.id, &ask.question))
        });
        banks.chain(asks)
    }

    pub fn drill(&self, id: &str) -> Option<&Filed<Drill>> {
        self.drills.iter().find(|drill| drill.id == id)
    }

    pub fn competency(&self, id: &str) -> Option<&Competency> {
        self.competencies.as_ref()?.value.0.get(id)
    }

    /// Whether there is such a thing, or its file is there but could not be read.
    pub fn has(&self, sort: Sort, id: &str) -> bool {
        let there = match sort {
            Sort::Outline => self.outline.is_some(),
            Sort::Centre => self.centre.is_some(),
            Sort::Competency => self.competency(id).is_some(),
            Sort::Term => self.glossary.as_ref().is_some_and(|all| all.value.0.get(id).is_some()),
            Sort::Everyday => self.everyday.as_ref().is_some_and(|all| all.value.0.get(id).is_some()),
            Sort::Machine => self.machine(id).is_some(),
            Sort::Lesson => self.lesson(id).is_some(),
            Sort::Bank => self.bank(id).is_some(),
            Sort::Scenario => self.scenario(id).is_some(),
            Sort::Drill => self.drill(id).is_some(),
        };
        let whole_file = matches!(sort, Sort::Competency) && self.is_unread(Sort::Competency, "competencies");
        there || whole_file || self.is_unread(sort, id)
    }

    pub fn is_unread(&self, sort: Sort, id: &str) -> bool {
        self.unread.iter().any(|(unread, name)| *unread == sort && name == id)
    }

    /// The ids of a sort, for suggestions.
    pub fn ids(&self, sort: Sort) -> Vec<&str> {
        fn of<T>(filed: &[Filed<T>]) -> Vec<&str> {
            filed.iter().map(|one| one.id.as_str()).collect()
        }
        match sort {
            Sort::Outline | Sort::Centre | Sort::Term | Sort::Everyday => Vec::new(),
            Sort::Competency => self
                .competencies
                .iter()
                .flat_map(|all| all.value.0.keys())
                .map(|key| key.value.as_str())
                .collect(),
            Sort::Machine => of(&self.machines),
            Sort::Lesson => of(&self.lessons),
            Sort::Bank => of(&self.banks),
            Sort::Scenario => of(&self.scenarios),
            Sort::Drill => of(&self.drills),
        }
    }
}
