//! What is certified of a person, and the code by which a copy can be checked.
//!
//! Source: 29 CFR 1910.147(c)(7)(iv): the employer certifies that training was given and is kept up to date, with each
//! employee's name and the dates of training. It certifies training; it is no certification of a person under ISO/IEC 17024.

use super::Ground;
use crate::marking::{Competency, canonical};
use crate::record::Deed;
use crate::standing::{Competence, May, Person, State};
use jiff::civil::Date;
use serde::Serialize;
use serde_json::{Value, json};
use sha2::{Digest, Sha256};

/// A person's certificate on a day.
#[derive(Debug, Clone, PartialEq)]
pub struct Certificate {
    content: Content,
    /// The ids of the signatures' statements, which stand in the register and nowhere on paper.
    signatures: Vec<String>,
}

/// What is printed.
#[derive(Debug, Clone, PartialEq, Serialize)]
struct Content {
    course: String,
    home: String,
    centre: Option<String>,
    person: String,
    name: Option<String>,
    on: Date,
    certified: Vec<Certified>,
}

#[derive(Debug, Clone, PartialEq, Serialize)]
struct Certified {
    competency: String,
    says: String,
    training: Vec<Training>,
    signed_by: Option<String>,
    signed_on: Option<Date>,
    until: Option<Date>,
}

/// Something that was learnt or shown, and when.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
struct Training {
    date: Date,
    /// read, passed or watched
    how: &'static str,
    what: String,
}

impl Certificate {
    /// What is printed, for the page.
    pub fn content(&self) -> Value {
        json!(self.content)
    }

    /// What is certified, one line for each competency.
    pub fn lines(&self) -> Vec<String> {
        let name = self.content.name.as_deref().unwrap_or("no name on record");
        let mut lines = vec![format!("{} ({name})", self.content.person)];
        lines.extend(self.content.certified.iter().map(|one| {
            let date = |date: Option<Date>| date.map_or_else(|| "-".to_owned(), |date| date.to_string());
            format!(
                "{}: signed off by {} on {}, holds until {}",
                one.competency,
                one.signed_by.as_deref().unwrap_or("-"),
                date(one.signed_on),
                date(one.until)
            )
        }));
        lines
    }

    /// The check code: the first 100 bits of the SHA-256 over the canonical JSON (RFC 8785) of what is printed and of the
    /// signatures' statement ids, in Crockford's base 32, in four groups of five. Who does not hold the register does not
    /// know the ids, and so cannot make a code for another content.
    pub fn check(&self) -> String {
        let whole = json!({ "form": 1, "content": self.content, "signatures": self.signatures });
        // Texts, dates and lists always have a canonical form.
        let bytes = canonical(&whole).unwrap_or_default();
        let digest = Sha256::digest(&bytes);
        let mut code = String::new();
        for index in 0..20 {
            if index > 0 && index % 5 == 0 {
                code.push('-');
            }
            let five = (0..5).fold(0, |bits, bit| {
                let at = index * 5 + bit;
                bits << 1 | usize::from(digest[at / 8] >> (7 - at % 8) & 1)
            });
            code.push(char::from(ALPHABET[five]));
        }
        code
    }
}

/// D. Crockford's base 32: no I, L, O or U.
const ALPHABET: &[u8; 32] = b"0123456789ABCDEFGHJKMNPQRSTVWXYZ";

/// Whether a code that somebody typed off is this certificate's. Case, spaces and hyphens do not matter; O is read as 0, and
/// I and L as 1, as Crockford's base 32 has it.
pub fn is_genuine(typed: &str, certificate: &Certificate) -> bool {
    let plain = |code: &str| -> String {
        code.chars()
            .filter(|letter| !letter.is_whitespace() && *letter != '-')
            .map(|letter| match letter.to_ascii_uppercase() {
                'O' => '0',
                'I' | 'L' => '1',
                other => other,
            })
            .collect()
    };
    plain(typed) == plain(&certificate.check())
}

/// The certificate of a person; none where there is nothing that they may do alone.
pub fn certificate(person: &Person, ground: &Ground) -> Option<Certificate> {
    let (_, marking) = ground.markings.on(ground.day)?;
    let alone = || person.competencies.iter().filter(|one| one.may == May::Alone);
    let certified: Vec<Certified> = alone()
        .map(|one| Certified {
            competency: one.id.clone(),
            says: one.says.clone(),
            training: marking
                .competency(&one.id)
                .map(|competency| training(competency, one, person, ground))
                .unwrap_or_default(),
            signed_by: one.signed_by.clone(),
            signed_on: one.signed_on,
            until: one.lapses,
        })
        .collect();
    (!certified.is_empty()).then(|| Certificate {
        content: Content {
            course: marking.course.clone(),
            home: marking.home.clone(),
            centre: marking.centre.clone(),
            person: person.person.clone(),
            name: person.name.clone(),
            on: ground.day.date,
            certified,
        },
        signatures: alone().filter_map(|one| one.signature.clone()).collect(),
    })
}

/// The dates of training for one competency: each lesson as last read, each assessment as last passed, and the
/// performances that were met without help, all up to the signature.
fn training(competency: &Competency, one: &Competence, person: &Person, ground: &Ground) -> Vec<Training> {
    let Some((_, marking)) = ground.markings.on(ground.day) else {
        return Vec::new();
    };
    let signed = one.signed_on.unwrap_or(ground.day.date);
    let date_of = |at| ground.day.date_of(at);
    let mut all = Vec::new();
    for id in &competency.study {
        let reads = ground
            .statements
            .iter()
            .filter(|statement| statement.person == person.person);
        let read = reads
            .filter(|statement| matches!(&statement.deed, Deed::Read { lesson } if lesson == id))
            .map(|statement| date_of(statement.timestamp))
            .filter(|date| *date <= signed)
            .max();
        all.extend(read.map(|date| {
            Training {
                date,
                how: "read",
                what: marking
                    .lesson(id)
                    .map_or_else(|| id.clone(), |lesson| lesson.title.clone()),
            }
        }));
    }
    for wanted in &competency.evidence {
        let passes = person.attempts.iter().filter(|line| line.assessment == *wanted);
        let pass = passes
            .filter(|line| line.state == State::Passed && line.counts())
            .filter_map(|line| line.closed)
            .map(date_of)
            .filter(|date| *date <= signed)
            .max();
        let title = marking.assessment(wanted).map(|known| known.title.to_owned());
        all.extend(pass.map(|date| Training {
            date,
            how: "passed",
            what: title.unwrap_or_default(),
        }));
    }
    let performances = ground.performances(&person.person);
    all.extend(
        performances
            .iter()
            .filter(|one| one.seen.competency == competency.id && one.result() == "met" && !one.seen.out_of_turn)
            .map(|one| Training {
                date: date_of(one.statement.timestamp),
                how: "watched",
                what: one.by.to_owned(),
            })
            .filter(|training| training.date <= signed),
    );
    all.sort_by_key(|training| training.date);
    all
}
