//! Scripts and styles as pages get them: those of one page in one piece, without remarks and indentation. What the first picture
//! waits for stands in the page itself. The theme's own files stay as they are, and work as they are.

use super::Output;
use base64::Engine;
use base64::engine::general_purpose::STANDARD;
use serde_json::json;
use sha2::{Digest, Sha256};
use std::collections::{BTreeMap, BTreeSet, HashSet};

/// What is gathered: scripts, or styles.
struct Sort {
    /// How the names of the files begin into which they are put.
    named: &'static str,
    /// What a page's policy says of them, as it stands in the page, where they are to be in the page itself.
    own: Option<&'static str>,
    /// Where the theme keeps them.
    folder: &'static str,
    ending: &'static str,
    /// How a tag begins, up to the address, and how it goes on after it.
    open: &'static str,
    close: &'static str,
    bare: fn(&str) -> String,
}

/// Scripts that run once the page is read.
const SCRIPTS: Sort = Sort {
    named: "page",
    own: None,
    folder: "script/",
    ending: "js",
    open: "<script src=\"",
    close: " defer></script>",
    bare: bare_script,
};

/// Scripts that run as soon as a page comes to them.
const SCRIPTS_AT_ONCE: Sort = Sort {
    named: "first",
    own: Some("script-src &#39;self&#39;"),
    close: "></script>",
    ..SCRIPTS
};

/// Styles for one medium only have another tag and stay apart.
const STYLES: Sort = Sort {
    named: "page",
    own: Some("style-src &#39;self&#39;"),
    folder: "style/",
    ending: "css",
    open: "<link rel=\"stylesheet\" href=\"",
    close: ">",
    bare: bare_style,
};

/// The style of a page that is printed.
const ON_PAPER: &str = "style/paper.css";

