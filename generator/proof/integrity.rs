//! Proofs over JSON documents: W3C Data Integrity 1.0 with the cryptosuite eddsa-jcs-2022.
//!
//! What is signed is SHA-256 of the canonical JSON (RFC 8785) of the proof without its value, followed by SHA-256 of the
//! canonical JSON of the document without its proof.

use super::public::{NotAKey, PublicKey};
use super::secret::SecretKey;
use crate::marking::{NotCanonical, canonical};
use jiff::Timestamp;
use serde_json::{Value, json};
use sha2::{Digest, Sha256};
use std::fmt;

/// The name of the cryptosuite.
pub const SUITE: &str = "eddsa-jcs-2022";

/// What a proof that holds says.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Signed {
    /// The key that made it. Whose key that is, the proof does not say.
    pub by: PublicKey,
    pub created: Timestamp,
}

/// Why a proof does not hold.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Unproven {
    /// A field is missing or says what this suite never says.
    Field(&'static str),
    /// A field that is not understood. It may be one that limits what the proof is good for.
    Unknown(String),
    Key(NotAKey),
    /// The signature is not that key's over this document: one of the three was changed.
    Changed,
    NotCanonical(NotCanonical),
}

impl fmt::Display for Unproven {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Field(name) => write!(f, "`{name}` of the proof is missing or not what {SUITE} has there"),
            Self::Unknown(name) => write!(f, "the proof has a field `{name}`, which {SUITE} does not have"),
            Self::Key(why) => write!(f, "the proof names a key that is none: {why}"),
            Self::Changed => f.write_str("what was signed, or the proof itself, is not what it was at signing"),
            Self::NotCanonical(why) => write!(f, "what was signed has no canonical form: {why}"),
        }
    }
}

impl std::error::Error for Unproven {}

impl From<NotCanonical> for Unproven {
    fn from(why: NotCanonical) -> Self {
        Self::NotCanonical(why)
    }
}

/// The proof of a document that has none yet. `created` is written to the second.
///
/// # Errors
/// [`NotCanonical`] if the document has no canonical form.
pub fn sign(document: &Value, key: &SecretKey, created: Timestamp) -> Result<Value, NotCanonical> {
    let second = Timestamp::from_second(created.as_second()).unwrap_or(created);
    let mut proof = json!({
        "type": "DataIntegrityProof",
        "cryptosuite": SUITE,
        "created": second.to_string(),
        "verificationMethod": key.public().method(),
        "proofPurpose": "assertionMethod",
    });
    if let Some(context) = document.get("@context") {
        proof["@context"] = context.clone();
    }
    let signature = key.sign(&hashed(&proof, document)?);
    proof["proofValue"] = json!(format!("z{}", bs58::encode(signature).into_string()));
    Ok(proof)
}

/// Whether a proof holds for a document (which is given without it), and which key made it.
///
/// # Errors
/// [`Unproven`].
pub fn verify(document: &Value, proof: &Value) -> Result<Signed, Unproven> {
    const FIELDS: [&str; 7] = [
        "type",
        "cryptosuite",
        "created",
        "verificationMethod",
        "proofPurpose",
        "proofValue",
        "@context",
    ];
    let fields = proof.as_object().ok_or(Unproven::Field("type"))?;
    if let Some(unknown) = fields.keys().find(|key| !FIELDS.contains(&key.as_str())) {
        return Err(Unproven::Unknown(unknown.clone()));
    }
    let text = |name: &'static str| {
        let text = fields.get(name).and_then(Value::as_str);
        text.ok_or(Unproven::Field(name))
    };
    for (name, due) in [
        ("type", "DataIntegrityProof"),
        ("cryptosuite", SUITE),
        ("proofPurpose", "assertionMethod"),
    ] {
        if text(name)? != due {
            return Err(Unproven::Field(name));
        }
    }
    let created = whole_second(text("created")?).ok_or(Unproven::Field("created"))?;
    let (address, key) = text("verificationMethod")?
        .split_once('#')
        .ok_or(Unproven::Field("verificationMethod"))?;
    if address.strip_prefix("did:key:") != Some(key) {
        return Err(Unproven::Field("verificationMethod"));
    }
    let by = PublicKey::from_multikey(key).map_err(Unproven::Key)?;
    let signature: [u8; 64] = text("proofValue")?
        .strip_prefix('z')
        .and_then(|digits| bs58::decode(digits).into_vec().ok())
        .and_then(|bytes| bytes.try_into().ok())
        .ok_or(Unproven::Field("proofValue"))?;
    let mut bare = proof.clone();
    if let Some(fields) = bare.as_object_mut() {
        fields.remove("proofValue");
    }
    let hashed = match fields.get("@context") {
        None => hashed(&bare, document)?,
        Some(context) => hashed(&bare, &in_context(document, context)?)?,
    };
    if by.signed(&hashed, &signature) {
        Ok(Signed { by, created })
    } else {
        Err(Unproven::Changed)
    }
}

/// A time as proofs write it here: UTC, to the second, such as 2026-03-01T09:30:00Z.
fn whole_second(text: &str) -> Option<Timestamp> {
    let at: Timestamp = text.parse().ok()?;
    (at.subsec_nanosecond() == 0 && at.to_string() == text).then_some(at)
}

/// The document as it was signed: contexts that were added behind those of the proof are left out.
fn in_context(document: &Value, context: &Value) -> Result<Value, Unproven> {
    let list = |value: &Value| match value {
        Value::Array(all) => all.clone(),
        one => vec![one.clone()],
    };
    let own = document.get("@context").map(list).ok_or(Unproven::Field("@context"))?;
    if !own.starts_with(&list(context)) {
        return Err(Unproven::Field("@context"));
    }
    let mut signed = document.clone();
    signed["@context"] = context.clone();
    Ok(signed)
}

fn hashed(proof: &Value, document: &Value) -> Result<[u8; 64], NotCanonical> {
    let mut both = [0; 64];
    both[..32].copy_from_slice(&Sha256::digest(canonical(proof)?));
    both[32..].copy_from_slice(&Sha256::digest(canonical(document)?));
    Ok(both)
}
