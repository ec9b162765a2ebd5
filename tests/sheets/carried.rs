//! Cards, wall sheets and labels: what they say, in which order, and that every code leads to its page.

use super::{compiled, in_order, page};
use crate::findings::fixture;
use crate::ground::{out, pitwright};
use std::fs;
use std::path::Path;

/// Where the course of these tests would stand; the name is kept free for such (RFC 2606).
const ADDRESS: &str = "https://pitwright.example/";

/// A code as it stands in a page.
struct Code {
    /// What the page says that it holds.
    label: String,
    /// Modules of a side, quiet zone and all.
    side: usize,
    millimetres: f64,
    dark: Vec<Vec<bool>>,
}

impl rqrr::BitGrid for Code {
    fn size(&self) -> usize {
        self.side - 8
    }

    fn bit(&self, y: usize, x: usize) -> bool {
        self.dark[y + 4][x + 4]
    }
}

/// All codes of a page, drawn by their paths alone.
fn codes(page: &str) -> Vec<Code> {
    let drawings = page.split("<svg class=\"code\"").skip(1);
    drawings
        .map(|text| {
            let text = text.split("</svg>").next().unwrap_or_default();
            let value = |name: &str| {
                let start = text.split(&format!(" {name}=\"")).nth(1);
                start
                    .and_then(|rest| rest.split('"').next())
                    .unwrap_or_else(|| panic!("no {name}: {text}"))
            };
            assert_eq!(text.matches("<path").count(), 1, "{text}");
            let side: usize = value("viewBox")
                .rsplit(' ')
                .next()
                .and_then(|side| side.parse().ok())
                .expect("a number");
            let mut dark = vec![vec![false; side]; side];
            for run in value("d").split('M').skip(1) {
                let numbers: Vec<usize> = run
                    .split(|letter: char| !letter.is_ascii_digit())
                    .filter_map(|number| number.parse().ok())
                    .collect();
                let [column, row, wide, 1, back] = numbers[..] else {
                    panic!("{run}")
                };
                assert_eq!(wide, back, "{run}");
                dark[row][column..column + wide].fill(true);
            }
            Code {
                label: value("aria-label").replace("&#x2F;", "/"),
                side,
                millimetres: value("width")
                    .strip_suffix("mm")
                    .and_then(|size| size.parse().ok())
                    .expect("a size"),
                dark,
            }
        })
        .collect()
}

/// Fails unless a page's codes can be read, hold what they say, and lead to a page of the course.
fn lead_somewhere(course: &Path, path: &str) -> Vec<String> {
    let found = codes(&page(course, path));
    let labels = found.iter().map(|code| code.label.clone()).collect();
    for code in found {
        let (side, millimetres, label) = (code.side, code.millimetres, code.label.clone());
        let quiet = |at: usize| at < 4 || at >= side - 4;
        let mut places = (0..side).flat_map(|row| (0..side).map(move |column| (row, column)));
        assert!(
            !places.any(|(row, column)| (quiet(row) || quiet(column)) && code.dark[row][column]),
            "{label}"
        );
        let (meta, held) = rqrr::Grid::new(code)
            .decode()
            .unwrap_or_else(|why| panic!("{label}: {why}"));
        assert_eq!(held, label);
        // As the standard numbers its levels in a code, Q is 3.
        assert_eq!((meta.ecc_level, meta.version.0 * 4 + 17 + 8), (3, side), "{label}");
        assert!(
            millimetres / side as f64 >= 0.4,
            "{label}: {millimetres} mm for {side} modules"
        );
        let (to, anchor) = held.split_once('#').unwrap_or((&held, ""));
        let to = page(course, to.strip_prefix(ADDRESS).expect("the course's own address"));
        assert!(anchor.is_empty() || to.contains(&format!("id=\"{anchor}\"")), "{held}");
    }
    labels
}

#[test]
fn with_an_address_every_part_and_stop_has_a_label_whose_code_leads_to_its_page() {
    let course = fixture::base();
    let outline = course.path().join("lessons/outline.yml");
    let text = fs::read_to_string(&outline).expect("it is text");
    let at = text.find("home:").expect("every outline has one");
    fs::write(&outline, format!("{}address: {ADDRESS}\n{}", &text[..at], &text[at..])).expect("it can be written");
    let compiled = pitwright(course.path(), &["compile", "--no-zip"]);
    assert!(compiled.status.success(), "{}", out(&compiled));

    let labels = lead_somewhere(course.path(), "labels.html");
    let glossary = page(course.path(), "glossary.html");
    let parts = glossary
        .split("class=\"term\" id=\"")
        .skip(1)
        .filter_map(|rest| rest.split('"').next());
    let parts = parts
        .filter(|id| !id.starts_with("term-"))
        .map(|id| format!("{ADDRESS}glossary.html#{id}"));
    let stops = ["pin-across", "stuck-latch"].map(|id| format!("{ADDRESS}lesson/{id}.html"));
    let mut wanted: Vec<String> = parts.chain(stops).collect();
    wanted.sort();
    let mut given = labels.clone();
    given.sort();
    assert_eq!(given, wanted);
    let sheet = page(course.path(), "labels.html").replace("&#x2F;", "/");
    for address in labels {
        assert!(
            sheet.contains(&format!("<span class=\"sticker-address\">{address}</span>")),
            "{address}"
        );
    }
    assert!(page(course.path(), "about.html").contains("href=\"labels.html\""));
    let mut carried = 0;
    for entry in fs::read_dir(course.path().join("out/course/cards")).expect("there are cards") {
        let name = entry.expect("it can be listed").file_name();
        carried += lead_somewhere(course.path(), &format!("cards/{}", name.to_string_lossy())).len();
    }
    assert!(carried >= 3, "two stops and where the machine is cut off: {carried}");
}

