//! The proofs of sign-offs, gone over again: is there one, does it hold, and is its key one that an outline named.

use crate::marking::Marking;
use crate::record::{Deed, Event, Proof, Statement, What};
use serde_json::Value;
use std::collections::BTreeMap;

/// For each sign-off whose proof is not in order: its place in `statements`, and what is wrong.
pub(super) fn unproven(statements: &[(u64, Statement)], markings: &BTreeMap<String, Marking>) -> Vec<(usize, String)> {
    let signed: Vec<(usize, &str, Option<&Proof>)> = statements
        .iter()
        .enumerate()
        .filter_map(|(place, (_, statement))| match &statement.deed {
            Deed::Entered(Event {
                by,
                what: What::SignedOff { proof, .. },
                ..
            }) => Some((place, by.as_str(), proof.as_deref())),
            _ => None,
        })
        .collect();
    // Where each proof value stands over what it was made for.
    let homes: BTreeMap<&str, u64> = signed
        .iter()
        .filter_map(|(place, _, proof)| {
            let proof = proof.filter(|proof| proof.by.is_ok())?;
            Some((proof_value(proof)?, statements[*place].0))
        })
        .collect();
    signed
        .iter()
        .filter_map(|(place, by, proof)| Some((*place, fault(by, *proof, &homes, markings)?)))
        .collect()
}

fn proof_value(proof: &Proof) -> Option<&str> {
    proof.value.get("proofValue").and_then(Value::as_str)
}

fn fault(
    by: &str,
    proof: Option<&Proof>,
    homes: &BTreeMap<&str, u64>,
    markings: &BTreeMap<String, Marking>,
) -> Option<String> {
    let Some(proof) = proof else {
        return Some("it carries no proof".to_owned());
    };
    match &proof.by {
        Err(why) => Some(match proof_value(proof).and_then(|value| homes.get(value)) {
            Some(row) => format!("its proof was taken from another signature, that of row {row}"),
            None => format!("its proof does not hold: {why}"),
        }),
        Ok(key) => {
            let key = key.multikey();
            let named = markings.values().any(|marking| marking.names_key(by, &key));
            (!named).then(|| format!("it was signed with the key {key}, which no outline ever named for {by}"))
        }
    }
}
