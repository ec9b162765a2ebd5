//! The seal of an attempt: a hash over all that happened in it, made when it is closed.

use crate::marking::sha256_hex;

/// SHA-256 (FIPS 180-4) of the canonical JSON of a list of statements, given as their canonical bodies: the one that
/// begins the attempt first, then the answers by turn.
///
/// The canonical form of a list is its parts' canonical forms between brackets (RFC 8785), so nothing is parsed again.
pub fn seal<'a>(bodies: impl IntoIterator<Item = &'a str>) -> String {
    let mut list = String::from("[");
    for (index, body) in bodies.into_iter().enumerate() {
        if index > 0 {
            list.push(',');
        }
        list.push_str(body);
    }
    list.push(']');
    sha256_hex(list.as_bytes())
}
