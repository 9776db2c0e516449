//! What the fuzz targets share: a file that holds what the fuzzer made up.

use std::path::{Path, PathBuf};

use tempfile::TempDir;

/// A folder for one target's files, in memory where the system has such a place.
pub struct Scratch {
    folder: TempDir,
}

impl Scratch {
    /// An empty one.
    pub fn new() -> Self {
        let memory = Path::new("/dev/shm");
        let folder = if memory.is_dir() { tempfile::tempdir_in(memory) } else { tempfile::tempdir() };
        Self { folder: folder.expect("a folder can be made") }
    }

    /// Where it is.
    pub fn path(&self) -> &Path {
        self.folder.path()
    }

    /// Puts `bytes` into the file `name`, whatever was there.
    pub fn put(&self, name: &str, bytes: &[u8]) -> PathBuf {
        let path = self.path().join(name);
        std::fs::write(&path, bytes).expect("a file can be written");
        path
    }

    /// Names of the files that lie there now.
    pub fn names(&self) -> Vec<String> {
        let entries = std::fs::read_dir(self.path()).expect("the folder can be read");
        let mut names: Vec<String> =
            entries.flatten().map(|entry| entry.file_name().to_string_lossy().into_owned()).collect();
        names.sort();
        names
    }
}

impl Default for Scratch {
    fn default() -> Self {
        Self::new()
    }
}
