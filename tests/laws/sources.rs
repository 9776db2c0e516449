//! The workspace's own files, as the laws read them.

use std::fs;
use std::path::{Path, PathBuf};

use candlemark_tests::paths;

/// A text file of the workspace.
pub(crate) struct Source {
    /// Its path from the workspace's top, with forward slashes.
    pub(crate) path: String,
    pub(crate) text: String,
}

impl Source {
    pub(crate) fn is_rust(&self) -> bool {
        Path::new(&self.path).extension().is_some_and(|extension| extension == "rs")
    }

    /// A made-up source, to try a law on.
    pub(crate) fn sample(path: &str, text: &str) -> Self {
        Self { path: path.to_owned(), text: text.to_owned() }
    }
}

/// The Rust sources below a folder of the workspace; at least one.
pub(crate) fn rust_below(folder: &str) -> Vec<Source> {
    let sources: Vec<Source> = all_below(folder).into_iter().filter(Source::is_rust).collect();
    assert!(!sources.is_empty(), "no Rust source lies below {folder}");
    sources
}

/// Every text file below a folder of the workspace ("" for all), but for what git and cargo keep.
pub(crate) fn all_below(folder: &str) -> Vec<Source> {
    let top = paths::workspace();
    let mut found = Vec::new();
    gather(&top.join(folder), &mut found);
    found.sort();
    found
        .iter()
        .filter_map(|path| {
            let bytes =
                fs::read(path).unwrap_or_else(|error| panic!("can't read {}: {error}", path.display()));
            let path = path.strip_prefix(&top).expect("it was found below the top");
            let text = String::from_utf8(bytes).ok()?;
            Some(Source { path: path.to_string_lossy().replace('\\', "/"), text })
        })
        .collect()
}

fn gather(folder: &Path, found: &mut Vec<PathBuf>) {
    let entries =
        folder.read_dir().unwrap_or_else(|error| panic!("can't list {}: {error}", folder.display()));
    for entry in entries {
        let path = entry.expect("a folder's entry can be read").path();
        let name = path.file_name().unwrap_or_default();
        if path == paths::target() || name == "target" || name == ".git" || path.is_symlink() {
            continue;
        }
        if path.is_dir() {
            gather(&path, found);
        } else {
            found.push(path);
        }
    }
}

/// Fails with every breach, one a line.
#[track_caller]
pub(crate) fn hold(law: &str, breaches: &[String]) {
    assert!(breaches.is_empty(), "{law}:\n  {}", breaches.join("\n  "));
}
