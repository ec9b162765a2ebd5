//! A backup put in the register's place. What stood there is set aside, never deleted.

use super::backup::{Copy, disk, is_same, sync_folder, unfinished};
use super::compare::compare;
use super::{Comparison, Error, NotCopied, Sqlite};
use jiff::civil::Date;
use serde::Serialize;
use std::ffi::OsString;
use std::fs;
use std::path::{Path, PathBuf};

/// A backup that took the register's place.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Restored {
    pub rows: u64,
    /// The hash of its last row.
    pub head: String,
    /// Where the register that stood there is now.
    pub set_aside: Option<PathBuf>,
    /// How the backup stands to the register that was set aside, if that could be read.
    pub comparison: Option<Comparison>,
    /// What earlier runs that were stopped have left beside it.
    pub unfinished: Vec<PathBuf>,
}

/// Puts the backup `file` in the register's `place`. A register that stands there and has rows which the backup lacks,
/// or that cannot be read, gives way only if `set_aside` says so.
///
/// # Errors
/// [`NotCopied`]; then the register is as it was.
pub fn restore(file: &Path, place: &Path, set_aside: bool, today: Date) -> Result<Restored, NotCopied> {
    // Where the place is a link, the register is what it leads to.
    let place = &place.canonicalize().unwrap_or_else(|_| place.to_owned());
    if is_same(file, place) {
        return Err(NotCopied::Itself(file.to_owned()));
    }
    let backup = Sqlite::read(file)?;
    if let Some(folder) = place.parent().filter(|folder| !folder.as_os_str().is_empty()) {
        fs::create_dir_all(folder).map_err(disk(folder))?;
    }
    let unfinished = unfinished(place);
    let copy = Copy::of(&backup, file, place)?;
    let mut restored = Restored {
        rows: copy.head.seq,
        head: copy.head.hash.clone(),
        set_aside: None,
        comparison: None,
        unfinished,
    };
    if place.symlink_metadata().is_err() {
        copy.take_place(place, false)?;
        return Ok(restored);
    }
    // Held until the backup stands in its place: nobody can add to the register after it was compared. A program that
    // has the old file open and waits is told by SQLite that the file has moved.
    let old = match Sqlite::seize(place) {
        Ok(old) => {
            let comparison = compare(&copy.store, &old)?;
            if comparison.copy_lacks_rows() && !set_aside {
                return Err(NotCopied::WouldLack {
                    register: place.to_owned(),
                    comparison,
                });
            }
            restored.comparison = Some(comparison);
            Some(old)
        }
        Err(why @ (Error::NotARegister(_) | Error::Newer { .. } | Error::Store(_))) if !set_aside => {
            return Err(NotCopied::Unreadable {
                path: place.to_owned(),
                why: why.to_string(),
            });
        }
        Err(_) => None,
    };
    // Windows moves no file that is open.
    let old = old.filter(|_| !cfg!(windows));
    let aside = Aside::put(place, today)?;
    if let Err(why) = copy.take_place(place, true) {
        aside.undo(place);
        return Err(why);
    }
    drop(old);
    restored.set_aside = Some(aside.path);
    Ok(restored)
}

/// A register set aside.
struct Aside {
    path: PathBuf,
    /// It still has its old name as well, so that at no moment there is no register.
    linked: bool,
}

impl Aside {
    fn put(place: &Path, today: Date) -> Result<Self, NotCopied> {
        let path = free_name(place, today);
        let linked = fs::hard_link(place, &path).is_ok();
        // Some file systems know no second name for a file.
        if !linked {
            fs::rename(place, &path).map_err(disk(place))?;
        }
        let aside = Self { path, linked };
        // What a stopped writer left belongs to the old file. Beside the new one, SQLite would take it for its own.
        for ending in ["-journal", "-wal", "-shm"] {
            let beside = with(place, ending);
            if beside.exists()
                && let Err(why) = fs::rename(&beside, with(&aside.path, ending))
            {
                aside.undo(place);
                return Err(disk(&beside)(why));
            }
        }
        sync_folder(place).map_err(disk(place))?;
        Ok(aside)
    }

    /// Puts it back. Where that fails, the register is still there under its new name, and the error names the file.
    fn undo(&self, place: &Path) {
        for ending in ["-journal", "-wal", "-shm"] {
            let _ = fs::rename(with(&self.path, ending), with(place, ending));
        }
        let _ = if self.linked {
            fs::remove_file(&self.path)
        } else {
            fs::rename(&self.path, place)
        };
    }
}

/// A name beside the register that is not taken: it says what the file is and since when.
fn free_name(place: &Path, today: Date) -> PathBuf {
    let dated = with(place, &format!(".set-aside-{today}"));
    let numbered = (2..).map(|number| with(place, &format!(".set-aside-{today}-{number}")));
    std::iter::once(dated)
        .chain(numbered)
        .find(|name| name.symlink_metadata().is_err())
        // The numbers do not run out before the names of a folder do.
        .unwrap_or_else(|| with(place, ".set-aside"))
}

fn with(path: &Path, ending: &str) -> PathBuf {
    let mut name = OsString::from(path);
    name.push(ending);
    PathBuf::from(name)
}
