//! The workspace's own files, as the laws read them.

use std::fs;
use std::path::Path;

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

    /// Its syntax.
    pub(crate) fn parsed(&self) -> syn::File {
        syn::parse_file(&self.text).unwrap_or_else(|error| panic!("{} can't be parsed: {error}", self.path))
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

/// All Rust sources of the workspace.
pub(crate) fn all_rust() -> Vec<Source> {
    ["plugin", "tests", "xtask"].into_iter().flat_map(rust_below).collect()
}

/// Every text file below a folder of the workspace ("" for all), but for what git and cargo keep.
pub(crate) fn all_below(folder: &str) -> Vec<Source> {
    let top = paths::workspace();
    paths::files_below(&top.join(folder), &is_kept_by_git_or_cargo)
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

fn is_kept_by_git_or_cargo(path: &Path) -> bool {
    let name = path.file_name().unwrap_or_default();
    path == paths::target() || name == "target" || name == ".git" || path.is_symlink()
}

/// The text of one file of the workspace.
pub(crate) fn read(path: &str) -> String {
    fs::read_to_string(paths::workspace().join(path)).unwrap_or_else(|error| panic!("{path}: {error}"))
}

/// Fails with every breach, one a line.
#[track_caller]
pub(crate) fn hold(law: &str, breaches: &[String]) {
    assert!(breaches.is_empty(), "{law}:\n  {}", breaches.join("\n  "));
}
