//! Machines and drills from text, through the same reader as a course.

use pitwright::diagnostic::text;
use pitwright::explore::{self, Drill, Machine};
use pitwright::load::load;
use pitwright::source::{Body, File, Sources};

/// A machine and a drill from their YAML. Title and edition are put in front.
pub fn compile(machine: &str, drill: &str) -> Result<(Machine, Drill), String> {
    let drill = format!("title: T\nedition: 1\nmachine: m\nreport: R\n{drill}");
    let sources = Sources {
        files: vec![
            File {
                path: "lessons/machines/m.yml".to_owned(),
                body: Body::Text(format!("title: T\n{machine}")),
            },
            File {
                path: "quizzes/drills/d.yml".to_owned(),
                body: Body::Text(drill),
            },
        ],
    };
    let (course, all) = load(&sources);
    // The rest of a course is not there, and need not be.
    let mut findings: Vec<_> = all
        .into_iter()
        .filter(|finding| finding.code.name != "missing-file")
        .collect();
    let mut made = None;
    if let (Some(machine), Some(drill)) = (course.machines.first(), course.drills.first())
        && let Some(machine) = explore::machine(machine, &mut findings)
    {
        made = explore::drill(drill, &machine, &mut findings).map(|drill| (machine, drill));
    }
    match made {
        Some(made) if findings.is_empty() => Ok(made),
        _ => Err(findings
            .iter()
            .map(|finding| text(finding, &sources, false))
            .collect::<Vec<_>>()
            .join("\n")),
    }
}

/// As [`compile`], for text that is right.
pub fn must(machine: &str, drill: &str) -> (Machine, Drill) {
    match compile(machine, drill) {
        Ok(made) => made,
        Err(why) => panic!("{why}"),
    }
}
