//! The chain: each row carries a hash over itself and the hash of the row before it.

use super::Entry;
use crate::marking::{canonical, sha256_hex};
use serde::Serialize;
use std::fmt;

/// What the first row names as the row before it.
pub const FIRST: &str = "0000000000000000000000000000000000000000000000000000000000000000";

#[derive(Serialize)]
struct Link<'a> {
    seq: u64,
    kind: &'a str,
    id: &'a str,
    taken: &'a str,
    /// As text, so that no body can pass for other fields of the row.
    body: &'a str,
    prev: &'a str,
}

/// The hash of a row: SHA-256 (FIPS 180-4) of the canonical JSON (RFC 8785) of its number, kind, id, time, body and the
/// hash before it.
pub fn hash_of(seq: u64, kind: &str, id: &str, taken: &str, body: &str, prev: &str) -> String {
    let link = Link {
        seq,
        kind,
        id,
        taken,
        body,
        prev,
    };
    // Text and a whole number always have a canonical form, unless the number is past 2^53: then no hash fits.
    canonical(&link).map_or_else(|_| String::new(), |bytes| sha256_hex(&bytes))
}

/// A place where the chain does not hold.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Broken {
    /// A row stands before the first.
    BeforeTheFirst,
    /// Rows are gone, or the numbering jumps: the last row before the gap, the first after it.
    Missing { after: u64, next: u64 },
    /// The row's hash is not the hash of what it holds.
    Changed { seq: u64 },
    /// The row does not follow the one before it.
    NotFollowing { seq: u64, before: u64 },
}

impl Broken {
    /// The row at which it shows.
    pub fn seq(&self) -> u64 {
        match self {
            Self::BeforeTheFirst => 0,
            Self::Missing { next, .. } => *next,
            Self::Changed { seq } | Self::NotFollowing { seq, .. } => *seq,
        }
    }
}

impl fmt::Display for Broken {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::BeforeTheFirst => f.write_str("a row before the first was written by something else"),
            Self::Missing { after, next } if after + 2 == *next => {
                write!(f, "row {} is missing", after + 1)
            }
            Self::Missing { after, next } => write!(f, "rows {} to {} are missing", after + 1, next - 1),
            Self::Changed { seq } => write!(f, "row {seq} was changed: its hash is not the hash of what it holds"),
            Self::NotFollowing { seq, before: 0 } => {
                write!(f, "row {seq} was not written as the first row")
            }
            Self::NotFollowing { seq, before } => write!(
                f,
                "row {seq} does not follow row {before}: one of them was replaced, inserted or moved"
            ),
        }
    }
}

/// Walks the chain, row by row.
#[derive(Debug, Clone)]
pub(super) struct Walk {
    seq: u64,
    hash: String,
}

impl Walk {
    pub(super) fn new() -> Self {
        Self {
            seq: 0,
            hash: FIRST.to_owned(),
        }
    }

    /// Everything wrong with the next row.
    pub(super) fn step(&mut self, row: &Entry) -> Vec<Broken> {
        if row.seq == 0 {
            return vec![Broken::BeforeTheFirst];
        }
        let mut broken = Vec::new();
        if row.seq != self.seq + 1 {
            broken.push(Broken::Missing {
                after: self.seq,
                next: row.seq,
            });
        }
        if hash_of(row.seq, &row.kind, &row.id, &row.taken, &row.body, &row.prev) != row.hash {
            broken.push(Broken::Changed { seq: row.seq });
        }
        if row.prev != self.hash && row.seq == self.seq + 1 {
            broken.push(Broken::NotFollowing {
                seq: row.seq,
                before: self.seq,
            });
        }
        self.seq = row.seq;
        self.hash.clone_from(&row.hash);
        broken
    }
}
