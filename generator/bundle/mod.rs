//! Path → bytes → a folder and a zip. What is written is written whole: a reader finds the last good course or the new one.

mod one_file;

pub use one_file::one_file;

use crate::render::Output;
use rayon::prelude::*;
use std::fmt;
use std::fs;
use std::io::{self, Read, Write};
use std::path::{Path, PathBuf};
use walkdir::WalkDir;
use zip::result::ZipError;
use zip::write::SimpleFileOptions;
use zip::{CompressionMethod, DateTime, ZipArchive, ZipWriter};

/// A file that could not be written.
#[derive(Debug)]
pub struct WriteError {
    pub path: PathBuf,
    pub why: String,
}

impl fmt::Display for WriteError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(
            f,
            "{}: cannot be written: {}\n  help: check that the disk has room and that the folder may be written to",
            self.path.display(),
            self.why
        )
    }
}

impl std::error::Error for WriteError {}

fn failed(path: &Path) -> impl Fn(io::Error) -> WriteError + '_ {
    |error| WriteError {
        path: path.to_owned(),
        why: error.to_string(),
    }
}

/// What was done to the folder.
#[derive(Debug, Default, Clone, Copy, PartialEq, Eq)]
pub struct Written {
    pub files: usize,
    /// Of them, how many were new or changed.
    pub changed: usize,
    /// Old files taken away.
    pub removed: usize,
}

/// Brings a folder to hold exactly the output: changed files are replaced whole, unchanged ones left alone, others removed.
///
/// Every new file is written beside its place first and only renamed when all are there, so that a full disk or a stopped
/// program leaves the old course.
///
/// # Errors
/// [`WriteError`]; then nothing of the old folder was touched, unless the disk failed while renaming.
pub fn folder(output: &Output, into: &Path) -> Result<Written, WriteError> {
    let new = !into.exists();
    let written = add(output, into)?;
    Ok(Written {
        removed: if new { 0 } else { remove_others(output, into)? },
        ..written
    })
}

/// As [`folder`], but leaves every other file where it is.
///
/// # Errors
/// As [`folder`].
pub fn add(output: &Output, into: &Path) -> Result<Written, WriteError> {
    let changed: Vec<(&str, &[u8])> = output
        .par_iter()
        .filter(|(path, bytes)| fs::read(into.join(path)).ok().as_deref() != Some(bytes.as_slice()))
        .map(|(path, bytes)| (path.as_str(), bytes.as_slice()))
        .collect();
    let staging = tempfile::Builder::new()
        .prefix(".course-")
        .tempdir_in(parent(into)?)
        .map_err(failed(into))?;
    // The folder itself is for its maker alone; what is made in it is for whom the system's mask allows.
    let staged = staging.path().join("course");
    folders(&changed, &staged)?;
    changed.par_iter().try_for_each(|(path, bytes)| {
        let place = staged.join(path);
        fs::write(&place, bytes).map_err(failed(&place))
    })?;
    let written = Written {
        files: output.len(),
        changed: changed.len(),
        removed: 0,
    };
    if !into.exists() {
        fs::rename(&staged, into).map_err(failed(into))?;
        return Ok(written);
    }
    folders(&changed, into)?;
    changed.par_iter().try_for_each(|(path, _)| {
        let place = into.join(path);
        fs::rename(staged.join(path), &place).map_err(failed(&place))
    })?;
    Ok(written)
}

/// Makes a folder and those in it that these paths need.
fn folders(changed: &[(&str, &[u8])], into: &Path) -> Result<(), WriteError> {
    let mut needed: Vec<&str> = changed
        .iter()
        .map(|(path, _)| path.rsplit_once('/').map_or("", |(folder, _)| folder))
        .collect();
    needed.push("");
    needed.sort_unstable();
    needed.dedup();
    for folder in needed {
        let folder = into.join(folder);
        fs::create_dir_all(&folder).map_err(failed(&folder))?;
    }
    Ok(())
}

/// The folder that holds `path`, made if need be.
fn parent(path: &Path) -> Result<&Path, WriteError> {
    let parent = path
        .parent()
        .filter(|parent| !parent.as_os_str().is_empty())
        .unwrap_or(Path::new("."));
    fs::create_dir_all(parent).map_err(failed(parent))?;
    Ok(parent)
}

fn remove_others(output: &Output, into: &Path) -> Result<usize, WriteError> {
    let mut removed = 0;
    for entry in WalkDir::new(into)
        .contents_first(true)
        .into_iter()
        .filter_map(Result::ok)
    {
        let relative = entry.path().strip_prefix(into).unwrap_or(entry.path());
        let relative: Vec<_> = relative
            .components()
            .map(|part| part.as_os_str().to_string_lossy())
            .collect();
        if entry.file_type().is_dir() {
            // Only an empty folder can be removed this way, which is what is meant.
            if entry.depth() > 0 {
                let _ = fs::remove_dir(entry.path());
            }
        } else if !output.contains_key(&relative.join("/")) {
            fs::remove_file(entry.path()).map_err(failed(entry.path()))?;
            removed += 1;
        }
    }
    Ok(removed)
}

