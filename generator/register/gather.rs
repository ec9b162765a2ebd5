//! Taking a hand-in file into the register.

use super::ledger::Known;
use super::settle::{KNOWN_OTHERWISE, Piece, settle, unknown_marking};
use super::{Change, Error, Fresh, Held, Kind, Ledger, Register, Store};
use crate::marking::sha256_hex;
use crate::record::{HandIn, Misread, Place, Statement, fits};
use jiff::{SignedDuration, Timestamp};
use serde::Serialize;
use std::collections::{BTreeMap, BTreeSet};

/// What became of a hand-in file.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Tidings {
    /// Taken from this file.
    pub new: Vec<Item>,
    /// Taken now, though they came with an earlier file and had to wait.
    pub released: Vec<Item>,
    /// How many were on record already.
    pub known: usize,
    /// Those of this file that must wait, with the reason.
    pub held: Vec<Item>,
    pub refused: Vec<Refusal>,
    /// What is wrong with the file itself.
    pub faults: Vec<String>,
    /// Taken, but somebody should look.
    pub warnings: Vec<String>,
    /// How many statements wait in the register now, those of earlier files among them.
    pub waiting: usize,
}

/// One statement in the tidings.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Item {
    pub id: String,
    /// The code of the person.
    pub person: String,
    /// What it says was done.
    pub what: String,
    /// Line and column in the file; none for one that waited in the register.
    pub place: Option<String>,
    /// Why it waits.
    pub why: Option<String>,
}

/// What was not taken, and every reason.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Refusal {
    /// What it was about.
    pub what: String,
    pub reasons: Vec<String>,
    pub items: Vec<Item>,
}

impl Tidings {
    /// Whether everything was taken or known.
    pub fn clean(&self) -> bool {
        self.held.is_empty() && self.refused.is_empty() && self.faults.is_empty()
    }
}

/// How far ahead of the register's clock a statement may be stamped before people are told.
const AHEAD: SignedDuration = SignedDuration::from_hours(24);

impl<S: Store> Register<S> {
    /// Takes in a hand-in file, in one transaction: what fits goes into the log, what needs a marking or the rest of
    /// its attempt waits, what does not fit is refused with every reason. Also looks again at all that waits.
    ///
    /// Doing it twice changes nothing, and the order of files makes no difference.
    ///
    /// # Errors
    /// [`Error`] if the register cannot be read or written; then nothing was taken.
    pub fn gather(&mut self, hand_in: &HandIn, now: Timestamp) -> Result<Tidings, Error> {
        self.change(now, |store, ledger| {
            let mut desk = Desk {
                store,
                ledger,
                change: Change::default(),
                tidings: Tidings::default(),
                forgotten: BTreeSet::new(),
            };
            let held = store.held()?;
            desk.sort(hand_in, &held, now)?;
            desk.tidings.waiting = desk.waiting(&held);
            Ok((desk.change, desk.tidings))
        })
    }

    /// Looks again at all that waits, as [`Register::gather`] does.
    ///
    /// # Errors
    /// As [`Register::gather`].
    pub fn release(&mut self, now: Timestamp) -> Result<Tidings, Error> {
        self.gather(&HandIn::default(), now)
    }
}

/// The state of taking in one file.
struct Desk<'a, S> {
    store: &'a S,
    ledger: &'a Ledger,
    change: Change,
    tidings: Tidings,
    /// What the change releases, by id and hand-in.
    forgotten: BTreeSet<(String, String)>,
}

impl<'a, S: Store> Desk<'a, S> {
    fn sort(&mut self, hand_in: &HandIn, held: &[Held], now: Timestamp) -> Result<(), Error> {
        self.tidings.faults = hand_in.faults.iter().map(ToString::to_string).collect();
        let mut pieces = self.read(hand_in);
        self.look_at_clocks(&pieces, now);
        with_waiting(&mut pieces, held)?;
        let mut attempts: BTreeMap<String, Vec<Piece>> = BTreeMap::new();
        let mut taken = BTreeMap::new();
        for piece in pieces {
            match self.ledger.knows(&piece.statement) {
                Known::Same => {
                    self.forget(&piece);
                    self.tidings.known += usize::from(piece.place.is_some());
                    continue;
                }
                Known::Other => {
                    self.refuse(vec![piece], vec![KNOWN_OTHERWISE.to_owned()]);
                    continue;
                }
                Known::No => {}
            }
            if let Some(why) = self.elsewhere(&piece.statement) {
                self.refuse(vec![piece], vec![why]);
                continue;
            }
            match &piece.statement.registration {
                Some(registration) if piece.statement.is_of_attempt() => {
                    attempts.entry(registration.clone()).or_default().push(piece);
                }
                _ => self.single(piece, &mut taken),
            }
        }
        for (registration, pieces) in attempts {
            self.attempt(&registration, pieces)?;
        }
        Ok(())
    }

