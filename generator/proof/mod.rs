//! Signatures: Ed25519 keys (RFC 8032), written as Multikeys, and proofs over JSON documents (W3C Data Integrity 1.0,
//! cryptosuite eddsa-jcs-2022).
//!
//! Pure, but for the random bytes of a new key. Nothing here knows where keys lie on a disk or who asks for a passphrase.

mod integrity;
mod public;
mod secret;

pub use integrity::{SUITE, Signed, Unproven, sign, verify};
pub use public::{NotAKey, PublicKey};
pub use secret::{LockedKey, SHORTEST_PASSPHRASE, SecretKey, WeakPassphrase, check_passphrase};
