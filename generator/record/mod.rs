//! The record: what people did, as xAPI 1.0.3 statements.
//!
//! A hand-in file goes in, statements come out, each read strictly where this program relies on it and kept whole
//! where it does not. An attempt's statements are judged together ([`judge`]), all others one by one ([`fits`]).

mod attempt;
mod details;
mod event;
mod fields;
mod hand_in;
mod person;
mod seal;
mod signing;
mod single;
mod statement;
mod vocabulary;
mod witnessing;
mod write;

pub use attempt::{Answer, Judged, Marks, Outcome, judge};
pub use details::Details;
pub use event::{Event, Inspection, Trigger, What, entry_name};
pub use hand_in::{FileFault, HandIn, LARGEST, MEGABYTE, Place, read_bytes, read_file};
pub use person::{NotACode, alike, code, did_you_mean, is_code, near};
pub use seal::seal;
pub use signing::{Proof, signed};
pub use single::fits;
pub use statement::{Claim, Closing, Deed, Misread, Statement};
pub use vocabulary::{Spot, TERMS, Thing, VERBS, Verb, term};
pub use witnessing::{StepSeen, Witnessing};
pub use write::{Occasion, entered, stamp, unsigned};
