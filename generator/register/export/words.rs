//! What an export holds, in plain words.

use super::{Chain, Collected, Detail, standings};
use crate::standing::{Person, voided_by};
use std::fmt::Write;

/// All that the words are about.
pub(super) struct Said<'a> {
    pub chain: &'a Chain,
    /// The course's title.
    pub title: &'a str,
    pub collected: &'a Collected,
    pub waiting: usize,
    pub details: &'a [Detail],
    pub standing: Option<&'a Person>,
}

/// The text.
pub(super) fn words(said: &Said) -> String {
    let (chain, who) = (said.chain, &said.chain.person);
    let all = || said.collected.statements.iter().map(|(_, statement)| statement);
    let own = all().filter(|statement| statement.person == *who).count();
    let of_others = all().filter(|statement| statement.person != *who);
    let included = of_others.filter(|statement| voided_by(statement).is_none()).count();
    let voided = all().filter(|statement| voided_by(statement).is_some()).count();
    let erased = said.details.iter().filter(|detail| detail.erased_by.is_some()).count();
    let kept = said.details.iter().filter(|detail| detail.details.is_some()).count();
    let mut text = format!(
        "What the register of “{}” holds of {who}\n\n\
         It was taken from the register's first {} rows. The hash of the last of them is\n{}\n\n\
         What is in it\n\n\
         statements.json  What {who} did and what was entered about {who}: {own} statements",
        said.title, chain.rows, chain.head
    );
    // Writing to a text cannot fail.
    if included > 0 {
        let _ = write!(
            text,
            ",\n                 and {included} inspections by others that {who} was included in"
        );
    }
    if voided > 0 {
        let _ = write!(
            text,
            ".\n                 {voided} of the entries were made in error: they were voided, and count nowhere"
        );
    }
    let _ = write!(
        text,
        ".\n                 In the form of xAPI 1.0.3, one a line, as the register took them in.\n\
         details.json     Names and notes that go with those statements: {kept} kept, {erased} erased.\n\
         waiting.json     {} statements that were handed in and wait, for a marking file or the rest of their attempt.\n\
         standing.json    The standing on {} with its reasons, and every attempt, as the register works it out.\n\
         markings/        The keys by which the answers were marked, one file a course.\n\
         chain.json       Where each statement stands in the register's chain.\n\n\
         Standing on {}\n",
        said.waiting, chain.on, chain.on
    );
    for competence in standings(said.standing) {
        let _ = write!(
            text,
            "\n{}: {} ({})\n  {}\n",
            competence.id, competence.standing, competence.may, competence.says
        );
        for line in &competence.reasons {
            let _ = writeln!(text, "  - {line}");
        }
        for line in &competence.missing {
            let _ = writeln!(text, "  still needed: {line}");
        }
    }
    let _ = write!(
        text,
        "\nWhat is not in it\n\n\
         {} statements about other people were entered or signed by {who}. They belong to those people's records.\n\
         A note about somebody else may speak of {who}; nobody but a reader can find that.\n\n\
         Whether it was altered\n\n\
         Whoever can reach the register finds out with `pitwright audit --exported FILE`: every statement, name and note is\n\
         held against it. Without the register, nothing in here proves anything: whoever changes a statement can write new\n\
         hashes beside it. Ask the centre to compare.\n",
        said.collected.answers_for
    );
    text
}