    /// The statements of the file that can be looked at further. The same one twice is one; two that share an id and
    /// differ are both refused, since either may be the changed one.
    fn read(&mut self, hand_in: &HandIn) -> Vec<Piece> {
        let readable = || hand_in.statements.iter().filter_map(|(_, read)| read.as_ref().ok());
        let mut bodies: BTreeMap<&str, BTreeSet<&str>> = BTreeMap::new();
        for statement in readable() {
            bodies.entry(&statement.id).or_default().insert(&statement.body);
        }
        let batches = batches(readable());
        let mut pieces = Vec::new();
        let mut seen = BTreeSet::new();
        for (place, read) in &hand_in.statements {
            let statement = match read {
                Ok(statement) => statement,
                Err(misread) => {
                    self.tidings.refused.push(unreadable(*place, misread));
                    continue;
                }
            };
            let piece = Piece {
                statement: statement.clone(),
                place: Some(*place),
                batch: match &statement.registration {
                    Some(registration) if statement.is_of_attempt() => batches[registration].clone(),
                    _ => sha256_hex(statement.body.as_bytes()),
                },
                held: false,
            };
            if statement.is_registers_own() {
                let why = "only the register itself makes such a statement; it cannot be handed in".to_owned();
                self.refuse(vec![piece], vec![why]);
            } else if bodies[statement.id.as_str()].len() > 1 {
                let why = "its id stands twice in this file, with different content".to_owned();
                self.refuse(vec![piece], vec![why]);
            } else if seen.insert(&statement.id) {
                pieces.push(piece);
            }
        }
        pieces
    }

    fn look_at_clocks(&mut self, pieces: &[Piece], now: Timestamp) {
        for piece in pieces {
            let ahead = piece.statement.timestamp.duration_since(now);
            if ahead > AHEAD && self.ledger.knows(&piece.statement) == Known::No {
                self.tidings.warnings.push(format!(
                    "{} of {} ({}) is stamped {}, {} days ahead: check the clock of the device it comes from",
                    piece.statement.id,
                    piece.statement.person,
                    piece.statement.about(),
                    piece.statement.timestamp,
                    ahead.as_hours() / 24
                ));
            }
        }
    }

    /// Why a statement belongs to another course, if it does. Before the first marking nothing can be said.
    fn elsewhere(&self, statement: &Statement) -> Option<String> {
        let (_, ours) = self.ledger.markings.newest()?;
        let home = ours.home.trim_end_matches('/');
        (statement.home != home).then(|| {
            format!(
                "it belongs to a course at {}; this register is of course {} at {home}",
                statement.home, ours.course
            )
        })
    }

    /// A statement outside any attempt. `taken` holds what this change takes in already: id → body.
    fn single(&mut self, piece: Piece, taken: &mut BTreeMap<String, String>) {
        let Some(marking) = self.ledger.markings.get(&piece.statement.marking) else {
            let why = unknown_marking(&piece.statement.marking);
            self.hold(piece, why);
            return;
        };
        let misfits = fits(&piece.statement, marking);
        if !misfits.is_empty() {
            self.refuse(vec![piece], misfits);
            return;
        }
        match taken.get(&piece.statement.id) {
            None => {
                taken.insert(piece.statement.id.clone(), piece.statement.body.clone());
                self.take(piece);
            }
            Some(body) if *body == piece.statement.body => self.forget(&piece),
            Some(_) => self.refuse(vec![piece], vec![KNOWN_OTHERWISE.to_owned()]),
        }
    }

    fn attempt(&mut self, registration: &str, pieces: Vec<Piece>) -> Result<(), Error> {
        let known = self.ledger.attempt(self.store, registration)?;
        let all = pieces.clone();
        let ledger: &'a Ledger = self.ledger;
        let settled = settle(&known, pieces, |hash| ledger.markings.get(hash));
        let taken: BTreeMap<String, String> = settled
            .take
            .iter()
            .map(|piece| (piece.statement.id.clone(), piece.statement.body.clone()))
            .collect();
        for piece in settled.take {
            self.take(piece);
        }
        for (pieces, reasons) in settled.refuse {
            self.refuse(pieces, reasons);
        }
        for (piece, why) in settled.wait {
            self.hold(piece, why);
        }
        // Copies of what was taken no longer wait.
        for piece in &all {
            if taken.get(&piece.statement.id) == Some(&piece.statement.body) {
                self.forget(piece);
            }
        }
        Ok(())
    }

