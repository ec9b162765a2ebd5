//! A whole course in one HTML file, to be sent to a phone.

use base64::Engine;
use base64::engine::general_purpose::STANDARD;

/// Puts a zip into the page that reads it, in the place of `place`.
pub fn one_file(shell: &str, place: &str, archive: &[u8]) -> Vec<u8> {
    shell.replacen(place, &STANDARD.encode(archive), 1).into_bytes()
}
