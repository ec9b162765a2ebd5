//! Pitwright compiles lessons for pinsetter mechanics into an offline course, and keeps the competency record that comes back.
//!
//! The modules stand in the order in which data flows. A module names only modules above it; `tests/layering.rs` holds that.

#![forbid(unsafe_code)]

/// Disk → files with positions.
pub mod source;

/// Span + code → a report as text or as JSON.
pub mod diagnostic;

/// The built-in look and the course's own changes to it → templates, styles, scripts, drawings, words.
pub mod theme;

/// A compiled course's keys → the marking file, the forms it draws, its name.
pub mod marking;

/// A response and a question's key → a mark; an attempt → a result.
pub mod score;

/// Keys, and a JSON document signed or checked.
pub mod proof;

/// What the sources say, as typed values with their places; no I/O.
pub mod model;

/// Files → course + findings.
pub mod load;

/// Questions and scenarios in numbers → the exact chance that blind clicking passes.
pub mod chance;

/// Machines and drills → states, situations, proofs of procedures.
pub mod explore;

/// Signs of stops and what was seen → how likely each stop is, what to look for next, and what asking costs.
pub mod apart;

/// Machines, drills and procedures of a course → what was proven, or how it goes wrong.
pub mod safety;

/// Course → `Checked`, with its marking file, or all that is wrong with it.
pub mod check;

/// Parts and words of the trade → what a reader can look up, and where a text first names it.
pub mod glossary;

/// Checked course → every word with the pages and pieces that it says something about, to find them by.
pub mod find;

/// Checked course → how its lessons read, and where it is thin.
pub mod survey;

/// Checked course + theme → pages, drawings, data scripts (path → bytes).
pub mod render;

/// A course folder → its pages on this machine, made anew on every change.
pub mod preview;

/// Path → bytes → folder and zip, written whole.
pub mod bundle;

/// What a compile read and left → whether anything changed since.
pub mod stamp;

/// What people did → statements: hand-in files read, attempts marked again, seals checked.
pub mod record;

/// Statements + markings + a day → what each person may do, and why.
pub mod standing;

/// Standing → what a person takes back into the course, signed.
pub mod slip;

/// Statements ↔ an append-only, chained log.
pub mod register;

/// A register on a day → pages to print, tables, a calendar (path → bytes).
pub mod report;

/// Arguments → calls of the stages.
pub mod command;
