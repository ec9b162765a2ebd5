//! Scripts as pages get them: those of one page in one file, without remarks and indentation. The theme's own files stay as they
//! are, and run as they are.

use super::Output;
use std::collections::BTreeMap;

/// Puts the scripts of each page into one file a kind of page, in the order of the page, and lets the page load that.
pub fn gather(output: &mut Output) {
    let mut files: BTreeMap<Vec<String>, String> = BTreeMap::new();
    let mut many: BTreeMap<String, usize> = BTreeMap::new();
    let pages: Vec<String> = output.keys().filter(|path| path.ends_with(".html")).cloned().collect();
    for path in pages {
        let Some(page) = output.get(&path).and_then(|bytes| std::str::from_utf8(bytes).ok()) else {
            continue;
        };
        let tags = tags(page);
        // What is not there is left for the page to miss.
        let there = |tag: &&Tag| output.contains_key(&tag.path());
        let (found, names): (Vec<&Tag>, Vec<String>) = tags.iter().filter(there).map(|tag| (tag, tag.path())).unzip();
        let Some(last) = found.last() else {
            continue;
        };
        let kind = path.split(['/', '.']).next().unwrap_or("page").to_owned();
        let file = files.entry(names).or_insert_with(|| {
            let number = many.entry(kind.clone()).or_default();
            *number += 1;
            if *number == 1 {
                format!("script/all/{kind}.js")
            } else {
                format!("script/all/{kind}-{number}.js")
            }
        });
        let mut bound = String::with_capacity(page.len());
        let mut from = 0;
        for tag in &found {
            bound.push_str(&page[from..tag.at.start]);
            from = tag.at.end;
            if std::ptr::eq(*tag, *last) {
                bound.push_str(&format!("<script src=\"{}{file}\" defer></script>", tag.root));
            } else if page[from..].starts_with('\n') {
                from += 1;
            }
        }
        bound.push_str(&page[from..]);
        output.insert(path, bound.into_bytes());
    }
    let mut gathered: Vec<&String> = files.keys().flatten().collect();
    gathered.sort();
    gathered.dedup();
    let texts: BTreeMap<String, String> = gathered
        .into_iter()
        .filter_map(|name| Some((name.clone(), bare(&String::from_utf8(output.remove(name)?).ok()?))))
        .collect();
    for (names, file) in files {
        let text: String = names
            .iter()
            .filter_map(|name| texts.get(name).map(String::as_str))
            .collect();
        output.insert(file, text.into_bytes());
    }
}

/// A tag that loads one of the theme's scripts.
struct Tag {
    at: std::ops::Range<usize>,
    /// From the page to the course's folder.
    root: String,
    name: String,
}

impl Tag {
    fn path(&self) -> String {
        format!("script/{}", self.name)
    }
}

/// The tags of a page that load the theme's scripts, written `<script src="ROOTscript/NAME.js" defer></script>` or without `defer`.
fn tags(page: &str) -> Vec<Tag> {
    const OPEN: &str = "<script src=\"";
    let mut tags = Vec::new();
    let mut from = 0;
    while let Some(start) = page[from..].find(OPEN).map(|at| from + at) {
        let inside = start + OPEN.len();
        from = inside;
        let Some(quote) = page[inside..].find('"').map(|at| inside + at) else {
            break;
        };
        let rest = &page[quote + 1..];
        let Some(close) = [" defer></script>", "></script>"]
            .into_iter()
            .find(|close| rest.starts_with(close))
        else {
            continue;
        };
        if let Some((root, name)) = page[inside..quote].split_once("script/")
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
fn bare(text: &str) -> String {
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
            bare.push('\n');
        }
    }
    bare
}
