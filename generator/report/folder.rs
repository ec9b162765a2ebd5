//! Which files a folder of reports may hold: what is written there replaces what is there.

use std::path::Path;
use walkdir::WalkDir;

/// The first thing in a folder that no report wrote, by its path in it; none if the folder is not there, is empty, or
/// holds reports only. Such a folder is not written to: its other files would be taken away.
pub fn stranger(folder: &Path) -> Option<String> {
    WalkDir::new(folder)
        .min_depth(1)
        .sort_by_file_name()
        .into_iter()
        .filter_map(Result::ok)
        .filter(|entry| !entry.file_type().is_dir())
        .filter_map(|entry| {
            let path = entry.path().strip_prefix(folder).ok()?;
            let parts: Vec<_> = path
                .components()
                .map(|part| part.as_os_str().to_string_lossy())
                .collect();
            Some(parts.join("/"))
        })
        .find(|path| !is_ours(path))
}

fn is_ours(path: &str) -> bool {
    let own = |prefix: &str| {
        path.strip_prefix(prefix)
            .and_then(|rest| rest.strip_suffix(".html"))
            .is_some_and(crate::record::is_code)
    };
    const FILES: [&str; 14] = [
        "index.html",
        "matrix.html",
        "lapses.html",
        "matrix.csv",
        "record.csv",
        "lapses.csv",
        "due.ics",
        "style/tokens.css",
        "style/ground.css",
        "style/print.css",
        "style/report.css",
        "style/report-print.css",
        "style/page.css",
        "drawings/favicon.svg",
    ];
    FILES.contains(&path) || own("person-") || own("certificate-")
}