/// Puts the scripts, and the styles, of each page into one file a kind of page, in the order of the page, and lets the page
/// load that. Before the scripts stand those of `words` that they ask for.
pub fn gather(output: &mut Output, words: &BTreeMap<String, String>) {
    let mut gathered = one_sort(output, &SCRIPTS_AT_ONCE, |text| words_before(text, words));
    gathered.extend(one_sort(output, &SCRIPTS, |text| words_before(text, words)));
    output.retain(|path, _| !gathered.contains(path));
    let apart: Vec<String> = output
        .keys()
        .filter(|path| path.starts_with(STYLES.folder))
        .cloned()
        .collect();
    let gathered = one_sort(output, &STYLES, |text| text);
    output.retain(|path, _| !gathered.contains(path));
    // Those with a tag of their own, for paper, are left: no page needs their remarks.
    for path in apart {
        if let Some(bytes) = output.get_mut(&path)
            && let Ok(text) = std::str::from_utf8(bytes)
        {
            *bytes = bare_style(text).into_bytes();
        }
    }
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

/// A page, and its tags of one sort, of which at least one stands in it.
struct Page {
    path: String,
    text: String,
    tags: Vec<Tag>,
    names: Vec<String>,
}

/// Returns the files whose texts every page has got that names them.
fn one_sort(output: &mut Output, sort: &Sort, whole: impl Fn(String) -> String) -> BTreeSet<String> {
    let (pages, left) = pages(output, sort);
    let mut gathered: BTreeSet<String> = pages.iter().flat_map(|page| page.names.iter().cloned()).collect();
    let texts: BTreeMap<&String, String> = gathered
        .iter()
        .filter_map(|name| Some((name, (sort.bare)(std::str::from_utf8(output.get(name)?).ok()?))))
        .collect();
    let mut files: BTreeMap<&[String], (String, String)> = BTreeMap::new();
    let mut many: BTreeMap<&str, usize> = BTreeMap::new();
    for page in &pages {
        let (file, text) = files.entry(&page.names).or_insert_with(|| {
            let kind = page.path.split(['/', '.']).next().unwrap_or("page");
            let number = many.entry(kind).or_default();
            *number += 1;
            let number = if *number == 1 {
                String::new()
            } else {
                format!("-{number}")
            };
            let all = page.names.iter().filter_map(|name| texts.get(name).map(String::as_str));
            (
                format!("{}{}-{kind}{number}.{}", sort.folder, sort.named, sort.ending),
                whole(all.collect()),
            )
        });
        let bound = match inside(page, sort, text) {
            Some(bound) => bound,
            None => {
                output.insert(file.clone(), text.clone().into_bytes());
                page.bound(
                    sort,
                    &format!("{}{}{file}\"{}", sort.open, page.tags[0].root, sort.close),
                )
            }
        };
        output.insert(page.path.clone(), bound.into_bytes());
    }
    gathered.retain(|name| !left.contains(name));
    gathered
}

/// The pages that have tags of a sort; and what some page names together with a file that is not there, which is left for that page
/// to miss.
fn pages(output: &Output, sort: &Sort) -> (Vec<Page>, BTreeSet<String>) {
    let mut left = BTreeSet::new();
    let mut pages = Vec::new();
    for (path, bytes) in output.iter().filter(|(path, _)| path.ends_with(".html")) {
        let Ok(text) = std::str::from_utf8(bytes) else {
            continue;
        };
        let tags = tags(text, sort);
        let names: Vec<String> = tags.iter().map(|tag| format!("{}{}", sort.folder, tag.name)).collect();
        if names.is_empty() || !names.iter().all(|name| output.contains_key(name)) {
            left.extend(names);
            continue;
        }
        let (path, text) = (path.clone(), text.to_owned());
        pages.push(Page {
            path,
            text,
            tags,
            names,
        });
    }
    (pages, left)
}

impl Page {
    /// The page with one thing in place of its tags: where the first of its styles stood, or the last of its scripts.
    fn bound(&self, sort: &Sort, one: &str) -> String {
        let place = if sort.ending == "css" { 0 } else { self.tags.len() - 1 };
        let mut bound = String::with_capacity(self.text.len() + one.len());
        let mut from = 0;
        for (at, tag) in self.tags.iter().enumerate() {
            bound.push_str(&self.text[from..tag.at.start]);
            from = tag.at.end;
            if at == place {
                bound.push_str(one);
            } else if self.text[from..].starts_with('\n') {
                from += 1;
            }
        }
        bound.push_str(&self.text[from..]);
        bound
    }
}

/// A page with its style, or with the scripts that run at once, in it, so that it waits for no second file; and with leave for that
/// text alone in its policy. None where that cannot be: what is written for paper, and opened at a desk, keeps its style beside it; and
/// so does what would end its element early.
fn inside(page: &Page, sort: &Sort, text: &str) -> Option<String> {
    let own = sort.own?;
    let element = if sort.ending == "css" { "style" } else { "script" };
    let on_paper = || page.names.iter().any(|name| name == ON_PAPER);
    if on_paper() || ["</", "<!--"].iter().any(|end| text.contains(end)) {
        return None;
    }
    let text = text.replace("url(\"../", &format!("url(\"{}", page.tags[0].root));
    let hash = STANDARD.encode(Sha256::digest(text.as_bytes()));
    let bound = page.bound(sort, &format!("<{element}>{text}</{element}>"));
    let (before, after) = bound.split_once(own)?;
    Some(format!("{before}{own} &#39;sha256-{hash}&#39;{after}"))
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
        if !rest.starts_with(sort.close) {
            continue;
        }
        if let Some((root, name)) = page[inside..quote].split_once(sort.folder)
            && (root.is_empty() || root == "../")
            && !name.contains('/')
        {
            tags.push(Tag {
                at: start..quote + 1 + sort.close.len(),
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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_cannot_stand_in_a_page_lies_beside_it_and_takes_the_place_of_nothing_else() {
        let page = "<meta content=\"script-src &#39;self&#39;; style-src &#39;self&#39;\"><script src=\"script/early.js\"></script>\
            <script src=\"script/late.js\" defer></script>";
        let gathered = |early: &str| {
            let files = [
                ("index.html", page),
                ("script/early.js", early),
                ("script/late.js", "late();"),
            ];
            let mut output: Output = files
                .map(|(path, text)| (path.to_owned(), text.as_bytes().to_vec()))
                .into();
            gather(&mut output, &BTreeMap::new());
            let text = |path: &str| {
                output
                    .get(path)
                    .map(|bytes| String::from_utf8_lossy(bytes).trim().to_owned())
            };
            let page = text("index.html").unwrap_or_default();
            let names: Vec<String> = output.keys().cloned().collect();
            (page, names, text("script/first-index.js"), text("script/page-index.js"))
        };
        let late = Some("late();".to_owned());
        let (page, names, first, rest) = gathered("early();");
        assert!(page.contains("<script>early();") && page.contains("sha256-"), "{page}");
        assert_eq!(names, ["index.html", "script/page-index.js"]);
        assert_eq!((first, &rest), (None, &late));

        let (page, names, first, rest) = gathered("say('</script>');");
        assert!(
            page.contains("script/first-index.js\"></script>") && !page.contains("sha256-"),
            "{page}"
        );
        assert_eq!(names, ["index.html", "script/first-index.js", "script/page-index.js"]);
        assert_eq!((first, rest), (Some("say('</script>');".to_owned()), late));
    }
}
