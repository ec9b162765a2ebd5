//! `pitwright starter`: what it writes stands by itself, and nothing that lay there before is lost.

use crate::ground::{out, pitwright};

#[test]
fn the_small_course_is_clean_proven_and_shows_every_kind_of_block() {
    let folder = tempfile::tempdir().expect("a temporary folder can be made");
    let made = pitwright(folder.path(), &["starter", "mine"]);
    assert_eq!(made.status.code(), Some(0));
    assert!(out(&made).contains("pitwright preview mine"), "{}", out(&made));
    let proven = pitwright(folder.path(), &["prove", "mine"]);
    assert_eq!(proven.status.code(), Some(0), "{}", out(&proven));
    assert!(
        out(&proven).contains("proven from all 2 starts of lint-jam"),
        "{}",
        out(&proven)
    );
    let lessons: String = ["first/lockout.md", "stops/lint-jam.md"]
        .map(|path| std::fs::read_to_string(folder.path().join("mine/lessons").join(path)).expect("it was written"))
        .concat();
    for kind in pitwright::load::markdown::BLOCKS {
        assert!(
            lessons.contains(&format!("\n```{kind}\n")),
            "no block of the kind {kind}"
        );
    }
    let built = pitwright(folder.path(), &["compile", "mine"]);
    assert_eq!(built.status.code(), Some(0), "{}", out(&built));
    assert!(folder.path().join("mine/out/course/lesson/lint-jam.html").is_file());
}

#[test]
fn a_folder_that_holds_something_is_left_as_it_is() {
    let folder = tempfile::tempdir().expect("a temporary folder can be made");
    std::fs::create_dir(folder.path().join("mine")).expect("a temporary folder can be written");
    std::fs::write(folder.path().join("mine/note.txt"), "keep").expect("a temporary folder can be written");
    let refused = pitwright(folder.path(), &["starter", "mine"]);
    assert_eq!(refused.status.code(), Some(2));
    assert!(String::from_utf8_lossy(&refused.stderr).contains("nothing was written"));
    let left: Vec<_> = std::fs::read_dir(folder.path().join("mine"))
        .expect("it is there")
        .collect();
    assert_eq!(left.len(), 1);
    // An empty folder is as good as none.
    std::fs::create_dir(folder.path().join("empty")).expect("a temporary folder can be written");
    assert_eq!(pitwright(folder.path(), &["starter", "empty"]).status.code(), Some(0));
}

#[test]
fn whoever_the_centre_names_can_be_called_and_an_act_can_hurt_each_time() {
    let folder = tempfile::tempdir().expect("a temporary folder can be made");
    assert_eq!(pitwright(folder.path(), &["starter", "mine"]).status.code(), Some(0));
    let change = |path: &str, from: &str, to: &str| {
        let place = folder.path().join("mine/lessons").join(path);
        let text = std::fs::read_to_string(&place).expect("it was written");
        assert!(text.contains(from), "{from}");
        std::fs::write(place, text.replace(from, to)).expect("a temporary folder can be written");
    };
    change(
        "centre.yml",
        "  trainer:",
        "  shift-lead: \"extension 8 (demo)\"\n  trainer:",
    );
    change("first/lockout.md", "call: qualified", "call: shift-lead");
    let built = pitwright(folder.path(), &["compile", "mine"]);
    assert_eq!(built.status.code(), Some(0), "{}", out(&built));
    let page =
        std::fs::read_to_string(folder.path().join("mine/out/course/lesson/lockout.html")).expect("it was built");
    let called = page.split_once("Shift lead:").map(|(_, after)| after.trim_start());
    let called = called.expect("it is called by the centre's own key");
    assert!(called.starts_with("<b class=\"call-number\">extension 8</b> <span class=\"call-rest\">(demo)</span>"));
    // Its `strikes` has no `when`.
    let ways = pitwright(folder.path(), &["prove", "--all", "mine"]);
    assert!(
        out(&ways).contains("the shortest way into flying-lint"),
        "{}",
        out(&ways)
    );
}

/// 238 words a minute of silent reading: M. Brysbaert, J. Mem. Lang. 109, 2019. The keys of typed blocks are not read.
#[test]
fn minutes_go_by_the_published_reading_speed() {
    let folder = tempfile::tempdir().expect("a temporary folder can be made");
    assert_eq!(pitwright(folder.path(), &["starter", "mine"]).status.code(), Some(0));
    let lesson = folder.path().join("mine/lessons/first/lockout.md");
    let plain = std::fs::read_to_string(&lesson).expect("it was written");
    let minutes = |more: &str| -> u64 {
        std::fs::write(&lesson, format!("{plain}{more}")).expect("it can be written");
        let told = pitwright(folder.path(), &["prove", "--json", "mine"]);
        let told: serde_json::Value = serde_json::from_slice(&told.stdout).expect("it is JSON");
        let lessons = told["survey"]["lessons"].as_array().expect("a list");
        let one = lessons
            .iter()
            .find(|one| one["lesson"] == "lockout")
            .expect("it is there");
        one["minutes"].as_u64().expect("whole minutes")
    };
    let words = |count: usize| format!("\n\n{}.\n", vec!["word"; count].join(" "));
    let before = minutes("");
    assert_eq!(minutes(&words(3 * 238)), before + 3);
    // Up to a whole minute: one word more or less than some number of minutes makes the difference once in 238.
    let steps = (1..=238).step_by(17).map(|count| minutes(&words(count)) - before);
    assert!(steps.clone().all(|more| more <= 1) && steps.max() == Some(1));
    let caution = "\n\n```caution\nid: hot-iron\nsignal: warning\nhazard: \"A hot iron\"\nharm: \"It burns.\"\navoid: \"Let it cool.\"\n```\n";
    let with = |count: usize, block: &str| minutes(&format!("{}{block}", words(count)));
    let edge = (1..=238)
        .find(|count| minutes(&words(*count)) > before)
        .expect("one of them");
    assert_eq!(with(edge - 9, caution), before, "three texts of eight words, no key");
    assert_eq!(with(edge - 8, caution), before + 1);
}
