//! The proof in a sign-off: made over the rest of the statement, and checked once, when the statement is read.

use super::event::Event;
use super::fields::Fields;
use super::statement::{Misread, Statement};
use super::vocabulary::term;
use super::write::{Occasion, unsigned};
use crate::proof::{PublicKey, SecretKey, Unproven, sign, verify};
use jiff::Timestamp;
use serde_json::Value;

/// A proof as a sign-off carries it.
#[derive(Debug, Clone, PartialEq)]
pub struct Proof {
    pub value: Value,
    /// The key that made it over this very statement, or why it does not hold. Whose key that is, is for the outline to
    /// say.
    pub by: Result<PublicKey, Unproven>,
}

/// A sign-off as a statement, signed with a key at this moment.
///
/// # Errors
/// If a code or id in it is not one, in which case no statement is made.
pub fn signed(occasion: &Occasion, event: &Event, key: &SecretKey, now: Timestamp) -> Result<Statement, Misread> {
    let mut value = unsigned(occasion, event);
    let proof = sign(&value, key, now).map_err(|why| Misread {
        id: None,
        why: why.to_string(),
    })?;
    value["context"]["extensions"][term("proof")] = proof;
    Statement::read(&value)
}

/// The proof among a statement's extensions, checked against all of the statement but itself.
pub(super) fn read(all: Fields, extensions: Fields) -> Option<Proof> {
    let name = term("proof");
    let proof = extensions.get(&name)?;
    let mut document = all.value().clone();
    if let Some(extensions) = document["context"]["extensions"].as_object_mut() {
        extensions.remove(&name);
    }
    Some(Proof {
        value: proof.clone(),
        by: verify(&document, proof).map(|signed| signed.by),
    })
}
