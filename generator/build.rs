//! The theme is carried inside the program: a changed page or script must build it anew. And a changed program must compile a
//! course anew: `PITWRIGHT_BUILD` names the sources that it was built from.

use std::collections::BTreeMap;
use std::hash::{DefaultHasher, Hasher};
use std::path::{Path, PathBuf};

fn main() {
    let mut files = BTreeMap::new();
    for top in ["generator", "theme", "Cargo.lock"] {
        println!("cargo::rerun-if-changed={top}");
        read(Path::new(top), &mut files);
    }
    let mut hasher = DefaultHasher::new();
    for (path, bytes) in files {
        hasher.write(path.to_string_lossy().as_bytes());
        hasher.write_usize(bytes.len());
        hasher.write(&bytes);
    }
    println!("cargo::rustc-env=PITWRIGHT_BUILD={:016x}", hasher.finish());
}

/// What cannot be read is left out: the compiler will say so better.
fn read(path: &Path, files: &mut BTreeMap<PathBuf, Vec<u8>>) {
    if let Ok(entries) = std::fs::read_dir(path) {
        for entry in entries.flatten() {
            read(&entry.path(), files);
        }
    } else if let Ok(bytes) = std::fs::read(path) {
        files.insert(path.to_owned(), bytes);
    }
}