/// How many files are packed by one thread at a time. The archive is the same whatever this is.
const PACKED_TOGETHER: usize = 64;

/// The course as one zip, under `course/`.
///
/// # Errors
/// As [`archive`].
pub fn zip(output: &Output) -> Result<Vec<u8>, WriteError> {
    archive(output, "course")
}

/// Files as one zip: sorted names under a folder, a fixed time, so that the same files give the same bytes.
///
/// # Errors
/// [`WriteError`] if the archive cannot be built, which only a file of more than 4 GiB could cause.
pub fn archive(files: &Output, folder: &str) -> Result<Vec<u8>, WriteError> {
    let files: Vec<(&String, &Vec<u8>)> = files.iter().collect();
    let parts: Result<Vec<Vec<u8>>, ZipError> = files
        .par_chunks(PACKED_TOGETHER)
        .map(|files| pack(files, folder))
        .collect();
    let join = |parts: Vec<Vec<u8>>| {
        let mut writer = ZipWriter::new(io::Cursor::new(Vec::new()));
        for part in parts {
            writer.merge_archive(ZipArchive::new(io::Cursor::new(part))?)?;
        }
        writer.finish()
    };
    match parts.and_then(join) {
        Ok(archive) => Ok(archive.into_inner()),
        Err(error) => Err(WriteError {
            path: PathBuf::from(format!("{folder}.zip")),
            why: error.to_string(),
        }),
    }
}

fn pack(files: &[(&String, &Vec<u8>)], folder: &str) -> Result<Vec<u8>, ZipError> {
    let options = SimpleFileOptions::default()
        .compression_method(CompressionMethod::Deflated)
        .last_modified_time(DateTime::default())
        .unix_permissions(0o644);
    let mut writer = ZipWriter::new(io::Cursor::new(Vec::new()));
    for (path, bytes) in files {
        writer.start_file(format!("{folder}/{path}"), options)?;
        writer.write_all(bytes)?;
    }
    Ok(writer.finish()?.into_inner())
}

/// The files of a zip, without the folder that they all lie in.
///
/// # Errors
/// In words, if it is no zip, or would take more than `most` bytes unpacked.
pub fn unzip(bytes: &[u8], most: u64) -> Result<Output, String> {
    let mut archive = ZipArchive::new(io::Cursor::new(bytes)).map_err(|why| format!("it is not a zip: {why}"))?;
    let mut left = most;
    let mut files = Output::new();
    for index in 0..archive.len() {
        let file = archive.by_index(index).map_err(|why| why.to_string())?;
        if file.is_dir() {
            continue;
        }
        let name = file.name().map_err(|why| why.to_string())?.into_owned();
        let mut bytes = Vec::new();
        // What a zip says of its sizes is not taken on trust.
        file.take(left + 1)
            .read_to_end(&mut bytes)
            .map_err(|why| format!("{name} in it cannot be unpacked: {why}"))?;
        left = left
            .checked_sub(bytes.len() as u64)
            .ok_or_else(|| format!("unpacked, it has more than {most} bytes"))?;
        let name = name.split_once('/').map_or(name.as_str(), |(_, name)| name).to_owned();
        if files.insert(name.clone(), bytes).is_some() {
            return Err(format!("{name} is in it twice"));
        }
    }
    Ok(files)
}

/// Makes a file hold these bytes. One that does already is left alone, and so is its time.
///
/// # Errors
/// [`WriteError`]; then the old file is still there.
pub fn file(bytes: &[u8], place: &Path) -> Result<(), WriteError> {
    if fs::read(place).ok().as_deref() == Some(bytes) {
        return Ok(());
    }
    replace(bytes, place)
}

/// Writes a file whole, also where it holds these bytes already: its time then says that it was the last to be written.
///
/// # Errors
/// [`WriteError`]; then the old file is still there.
pub fn replace(bytes: &[u8], place: &Path) -> Result<(), WriteError> {
    let mut builder = tempfile::Builder::new();
    builder.prefix(".writing-");
    // A temporary file is for its owner alone; the finished one is for whom the system's mask allows.
    #[cfg(unix)]
    builder.permissions(std::os::unix::fs::PermissionsExt::from_mode(0o666));
    let mut temporary = builder.tempfile_in(parent(place)?).map_err(failed(place))?;
    temporary.write_all(bytes).map_err(failed(place))?;
    temporary.as_file().sync_all().map_err(failed(place))?;
    temporary.persist(place).map_err(|error| failed(place)(error.error))?;
    Ok(())
}

/// Takes a file away, if it is there.
///
/// # Errors
/// [`WriteError`].
pub fn remove(place: &Path) -> Result<(), WriteError> {
    match fs::remove_file(place) {
        Err(error) if error.kind() != io::ErrorKind::NotFound => Err(failed(place)(error)),
        _ => Ok(()),
    }
}
