//! The demo course, checked.

use crate::ground::root;
use pitwright::check::{Checked, check};
use pitwright::source::read;

/// The demo course without a finding, with its marking and proofs.
pub fn checked() -> Checked {
    let sources = read(&root()).expect("the course can be read");
    check(&sources).unwrap_or_else(|findings| panic!("the demo has findings: {findings:?}"))
}