#[test]
fn without_an_address_there_is_no_label_no_link_to_one_and_no_code() {
    let course = compiled();
    assert!(!course.path().join("out/course/labels.html").exists());
    let about = page(course.path(), "about.html");
    assert!(
        !about.contains("labels.html") && about.contains("lessons/outline.yml")
            || about.contains("lessons&#x2F;outline.yml")
    );
    assert!(codes(&page(course.path(), "cards/marrowbell.html")).is_empty());
    assert!(about.contains("href=\"cards/marrowbell.html\"") && about.contains("href=\"wall/lockout.html\""));
    assert!(page(course.path(), "lesson/lockout.html").contains("href=\"../wall/lockout.html\""));
    assert!(page(course.path(), "lesson/extra-pin.html").contains("href=\"../cards/marrowbell.html\""));
}

/// The words of a page, without its tags.
fn words(page: &str) -> String {
    let pieces = page
        .split('<')
        .map(|piece| piece.split_once('>').map_or(piece, |(_, text)| text));
    let text: String = pieces.collect::<Vec<_>>().join(" ");
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

#[test]
fn cards_begin_with_what_is_done_at_once_and_hold_no_step() {
    let course = compiled();
    let cards = page(course.path(), "cards/marrowbell.html");
    let ids = [
        "short-set",
        "extra-pin",
        "ball-held-at-exit",
        "elevator-jam",
        "not-yours",
    ]
    .map(|id| format!("id=\"card-{id}\""));
    let mut order = vec!["id=\"card-now-1\"", "id=\"card-now-3\"", "id=\"card-isolation\""];
    order.extend(ids.iter().map(String::as_str));
    in_order(&cards, &order);
    let said = words(&cards);
    let mut stops = 0;
    let cut = cards.split("<section class=\"card\" aria-labelledby=\"card-").skip(1);
    for card in cut.filter(|card| !card.starts_with("isolation")) {
        stops += 1;
        let out_of_danger = if card.contains("id=\"card-not-yours\"") {
            ["Stay outside the guards", "nothing of you ever goes in", "Often:"]
        } else {
            ["Stay outside the guards", "LP-2", "Always:"]
        };
        in_order(card, &out_of_danger);
        let after = [
            "signed off",
            "DANGER",
            "Your trainer",
            "Qualified person",
            "Electrical work",
            "never the procedure",
        ];
        in_order(card, &after);
        in_order(card, &["come first", "signed off"]);
    }
    assert_eq!(stops, 16);
    let mut steps = 0;
    for lesson in fs::read_dir(course.path().join("lessons/stops")).expect("there are stops") {
        let lesson = fs::read_to_string(lesson.expect("it can be listed").path()).expect("it is text");
        for says in lesson.lines().filter_map(|line| line.strip_prefix("  - says: \"")) {
            let begin: String = says
                .chars()
                .take_while(|letter| !"<\"".contains(*letter))
                .take(40)
                .collect();
            assert!(
                begin.len() < 20 || !said.contains(&begin),
                "a card says the step: {says}"
            );
            steps += 1;
        }
    }
    assert!(steps > 200, "{steps}");
}

#[test]
fn the_wall_sheet_has_every_step_of_the_lockout_in_its_order_with_its_cautions_before() {
    let course = compiled();
    let wall = page(course.path(), "wall/lockout.html");
    let source = fs::read_to_string(course.path().join("lessons/locked-and-tried/lockout.md")).expect("it is text");
    let procedure = source
        .split("```procedure")
        .nth(1)
        .and_then(|rest| rest.split("```").next())
        .expect("it has one");
    let steps: Vec<&str> = procedure.split("\n  - says: ").skip(1).collect();
    let shown: Vec<&str> = wall.split("<li class=\"wall-step").skip(1).collect();
    assert_eq!((steps.len(), shown.len()), (19, 19));
    let hazard = |id: &str| -> String {
        let block = source
            .split(&format!("```caution\nid: {id}\n"))
            .nth(1)
            .expect("the caution is there");
        let line = block
            .lines()
            .find(|line| line.starts_with("hazard: "))
            .expect("it has a hazard");
        line["hazard: ".len()..].trim_matches('"').to_owned()
    };
    for (number, (step, shown)) in steps.iter().zip(&shown).enumerate() {
        let begin: String = step
            .trim_start_matches('"')
            .chars()
            .take_while(|letter| !"<\".".contains(*letter))
            .collect();
        let number = format!("<span class=\"wall-n\">{}</span>", number + 1);
        in_order(shown, &[&number, &begin]);
        for id in step
            .lines()
            .filter_map(|line| line.trim().strip_prefix("cautions: ["))
            .flat_map(|ids| ids.trim_end_matches(']').split(", "))
        {
            in_order(shown, &[&hazard(id), &begin]);
        }
        for law in step.lines().filter_map(|line| line.trim().strip_prefix("law: [")) {
            assert!(shown.contains(law.trim_end_matches(']').trim_matches('"')), "{law}");
        }
    }
    // Each in full before the first step that names it.
    for (hazard, harm) in [
        ("table-falls", "crushes the arm"),
        ("owners-lock", "its owner is still inside"),
        ("wheel-on-motor", "breaks your wrist"),
    ] {
        assert!(wall.contains(harm), "{hazard}");
    }
    in_order(
        &wall,
        &[
            "LP-2",
            "come first",
            "qualified or licensed",
            "Handle A, marked MACHINES",
            "Handle B, marked LIFT",
            "Sweep plug",
            "Whom to call",
            "wall-steps",
            "Walk away",
            "29 CFR 1910.147",
        ],
    );
    assert!(wall.contains("Edition 2"));
}
