//! What was shown of drills before, for whoever proves a course again and again while it is written.

use super::{Model, Shown, Stop};
use sha2::{Digest, Sha256};
use std::collections::HashMap;
use std::fmt::{self, Write};
use std::sync::{Mutex, PoisonError};

/// All that a proof depends on, hashed.
type Key = [u8; 32];

/// The proofs of the last run. Only what came out without a finding is kept: a finding tells of a place in a file, and places move.
#[derive(Debug, Default)]
pub struct Memory(Mutex<HashMap<Key, Remembered>>);

#[derive(Debug)]
struct Remembered {
    shown: Shown,
    /// Whether this run asked for it.
    wanted: bool,
}

impl Memory {
    /// What is known of a drill, or what `show` now shows of it.
    pub(super) fn recall(&self, model: &Model, stop: &Stop, show: impl FnOnce() -> Shown) -> Shown {
        let key = key(model, stop);
        if let Some(known) = self.lock().get_mut(&key) {
            known.wanted = true;
            return known.shown.clone();
        }
        let shown = show();
        if shown.findings.is_empty() {
            let remembered = Remembered {
                shown: shown.clone(),
                wanted: true,
            };
            self.lock().insert(key, remembered);
        }
        shown
    }

    /// Ends a run: what it did not ask for is forgotten.
    pub(super) fn settle(&self) {
        self.lock().retain(|_, known| std::mem::take(&mut known.wanted));
    }

    fn lock(&self) -> std::sync::MutexGuard<'_, HashMap<Key, Remembered>> {
        // Nothing that can panic is done under the lock, and the map is whole at any time.
        self.0.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

/// The machine and the drill as they run, and of each procedure what a proof tells of it.
fn key(model: &Model, stop: &Stop) -> Key {
    let mut hash = Hashed(Sha256::new());
    let mut whole = write!(hash, "{:?}{:?}{:?}", model.machine, stop.drill, stop.source.id);
    whole = whole.and_then(|()| write!(hash, "{:?}", (stop.source.value.dead_ends.is_some(), &model.source.id)));
    for written in &stop.written {
        whole = whole.and_then(|()| {
            write!(
                hash,
                "{:?}{}{:?}{:?}",
                written.lesson.id,
                written.place,
                written.source.title.as_str(),
                written.procedure
            )
        });
        for step in &written.source.steps {
            let laws: Vec<&str> = step.law.iter().map(|law| law.as_str()).collect();
            whole = whole.and_then(|()| write!(hash, "{:?}{}{laws:?}", step.says.as_str(), step.because.is_some()));
        }
    }
    // Hashing refuses nothing.
    debug_assert!(whole.is_ok());
    hash.0.finalize().into()
}

struct Hashed(Sha256);

impl Write for Hashed {
    fn write_str(&mut self, text: &str) -> fmt::Result {
        self.0.update(text.as_bytes());
        Ok(())
    }
}
