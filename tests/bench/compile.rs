//! Compiling a course of 10,000 lessons.

use super::corpus;
use super::measure::{Side, compare, folder, pitwright};
use super::yardstick;
use std::cell::Cell;
use std::fs;
use std::path::Path;

fn clear(folder: &Path) {
    if folder.exists() {
        fs::remove_dir_all(folder).expect("it can be removed");
    }
}

pub fn run() {
    let place = folder();
    let (course, out, pages) = (
        place.path().join("course"),
        place.path().join("out"),
        place.path().join("pages"),
    );
    corpus::write(&course);
    let bytes: usize = (0..corpus::LESSONS).map(|number| corpus::lesson(number).len()).sum();
    println!("A course of {} lessons, {} MB.\n", corpus::LESSONS, bytes / 1_000_000);
    let compile = || {
        let mut command = pitwright();
        command.arg("compile").arg(&course).arg("--into").arg(&out);
        command
    };
    let by_libraries = Side {
        name: "Markdown, YAML, one template, written",
        before: Box::new(|| clear(&pages)),
        command: Box::new(|| yardstick::command("pages", &[&course, &pages])),
    };
    let all = Side {
        name: "compile, all checks on, with the zip",
        before: Box::new(|| clear(&out)),
        command: Box::new(compile),
    };
    let pages_only = Side {
        name: "compile --no-zip, all checks on",
        before: Box::new(|| clear(&out)),
        command: Box::new(|| {
            let mut command = compile();
            command.arg("--no-zip");
            command
        }),
    };
    compare("The pages of everything, from nothing", &pages_only, &by_libraries, 1.3);
    compare("The same with the zip", &all, &by_libraries, 2.5);

    let stat = Side {
        name: "a walk that stats every source",
        before: Box::new(|| ()),
        command: Box::new(|| yardstick::command("stat", &[&course])),
    };
    let again = Side {
        name: "compile",
        before: Box::new(|| ()),
        command: Box::new(compile),
    };
    compare("Nothing changed", &again, &stat, 2.0);

    let round = Cell::new(0);
    let edited = Side {
        name: "compile",
        before: Box::new(|| {
            round.set(round.get() + 1);
            let number = 4_321;
            let text = format!("{}\nEdited {} times.\n", corpus::lesson(number), round.get());
            fs::write(course.join(corpus::path(number)), text).expect("it can be written");
        }),
        command: Box::new(compile),
    };
    compare("One lesson changed", &edited, &stat, 4.0);
}
