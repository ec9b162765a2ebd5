//! The checkers and the driver that `tests/run` puts into `target/test-tools`.

use crate::ground::root;
use std::path::PathBuf;

/// One of them, by its path in that folder.
///
/// # Panics
/// If it is not there: a test that leaves a check out must not pass.
pub fn tool(path: &str) -> PathBuf {
    let place = root().join("target/test-tools").join(path);
    assert!(
        place.is_file(),
        "{} is missing: run tests/run once, which installs what the tests need",
        place.display()
    );
    place
}
