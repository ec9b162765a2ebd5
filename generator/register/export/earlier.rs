//! A register as it was when it had fewer rows.

use super::super::{Change, Entry, Error, Head, Held, Store};
use jiff::Timestamp;
use std::collections::BTreeMap;

/// The first rows of a log, with the details of that time.
pub(super) struct Earlier<'a, S> {
    pub store: &'a S,
    /// The last row that there was.
    pub head: Head,
    pub details: BTreeMap<String, String>,
}

impl<S: Store> Store for Earlier<'_, S> {
    fn head(&self) -> Result<Head, Error> {
        Ok(self.head.clone())
    }

    fn read_from(&self, seq: u64, most: usize) -> Result<Vec<Entry>, Error> {
        let mut rows = self.store.read_from(seq, most)?;
        rows.retain(|row| row.seq <= self.head.seq);
        Ok(rows)
    }

    /// What waited then is not known any more.
    fn held(&self) -> Result<Vec<Held>, Error> {
        Ok(Vec::new())
    }

    fn append(&mut self, _: &Head, _: Timestamp, _: &Change) -> Result<Head, Error> {
        Err(Error::Store("an earlier state of a register is only read".to_owned()))
    }

    fn fresh_id(&self) -> Result<String, Error> {
        self.store.fresh_id()
    }

    fn details(&self) -> Result<BTreeMap<String, String>, Error> {
        Ok(self.details.clone())
    }

    fn missing_guards(&self) -> Result<Vec<String>, Error> {
        self.store.missing_guards()
    }
}
