//! Questions turned round by a word that is easily missed.

use super::Rule;
use crate::check::wording::{is_english, sentences};
use crate::diagnostic::{Code, Finding};
use crate::model::Course;

pub static PLAIN_NEGATIVE: Code = Code {
    name: "plain-negative",
    title: "a question with a negative that does not stand out",
    explanation: "`Which of these may you not touch?` read in a hurry is `Which of these may you touch?`, and the reader who knows the machine answers the wrong question. Ask what is so, if it can be asked; else let the word stand out: \
        `**not**`, `**never**`, `**except**`. Only the sentence that asks is looked at, not what it tells before. The list of words is English: in other languages this is not looked for.",
};

const NEGATIVE: [&str; 6] = ["not", "never", "except", "excepting", "cannot", "excluding"];

pub const RULE: Rule = Rule {
    codes: &[&PLAIN_NEGATIVE],
    check,
};

fn check(course: &Course, findings: &mut Vec<Finding>) {
    if !is_english(course) {
        return;
    }
    for (file, _, question) in course.questions() {
        let sentences = sentences(&question.stem);
        let asks = sentences.iter().filter(|sentence| sentence.end == Some('?'));
        let mut asking: Vec<_> = asks.collect();
        if asking.is_empty() {
            asking.extend(sentences.last());
        }
        let negative = asking
            .iter()
            .flat_map(|sentence| &sentence.words)
            .find(|word| !word.strong && (NEGATIVE.contains(&word.text.as_str()) || word.text.ends_with("n't")));
        if let Some(word) = negative {
            findings.push(Finding::new(
                &PLAIN_NEGATIVE,
                question.stem.span(file),
                format!("`{}` turns this question round and does not stand out", word.text),
                format!("ask without it, or write `**{}**`", word.text),
            ));
        }
    }
}
