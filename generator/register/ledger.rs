//! What the log says so far, as far as taking in more of it needs to know: kept small, rebuilt from the log.

use super::chain::FIRST;
use super::{Entry, Error, Head, Kind, ROWS, Store};
use crate::marking::{Marking, sha256_hex};
use crate::record::{Statement, Verb};
use crate::standing::Markings;
use serde::Deserialize;
use sha2::{Digest, Sha256};
use std::borrow::Cow;
use std::collections::{BTreeSet, HashMap};

/// A fold over the log. It can be dropped and made again at any time.
#[derive(Debug, Clone)]
pub struct Ledger {
    /// The last row that it has seen.
    pub head: Head,
    pub markings: Markings,
    /// The codes of all people on record.
    pub people: BTreeSet<String>,
    /// The codes of those who were entered as joining the centre.
    pub joined: BTreeSet<String>,
    /// The verb of joining, as statements write it.
    joins: String,
    /// Id → hash of the body.
    known: HashMap<String, [u8; 32]>,
    /// Registration → rows of its statements.
    attempts: HashMap<String, Vec<u64>>,
}

impl Default for Ledger {
    fn default() -> Self {
        Self {
            head: Head {
                seq: 0,
                hash: FIRST.to_owned(),
            },
            markings: Markings::default(),
            people: BTreeSet::new(),
            joined: BTreeSet::new(),
            joins: Verb::Joined.iri(),
            known: HashMap::new(),
            attempts: HashMap::new(),
        }
    }
}

/// What is read of a statement's row; the rest is skipped, which is several times faster than reading it.
#[derive(Deserialize)]
struct Glance<'a> {
    actor: Actor,
    #[serde(borrow)]
    verb: Deeds<'a>,
    context: Context,
}

#[derive(Deserialize)]
struct Deeds<'a> {
    #[serde(borrow)]
    id: Cow<'a, str>,
}

#[derive(Deserialize)]
struct Actor {
    account: Account,
}

#[derive(Deserialize)]
struct Account {
    name: String,
}

#[derive(Deserialize)]
struct Context {
    registration: Option<String>,
}

/// Whether a statement is on record.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Known {
    No,
    /// The same, word for word.
    Same,
    /// Another with the same id.
    Other,
}

impl Ledger {
    /// Reads what has been appended since.
    pub(super) fn follow(&mut self, store: &impl Store) -> Result<(), Error> {
        loop {
            let rows = store.read_from(self.head.seq + 1, ROWS)?;
            if rows.is_empty() {
                return Ok(());
            }
            for row in rows {
                self.see(&row)?;
            }
        }
    }

    fn see(&mut self, row: &Entry) -> Result<(), Error> {
        let bad = |why: String| Error::Row { seq: row.seq, why };
        if row.kind == Kind::Statement.word() {
            let glance: Glance = serde_json::from_str(&row.body).map_err(|why| bad(why.to_string()))?;
            if glance.verb.id == self.joins {
                self.joined.insert(glance.actor.account.name.clone());
            }
            self.people.insert(glance.actor.account.name);
            self.known
                .insert(row.id.clone(), Sha256::digest(row.body.as_bytes()).into());
            if let Some(registration) = glance.context.registration {
                self.attempts
                    .entry(registration.to_ascii_lowercase())
                    .or_default()
                    .push(row.seq);
            }
        } else if row.kind == Kind::Marking.word() {
            if sha256_hex(row.body.as_bytes()) != row.id {
                return Err(bad("the marking in it is not the one that it is named after".to_owned()));
            }
            let marking: Marking = serde_json::from_str(&row.body).map_err(|why| bad(why.to_string()))?;
            self.markings.known.insert(row.id.clone(), marking);
        } else if row.kind == Kind::InForce.word() {
            let since = row
                .taken
                .parse()
                .map_err(|_| bad("its time is not a time".to_owned()))?;
            self.markings.in_force.push((since, row.id.clone()));
        } else {
            return Err(bad(format!("`{}` is not a kind of row", row.kind)));
        }
        self.head = Head {
            seq: row.seq,
            hash: row.hash.clone(),
        };
        Ok(())
    }

    /// How many statements are on record.
    pub fn statements(&self) -> usize {
        self.known.len()
    }

    pub(super) fn knows(&self, statement: &Statement) -> Known {
        match self.known.get(&statement.id) {
            None => Known::No,
            Some(hash) if *hash == <[u8; 32]>::from(Sha256::digest(statement.body.as_bytes())) => Known::Same,
            Some(_) => Known::Other,
        }
    }

    /// The statements on record of one attempt.
    pub(super) fn attempt(&self, store: &impl Store, registration: &str) -> Result<Vec<Statement>, Error> {
        let Some(rows) = self.attempts.get(registration) else {
            return Ok(Vec::new());
        };
        rows.iter()
            .map(|seq| match store.read_from(*seq, 1)?.first() {
                Some(row) if row.seq == *seq => statement(row),
                _ => Err(Error::Row {
                    seq: *seq,
                    why: "it is gone".to_owned(),
                }),
            })
            .collect()
    }
}

/// The statement in a row.
pub(super) fn statement(row: &Entry) -> Result<Statement, Error> {
    Statement::from_canonical(&row.body).map_err(|misread| Error::Row {
        seq: row.seq,
        why: misread.why,
    })
}
