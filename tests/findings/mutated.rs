//! Files that nobody wrote: whatever stands in them, the compiler answers and does not fall over.

use super::fixture;
use pitwright::diagnostic::{self, Finding};
use pitwright::source::{Body, File, Sources, Span};
use pitwright::{check, source};
use proptest::prelude::*;
use std::sync::LazyLock;

/// The good course, read once.
static BASE: LazyLock<Sources> =
    LazyLock::new(|| source::read(&fixture::folder().join("base")).expect("the base can be read"));

/// Every place of a finding lies in its file, on the boundaries of characters, and can be shown.
pub fn within(sources: &Sources, finding: &Finding) {
    let places = std::iter::once(&finding.span).chain(finding.also.iter().map(|(span, _)| span));
    for Span { file, start, end } in places.copied() {
        assert!((file.0 as usize) < sources.files.len());
        let text = sources.text(file);
        let (start, end) = (start as usize, end as usize);
        assert!(
            start <= end && end <= text.len() && text.is_char_boundary(start) && text.is_char_boundary(end),
            "{}: {start}..{end} of {} in {}",
            finding.code.name,
            text.len(),
            sources.file(file).path
        );
    }
    assert!(diagnostic::text(finding, sources, false).contains(finding.code.name));
}

/// One thing that happens to a file.
#[derive(Debug, Clone)]
enum Damage {
    Truncate(prop::sample::Index),
    Flip(prop::sample::Index, u8),
    Insert(prop::sample::Index, Vec<u8>),
    Remove(prop::sample::Index, usize),
    Double(prop::sample::Index),
    Swap(prop::sample::Index, prop::sample::Index),
}

fn damage() -> impl Strategy<Value = Damage> {
    let at = any::<prop::sample::Index>;
    // Signs that mean something to one of the readers.
    let telling = prop::sample::select(vec![
        "---\n", "```", "~~~\n", "[", "{", "]", "}", "\"", ": ", "- ", "&a ", "*a", "!!int ", "|\n", "> ", "\t",
        "\r\n", "<", "\u{feff}", "é", "🎳", "#", "%", "null", "\0", "<<: ", "![](", "(lesson:", "[^1]: ", "? ",
    ])
    .prop_map(|sign| sign.as_bytes().to_vec());
    prop_oneof![
        at().prop_map(Damage::Truncate),
        (at(), 1u8..=255).prop_map(|(at, mask)| Damage::Flip(at, mask)),
        (at(), prop::collection::vec(any::<u8>(), 1..8)).prop_map(|(at, bytes)| Damage::Insert(at, bytes)),
        (at(), telling).prop_map(|(at, bytes)| Damage::Insert(at, bytes)),
        (at(), 1usize..40).prop_map(|(at, length)| Damage::Remove(at, length)),
        at().prop_map(Damage::Double),
        (at(), at()).prop_map(|(a, b)| Damage::Swap(a, b)),
    ]
}

impl Damage {
    fn apply(&self, bytes: &mut Vec<u8>) {
        if bytes.is_empty() {
            return;
        }
        let lines = |bytes: &[u8]| {
            bytes
                .split_inclusive(|byte| *byte == b'\n')
                .map(<[u8]>::to_vec)
                .collect::<Vec<_>>()
        };
        match self {
            Self::Truncate(at) => bytes.truncate(at.index(bytes.len())),
            Self::Flip(at, mask) => {
                let at = at.index(bytes.len());
                bytes[at] ^= mask;
            }
            Self::Insert(at, new) => {
                let at = at.index(bytes.len());
                bytes.splice(at..at, new.iter().copied());
            }
            Self::Remove(at, length) => {
                let at = at.index(bytes.len());
                bytes.drain(at..(at + length).min(bytes.len()));
            }
            Self::Double(at) => {
                let mut all = lines(bytes);
                let at = at.index(all.len());
                all.insert(at, all[at].clone());
                *bytes = all.concat();
            }
            Self::Swap(a, b) => {
                let mut all = lines(bytes);
                let (a, b) = (a.index(all.len()), b.index(all.len()));
                all.swap(a, b);
                *bytes = all.concat();
            }
        }
    }
}

/// As the disk would give it.
fn body(bytes: Vec<u8>) -> Body {
    match String::from_utf8(bytes) {
        Ok(text) => Body::Text(text),
        Err(error) => Body::NotText(error.utf8_error().valid_up_to()),
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 500, failure_persistence: None, ..ProptestConfig::default() })]
    #[test]
    fn damaged_files_are_answered(which in any::<prop::sample::Index>(), damages in prop::collection::vec(damage(), 1..6)) {
        let base = BASE.clone();
        let texts: Vec<usize> = (0..base.files.len()).filter(|at| matches!(base.files[*at].body, Body::Text(_))).collect();
        let at = texts[which.index(texts.len())];
        let mut sources = base;
        let File { body: Body::Text(text), .. } = &sources.files[at] else { unreachable!("chosen among the texts") };
        let mut bytes = text.clone().into_bytes();
        for damage in &damages {
            damage.apply(&mut bytes);
        }
        sources.files[at].body = body(bytes);
        match check::check(&sources) {
            Ok(checked) => prop_assert_eq!(checked.marking_hash().len(), 64),
            Err(findings) => {
                prop_assert!(!findings.is_empty(), "refused, and no finding says why");
                for finding in &findings {
                    within(&sources, finding);
                }
            }
        }
    }
}

/// Deep nesting, long lines and endless repetition are answered too, on a thread's own small stack.
#[test]
fn extreme_files_are_answered() {
    let deep = 50_000;
    let extremes = [
        "[".repeat(deep),
        "{a: ".repeat(deep),
        "- ".repeat(deep),
        format!("a: {}", "[".repeat(deep) + "]".repeat(deep).as_str()),
        format!("---\ntitle: \"T\"\nkind: cycle\nedition: 1\n---\n{}", "> ".repeat(deep)),
        format!("---\ntitle: \"T\"\nkind: cycle\nedition: 1\n---\n{}", "[".repeat(deep)),
        format!(
            "---\ntitle: \"T\"\nkind: cycle\nedition: 1\n---\n{}a{}",
            "*".repeat(deep),
            "*".repeat(deep)
        ),
        format!("---\ntitle: \"T\"\nkind: cycle\nedition: 1\n---\n{}", "- ".repeat(deep)),
        "a: &a [x, x]\nb: &b [*a, *a, *a, *a]\nc: &c [*b, *b, *b, *b]\nd: &d [*c, *c, *c, *c]\ne: [*d, *d, *d, *d]\n"
            .to_owned(),
        "title: ".to_owned() + "x".repeat(1_000_000).as_str(),
    ];
    let base = BASE.clone();
    for (number, extreme) in extremes.iter().enumerate() {
        for path in [
            "lessons/stops/pin-across.md",
            "quizzes/banks/alone.yml",
            "quizzes/scenarios/evening.yml",
            "lessons/outline.yml",
        ] {
            let mut sources = base.clone();
            let file = sources
                .files
                .iter_mut()
                .find(|file| file.path == path)
                .expect("the base has it");
            file.body = Body::Text(extreme.clone());
            let findings = check::check(&sources).err().unwrap_or_default();
            assert!(
                path.ends_with(".md") || !findings.is_empty(),
                "{path} became extreme {number} and nothing was found"
            );
            for finding in &findings {
                within(&sources, finding);
            }
        }
    }
}
