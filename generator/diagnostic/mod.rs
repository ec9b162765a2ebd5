//! Span + code → a report that a person can act on, as text or as JSON.

use crate::source::{Sources, Span};
use annotate_snippets::{AnnotationKind, Level, Renderer, Snippet};
use serde::Serialize;

/// What is wrong in general: a stable name, and an explanation that the user can ask for.
#[derive(Debug, PartialEq, Eq)]
pub struct Code {
    /// Kebab-case; never renamed once published.
    pub name: &'static str,
    /// One line: what is wrong.
    pub title: &'static str,
    /// Why it matters and how to put it right, in a few sentences.
    pub explanation: &'static str,
}

/// One thing found in the sources that stops a course from being compiled.
#[derive(Debug, Clone)]
pub struct Finding {
    pub code: &'static Code,
    pub span: Span,
    /// What is wrong here.
    pub message: String,
    /// What to do.
    pub help: String,
    /// Other places that have to do with it.
    pub also: Vec<(Span, String)>,
    /// How it comes about, one sentence a line, where that is a story.
    pub story: Vec<String>,
}

impl Finding {
    pub fn new(code: &'static Code, span: Span, message: impl Into<String>, help: impl Into<String>) -> Self {
        Self {
            code,
            span,
            message: message.into(),
            help: help.into(),
            also: Vec::new(),
            story: Vec::new(),
        }
    }

    /// Tells how it comes about.
    #[must_use]
    pub fn told(mut self, story: Vec<String>) -> Self {
        self.story = story;
        self
    }

    /// Adds another place.
    #[must_use]
    pub fn also(mut self, span: Span, label: impl Into<String>) -> Self {
        self.also.push((span, label.into()));
        self
    }
}

/// Sorts findings by file and place, so that a run prints the same whatever the order of the checks.
pub fn sort(findings: &mut [Finding]) {
    findings.sort_by(|a, b| (a.span, a.code.name, &a.message).cmp(&(b.span, b.code.name, &b.message)));
}

/// The report of one finding: code, message, file:line:column, the source line with the place marked, and what to do.
pub fn text(finding: &Finding, sources: &Sources, colour: bool) -> String {
    let snippet = |span: Span| {
        let text = sources.text(span.file);
        let (start, end) = on_one_line(text, span);
        (sources.file(span.file).path.clone(), start..end)
    };
    let (path, range) = snippet(finding.span);
    let mut group = Level::ERROR
        .primary_title(finding.message.as_str())
        .id(finding.code.name)
        .element(
            Snippet::source(sources.text(finding.span.file))
                .path(path)
                .annotation(AnnotationKind::Primary.span(range)),
        );
    for (span, label) in &finding.also {
        let (path, range) = snippet(*span);
        group = group.element(
            Snippet::source(sources.text(span.file))
                .path(path)
                .annotation(AnnotationKind::Context.span(range).label(label.as_str())),
        );
    }
    if !finding.story.is_empty() {
        let story = finding.story.join("\n");
        group = group.element(Level::NOTE.message(format!("this is how it comes about:\n{story}")));
    }
    let report = [group.element(Level::HELP.message(finding.help.as_str()))];
    let renderer = if colour { Renderer::styled() } else { Renderer::plain() };
    renderer.render(&report).to_string()
}

/// A span cut to its first line, on character boundaries: an excerpt shows a place, not a page.
fn on_one_line(text: &str, span: Span) -> (usize, usize) {
    let boundary = |mut at: usize| {
        at = at.min(text.len());
        while !text.is_char_boundary(at) {
            at -= 1;
        }
        at
    };
    let start = boundary(span.start as usize);
    let end = boundary(span.end as usize).max(start);
    let line_end = text[start..].find('\n').map_or(text.len(), |newline| start + newline);
    (start, end.min(line_end))
}

/// A finding as `--json` gives it.
#[derive(Debug, Serialize)]
pub struct Json<'a> {
    pub code: &'static str,
    pub file: &'a str,
    /// Counted from 1.
    pub line: usize,
    /// Counted from 1, in characters.
    pub column: usize,
    pub message: &'a str,
    pub help: &'a str,
    pub also: Vec<JsonPlace<'a>>,
    #[serde(skip_serializing_if = "<[String]>::is_empty")]
    pub story: &'a [String],
}

/// Another place of a finding.
#[derive(Debug, Serialize)]
pub struct JsonPlace<'a> {
    pub file: &'a str,
    pub line: usize,
    pub column: usize,
    pub label: &'a str,
}

/// One finding for `--json`.
pub fn json<'a>(finding: &'a Finding, sources: &'a Sources) -> Json<'a> {
    let position = sources.position(finding.span);
    Json {
        code: finding.code.name,
        file: &sources.file(finding.span.file).path,
        line: position.line,
        column: position.column,
        message: &finding.message,
        help: &finding.help,
        story: &finding.story,
        also: finding
            .also
            .iter()
            .map(|(span, label)| {
                let position = sources.position(*span);
                JsonPlace {
                    file: &sources.file(span.file).path,
                    line: position.line,
                    column: position.column,
                    label,
                }
            })
            .collect(),
    }
}
