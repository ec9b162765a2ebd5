//! A copy of the register, made while others write, looked over before it takes its name.

use super::compare::{compare, look_over, open_and_look};
use super::personal::names_or_notes;
use super::{Comparison, Error, Head, Sqlite, Store};
use serde::Serialize;
use std::ffi::OsString;
use std::fmt;
use std::fs::{self, File};
use std::io;
use std::path::{Path, PathBuf};
use tempfile::{TempDir, TempPath};

/// A backup that was made.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Copied {
    pub rows: u64,
    /// The hash of its last row.
    pub head: String,
    /// How many names and notes it holds, which a later erasure does not reach.
    pub details: usize,
    /// An older backup gave way to it.
    pub replaced: bool,
    /// What earlier runs that were stopped have left beside it.
    pub unfinished: Vec<PathBuf>,
}

/// Why a copy was not made, or not put in its place. Nothing was changed then.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum NotCopied {
    Register(Error),
    /// The file's name is taken.
    Exists(PathBuf),
    /// The name is that of a folder, or none.
    NotAFile(PathBuf),
    /// The file is the register in use.
    Itself(PathBuf),
    /// A register that is not whole.
    NotWhole {
        path: PathBuf,
        faults: Vec<String>,
    },
    /// What stands there cannot be read, so nobody can say what would be lost.
    Unreadable {
        path: PathBuf,
        why: String,
        /// What to do.
        hint: &'static str,
    },
    /// The older backup has what the new one lacks.
    WouldLose {
        path: PathBuf,
        comparison: Comparison,
    },
    /// The register has rows that the backup lacks.
    WouldLack {
        register: PathBuf,
        comparison: Comparison,
    },
    Disk {
        path: PathBuf,
        why: String,
    },
}

impl From<Error> for NotCopied {
    fn from(error: Error) -> Self {
        Self::Register(error)
    }
}

impl fmt::Display for NotCopied {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Register(error) => error.fmt(f),
            Self::Exists(path) => write!(
                f,
                "{} is there already: give another name, or say --replace to put the new backup in its place",
                path.display()
            ),
            Self::NotAFile(path) => write!(f, "{} is not a file: name a file in it", path.display()),
            Self::Itself(path) => write!(f, "{} is the register in use: name another file", path.display()),
            Self::NotWhole { path, faults } => {
                write!(f, "{} is not a whole register:", path.display())?;
                for fault in faults {
                    write!(f, "\n  {fault}")?;
                }
                Ok(())
            }
            Self::Unreadable { path, why, hint } => write!(
                f,
                "{}: {why}; so nobody can say what would be lost. {hint}",
                path.display()
            ),
            Self::WouldLose { path, comparison } => write!(
                f,
                "{} has what the register lacks, and was left alone: {}{}",
                path.display(),
                comparison.says(),
                match comparison.lost_details {
                    0 => String::new(),
                    lost => format!(
                        "; of what it holds, {} were lost from the register without an erasure",
                        names_or_notes(lost)
                    ),
                }
            ),
            Self::WouldLack { register, comparison } => write!(
                f,
                "the backup lacks {} that {} has: {}. With --set-aside the register is put aside under another name, with all that is in it, and the backup takes its place",
                comparison.copy_lacks().join(", "),
                register.display(),
                comparison.says()
            ),
            Self::Disk { path, why } => write!(f, "{}: {why}", path.display()),
        }
    }
}

impl std::error::Error for NotCopied {}

impl NotCopied {
    /// Whether it is something found in a register, rather than wrong usage or a disk that refused.
    pub fn is_a_finding(&self) -> bool {
        matches!(
            self,
            Self::NotWhole { .. } | Self::WouldLose { .. } | Self::WouldLack { .. }
        )
    }
}

/// Copies the register in `place` into `file`: first under another name, looked over there, then renamed in one step.
/// `replace` lets an older backup give way, if the new one has all that it has.
///
/// # Errors
/// [`NotCopied`]; then `file` is as it was.
pub fn backup(place: &Path, file: &Path, replace: bool) -> Result<Copied, NotCopied> {
    let register = Sqlite::read(place)?;
    if file.is_dir() || file.file_name().is_none() {
        return Err(NotCopied::NotAFile(file.to_owned()));
    }
    if is_same(place, file) {
        return Err(NotCopied::Itself(file.to_owned()));
    }
    let there = file.symlink_metadata().is_ok();
    if there && !replace {
        return Err(NotCopied::Exists(file.to_owned()));
    }
    let unfinished = unfinished(file);
    let copy = Copy::of(&register, place, file)?;
    if there {
        may_give_way(file, &copy.store)?;
    }
    let copied = Copied {
        rows: copy.head.seq,
        head: copy.head.hash.clone(),
        details: copy.store.details()?.len(),
        replaced: there,
        unfinished,
    };
    copy.take_place(file, there)?;
    Ok(copied)
}

/// Whether the new copy has everything that the older backup has.
fn may_give_way(older: &Path, new: &Sqlite) -> Result<(), NotCopied> {
    let unreadable = |why: String| NotCopied::Unreadable {
        path: older.to_owned(),
        why,
        hint: "Move it away, or give the backup another name.",
    };
    let (store, _, faults) = open_and_look(older).map_err(|why| unreadable(why.to_string()))?;
    let store = store
        .filter(|_| faults.is_empty())
        .ok_or_else(|| unreadable(faults.join("; ")))?;
    let comparison = compare(&store, new)?;
    if comparison.register_lacks() {
        return Err(NotCopied::WouldLose {
            path: older.to_owned(),
            comparison,
        });
    }
    Ok(())
}

