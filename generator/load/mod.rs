//! Files → typed values + findings. A file whose shape cannot be read is reported, and the rest goes on.

use crate::diagnostic::{Code, Finding};
use crate::model::{Competencies, Course, Drill, Everyday, Filed, Glossary, Machine, Outline, Scenario, Sort, stem};
use crate::source::{Body, File, FileId, Sources, Span};
use crate::theme::Theme;
use rayon::prelude::*;
use serde::de::DeserializeOwned;

mod drawing;
mod lesson;
pub mod markdown;
mod question;
mod words;
mod yaml;

pub use yaml::nearest;

/// A source that is not UTF-8.
pub static NOT_TEXT: Code = Code {
    name: "not-text",
    title: "a source is not text in UTF-8",
    explanation: "Lessons and quizzes are plain text in UTF-8. A file saved in another encoding would show wrong letters, \
        and a wrong figure or a wrong word in a procedure can hurt somebody. Save it again as UTF-8 in your editor.",
};

/// A file in a place where no source is looked for.
pub static STRAY_FILE: Code = Code {
    name: "stray-file",
    title: "a source stands where nothing reads it",
    explanation: "A lesson belongs in lessons/FOLDER/NAME.md, a machine in lessons/machines/NAME.yml, a bank in quizzes/banks/NAME.yml, a \
        scenario in quizzes/scenarios/NAME.yml, a drill in quizzes/drills/NAME.yml. A file elsewhere, or with another ending (.yaml, .MD), would be left out of the course in \
        silence, so it is refused. Move or rename it, or delete it.",
};

/// A name that cannot be an id.
pub static BAD_ID: Code = Code {
    name: "bad-id",
    title: "a name is not fit to be an id",
    explanation: "Ids are file stems and keys. They appear in addresses and in records that are kept for years, so they hold only lower-case \
        letters a to z, digits, and single hyphens between them: extra-pin, lane-14. Rename the file or the key, and everything that names it.",
};

/// Two things of one sort with the same id.
pub static ID_CLASH: Code = Code {
    name: "id-clash",
    title: "two things of one sort have the same id",
    explanation: "An id names one thing in links, in records and in the register. If two lessons share a file stem, even in different \
        folders, nobody can tell which one a record means. Rename the newer one.",
};

/// A file that every course needs is missing.
pub static MISSING_FILE: Code = Code {
    name: "missing-file",
    title: "a file that every course needs is missing",
    explanation: "Every course has lessons/outline.yml (title, order, rules), lessons/centre.yml (this centre's own facts) and \
        lessons/competencies.yml (what a person must be able to do). Write the one that the message names; one from another course is a good \
        start. The place shown is only the first file of the course: the missing one has no place of its own.",
};

/// The codes of this stage, for the registry.
pub fn codes() -> Vec<&'static Code> {
    let mut codes = vec![&NOT_TEXT, &STRAY_FILE, &BAD_ID, &ID_CLASH, &MISSING_FILE];
    codes.extend(yaml::codes());
    codes.extend(lesson::codes());
    codes.extend(question::codes());
    codes
}

/// Whether a name may be an id: `[a-z0-9]+(-[a-z0-9]+)*`.
pub fn is_id(name: &str) -> bool {
    !name.is_empty()
        && name.split('-').all(|part| {
            !part.is_empty()
                && part
                    .bytes()
                    .all(|byte| byte.is_ascii_lowercase() || byte.is_ascii_digit())
        })
}

/// One file, read.
enum Loaded {
    Outline(Filed<Outline>),
    Centre(Filed<crate::model::Centre>),
    Competencies(Filed<Competencies>),
    Glossary(Filed<Glossary>),
    Everyday(Filed<Everyday>),
    Machine(Filed<Machine>),
    Lesson(Box<Filed<crate::model::Lesson>>),
    Bank(Filed<crate::model::Bank>),
    Scenario(Filed<Scenario>),
    Drill(Filed<Drill>),
    Media(String),
    Unread(Sort, String),
    Nothing,
}

