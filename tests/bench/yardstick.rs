//! What the same work takes with general libraries and nothing else.

use pulldown_cmark::{Options, Parser, html};
use rayon::prelude::*;
use serde::Deserialize;
use std::io::Write;
use std::path::{Path, PathBuf};
use std::process::Command;
use tera::{Context, Tera};

/// The first argument of a yardstick's process.
pub const WORD: &str = "yardstick";

const PAGE: &str = "<!doctype html><html lang=\"en\"><head><meta charset=\"utf-8\"><title>{{ title }}</title>\
    <link rel=\"stylesheet\" href=\"../style.css\"></head><body><nav><ul>{% for one in siblings %}\
    <li><a href=\"{{ one.id }}.html\">{{ one.title }}</a></li>{% endfor %}</ul></nav>\
    <main><h1>{{ title }}</h1><p>{{ kind }}, {{ edition }}</p>{{ body | safe }}</main></body></html>";

#[derive(Deserialize)]
struct Front {
    title: String,
    kind: String,
    edition: u32,
}

/// A process that runs one of them.
pub fn command(part: &str, arguments: &[&Path]) -> Command {
    let mut command = Command::new(std::env::current_exe().expect("this program has a place"));
    command.arg(WORD).arg(part).args(arguments);
    command
}

/// Runs one: `corpus COURSE` (which only leaves the course for a profiler), `pages COURSE INTO`, `stat COURSE`, `append FILES INTO`, `parse FILE`,
/// `explore HOW MODEL DRILL`.
pub fn run(arguments: &[String]) {
    let words: Vec<&str> = arguments.iter().map(String::as_str).collect();
    match words.as_slice() {
        ["corpus", course] => super::corpus::write(Path::new(course)),
        ["pages", course, into] => pages(Path::new(course), Path::new(into)),
        ["stat", course] => println!("{}", stat(Path::new(course))),
        ["append", from, into] => append(Path::new(from), Path::new(into)),
        ["explore", how, model, drill] => super::explore::search(how, Path::new(model), Path::new(drill)),
        ["parse", file] => println!("{}", parse(Path::new(file))),
        other => panic!("there is no yardstick {other:?}"),
    }
}

fn files(folder: &Path) -> Vec<PathBuf> {
    let all = walkdir::WalkDir::new(folder).sort_by_file_name().into_iter();
    all.map(|entry| entry.expect("the folder can be walked"))
        .filter(|entry| entry.file_type().is_file())
        .map(walkdir::DirEntry::into_path)
        .collect()
}

/// Markdown and front matter → one page each, read, rendered and written beside each other.
fn pages(course: &Path, into: &Path) {
    std::fs::create_dir_all(into).expect("it can be made");
    let mut tera = Tera::new();
    tera.add_raw_template("page.html", PAGE).expect("the template is right");
    let lessons: Vec<(String, String, Front)> = files(&course.join("lessons"))
        .into_par_iter()
        .filter(|path| path.extension().is_some_and(|ending| ending == "md"))
        .map(|path| {
            let text = std::fs::read_to_string(&path).expect("a lesson is text");
            let front = text.split("---\n").nth(1).expect("a lesson has front matter");
            let front = serde_yaml::from_str(front).expect("it is YAML");
            (
                path.file_stem().expect("it has a name").to_string_lossy().into_owned(),
                text,
                front,
            )
        })
        .collect();
    (0..lessons.len()).into_par_iter().for_each(|index| {
        let (id, text, front) = &lessons[index];
        let body = text.splitn(3, "---\n").nth(2).expect("a lesson has a body");
        let mut made = String::new();
        let options = Options::ENABLE_TABLES | Options::ENABLE_FOOTNOTES | Options::ENABLE_HEADING_ATTRIBUTES;
        html::push_html(&mut made, Parser::new_ext(body, options));
        let from = index.min(lessons.len().saturating_sub(10));
        let siblings: Vec<_> = lessons[from..(from + 10).min(lessons.len())]
            .iter()
            .map(|(id, _, front)| serde_json::json!({ "id": id, "title": front.title }))
            .collect();
        let mut context = Context::new();
        context.insert("title", &front.title);
        context.insert("kind", &front.kind);
        context.insert("edition", &front.edition);
        context.insert("siblings", &siblings);
        context.insert("body", &made);
        let page = tera.render("page.html", &context).expect("the template is right");
        std::fs::write(into.join(format!("{id}.html")), page).expect("it can be written");
    });
}

/// A walk over the sources that asks the disk for each one's size and time, beside each other.
fn stat(course: &Path) -> u64 {
    let all: Vec<PathBuf> = ["lessons", "quizzes"]
        .iter()
        .flat_map(|top| files(&course.join(top)))
        .collect();
    all.par_iter()
        .map(|path| {
            let data = std::fs::metadata(path).expect("it is there");
            data.len() ^ u64::from(data.modified().is_ok())
        })
        .sum()
}

/// The bytes of each file onto the end of one, made durable file by file.
fn append(from: &Path, into: &Path) {
    let mut into = std::fs::File::options()
        .create(true)
        .append(true)
        .open(into)
        .expect("it can be opened");
    for path in files(from) {
        into.write_all(&std::fs::read(path).expect("it can be read"))
            .expect("it can be written");
        into.sync_data().expect("it can be made durable");
    }
}

/// One JSON value a line, each read and dropped.
fn parse(file: &Path) -> usize {
    let text = std::fs::read_to_string(file).expect("it is text");
    text.lines()
        .filter(|line| serde_json::from_str::<serde_json::Value>(line).is_ok())
        .count()
}