/// A whole copy that waits under another name, in a folder of its own beside its place, so that whatever SQLite puts
/// beside a file goes with it.
pub(super) struct Copy {
    // Before the folder: dropped in this order, the file is closed before it is removed.
    pub store: Sqlite,
    pub head: Head,
    file: TempPath,
    folder: TempDir,
}

impl Copy {
    /// Copies the register that stands in the file `source` to near `target`.
    ///
    /// # Errors
    /// [`NotCopied`]; then nothing of it is left.
    pub(super) fn of(register: &Sqlite, source: &Path, target: &Path) -> Result<Self, NotCopied> {
        // The folder is not made: a stick that is not plugged in must not turn into a folder on the disk to be backed up.
        let folder = tempfile::Builder::new()
            .prefix(&marked(target))
            .tempdir_in(folder_of(target))
            .map_err(disk(target))?;
        let file = folder.path().join("register");
        let file = TempPath::try_from_path(&file).map_err(disk(target))?;
        register.copy_into(&file).map_err(|why| NotCopied::Disk {
            path: target.to_owned(),
            why: format!("the copy could not be made: {why}"),
        })?;
        // It holds the same names, so it is as open to others as the register, no more.
        let permissions = fs::metadata(source).map_err(disk(source))?.permissions();
        fs::set_permissions(&file, permissions).map_err(disk(target))?;
        let store = Sqlite::read(&file)?;
        let (head, faults) = look_over(&store)?;
        if !faults.is_empty() {
            return Err(NotCopied::NotWhole {
                path: source.to_owned(),
                faults,
            });
        }
        Ok(Self {
            store,
            head,
            file,
            folder,
        })
    }

    /// Gives it its name, durably; over what stands there only if `replace`.
    ///
    /// # Errors
    /// [`NotCopied`]; then what stood there still does.
    pub(super) fn take_place(self, target: &Path, replace: bool) -> Result<(), NotCopied> {
        drop(self.store);
        let failed = disk(target);
        // SQLite would take it for a part of the file that comes here, and spoil that.
        if let Some(beside) = beside(target).find(|beside| beside.symlink_metadata().is_ok()) {
            return Err(NotCopied::Disk {
                path: beside,
                why: "this belongs to a database that stood here and was not closed well; move it away first"
                    .to_owned(),
            });
        }
        let written = File::options().write(true).open(&self.file).map_err(&failed)?;
        written.sync_all().map_err(&failed)?;
        drop(written);
        let named = if replace {
            self.file.persist(target)
        } else {
            self.file.persist_noclobber(target)
        };
        named.map_err(|error| match error.error.kind() {
            io::ErrorKind::AlreadyExists => NotCopied::Exists(target.to_owned()),
            _ => failed(error.error),
        })?;
        sync_folder(target).map_err(&failed)?;
        // A folder that cannot be removed is named by the next run.
        let _ = self.folder.close();
        Ok(())
    }
}

/// What SQLite may keep beside a file.
pub(super) const BESIDE: [&str; 3] = ["-journal", "-wal", "-shm"];

fn beside(file: &Path) -> impl Iterator<Item = PathBuf> {
    BESIDE.iter().map(|ending| with(file, ending))
}

/// A file's path with something added at its end.
pub(super) fn with(file: &Path, ending: &str) -> PathBuf {
    let mut name = OsString::from(file);
    name.push(ending);
    PathBuf::from(name)
}

/// Makes a renaming durable.
pub(super) fn sync_folder(of: &Path) -> io::Result<()> {
    // Elsewhere a folder cannot be opened, and renaming is as durable as the system makes it.
    if cfg!(unix) {
        File::open(folder_of(of))?.sync_all()
    } else {
        Ok(())
    }
}

pub(super) fn folder_of(file: &Path) -> &Path {
    file.parent()
        .filter(|folder| !folder.as_os_str().is_empty())
        .unwrap_or(Path::new("."))
}

/// How the folder of an unfinished copy begins: the name says whose it is and that it may go.
fn marked(target: &Path) -> OsString {
    let mut name = target.file_name().unwrap_or_default().to_owned();
    name.push(".unfinished-");
    name
}

/// The folders of unfinished copies that runs which were stopped have left.
pub(super) fn unfinished(target: &Path) -> Vec<PathBuf> {
    let mark = marked(target);
    let begins = |name: &OsString| name.as_encoded_bytes().starts_with(mark.as_encoded_bytes());
    let entries = fs::read_dir(folder_of(target)).into_iter().flatten();
    let mut found: Vec<PathBuf> = entries
        .filter_map(Result::ok)
        .filter(|entry| begins(&entry.file_name()))
        .map(|entry| entry.path())
        .collect();
    found.sort();
    found
}

/// Whether two paths lead to the same file.
pub(super) fn is_same(one: &Path, other: &Path) -> bool {
    match (one.canonicalize(), other.canonicalize()) {
        (Ok(a), Ok(b)) => a == b || same_inode(&a, &b),
        _ => false,
    }
}

#[cfg(unix)]
fn same_inode(one: &Path, other: &Path) -> bool {
    use std::os::unix::fs::MetadataExt;
    let inode = |path: &Path| fs::metadata(path).map(|of| (of.dev(), of.ino())).ok();
    inode(one).is_some_and(|of| inode(other) == Some(of))
}

#[cfg(not(unix))]
fn same_inode(_: &Path, _: &Path) -> bool {
    false
}

pub(super) fn disk(path: &Path) -> impl Fn(io::Error) -> NotCopied + '_ {
    |error| NotCopied::Disk {
        path: path.to_owned(),
        why: error.to_string(),
    }
}
