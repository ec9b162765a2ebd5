//! Personal details and free words about a person: kept apart from the chained statement, which holds their digest.

use crate::marking::{NotCanonical, canonical, sha256_hex};
use serde::{Deserialize, Serialize};

/// What can be erased. The salt keeps a short text from being found by trying all short texts against its digest.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Details {
    /// 128 random bits, as 32 hexadecimal digits.
    pub salt: String,
    /// The person's name.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub name: Option<String>,
    /// What was noted, or why something was done.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
}

impl Details {
    /// Its canonical JSON (RFC 8785).
    ///
    /// # Errors
    /// None that texts alone can cause.
    pub fn body(&self) -> Result<String, NotCanonical> {
        Ok(String::from_utf8_lossy(&canonical(self)?).into_owned())
    }

    /// What the statement holds in its place: the SHA-256 (FIPS 180-4) of [`Details::body`], in lower-case hex.
    ///
    /// # Errors
    /// As [`Details::body`].
    pub fn digest(&self) -> Result<String, NotCanonical> {
        Ok(sha256_hex(self.body()?.as_bytes()))
    }
}