/// Reads all sources.
pub fn load(sources: &Sources) -> (Course, Vec<Finding>) {
    let files: Vec<(FileId, &File)> = sources.iter().collect();
    let loaded: Vec<(Loaded, Vec<Finding>)> = files.par_iter().map(|(id, file)| load_file(*id, file)).collect();
    let mut course = Course::default();
    let mut findings = Vec::new();
    for (one, found) in loaded {
        findings.extend(found);
        match one {
            Loaded::Outline(outline) => course.outline = Some(outline),
            Loaded::Centre(centre) => course.centre = Some(centre),
            Loaded::Competencies(all) => course.competencies = Some(all),
            Loaded::Glossary(all) => course.glossary = Some(all),
            Loaded::Everyday(all) => course.everyday = Some(all),
            Loaded::Machine(machine) => course.machines.push(machine),
            Loaded::Lesson(lesson) => course.lessons.push(*lesson),
            Loaded::Bank(bank) => course.banks.push(bank),
            Loaded::Scenario(scenario) => course.scenarios.push(scenario),
            Loaded::Drill(drill) => course.drills.push(drill),
            Loaded::Media(path) => course.media.push(path),
            Loaded::Unread(sort, id) => course.unread.push((sort, id)),
            Loaded::Nothing => {}
        }
    }
    words::of_acts(&mut course);
    course.drawings = drawing::drawings(&Theme::of(sources));
    findings.extend(clashes(&course));
    findings.extend(missing(&course, sources));
    (course, findings)
}

/// What a path holds, from its place alone.
fn sort_of(path: &str) -> Option<Sort> {
    let parts: Vec<&str> = path.split('/').collect();
    match parts.as_slice() {
        ["lessons", "outline.yml"] => Some(Sort::Outline),
        ["lessons", "centre.yml"] => Some(Sort::Centre),
        ["lessons", "competencies.yml"] => Some(Sort::Competency),
        ["lessons", "glossary.yml"] => Some(Sort::Term),
        ["lessons", "everyday.yml"] => Some(Sort::Everyday),
        ["lessons", "machines", name] if name.ends_with(".yml") => Some(Sort::Machine),
        ["lessons", .., name] if name.ends_with(".md") => Some(Sort::Lesson),
        ["quizzes", "banks", name] if name.ends_with(".yml") => Some(Sort::Bank),
        ["quizzes", "scenarios", name] if name.ends_with(".yml") => Some(Sort::Scenario),
        ["quizzes", "drills", name] if name.ends_with(".yml") => Some(Sort::Drill),
        _ => None,
    }
}

fn load_file(id: FileId, file: &File) -> (Loaded, Vec<Finding>) {
    let stem = stem(&file.path).to_owned();
    if file.path.starts_with("theme/") {
        return (Loaded::Nothing, Vec::new());
    }
    let text = match &file.body {
        // `bank.yaml` or `LESSON.MD` is meant as a source, and would be left out in silence.
        Body::Media(_) if looks_like_source(&file.path) => return (Loaded::Nothing, vec![stray(id, &file.path)]),
        Body::Media(_) => return (Loaded::Media(file.path.clone()), Vec::new()),
        Body::NotText(valid) => {
            let finding = Finding::new(
                &NOT_TEXT,
                Span::top(id),
                format!("the file is not UTF-8: the byte after the first {valid} is no letter"),
                "save it again as UTF-8",
            );
            let unread = sort_of(&file.path).map_or(Loaded::Nothing, |sort| Loaded::Unread(sort, stem));
            return (unread, vec![finding]);
        }
        Body::Text(text) => text,
    };
    let Some(sort) = sort_of(&file.path) else {
        return (Loaded::Nothing, vec![stray(id, &file.path)]);
    };
    let mut findings = Vec::new();
    if !is_id(&stem) {
        findings.push(Finding::new(
            &BAD_ID,
            Span::top(id),
            format!("the file's name `{stem}` cannot be an id"),
            "use lower-case letters, digits and single hyphens, like extra-pin",
        ));
    }
    let loaded = match sort {
        Sort::Outline => whole(id, &file.path, text, &mut findings).map(Loaded::Outline),
        Sort::Centre => whole(id, &file.path, text, &mut findings).map(Loaded::Centre),
        Sort::Competency => whole(id, &file.path, text, &mut findings).map(Loaded::Competencies),
        Sort::Term => whole(id, &file.path, text, &mut findings).map(Loaded::Glossary),
        Sort::Everyday => whole(id, &file.path, text, &mut findings).map(Loaded::Everyday),
        Sort::Machine => whole(id, &file.path, text, &mut findings).map(Loaded::Machine),
        Sort::Scenario => whole(id, &file.path, text, &mut findings).map(Loaded::Scenario),
        Sort::Drill => whole(id, &file.path, text, &mut findings).map(Loaded::Drill),
        Sort::Bank => question::bank(id, &file.path, text, &mut findings).map(Loaded::Bank),
        Sort::Lesson => {
            lesson::lesson(id, &file.path, text, &mut findings).map(|lesson| Loaded::Lesson(Box::new(lesson)))
        }
    };
    (loaded.unwrap_or(Loaded::Unread(sort, stem)), findings)
}

