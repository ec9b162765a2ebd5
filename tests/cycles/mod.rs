//! Timing charts: what may never happen together against a count of every tenth, and the page against the source.

mod apart;
mod page;
pub mod plain;
