//! Banks, and the questions in banks and lessons. A question is read flat, so that its values keep their places, and then
//! given the shape of its kind.

use super::yaml;
use crate::diagnostic::{Code, Finding};
use crate::marking::Decimal;
use crate::model::{Answer, Ask, Bank, Filed, Guess, Id, Keyed, Question, Text};
use crate::source::{At, FileId, Span};
use serde::{Deserialize, Deserializer};

pub static QUESTION_SHAPE: Code = Code {
    name: "question-shape",
    title: "a question's keys do not fit its kind",
    explanation: "Each kind of question has keys of its own: `choice` has `options` and `right`; `numeric` has `answer`, `tolerance`, `unit` and `guess`. \
        A key of another kind, or a missing one, means that the question cannot be marked as its author meant. Put `kind` right, or the keys.",
};

pub fn codes() -> [&'static Code; 1] {
    [&QUESTION_SHAPE]
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "kebab-case")]
enum RawKind {
    Choice,
    Numeric,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
struct RawQuestion {
    #[serde(default)]
    id: Option<Id>,
    kind: At<RawKind>,
    competency: Id,
    #[serde(default)]
    critical: bool,
    stem: Text,
    because: Text,
    #[serde(default)]
    options: Option<Keyed<Text>>,
    #[serde(default)]
    right: Option<Id>,
    #[serde(default)]
    answer: Option<At<Decimal>>,
    #[serde(default)]
    tolerance: Option<At<Decimal>>,
    #[serde(default)]
    unit: Option<At<String>>,
    #[serde(default)]
    guess: Option<At<RawGuess>>,
}

#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
struct RawGuess {
    from: Decimal,
    to: Decimal,
    step: Decimal,
}

/// Whole per cent, written `80%`.
#[derive(Debug, Clone, Copy)]
struct WholePercent(u32);

impl<'de> Deserialize<'de> for WholePercent {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let text = String::deserialize(deserializer)?;
        text.strip_suffix('%')
            .and_then(|number| number.trim().parse::<u32>().ok())
            .filter(|number| (1..=100).contains(number))
            .map(Self)
            .ok_or_else(|| {
                serde::de::Error::custom(format!(
                    "`{text}` is not a whole share from 1% to 100%, written like 80%"
                ))
            })
    }
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
struct RawBank {
    title: At<String>,
    edition: At<u32>,
    pass: At<WholePercent>,
    draw: Keyed<At<u32>>,
    questions: Keyed<RawQuestion>,
}

/// Reads a bank.
pub fn bank(file: FileId, path: &str, text: &str, findings: &mut Vec<Finding>) -> Option<Filed<Bank>> {
    let raw: RawBank = match yaml::read(file, text) {
        Ok(raw) => raw,
        Err(finding) => {
            findings.push(*finding);
            return None;
        }
    };
    let mut questions = Vec::new();
    let mut whole = true;
    for (key, question) in raw.questions.iter() {
        if let Some(id) = &question.id {
            findings.push(misfit(
                file,
                id.start..id.end,
                "a question of a bank is named by its key, not by `id`",
                "delete `id`",
            ));
        }
        match shape(file, question, findings) {
            Some(shaped) => questions.push((key.clone(), shaped)),
            None => whole = false,
        }
    }
    let bank = Bank {
        title: raw.title,
        edition: raw.edition,
        pass: raw.pass.map(|percent| percent.0),
        draw: raw.draw,
        questions: Keyed::from_pairs(questions),
    };
    whole.then(|| Filed::new(file, path, bank))
}

/// Reads the body of an `ask` block; `text` is a canvas of the lesson.
pub fn ask(file: FileId, text: &str, block: Span, findings: &mut Vec<Finding>) -> Option<Ask> {
    let raw: RawQuestion = match yaml::read(file, text) {
        Ok(raw) => raw,
        Err(finding) => {
            findings.push(*finding);
            return None;
        }
    };
    let Some(id) = raw.id.clone() else {
        findings.push(Finding::new(
            &QUESTION_SHAPE,
            block,
            "an `ask` block needs an `id`",
            "add `id: …`, a short name that no other question of this lesson has",
        ));
        return None;
    };
    let question = shape(file, &raw, findings)?;
    Some(Ask { id, question })
}

fn misfit(file: FileId, range: std::ops::Range<u32>, message: &str, help: &str) -> Finding {
    let span = Span {
        file,
        start: range.start,
        end: range.end,
    };
    Finding::new(&QUESTION_SHAPE, span, message, help)
}

/// Gives a question the shape of its kind.
fn shape(file: FileId, raw: &RawQuestion, findings: &mut Vec<Finding>) -> Option<Question> {
    let kind = raw.kind.value;
    let word = match kind {
        RawKind::Choice => "choice",
        RawKind::Numeric => "numeric",
    };
    let at_kind = raw.kind.span(file);
    let keys: [(&str, RawKind, bool); 6] = [
        ("options", RawKind::Choice, raw.options.is_some()),
        ("right", RawKind::Choice, raw.right.is_some()),
        ("answer", RawKind::Numeric, raw.answer.is_some()),
        ("tolerance", RawKind::Numeric, raw.tolerance.is_some()),
        ("unit", RawKind::Numeric, raw.unit.is_some()),
        ("guess", RawKind::Numeric, raw.guess.is_some()),
    ];
    // One wrong `kind` makes every key wrong: one question, one finding.
    let named = |wrong: &dyn Fn(RawKind, bool) -> bool| {
        let wrong = keys.iter().filter(|(_, of, there)| wrong(*of, *there));
        wrong.map(|(key, ..)| format!("`{key}`")).collect::<Vec<_>>().join(", ")
    };
    let lacks = named(&|of, there| of == kind && !there);
    let extra = named(&|of, there| of != kind && there);
    let (message, help) = match (lacks.is_empty(), extra.is_empty()) {
        (true, true) => (String::new(), String::new()),
        (false, true) => (format!("needs {lacks}"), format!("add {lacks}")),
        (true, false) => (format!("has no {extra}"), format!("delete {extra}, or change the kind")),
        (false, false) => (
            format!("needs {lacks} and has no {extra}"),
            format!("change the kind, or add {lacks} and delete {extra}"),
        ),
    };
    if !message.is_empty() {
        findings.push(Finding::new(
            &QUESTION_SHAPE,
            at_kind,
            format!("a question of kind `{word}` {message}"),
            help,
        ));
        return None;
    }
    let answer = match kind {
        RawKind::Choice => Answer::Choice {
            options: raw.options.clone()?,
            right: raw.right.clone()?,
        },
        RawKind::Numeric => Answer::Numeric {
            answer: raw.answer.clone()?,
            tolerance: raw.tolerance.clone()?,
            unit: raw.unit.clone()?,
            guess: raw.guess.clone()?.map(|guess| Guess {
                from: guess.from,
                to: guess.to,
                step: guess.step,
            }),
        },
    };
    Some(Question {
        competency: raw.competency.clone(),
        critical: raw.critical,
        stem: raw.stem.clone(),
        because: raw.because.clone(),
        answer,
    })
}
