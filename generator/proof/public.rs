//! Public keys, as people and files write them.

use ed25519_dalek::{Signature, VerifyingKey};
use std::fmt;

/// The multicodec prefix of an Ed25519 public key: 0xed as an unsigned varint.
///
/// Source: W3C Controlled Identifiers 1.0, Multikey; bytes as in the eddsa-jcs-2022 test vectors.
const ED25519_PUB: [u8; 2] = [0xed, 0x01];

/// An Ed25519 public key. Written as a Multikey: `z`, then base58btc of a two-byte prefix and the 32 bytes of RFC 8032.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct PublicKey(VerifyingKey);

/// Why a text is not the Multikey of a public Ed25519 key.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum NotAKey {
    /// It does not begin with the `z` of base58btc.
    NotMultibase,
    /// A character is none of the 58 (0, O, I and l are left out).
    NotBase58,
    /// It is a key of another kind, perhaps a secret one.
    OtherKind,
    /// The prefix is right and the length is not: something is missing or too much.
    Length,
    /// The 32 bytes are no point of the curve, or one of the few that fit any message.
    NoPoint,
}

impl fmt::Display for NotAKey {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::NotMultibase => "it does not begin with `z`",
            Self::NotBase58 => "it has a character that such a key never has",
            Self::OtherKind => "it is not a public Ed25519 key",
            Self::Length => "it is cut off or has too much",
            Self::NoPoint => "no secret key belongs to it",
        })
    }
}

impl std::error::Error for NotAKey {}

impl PublicKey {
    pub(super) fn of(key: VerifyingKey) -> Self {
        Self(key)
    }

    /// Reads a Multikey, such as `z6MkrJVnaZkeFzdQyMZu1cgjg7k1pZZ6pvBQ7XJPt4swbTQ2`.
    ///
    /// # Errors
    /// [`NotAKey`].
    pub fn from_multikey(text: &str) -> Result<Self, NotAKey> {
        let digits = text.strip_prefix('z').ok_or(NotAKey::NotMultibase)?;
        let bytes = bs58::decode(digits).into_vec().map_err(|_| NotAKey::NotBase58)?;
        let raw = bytes.strip_prefix(&ED25519_PUB).ok_or(NotAKey::OtherKind)?;
        Self::from_bytes(raw.try_into().map_err(|_| NotAKey::Length)?)
    }

    /// Reads the 32 bytes of RFC 8032.
    ///
    /// # Errors
    /// [`NotAKey::NoPoint`].
    pub fn from_bytes(bytes: &[u8; 32]) -> Result<Self, NotAKey> {
        match VerifyingKey::from_bytes(bytes) {
            Ok(key) if !key.is_weak() => Ok(Self(key)),
            _ => Err(NotAKey::NoPoint),
        }
    }

    /// The 32 bytes of RFC 8032.
    pub fn bytes(&self) -> [u8; 32] {
        self.0.to_bytes()
    }

    /// The Multikey, `z6Mk…`.
    pub fn multikey(&self) -> String {
        let bytes = [&ED25519_PUB[..], self.0.as_bytes()].concat();
        format!("z{}", bs58::encode(bytes).into_string())
    }

    /// The key's address as a proof names it: `did:key:z6Mk…#z6Mk…`.
    pub fn method(&self) -> String {
        let key = self.multikey();
        format!("did:key:{key}#{key}")
    }

    /// Whether the signature (64 bytes) is this key's over exactly this message (RFC 8032, section 5.1.7).
    pub fn signed(&self, message: &[u8], signature: &[u8; 64]) -> bool {
        self.0.verify_strict(message, &Signature::from_bytes(signature)).is_ok()
    }
}
