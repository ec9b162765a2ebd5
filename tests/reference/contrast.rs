//! Contrast of the style's colours after WCAG 2.2: 7 for text (1.4.6: it is read in poor light), 3 for what else must be seen
//! (1.4.11), in light, in dark and on paper.

use crate::ground::root;
use std::collections::{BTreeMap, BTreeSet};
use std::fs;

type Colours = BTreeMap<String, String>;

/// Red, green and blue, 0 to 1.
fn channels(colour: &str) -> [f64; 3] {
    let digits = colour.strip_prefix('#').expect("a colour in hex");
    let digits: String = match digits.len() {
        3 => digits.chars().flat_map(|digit| [digit, digit]).collect(),
        _ => digits.to_owned(),
    };
    assert_eq!(digits.len(), 6, "{colour} has no see-through part");
    [0, 2, 4].map(|at| f64::from(u8::from_str_radix(&digits[at..at + 2], 16).expect("hex")) / 255.0)
}

/// Relative luminance, WCAG 2.2: the edge of the linear part is 0.04045.
fn luminance(colour: &str) -> f64 {
    let [red, green, blue] = channels(colour).map(|value| {
        if value <= 0.04045 {
            value / 12.92
        } else {
            ((value + 0.055) / 1.055).powf(2.4)
        }
    });
    0.2126 * red + 0.7152 * green + 0.0722 * blue
}

/// Contrast ratio, WCAG 2.2: 1 to 21.
fn contrast(one: &str, other: &str) -> f64 {
    let (one, other) = (luminance(one), luminance(other));
    (one.max(other) + 0.05) / (one.min(other) + 0.05)
}

/// On white, worked out from the same definition with another program; #777 is the well-known grey that just fails.
#[test]
fn the_formula_gives_the_known_ratios() {
    for (colour, ratio) in [
        ("#777", 4.478_089),
        ("#767676", 4.542_225),
        ("#949494", 3.033_470),
        ("#959595", 2.995_346),
        ("#595959", 7.004_729),
        ("#f00", 3.998_477),
        ("#00f", 8.592_471),
        ("#008000", 5.137_403),
        ("#000", 21.0),
        ("#fff", 1.0),
    ] {
        let found = contrast(colour, "#fff");
        assert!((found - ratio).abs() < 1e-6, "{colour}: {found}, known {ratio}");
        assert!((contrast("#fff", colour) - found).abs() < 1e-15, "either way round");
    }
    assert!((contrast("#ff0", "#000") - 19.556).abs() < 1e-3);
}

/// Words and what they stand on.
const TEXT: [(&str, &str); 20] = [
    // A code that is read off paper.
    ("on-paper", "paper-itself"),
    ("ink", "paper"),
    ("ink", "sheet"),
    // A choice that is chosen.
    ("ink", "wood"),
    ("ink-soft", "paper"),
    ("ink-soft", "sheet"),
    ("accent", "paper"),
    ("accent", "sheet"),
    ("accent-deep", "paper"),
    ("accent-deep", "sheet"),
    ("on-accent", "accent"),
    ("on-accent", "accent-deep"),
    // A press under the pointer; the way past the head.
    ("paper", "ink"),
    ("sheet", "ink"),
    // The tag, the walk-away, the first unsafe choice.
    ("on-foul", "foul"),
    ("on-danger", "danger"),
    ("on-warning", "warning"),
    ("on-caution", "caution"),
    ("on-notice", "notice"),
    // The numbers on the drawn pins.
    ("ink-of-drawings", "pin"),
];

/// Edges of what is pressed or typed into, rules that part what belongs apart, the ring round what has the focus.
const OTHER: [(&str, &str); 13] = [
    ("ink", "paper"),
    ("ink", "sheet"),
    ("ink", "wood"),
    ("line", "paper"),
    ("line", "sheet"),
    ("foul", "paper"),
    ("foul", "sheet"),
    ("accent", "paper"),
    ("accent", "sheet"),
    ("accent", "wood"),
    ("accent-deep", "paper"),
    ("accent-deep", "sheet"),
    ("on-foul", "foul"),
];

fn style(name: &str) -> String {
    fs::read_to_string(root().join("theme/style").join(name)).expect("the style is there")
}

/// The colours set in a piece of style.
fn colours(css: &str) -> Colours {
    css.lines()
        .filter_map(|line| {
            let (name, value) = line.trim().strip_prefix("--")?.split_once(':')?;
            let value = value.trim().strip_suffix(';')?;
            value.starts_with('#').then(|| (name.to_owned(), value.to_owned()))
        })
        .collect()
}

