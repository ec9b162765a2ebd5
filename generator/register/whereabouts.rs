//! Where a register is kept unless told otherwise, and where a course leaves its marking files.

use std::ffi::OsString;
use std::io;
use std::path::{Path, PathBuf};
use std::time::SystemTime;

/// The folder for this user's data: `$XDG_DATA_HOME/pitwright`, else `~/.local/share/pitwright` (XDG Base Directory
/// Specification); on Windows `%APPDATA%\pitwright`. `variable` reads an environment variable.
pub fn data_folder(variable: impl Fn(&str) -> Option<OsString>) -> Option<PathBuf> {
    let set = |name: &str| variable(name).filter(|value| !value.is_empty()).map(PathBuf::from);
    let base = if cfg!(windows) {
        set("APPDATA")
    } else {
        set("XDG_DATA_HOME")
            .filter(|folder| folder.is_absolute())
            .or_else(|| Some(set("HOME")?.join(".local").join("share")))
    };
    Some(base?.join("pitwright"))
}

/// The register of a course in that folder.
pub fn default_file(data_folder: &Path, course: &str) -> PathBuf {
    data_folder.join(format!("{course}.register"))
}

/// The marking files that compiling a course has left in its `out` folder, the one written last at the end: that is
/// the course in use. None if the course was never compiled there.
///
/// # Errors
/// If the folder is there and cannot be read.
pub fn course_markings(course: &Path) -> io::Result<Vec<PathBuf>> {
    let folder = match std::fs::read_dir(course.join("out")) {
        Ok(folder) => folder,
        Err(why) if why.kind() == io::ErrorKind::NotFound => return Ok(Vec::new()),
        Err(why) => return Err(why),
    };
    let mut found: Vec<(SystemTime, PathBuf)> = Vec::new();
    for entry in folder {
        let entry = entry?;
        let name = entry.file_name();
        let name = name.to_string_lossy();
        if name.starts_with("marking-") && name.ends_with(".json") {
            let written = entry.metadata()?.modified().unwrap_or(SystemTime::UNIX_EPOCH);
            found.push((written, entry.path()));
        }
    }
    found.sort();
    Ok(found.into_iter().map(|(_, path)| path).collect())
}
