//! Canonical JSON (RFC 8785) and SHA-256 (FIPS 180-4), through which everything that is chained or sealed passes.

use serde::Serialize;
use serde_json::Value;
use sha2::{Digest, Sha256};
use std::fmt;

/// Why a value has no canonical form.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum NotCanonical {
    /// A whole number beyond ±(2^53 − 1). RFC 8785 writes numbers as doubles, which would change it in silence.
    TooLarge(String),
    /// It is not JSON at all.
    NotJson(String),
}

impl fmt::Display for NotCanonical {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::TooLarge(number) => {
                write!(f, "the number {number} is too large to be kept exactly")
            }
            Self::NotJson(why) => f.write_str(why),
        }
    }
}

impl std::error::Error for NotCanonical {}

/// The canonical JSON of a value.
///
/// # Errors
/// [`NotCanonical`]: a whole number that a double cannot hold, or a value that JSON cannot express.
pub fn canonical<T: Serialize>(value: &T) -> Result<Vec<u8>, NotCanonical> {
    let value = serde_json::to_value(value).map_err(|why| NotCanonical::NotJson(why.to_string()))?;
    refuse_large(&value)?;
    serde_json_canonicalizer::to_vec(&value).map_err(|why| NotCanonical::NotJson(why.to_string()))
}

fn refuse_large(value: &Value) -> Result<(), NotCanonical> {
    const MOST: u64 = (1 << 53) - 1;
    match value {
        Value::Number(number) => {
            let large = match (number.as_u64(), number.as_i64()) {
                (Some(whole), _) => whole > MOST,
                (None, Some(whole)) => whole.unsigned_abs() > MOST,
                (None, None) => false,
            };
            if large {
                return Err(NotCanonical::TooLarge(number.to_string()));
            }
            Ok(())
        }
        Value::Array(items) => items.iter().try_for_each(refuse_large),
        Value::Object(fields) => fields.values().try_for_each(refuse_large),
        _ => Ok(()),
    }
}

/// SHA-256 in lower-case hex.
pub fn sha256_hex(bytes: &[u8]) -> String {
    use fmt::Write;
    Sha256::digest(bytes)
        .iter()
        .fold(String::with_capacity(64), |mut hex, byte| {
            // Writing to a String cannot fail.
            let _ = write!(hex, "{byte:02x}");
            hex
        })
}
