//! Wrong procedures, each a few words away from one of the demo's that is proven: every one is refused, with the whole story.
//!
//! `tests/golden/mutants/NAME.yml` says what is wrong, `NAME.txt` is what is then printed. With `PITWRIGHT_GOLDEN=write` in
//! the environment the texts are written anew, to be read before they are kept.

use crate::ground::root;
use pitwright::diagnostic::{Finding, text};
use pitwright::load::load;
use pitwright::source::{Body, Sources, read};
use pitwright::{model, safety};
use serde::Deserialize;
use std::collections::BTreeSet;
use std::fs;
use std::path::PathBuf;

/// A procedure made wrong.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Mutant {
    /// The file that is changed.
    lesson: String,
    edits: Vec<Edit>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Edit {
    /// Stands in the file exactly once.
    replace: String,
    with: String,
}

fn demo() -> Sources {
    read(&root()).expect("the demo course is in the repository")
}

/// All mutants by name, sorted.
fn all() -> Vec<(String, Mutant)> {
    let mut paths: Vec<PathBuf> = fs::read_dir(root().join("tests/golden/mutants"))
        .expect("the mutants are in the repository")
        .map(|entry| entry.expect("the folder can be read").path())
        .filter(|path| path.extension().is_some_and(|ending| ending == "yml"))
        .collect();
    paths.sort();
    paths
        .iter()
        .map(|path| {
            let name = path
                .file_stem()
                .expect("a file has a name")
                .to_string_lossy()
                .into_owned();
            let yaml = fs::read_to_string(path).expect("a mutant is text");
            let mutant = serde_yaml::from_str(&yaml).unwrap_or_else(|error| panic!("{name}: {error}"));
            (name, mutant)
        })
        .collect()
}

/// The demo with one lesson changed.
fn changed(name: &str, mutant: &Mutant) -> Sources {
    let mut sources = demo();
    let file = sources.files.iter_mut().find(|file| file.path == mutant.lesson);
    let Some(Body::Text(text)) = file.map(|file| &mut file.body) else {
        panic!("{name}: there is no lesson {}", mutant.lesson);
    };
    for edit in &mutant.edits {
        assert_eq!(text.matches(&edit.replace).count(), 1, "{name}: {}", edit.replace);
        *text = text.replace(&edit.replace, &edit.with);
    }
    sources
}

fn refused(sources: &Sources, lesson: &str) -> Vec<Finding> {
    let (course, findings) = load(sources);
    assert!(findings.is_empty(), "{lesson} cannot be read");
    safety::refused(&course, model::stem(lesson))
}

#[test]
fn every_mutant_is_refused_with_its_story() {
    let write = std::env::var("PITWRIGHT_GOLDEN").is_ok_and(|word| word == "write");
    let mut wrong = Vec::new();
    let mut classes = BTreeSet::new();
    let mutants = all();
    assert!(mutants.len() >= 50, "only {} mutants", mutants.len());
    for (name, mutant) in mutants {
        let sources = changed(&name, &mutant);
        let findings = refused(&sources, &mutant.lesson);
        classes.extend(findings.iter().map(|finding| finding.code.name));
        let printed: Vec<String> = findings.iter().map(|finding| text(finding, &sources, false)).collect();
        let printed = printed.join("\n") + "\n";
        let path = root().join(format!("tests/golden/mutants/{name}.txt"));
        if write {
            fs::write(&path, &printed).expect("the text can be written");
        }
        let expected = fs::read_to_string(&path).unwrap_or_default();
        if findings.is_empty() || printed != expected {
            wrong.push(format!("{name}:\n{printed}"));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
    // Every way of going wrong that a demo procedure can go stands among them.
    for class in [
        "procedure-hurts",
        "procedure-breaks-rule",
        "procedure-harms-machine",
        "procedure-stuck",
        "procedure-not-cured",
        "procedure-hands-over",
    ] {
        assert!(classes.contains(class), "no mutant is refused as {class}");
    }
}

#[test]
fn the_procedures_that_they_are_made_from_are_proven() {
    let sources = demo();
    let lessons: BTreeSet<String> = all().into_iter().map(|(_, mutant)| mutant.lesson).collect();
    for lesson in lessons {
        let found: Vec<String> = refused(&sources, &lesson)
            .iter()
            .map(|finding| text(finding, &sources, false))
            .collect();
        assert!(found.is_empty(), "{}", found.join("\n"));
    }
}