/// Whether a file that is no source by its ending was surely meant as one.
fn looks_like_source(path: &str) -> bool {
    let ending = path.rsplit_once('.').map_or("", |(_, ending)| ending);
    ["yml", "yaml", "md", "markdown"]
        .iter()
        .any(|source| ending.eq_ignore_ascii_case(source))
}

fn stray(id: FileId, path: &str) -> Finding {
    Finding::new(
        &STRAY_FILE,
        Span::top(id),
        format!("nothing reads a source at {path}"),
        "name it NAME.md or NAME.yml and move it to lessons/FOLDER/, lessons/machines/, quizzes/banks/, quizzes/scenarios/ or quizzes/drills/, or delete it",
    )
}

/// A file that is one YAML document.
fn whole<T: DeserializeOwned>(file: FileId, path: &str, text: &str, findings: &mut Vec<Finding>) -> Option<Filed<T>> {
    match yaml::read(file, text) {
        Ok(value) => Some(Filed::new(file, path, value)),
        Err(finding) => {
            findings.push(*finding);
            None
        }
    }
}

/// Lessons may lie in any folder, so two can share a stem; ids inside other files are keys, whose doubles the reader refuses.
fn clashes(course: &Course) -> Vec<Finding> {
    let mut findings = Vec::new();
    for (index, lesson) in course.lessons.iter().enumerate() {
        let first = course.lessons.place(&lesson.id).filter(|first| *first < index);
        if let Some(first) = first.map(|first| &course.lessons[first]) {
            findings.push(
                Finding::new(
                    &ID_CLASH,
                    Span::top(lesson.file),
                    format!("a second lesson is called `{}`", lesson.id),
                    "rename one of the two files",
                )
                .also(Span::top(first.file), "the first one"),
            );
        }
    }
    findings
}

fn missing(course: &Course, sources: &Sources) -> Vec<Finding> {
    let needed = [
        (Sort::Outline, "outline", course.outline.is_some()),
        (Sort::Centre, "centre", course.centre.is_some()),
        (Sort::Competency, "competencies", course.competencies.is_some()),
    ];
    // The finding needs a place: the first source stands for the whole folder.
    let text = sources.iter().find(|(_, file)| matches!(file.body, Body::Text(_)));
    let Some((first, _)) = text.or_else(|| sources.iter().next()) else {
        return Vec::new();
    };
    needed
        .into_iter()
        .filter(|(sort, stem, there)| !there && !course.is_unread(*sort, stem))
        .map(|(_, stem, _)| {
            Finding::new(
                &MISSING_FILE,
                Span::top(first),
                format!("the course has no lessons/{stem}.yml"),
                "`pitwright finding missing-file` says what belongs in it",
            )
        })
        .collect()
}
