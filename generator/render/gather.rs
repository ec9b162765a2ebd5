//! Scripts and styles as pages get them: those of one page in one file, without remarks and indentation. The theme's own files
//! stay as they are, and work as they are.

use super::Output;
use serde_json::json;
use std::collections::{BTreeMap, BTreeSet, HashSet};

/// What is gathered: scripts, or styles.
struct Sort {
    /// Where the theme keeps them.
    folder: &'static str,
    ending: &'static str,
    /// How a tag begins, up to the address, and how it may go on after it.
    open: &'static str,
    closes: &'static [&'static str],
    bare: fn(&str) -> String,
}

const SCRIPTS: Sort = Sort {
    folder: "script/",
    ending: "js",
    open: "<script src=\"",
    closes: &[" defer></script>", "></script>"],
    bare: bare_script,
};

/// Styles for one medium only have another tag and stay apart.
const STYLES: Sort = Sort {
    folder: "style/",
    ending: "css",
    open: "<link rel=\"stylesheet\" href=\"",
    closes: &[">"],
    bare: bare_style,
};

/// Puts the scripts, and the styles, of each page into one file a kind of page, in the order of the page, and lets the page
/// load that. Before the scripts stand those of `words` that they ask for.
pub fn gather(output: &mut Output, words: &BTreeMap<String, String>) {
    one_sort(output, &SCRIPTS, |text| words_before(text, words));
    one_sort(output, &STYLES, |text| text);
}

/// Scripts, after the words of the interface that they show. All others are for templates, or for other pages.
fn words_before(scripts: String, words: &BTreeMap<String, String>) -> String {
    let named = Named::of(&scripts);
    let asked: BTreeMap<&String, &String> = words.iter().filter(|(key, _)| named.asks(key)).collect();
    if asked.is_empty() {
        return scripts;
    }
    let asked = json!(asked);
    format!("(globalThis.PITWRIGHT = globalThis.PITWRIGHT || {{}}).words = {asked};\n{scripts}")
}

/// What a script could ask for by name.
struct Named<'s> {
    /// What stands in quotation marks by itself. A name without them is one of the script's own, such as `find`.
    whole: HashSet<&'s str>,
    /// Beginnings whose rest is filled in: `name_${`.
    begun: HashSet<&'s str>,
}

impl<'s> Named<'s> {
    fn of(script: &'s str) -> Self {
        let part = |letter: char| letter.is_alphanumeric() || letter == '_';
        let begun = script.split('`').skip(1).filter_map(|rest| {
            let end = rest.find(|letter| !part(letter))?;
            rest[end..].starts_with("${").then_some(&rest[..end])
        });
        let quoted = script.split(['"', '\'', '`']);
        Self {
            whole: quoted.filter(|text| text.chars().all(part)).collect(),
            begun: begun.collect(),
        }
    }

    /// Whether it asks for a key: by the whole of it, or by its beginning.
    fn asks(&self, key: &str) -> bool {
        let mut beginnings = key.match_indices('_').map(|(at, _)| &key[..=at]);
        self.whole.contains(key) || beginnings.any(|beginning| self.begun.contains(beginning))
    }
}

