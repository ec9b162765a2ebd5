//! A backup put in the register's place. What stood there is set aside, never deleted.

use super::backup::{BESIDE, Copy, disk, is_same, sync_folder, unfinished, with};
use super::compare::compare;
use super::{Comparison, NotCopied, Sqlite};
use jiff::civil::Date;
use serde::Serialize;
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
    let there = place.symlink_metadata().is_ok();
    // Held until the backup stands in its place: nobody can add to the register after it was compared. A program that
    // has the old file open and waits is told by SQLite that the file has moved.
    let mut old = None;
    if there {
        match Sqlite::seize(place).and_then(|old| Ok((compare(&copy.store, &old)?, old))) {
            Ok((comparison, seized)) => {
                if !comparison.copy_lacks().is_empty() && !set_aside {
                    return Err(NotCopied::WouldLack {
                        register: place.to_owned(),
                        comparison,
                    });
                }
                restored.comparison = Some(comparison);
                old = Some(seized);
            }
            // A register that is spoilt is what backups are for.
            Err(_) if set_aside => {}
            Err(why) => {
                return Err(NotCopied::Unreadable {
                    path: place.to_owned(),
                    why: why.to_string(),
                    hint: "With --set-aside it is put aside under another name, and the backup takes its place.",
                });
            }
        }
    }
    // Windows moves no file that is open.
    let old = old.filter(|_| !cfg!(windows));
    let aside = Aside::put(place, there, today)?;
    if let Err(why) = copy.take_place(place, there) {
        aside.undo(place);
        return Err(why);
    }
    drop(old);
    restored.set_aside = there.then_some(aside.path);
    Ok(restored)
}

/// A register set aside, or only what was left beside one that is gone.
struct Aside {
    path: PathBuf,
    /// It no longer has its old name.
    moved: bool,
}

impl Aside {
    fn put(place: &Path, there: bool, today: Date) -> Result<Self, NotCopied> {
        let path = free_name(place, today);
        // With two names, at no moment there is no register. Some file systems know no second name for a file.
        let moved = there && fs::hard_link(place, &path).is_err();
        if moved {
            fs::rename(place, &path).map_err(disk(place))?;
        }
        let aside = Self { path, moved };
        // What a stopped writer left belongs to the old file. Beside the new one, SQLite would take it for its own.
        for ending in BESIDE {
            let beside = with(place, ending);
            if beside.symlink_metadata().is_ok()
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
        for ending in BESIDE {
            let _ = fs::rename(with(&self.path, ending), with(place, ending));
        }
        let _ = if self.moved {
            fs::rename(&self.path, place)
        } else {
            fs::remove_file(&self.path)
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
