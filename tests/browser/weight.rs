//! What a page weighs: all that it loads, each file deflated by itself, as a server or the course's zip would.

use crate::ground::demo_course;
use std::collections::BTreeSet;
use std::io::{Cursor, Write};
use std::path::{Path, PathBuf};
use zip::write::SimpleFileOptions;
use zip::{CompressionMethod, ZipArchive, ZipWriter};

/// No page may weigh more, but for a lesson with pictures of its own.
const MOST: u64 = 60_000;

fn deflated(bytes: &[u8]) -> u64 {
    let mut writer = ZipWriter::new(Cursor::new(Vec::new()));
    let options = SimpleFileOptions::default().compression_method(CompressionMethod::Deflated);
    writer.start_file("one", options).expect("it can be begun");
    writer.write_all(bytes).expect("it can be written");
    let done = writer.finish().expect("it can be ended");
    let mut archive = ZipArchive::new(done).expect("it can be read again");
    archive.by_index(0).expect("there is one file").compressed_size()
}

/// A page and every script, style and drawing that its tags and its own style name.
fn loaded(page: &Path) -> BTreeSet<PathBuf> {
    let text = std::fs::read_to_string(page).expect("it is text");
    let folder = page.parent().expect("it lies in a folder");
    let mut files = BTreeSet::from([page.to_owned()]);
    for tag in ["src=\"", "href=\"", "url(\""] {
        for rest in text.split(tag).skip(1) {
            let name = rest.split('"').next().unwrap_or_default();
            if [".js", ".css", ".svg", ".png"]
                .iter()
                .any(|ending| name.ends_with(ending))
            {
                files.insert(
                    folder
                        .join(name)
                        .canonicalize()
                        .unwrap_or_else(|why| panic!("{name}: {why}")),
                );
            }
        }
    }
    files
}

#[test]
fn pages_weigh_less_than_sixty_kilobytes() {
    let built = demo_course();
    let course = built.path().join("course").canonicalize().expect("it was built");
    let mut heaviest = Vec::new();
    for kind in ["apart", "drill", "lesson", "bank", "scenario"] {
        for entry in std::fs::read_dir(course.join(kind)).expect("the folder is there") {
            let page = entry.expect("it can be listed").path();
            // The record's own page is loaded into a frame of each.
            let mut files = loaded(&page);
            files.extend(loaded(&course.join("store.html")));
            let weight: u64 = files
                .iter()
                .map(|file| deflated(&std::fs::read(file).expect("it is there")))
                .sum();
            heaviest.push((weight, page.strip_prefix(&course).expect("it lies there").to_owned()));
        }
    }
    for page in [
        "index.html",
        "find.html",
        "record.html",
        "again.html",
        "glossary.html",
        "about.html",
    ] {
        let mut files = loaded(&course.join(page));
        files.extend(loaded(&course.join("store.html")));
        let weight = files
            .iter()
            .map(|file| deflated(&std::fs::read(file).expect("it is there")))
            .sum();
        println!("{page} weighs {weight} bytes");
        heaviest.push((weight, PathBuf::from(page)));
    }
    heaviest.sort();
    println!("{:?}", heaviest.iter().rev().take(12).collect::<Vec<_>>());
    assert!(heaviest.len() > 15);
    for (weight, page) in &heaviest {
        assert!(*weight < MOST, "{} weighs {weight} bytes", page.display());
    }
}

/// The first picture of a page that is read on a phone waits for no other file: its style stands in it, and its policy lets that style
/// in by its hash, and no other. What is printed keeps its style beside it.
#[test]
fn the_style_of_a_page_for_a_phone_and_what_runs_at_once_stand_in_it() {
    use base64::Engine;
    use sha2::{Digest, Sha256};
    let built = demo_course();
    let course = built.path().join("course");
    let text = |path: &str| std::fs::read_to_string(course.join(path)).expect("it was built");
    let screen = |page: &str| page.matches("rel=\"stylesheet\"").count() - page.matches("media=\"print\"").count();
    for path in [
        "index.html",
        "find.html",
        "record.html",
        "glossary.html",
        "lesson/lockout.html",
        "drill/extra-pin.html",
        "bank/alone.html",
        "scenario/league-night.html",
        "apart/marrowbell.html",
    ] {
        let page = text(path);
        assert_eq!(screen(&page), 0, "{path}");
        let policy = page
            .split("http-equiv=\"Content-Security-Policy\"")
            .nth(1)
            .expect("it has a policy");
        let policy = policy.split('>').next().unwrap_or_default();
        // Leave for the two texts that stand in the page, and for no other.
        assert_eq!(policy.matches("sha256-").count(), 2, "{path}: {policy}");
        for element in ["style", "script"] {
            let (open, close) = (format!("<{element}>"), format!("</{element}>"));
            let own: Vec<&str> = page
                .split(&open)
                .skip(1)
                .filter_map(|rest| rest.split(&close).next())
                .collect();
            assert_eq!(own.len(), 1, "{path}: {element}");
            let hash = base64::engine::general_purpose::STANDARD.encode(Sha256::digest(own[0].as_bytes()));
            let leave = format!("{element}-src &#39;self&#39; &#39;sha256-{hash}&#39;;");
            assert!(policy.contains(&leave), "{path}: {policy}");
        }
    }
    for path in ["sheet/lockout.html", "wall/lockout.html", "witness/lock-out.html"] {
        assert!(screen(&text(path)) > 0 && !text(path).contains("<style>"), "{path}");
    }
}