fn one_sort(output: &mut Output, sort: &Sort, whole: impl Fn(String) -> String) {
    let mut files: BTreeMap<Vec<String>, String> = BTreeMap::new();
    let mut many: BTreeMap<String, usize> = BTreeMap::new();
    let mut left: BTreeSet<String> = BTreeSet::new();
    let pages: Vec<String> = output.keys().filter(|path| path.ends_with(".html")).cloned().collect();
    for path in pages {
        let Some(page) = output.get(&path).and_then(|bytes| std::str::from_utf8(bytes).ok()) else {
            continue;
        };
        let tags = tags(page, sort);
        let names: Vec<String> = tags.iter().map(|tag| format!("{}{}", sort.folder, tag.name)).collect();
        // What is not there is left for the page to miss, and so is all that stands with it.
        if names.is_empty() || !names.iter().all(|name| output.contains_key(name)) {
            left.extend(names);
            continue;
        }
        let kind = path.split(['/', '.']).next().unwrap_or("page").to_owned();
        let file = files.entry(names).or_insert_with(|| {
            let number = many.entry(kind.clone()).or_default();
            *number += 1;
            let number = if *number == 1 {
                String::new()
            } else {
                format!("-{number}")
            };
            format!("{}page-{kind}{number}.{}", sort.folder, sort.ending)
        });
        // Styles come as early as the first of them, scripts as late as the last.
        let place = if sort.ending == "css" { 0 } else { tags.len() - 1 };
        let mut bound = String::with_capacity(page.len());
        let mut from = 0;
        for (at, tag) in tags.iter().enumerate() {
            bound.push_str(&page[from..tag.at.start]);
            from = tag.at.end;
            if at == place {
                let close = sort.closes[0];
                bound.push_str(&format!("{}{}{file}\"{close}", sort.open, tag.root));
            } else if page[from..].starts_with('\n') {
                from += 1;
            }
        }
        bound.push_str(&page[from..]);
        output.insert(path, bound.into_bytes());
    }
    let gathered: BTreeSet<&String> = files.keys().flatten().collect();
    let texts: BTreeMap<String, String> = gathered
        .into_iter()
        .filter_map(|name| {
            let bytes = if left.contains(name) {
                output.get(name).cloned()
            } else {
                output.remove(name)
            };
            Some((name.clone(), (sort.bare)(&String::from_utf8(bytes?).ok()?)))
        })
        .collect();
    for (names, file) in files {
        let text: String = names
            .iter()
            .filter_map(|name| texts.get(name).map(String::as_str))
            .collect();
        output.insert(file, whole(text).into_bytes());
    }
}

/// A tag that loads a file of the theme.
struct Tag {
    at: std::ops::Range<usize>,
    /// From the page to the course's folder.
    root: String,
    name: String,
}

/// The tags of a page that load files of the theme.
fn tags(page: &str, sort: &Sort) -> Vec<Tag> {
    let mut tags = Vec::new();
    let mut from = 0;
    while let Some(start) = page[from..].find(sort.open).map(|at| from + at) {
        let inside = start + sort.open.len();
        from = inside;
        let Some(quote) = page[inside..].find('"').map(|at| inside + at) else {
            break;
        };
        let rest = &page[quote + 1..];
        let Some(close) = sort.closes.iter().find(|close| rest.starts_with(**close)) else {
            continue;
        };
        if let Some((root, name)) = page[inside..quote].split_once(sort.folder)
            && (root.is_empty() || root == "../")
            && !name.contains('/')
        {
            tags.push(Tag {
                at: start..quote + 1 + close.len(),
                root: root.to_owned(),
                name: name.to_owned(),
            });
        }
    }
    tags
}

/// A script without remarks that have lines of their own, and without indentation. A text of several lines between backticks is
/// the one place where that would change what it says, so a script with such a text is left as it is.
fn bare_script(text: &str) -> String {
    if text.lines().any(|line| line.matches('`').count() % 2 == 1) {
        return text.to_owned();
    }
    let mut bare = String::with_capacity(text.len());
    let mut remark = false;
    for line in text.lines() {
        let line = line.trim();
        if remark {
            remark = !line.ends_with("*/");
        } else if line.starts_with("/*") {
            // One that ends within the line, and has nothing after it.
            remark = !line.ends_with("*/");
        } else if !line.is_empty() && !line.starts_with("//") {
            bare.push_str(line);
            // Where a line cannot end a statement by its end, or has ended it by itself, the end is not needed; a remark needs it.
            if line.contains("//") || !line.ends_with([';', '{', ',', '(', '[']) {
                bare.push('\n');
            }
        }
    }
    bare
}

/// A style without remarks, and without blanks that say nothing; a line with quotation marks keeps its own. A remark in quotation
/// marks would be taken for one; no style of a page has such.
fn bare_style(text: &str) -> String {
    let mut open = text;
    let mut plain = String::with_capacity(text.len());
    while let Some((before, rest)) = open.split_once("/*") {
        plain.push_str(before);
        open = rest.split_once("*/").map_or("", |(_, after)| after);
    }
    plain.push_str(open);
    let lines = plain.lines().map(str::trim).filter(|line| !line.is_empty());
    let tight = |line: &str| {
        if line.contains('"') {
            format!("{line}\n")
        } else {
            line.replace(": ", ":").replace(" {", "{").replace(", ", ",")
        }
    };
    // What a declaration is of stands on its own line, and so may the rest of a list of selectors: a blank in place of the end of a
    // line keeps two words apart.
    lines.map(tight).fold(String::new(), |all, line| {
        let open = all.is_empty() || all.ends_with(['{', '}', ';', ',', '\n']);
        all + if open { "" } else { " " } + &line
    })
}