/// What each way of looking makes of the colours: light; dark over light; print over light.
fn schemes() -> [(&'static str, Colours); 3] {
    let tokens = style("tokens.css");
    let (light, dark) = tokens
        .split_once("@media (prefers-color-scheme: dark)")
        .expect("tokens.css has a dark scheme");
    let mut light = colours(light);
    // Drawings are pictures: they have no scheme, and write their dark line out.
    light.insert("ink-of-drawings".to_owned(), "#23211d".to_owned());
    let over = |css: &str| {
        let mut all = light.clone();
        all.extend(colours(css));
        all
    };
    let (dark, print) = (over(dark), over(&style("print.css")));
    assert!(dark != light && print != light);
    [("light", light), ("dark", dark), ("print", print)]
}

fn too_faint(pairs: &[(&str, &str)], least: f64) -> Vec<String> {
    schemes()
        .iter()
        .flat_map(|(scheme, colours)| pairs.iter().map(move |pair| (scheme, colours, pair)))
        .filter_map(|(scheme, colours, (front, back))| {
            let ratio = contrast(&colours[*front], &colours[*back]);
            (ratio < least).then(|| format!("{front} on {back}, {scheme}: {ratio:.2}"))
        })
        .collect()
}

#[test]
fn words_can_be_read_on_what_they_stand_on() {
    assert_eq!(too_faint(&TEXT, 7.0), Vec::<String>::new());
}

#[test]
fn edges_and_rings_can_be_seen() {
    assert_eq!(too_faint(&OTHER, 3.0), Vec::<String>::new());
}

/// A colour that is written out has no scheme, and is forgotten when the tokens change. Paper and reports have tokens of their own.
#[test]
fn colours_come_from_the_tokens() {
    let own = ["tokens.css", "print.css", "report.css", "report-print.css"];
    let written: Vec<String> = rules()
        .into_iter()
        .filter(|(place, _)| !own.iter().any(|name| place.starts_with(&format!("{name}:"))))
        .flat_map(|(place, declarations)| {
            declarations
                .into_iter()
                .map(move |(name, value)| (place.clone(), name, value))
        })
        .filter(|(_, _, value)| value.contains('#') && !value.contains("url("))
        .map(|(place, name, value)| format!("{place} {{ {name}: {value} }}"))
        .collect();
    assert_eq!(written, Vec::<String>::new());
}

/// A pin that stands is told from the lane by its body or by its outline.
#[test]
fn a_drawn_pin_stands_out_from_the_lane() {
    for (scheme, colours) in schemes() {
        let body = contrast(&colours["pin"], &colours["wood"]);
        let outline = contrast(&colours["ink-of-drawings"], &colours["wood"]);
        assert!(
            body.max(outline) >= 3.0,
            "{scheme}: body {body:.2}, outline {outline:.2}"
        );
    }
}

/// Innermost rules of all style files: their declarations.
fn rules() -> Vec<(String, Vec<(String, String)>)> {
    let mut rules = Vec::new();
    for entry in walkdir::WalkDir::new(root().join("theme/style")).sort_by_file_name() {
        let entry = entry.expect("the folder can be walked");
        if entry.path().extension().is_none_or(|ending| ending != "css") {
            continue;
        }
        let text = fs::read_to_string(entry.path()).expect("style is text");
        let mut bare = String::new();
        for piece in text.split("/*") {
            bare.push_str(piece.split_once("*/").map_or(piece, |(_, after)| after));
        }
        for block in bare.split('}') {
            let Some((before, body)) = block.rsplit_once('{') else {
                continue;
            };
            let declarations = body
                .split(';')
                .filter_map(|one| one.split_once(':'))
                .map(|(name, value)| (name.trim().to_owned(), value.trim().to_owned()))
                .collect();
            let selector = before.rsplit(['{', ';']).next().unwrap_or_default().trim();
            rules.push((format!("{}: {selector}", entry.file_name().display()), declarations));
        }
    }
    rules
}

/// The colour that a declaration sets by `var(--NAME)`, the last thing in it. A pattern of several is no colour.
fn named<'a>(declarations: &'a [(String, String)], properties: &[&str]) -> Option<&'a str> {
    declarations
        .iter()
        .find(|(name, _)| properties.contains(&name.as_str()))
        .and_then(|(_, value)| value.rsplit_once("var(--"))
        .and_then(|(_, name)| name.strip_suffix(')'))
        .filter(|name| name.chars().all(|letter| letter.is_ascii_lowercase() || letter == '-'))
}

/// The lists above say what the style does: a colour that is newly written on another has to be added, and so is checked.
#[test]
fn every_colour_that_the_style_writes_in_is_on_the_list() {
    let mut missing = BTreeSet::new();
    let mut seen = 0;
    for (rule, declarations) in rules() {
        // `signal` is each of the four safety colours in turn, which are listed by name.
        let own = |name: &&str| !["signal", "on-signal"].contains(name);
        let front = named(&declarations, &["color"]).filter(own);
        let back = named(&declarations, &["background", "background-color"]).filter(own);
        let ring = named(&declarations, &["outline", "outline-color"]);
        match (front, back) {
            (Some(front), Some(back)) if !TEXT.contains(&(front, back)) => {
                missing.insert(format!("{rule}: {front} on {back}"));
            }
            (Some(front), None) if !TEXT.iter().any(|(listed, _)| *listed == front) => {
                missing.insert(format!("{rule}: {front}"));
            }
            (None, Some(back)) if !TEXT.contains(&("ink", back)) && !is_a_mark(&rule) => {
                missing.insert(format!("{rule}: ink on {back}"));
            }
            _ => {}
        }
        if let Some(ring) = ring
            && !["paper", "sheet"].iter().all(|back| OTHER.contains(&(ring, back)))
        {
            missing.insert(format!("{rule}: a ring in {ring}"));
        }
        seen += usize::from(front.is_some()) + usize::from(back.is_some()) + usize::from(ring.is_some());
    }
    assert_eq!(missing, BTreeSet::new());
    assert!(seen > 40, "the style was read: {seen}");
}

/// Filled marks without words: how often a sign shows, what is chosen, a box that stays empty.
fn is_a_mark(rule: &str) -> bool {
    ["::after", "::before", "input:checked", ".tick"]
        .iter()
        .any(|end| rule.ends_with(end))
}
