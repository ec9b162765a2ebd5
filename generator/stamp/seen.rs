//! What the disk tells of a file without opening it.

use std::fmt;
use std::fs::Metadata;
use std::time::{SystemTime, UNIX_EPOCH};

/// Size, times and number of a file. Two that are equal are of the same, unchanged file.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Seen {
    /// In bytes.
    size: u64,
    /// When its bytes were last written, in nanoseconds since 1970.
    written: i128,
    /// When anything of it last changed, its name or its times included, in the same; 0 where the system keeps no such time.
    changed: i128,
    /// The system's own number for it, 0 where it has none: a file put in the place of another has another.
    number: u64,
}

impl Seen {
    /// A file of which nothing is known; it equals no file that is there.
    pub const UNKNOWN: Self = Self {
        size: u64::MAX,
        written: 0,
        changed: 0,
        number: 0,
    };

    /// What is known of a file that changed no later than `settled`.
    pub fn of(data: &Metadata, settled: SystemTime) -> Self {
        let written = data.modified().map_or(0, nanoseconds);
        let (changed, number) = system(data);
        if written.max(changed) > nanoseconds(settled) || !data.is_file() {
            return Self::UNKNOWN;
        }
        Self {
            size: data.len(),
            written,
            changed,
            number,
        }
    }

    /// A line of the stamp: this and a path.
    pub fn read(line: &str) -> Option<(&str, Self)> {
        let mut parts = line.splitn(5, ' ');
        let seen = Self {
            size: parts.next()?.parse().ok()?,
            written: parts.next()?.parse().ok()?,
            changed: parts.next()?.parse().ok()?,
            number: parts.next()?.parse().ok()?,
        };
        Some((parts.next()?, seen))
    }
}

impl fmt::Display for Seen {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} {} {} {}", self.size, self.written, self.changed, self.number)
    }
}

fn nanoseconds(time: SystemTime) -> i128 {
    // Neither side overflows within the age of the universe.
    let signed = |duration: std::time::Duration| i128::try_from(duration.as_nanos()).unwrap_or(i128::MAX);
    match time.duration_since(UNIX_EPOCH) {
        Ok(after) => signed(after),
        Err(before) => -signed(before.duration()),
    }
}

#[cfg(unix)]
fn system(data: &Metadata) -> (i128, u64) {
    use std::os::unix::fs::MetadataExt;
    let changed = i128::from(data.ctime()) * 1_000_000_000 + i128::from(data.ctime_nsec());
    (changed, data.ino())
}

#[cfg(not(unix))]
fn system(_: &Metadata) -> (i128, u64) {
    (0, 0)
}
