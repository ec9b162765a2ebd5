//! Settling one attempt: which of the statements that were handed in go into the log, which wait, which are refused.
//!
//! What came together is judged together, so a misfit refuses it whole. Beyond that, the order in which parts come
//! makes no difference: parts wait until what goes before them is there.

use crate::marking::Marking;
use crate::record::{Deed, Place, Statement, judge};
use std::collections::{BTreeMap, BTreeSet};

/// A statement on its way in.
#[derive(Debug, Clone)]
pub(super) struct Piece {
    pub statement: Statement,
    /// Where it stands in the file being read; none if it waited in the register.
    pub place: Option<Place>,
    /// What it came with.
    pub batch: String,
    /// The register holds it already, under this batch.
    pub held: bool,
}

/// What becomes of an attempt's pieces.
#[derive(Debug, Default)]
pub(super) struct Settled {
    pub take: Vec<Piece>,
    pub wait: Vec<(Piece, String)>,
    pub refuse: Vec<(Vec<Piece>, Vec<String>)>,
}

/// One batch of an attempt.
type Chunk = Vec<Piece>;

enum Ruling {
    /// These ids fit; for the rest, why they wait.
    Fits(BTreeSet<String>, Option<String>),
    Misfit(Vec<String>),
}

/// Settles the pieces of one attempt against those on record.
pub(super) fn settle<'m>(
    known: &[Statement],
    pieces: Vec<Piece>,
    marking: impl Fn(&str) -> Option<&'m Marking> + Copy,
) -> Settled {
    let mut known = known.to_vec();
    let mut chunks: BTreeMap<String, Chunk> = BTreeMap::new();
    for piece in pieces {
        chunks.entry(piece.batch.clone()).or_default().push(piece);
    }
    let mut chunks: Vec<Chunk> = chunks.into_values().collect();
    let mut settled = Settled::default();
    while let Some(rest) = pass(&mut known, &mut chunks, &mut settled, marking) {
        chunks = rest;
    }
    if let Some((taken, reasons)) = together(&known, &chunks, marking) {
        let all = chunks.drain(..).flatten().collect();
        match reasons {
            None => settled.take.extend(once(all)),
            Some(reasons) => settled.refuse.push((once(all), reasons)),
        }
        known.extend(taken);
    }
    for chunk in chunks {
        let why = match rule(&known, &chunk, marking) {
            Ruling::Fits(_, why) => why.unwrap_or_default(),
            Ruling::Misfit(reasons) => reasons.join("; "),
        };
        settled.wait.extend(chunk.into_iter().map(|piece| (piece, why.clone())));
    }
    settled
}

/// Goes over the chunks once. Gives what is left, or nothing if no chunk could move.
fn pass<'m>(
    known: &mut Vec<Statement>,
    chunks: &mut Vec<Chunk>,
    settled: &mut Settled,
    marking: impl Fn(&str) -> Option<&'m Marking> + Copy,
) -> Option<Vec<Chunk>> {
    for (index, chunk) in chunks.iter_mut().enumerate() {
        drop_known(known, chunk, settled);
        match rule(known, chunk, marking) {
            Ruling::Misfit(reasons) => {
                settled.refuse.push((std::mem::take(chunk), reasons));
            }
            Ruling::Fits(fitting, waits) => {
                // A closing seals what came with it: such a chunk goes in whole or not yet.
                if waits.is_some()
                    && chunk
                        .iter()
                        .any(|piece| matches!(piece.statement.deed, Deed::Closed(_)))
                {
                    continue;
                }
                let (take, rest): (Chunk, Chunk) = std::mem::take(chunk)
                    .into_iter()
                    .partition(|piece| fitting.contains(&piece.statement.id));
                let moved = !take.is_empty();
                known.extend(take.iter().map(|piece| piece.statement.clone()));
                settled.take.extend(take);
                *chunk = rest;
                if !moved && !chunk.is_empty() {
                    continue;
                }
            }
        }
        // Something moved: the rest may fit now.
        let mut left = std::mem::take(chunks);
        if left[index].is_empty() {
            left.remove(index);
        }
        return Some(left);
    }
    None
}

/// What another chunk has brought in already is left out; the same id with other content is refused.
fn drop_known(known: &[Statement], chunk: &mut Chunk, settled: &mut Settled) {
    let same_id = |piece: &Piece| known.iter().find(|statement| statement.id == piece.statement.id);
    let (other, keep): (Chunk, Chunk) = std::mem::take(chunk)
        .into_iter()
        .filter(|piece| same_id(piece).is_none_or(|statement| statement.body != piece.statement.body))
        .partition(|piece| same_id(piece).is_some());
    *chunk = keep;
    if !other.is_empty() {
        settled.refuse.push((other, vec![KNOWN_OTHERWISE.to_owned()]));
    }
}

/// Said of a statement whose id is on record with other content.
pub(super) const KNOWN_OTHERWISE: &str =
    "the register has a statement with this id that says something else; one of the two was changed";

fn once(pieces: Chunk) -> Chunk {
    let mut seen = BTreeSet::new();
    pieces
        .into_iter()
        .filter(|piece| seen.insert(piece.statement.id.clone()))
        .collect()
}

fn rule<'m>(known: &[Statement], chunk: &[Piece], marking: impl Fn(&str) -> Option<&'m Marking> + Copy) -> Ruling {
    let unknown = chunk.iter().find(|piece| marking(&piece.statement.marking).is_none());
    if let Some(piece) = unknown {
        return Ruling::Fits(BTreeSet::new(), Some(unknown_marking(&piece.statement.marking)));
    }
    let closed = known.iter().any(|statement| matches!(statement.deed, Deed::Closed(_)));
    if closed && !chunk.is_empty() {
        return Ruling::Misfit(vec![
            "the attempt was closed already, nothing can be added to it".to_owned(),
        ]);
    }
    let all: Vec<&Statement> = known.iter().chain(chunk.iter().map(|piece| &piece.statement)).collect();
    let judged = judge(&all, marking);
    if judged.misfits.is_empty() {
        Ruling::Fits(judged.fitting.into_iter().collect(), judged.waits)
    } else {
        Ruling::Misfit(judged.misfits)
    }
}

/// Why a statement waits for its marking.
pub(super) fn unknown_marking(hash: &str) -> String {
    format!("it was made on a course that the register does not know: give its file marking-{hash}.json with --marking")
}

/// Looks at all chunks that wait as one: they fit whole, they do not fit and never will, or nothing can be said yet.
#[allow(clippy::type_complexity, reason = "a pair that is taken apart at once")]
fn together<'m>(
    known: &[Statement],
    chunks: &[Chunk],
    marking: impl Fn(&str) -> Option<&'m Marking> + Copy,
) -> Option<(Vec<Statement>, Option<Vec<String>>)> {
    if chunks.len() < 2 {
        return None;
    }
    let all: Chunk = chunks.iter().flatten().cloned().collect();
    let mut bodies: BTreeMap<&str, &str> = BTreeMap::new();
    for piece in &all {
        let body = bodies.entry(&piece.statement.id).or_insert(&piece.statement.body);
        if *body != piece.statement.body {
            // Two versions of one statement wait; which of them is true cannot be told yet.
            return None;
        }
    }
    let all = once(all);
    match rule(known, &all, marking) {
        Ruling::Fits(_, None) => Some((all.into_iter().map(|piece| piece.statement).collect(), None)),
        Ruling::Fits(_, Some(_)) => None,
        Ruling::Misfit(reasons) => Some((Vec::new(), Some(reasons))),
    }
}
