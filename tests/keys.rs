//! Key pairs for tests, each made from a fixed seed: no test depends on chance, and no secret of anybody's is kept here.

use pitwright::proof::SecretKey;
use sha2::{Digest, Sha256};
use std::path::{Path, PathBuf};

/// What locks the key files of tests.
pub const PASSPHRASE: &str = "five frames and a foul";

/// The secret key of a code.
pub fn key(code: &str) -> SecretKey {
    SecretKey::from_seed(&Sha256::digest(format!("a key for tests, of {code}")).into())
}

/// The public key of a code, as an outline names it.
pub fn public(code: &str) -> String {
    key(code).public().multikey()
}

/// Puts the key file of a code and the file with its passphrase into a folder.
pub fn files(folder: &Path, code: &str) -> (PathBuf, PathBuf) {
    let (pem, passphrase) = (folder.join(format!("{code}.pem")), folder.join("passphrase"));
    let locked = key(code).lock(PASSPHRASE).expect("the system gives random bytes");
    std::fs::create_dir_all(folder).expect("it can be made");
    std::fs::write(&pem, locked).expect("it can be written");
    std::fs::write(&passphrase, format!("{PASSPHRASE}\n")).expect("it can be written");
    (pem, passphrase)
}
