//! Banks, and the questions in banks and lessons. A question is read flat, so that its values keep their places, and then
//! given the shape of its kind.

use super::yaml;
use crate::diagnostic::{Code, Finding};
use crate::marking::Decimal;
use crate::model::{Answer, Ask, Bank, Filed, Guess, Id, Keyed, Modelled, Pair, Question, Text, Tree};
use crate::source::{At, FileId, Span};
use serde::de::{self, SeqAccess, Visitor};
use serde::{Deserialize, Deserializer};
use std::fmt;

pub static QUESTION_SHAPE: Code = Code {
    name: "question-shape",
    title: "a question's keys do not fit its kind",
    explanation: "Each kind of question has keys of its own: `choice` has `options` and `right`, and with several right ones perhaps `partial: true`; \
        `matching` has `pairs`; `sequencing` has `steps`; `numeric` has `answer`, `tolerance`, `unit` and `guess`; `place` has `drawing`, `spots` and `right`. Any kind may show a `drawing`. \
        A key of another kind, or a missing one, means that the question cannot be marked as its author meant. Put `kind` right, or the keys.",
};

pub fn codes() -> [&'static Code; 1] {
    [&QUESTION_SHAPE]
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "kebab-case")]
enum RawKind {
    Choice,
    Matching,
    Sequencing,
    Numeric,
    Place,
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
    drawing: Option<Id>,
    #[serde(default)]
    options: Option<Keyed<Text>>,
    #[serde(default)]
    right: Option<At<Ids>>,
    #[serde(default)]
    partial: Option<At<bool>>,
    #[serde(default)]
    pairs: Option<Keyed<Pair>>,
    #[serde(default)]
    steps: Option<Keyed<Text>>,
    #[serde(default)]
    answer: Option<At<Decimal>>,
    #[serde(default)]
    tolerance: Option<At<Decimal>>,
    #[serde(default)]
    unit: Option<At<String>>,
    #[serde(default)]
    guess: Option<At<RawGuess>>,
    #[serde(default)]
    spots: Option<Keyed<Text>>,
    #[serde(default)]
    drill: Option<Id>,
    #[serde(default)]
    start: Option<At<Tree>>,
    #[serde(default)]
    before: Option<Vec<Id>>,
}

/// One id, or a list of them.
#[derive(Debug, Clone)]
enum Ids {
    One(String),
    List(Vec<Id>),
}

impl<'de> Deserialize<'de> for Ids {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        struct Either;
        impl<'de> Visitor<'de> for Either {
            type Value = Ids;

            fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                f.write_str("an id, or a list of ids")
            }

            fn visit_str<E: de::Error>(self, id: &str) -> Result<Ids, E> {
                Ok(Ids::One(id.to_owned()))
            }

            // An id of digits only, which YAML takes for a number.
            fn visit_u64<E: de::Error>(self, id: u64) -> Result<Ids, E> {
                Ok(Ids::One(id.to_string()))
            }

            fn visit_seq<A: SeqAccess<'de>>(self, mut list: A) -> Result<Ids, A::Error> {
                let mut ids = Vec::new();
                while let Some(id) = list.next_element()? {
                    ids.push(id);
                }
                Ok(Ids::List(ids))
            }
        }
        deserializer.deserialize_any(Either)
    }
}

impl Ids {
    /// Each with its place; `whole` is the place of the value.
    fn each(whole: &At<Self>) -> Vec<Id> {
        match &whole.value {
            Self::One(id) => vec![At::new(id.clone(), whole.start as usize..whole.end as usize)],
            Self::List(ids) => ids.clone(),
        }
    }
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

/// A key that not every kind has.
struct Key {
    name: &'static str,
    /// The kinds that cannot do without it.
    needs: &'static [RawKind],
    there: bool,
}

/// Gives a question the shape of its kind.
fn shape(file: FileId, raw: &RawQuestion, findings: &mut Vec<Finding>) -> Option<Question> {
    use RawKind::{Choice, Matching, Numeric, Place, Sequencing};
    let kind = raw.kind.value;
    let word = match kind {
        Choice => "choice",
        Matching => "matching",
        Sequencing => "sequencing",
        Numeric => "numeric",
        Place => "place",
    };
    let at_kind = raw.kind.span(file);
    let key = |name, needs: &'static [RawKind], there| Key { name, needs, there };
    let keys = [
        key("options", &[Choice], raw.options.is_some()),
        key("right", &[Choice, Place], raw.right.is_some()),
        key("pairs", &[Matching], raw.pairs.is_some()),
        key("steps", &[Sequencing], raw.steps.is_some()),
        key("answer", &[Numeric], raw.answer.is_some()),
        key("tolerance", &[Numeric], raw.tolerance.is_some()),
        key("unit", &[Numeric], raw.unit.is_some()),
        key("guess", &[Numeric], raw.guess.is_some()),
        key("spots", &[Place], raw.spots.is_some()),
        key("drawing", &[Place], raw.drawing.is_some()),
        key("partial", &[], raw.partial.is_some()),
        key("drill", &[], raw.drill.is_some()),
        key("start", &[], raw.start.is_some()),
        key("before", &[], raw.before.is_some()),
    ];
    // Some kinds may have keys that they do not need: a drawing may stand beside any question.
    let may = |key: &Key| match key.name {
        "drawing" => true,
        "partial" => kind == Choice,
        "drill" => kind == Sequencing,
        "start" | "before" => kind == Sequencing && raw.drill.is_some(),
        _ => key.needs.contains(&kind),
    };
    // One wrong `kind` makes every key wrong: one question, one finding.
    let named = |wrong: &dyn Fn(&Key) -> bool| {
        let wrong = keys.iter().filter(|key| wrong(key));
        wrong
            .map(|key| format!("`{}`", key.name))
            .collect::<Vec<_>>()
            .join(", ")
    };
    let lacks = named(&|key| key.needs.contains(&kind) && !key.there);
    let extra = named(&|key| key.there && !may(key));
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
    let right = raw.right.as_ref().map(Ids::each);
    let partial = raw.partial.as_ref().is_some_and(|partial| partial.value);
    if let (Some(at), true, Some([_])) = (&raw.partial, partial, right.as_deref()) {
        findings.push(misfit(
            file,
            at.start..at.end,
            "one option is right, so there is no part of it to mark",
            "name several in `right`, or delete `partial`",
        ));
        return None;
    }
    let answer = match kind {
        Choice => Answer::Choice {
            options: raw.options.clone()?,
            right: right?,
            partial,
        },
        Matching => Answer::Matching {
            pairs: raw.pairs.clone()?,
        },
        Sequencing => Answer::Sequencing {
            steps: raw.steps.clone()?,
            model: raw.drill.clone().map(|drill| Modelled {
                drill,
                start: raw.start.clone(),
                before: raw.before.clone().unwrap_or_default(),
            }),
        },
        Numeric => Answer::Numeric {
            answer: raw.answer.clone()?,
            tolerance: raw.tolerance.clone()?,
            unit: raw.unit.clone()?,
            guess: raw.guess.clone()?.map(|guess| Guess {
                from: guess.from,
                to: guess.to,
                step: guess.step,
            }),
        },
        Place => Answer::Place {
            spots: raw.spots.clone()?,
            right: right?,
        },
    };
    Some(Question {
        competency: raw.competency.clone(),
        critical: raw.critical,
        stem: raw.stem.clone(),
        because: raw.because.clone(),
        drawing: raw.drawing.clone(),
        answer,
    })
}
