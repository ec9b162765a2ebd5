//! What tests stand on: the repository's own course, copies of it, and the program.

use std::path::{Path, PathBuf};
use std::process::{Command, Output};
use std::sync::LazyLock;

/// The repository's root.
pub fn root() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR"))
}

/// Runs the program in a folder and waits for it.
pub fn pitwright(folder: &Path, arguments: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_pitwright"))
        .args(arguments)
        .current_dir(folder)
        .env("NO_COLOR", "1")
        .output()
        .expect("the program was built with the tests")
}

/// What a run wrote to its standard output.
pub fn out(output: &Output) -> String {
    String::from_utf8_lossy(&output.stdout).into_owned()
}

/// Copies a folder.
pub fn copy(from: &Path, to: &Path) {
    for entry in walkdir::WalkDir::new(from) {
        let entry = entry.expect("the folder can be walked");
        let place = to.join(entry.path().strip_prefix(from).expect("walked from there"));
        if entry.file_type().is_dir() {
            std::fs::create_dir_all(place).expect("a temporary folder can be written");
        } else {
            std::fs::copy(entry.path(), place).expect("a temporary folder can be written");
        }
    }
}

/// A copy of the demo course (lessons and quizzes), to be spoilt.
pub fn demo() -> tempfile::TempDir {
    let folder = tempfile::tempdir().expect("a temporary folder can be made");
    for top in ["lessons", "quizzes"] {
        copy(&root().join(top), &folder.path().join(top));
    }
    folder
}

/// The demo course, compiled: a copy that is the caller's own. It is compiled once, since that takes seconds.
pub fn demo_course() -> tempfile::TempDir {
    static COMPILED: LazyLock<PathBuf> = LazyLock::new(|| {
        let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join("demo");
        // One of an earlier run would be of an older program.
        if folder.exists() {
            std::fs::remove_dir_all(&folder).expect("what an earlier run left can be removed");
        }
        let compiled = pitwright(&root(), &["compile", "--into", folder.to_str().expect("UTF-8")]);
        assert!(compiled.status.success(), "{}", out(&compiled));
        folder
    });
    let own = tempfile::tempdir().expect("a temporary folder can be made");
    copy(&COMPILED, own.path());
    own
}
