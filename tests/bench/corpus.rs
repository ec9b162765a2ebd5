//! A large course made by rule: the same bytes each time.

use std::fmt::Write;
use std::path::Path;

/// Lessons, spread over as many folders as modules.
pub const LESSONS: usize = 10_000;
const FOLDERS: usize = 100;

const WORDS: [&str; 40] = [
    "the", "sweep", "table", "belt", "cup", "counts", "a", "pin", "and", "waits", "for", "its", "turn", "behind",
    "guard", "lever", "look", "from", "front", "then", "write", "down", "what", "you", "saw", "slack", "tooth",
    "wheel", "turns", "stands", "still", "before", "lane", "desk", "hears", "call", "motor", "heat", "oil", "felt",
];

/// Numbers that look random: a linear congruential generator, Knuth's MMIX constants (from memory).
struct Dice(u64);

impl Dice {
    fn below(&mut self, n: usize) -> usize {
        self.0 = self
            .0
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        usize::try_from(self.0 >> 33).unwrap_or(0) % n
    }

    fn words(&mut self, number: usize) -> String {
        let words: Vec<&str> = (0..number).map(|_| WORDS[self.below(WORDS.len())]).collect();
        words.join(" ")
    }
}

pub fn name(lesson: usize) -> String {
    format!("lesson-{lesson:05}")
}

/// The path of a lesson from the course folder.
pub fn path(lesson: usize) -> String {
    format!("lessons/folder-{:02}/{}.md", lesson * FOLDERS / LESSONS, name(lesson))
}

/// Writes the course: the small one of the tests, and the lessons.
pub fn write(course: &Path) {
    let base = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/sources/base");
    for entry in walkdir::WalkDir::new(&base) {
        let entry = entry.expect("the folder can be walked");
        let place = course.join(entry.path().strip_prefix(&base).expect("walked from there"));
        if entry.file_type().is_dir() {
            std::fs::create_dir_all(place).expect("it can be made");
        } else {
            std::fs::copy(entry.path(), place).expect("it can be written");
        }
    }
    let outline = course.join("lessons/outline.yml");
    let mut text = std::fs::read_to_string(&outline).expect("the small course has an outline");
    let mut modules = String::new();
    for folder in 0..FOLDERS {
        std::fs::create_dir_all(course.join(format!("lessons/folder-{folder:02}"))).expect("it can be made");
        let lessons: Vec<String> = (0..LESSONS)
            .filter(|lesson| lesson * FOLDERS / LESSONS == folder)
            .map(name)
            .collect();
        let _ = writeln!(
            modules,
            "  - {{ id: module-{folder}, title: Module {folder}, lessons: [{}] }}",
            lessons.join(", ")
        );
    }
    let roles = text.find("roles:").expect("the outline names roles");
    text.insert_str(roles, &modules);
    std::fs::write(outline, text).expect("it can be written");
    for number in 0..LESSONS {
        std::fs::write(course.join(path(number)), lesson(number)).expect("it can be written");
    }
}

/// A lesson of some 6 KB.
pub fn lesson(number: usize) -> String {
    let mut dice = Dice(number as u64);
    let mut text = format!(
        "---\ntitle: \"Lesson {number}: {}\"\nkind: cycle\nmachine: brindlewick\nedition: 1\n",
        dice.words(4)
    );
    if !number.is_multiple_of(10) {
        let _ = writeln!(text, "after: [{}]", name(number - 1));
    }
    text.push_str("---\n\n");
    for part in 0..4 {
        let _ = write!(text, "## Part {part}: {} {{#part-{part}}}\n\n", dice.words(3));
        let _ = write!(
            text,
            "{}, *{}* and **{}**. See [the part above](#part-0).\n\n",
            dice.words(60),
            dice.words(3),
            dice.words(2)
        );
        for _ in 0..5 {
            let _ = writeln!(text, "- {} `{}`", dice.words(10), dice.words(1));
        }
        text.push_str("\n| Sign | Where | What |\n| --- | --- | --- |\n");
        for _ in 0..5 {
            let _ = writeln!(text, "| {} | {} | {} |", dice.words(2), dice.words(3), dice.words(5));
        }
        let _ = write!(text, "\n```\n{}\n{}\n```\n\n", dice.words(12), dice.words(12));
        let _ = write!(
            text,
            "1. {}\n2. {}\n3. {}\n\n{}.\n\n",
            dice.words(9),
            dice.words(9),
            dice.words(9),
            dice.words(60)
        );
    }
    text
}