    fn take(&mut self, piece: Piece) {
        self.forget(&piece);
        let item = item(&piece, None);
        match piece.place {
            Some(_) => self.tidings.new.push(item),
            None => self.tidings.released.push(item),
        }
        self.change.append.push(Fresh {
            kind: Kind::Statement,
            id: piece.statement.id,
            body: piece.statement.body,
        });
    }

    fn hold(&mut self, piece: Piece, why: String) {
        if piece.place.is_some() {
            self.tidings.held.push(item(&piece, Some(why)));
        }
        if !piece.held {
            self.change.hold.push(Held {
                id: piece.statement.id,
                batch: piece.batch,
                body: piece.statement.body,
            });
        }
    }

    fn refuse(&mut self, pieces: Vec<Piece>, reasons: Vec<String>) {
        for piece in &pieces {
            self.forget(piece);
        }
        let Some(first) = pieces.first() else {
            return;
        };
        let what = match (&first.statement.registration, pieces.len()) {
            (Some(registration), 2..) => format!("attempt {registration} of {}", first.statement.person),
            _ => format!("{}: {}", first.statement.person, first.statement.about()),
        };
        self.tidings.refused.push(Refusal {
            what,
            reasons,
            items: pieces.iter().map(|piece| item(piece, None)).collect(),
        });
    }

    /// It no longer waits.
    fn forget(&mut self, piece: &Piece) {
        let row = (piece.statement.id.clone(), piece.batch.clone());
        if piece.held && self.forgotten.insert(row.clone()) {
            self.change.release.push(row);
        }
    }

    /// How many statements wait once the change is made.
    fn waiting(&self, held: &[Held]) -> usize {
        let still = held
            .iter()
            .filter(|held| !self.forgotten.contains(&(held.id.clone(), held.batch.clone())));
        let ids: BTreeSet<&str> = still.chain(&self.change.hold).map(|held| held.id.as_str()).collect();
        ids.len()
    }
}

/// Registration → a name for what this file holds of it, made from the content, so that handing the same in again
/// makes no second batch.
fn batches<'s>(statements: impl Iterator<Item = &'s Statement>) -> BTreeMap<String, String> {
    let mut bodies: BTreeMap<&str, BTreeSet<&str>> = BTreeMap::new();
    for statement in statements.filter(|statement| statement.is_of_attempt()) {
        if let Some(registration) = &statement.registration {
            bodies.entry(registration).or_default().insert(&statement.body);
        }
    }
    bodies
        .into_iter()
        .map(|(registration, bodies)| {
            let all: Vec<&str> = bodies.into_iter().collect();
            (registration.to_owned(), sha256_hex(all.join("\n").as_bytes()))
        })
        .collect()
}

/// Adds what waits in the register. Where the file brings the very same again, the file's is the one that is kept.
fn with_waiting(pieces: &mut Vec<Piece>, held: &[Held]) -> Result<(), Error> {
    let mut at: BTreeMap<(String, String), usize> = BTreeMap::new();
    for (index, piece) in pieces.iter().enumerate() {
        at.insert((piece.statement.id.clone(), piece.batch.clone()), index);
    }
    for row in held {
        let statement = Statement::from_canonical(&row.body)
            .map_err(|why| Error::Store(format!("what waits as {} cannot be read: {why}", row.id)))?;
        match at.get(&(row.id.clone(), row.batch.clone())) {
            Some(index) if pieces[*index].statement.body == statement.body => pieces[*index].held = true,
            _ => pieces.push(Piece {
                statement,
                place: None,
                batch: row.batch.clone(),
                held: true,
            }),
        }
    }
    Ok(())
}

fn unreadable(place: Place, misread: &Misread) -> Refusal {
    Refusal {
        what: "a statement that cannot be read".to_owned(),
        reasons: vec![misread.why.clone()],
        items: vec![Item {
            id: misread.id.clone().unwrap_or_else(|| "without an id".to_owned()),
            person: String::new(),
            what: "unknown".to_owned(),
            place: Some(place.to_string()),
            why: None,
        }],
    }
}

fn item(piece: &Piece, why: Option<String>) -> Item {
    Item {
        id: piece.statement.id.clone(),
        person: piece.statement.person.clone(),
        what: piece.statement.about(),
        place: piece.place.map(|place| place.to_string()),
        why,
    }
}
