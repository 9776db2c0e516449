//! Where things lie in the workspace, and folders.

use std::env;
use std::fs;
use std::path::{Path, PathBuf};

use anyhow::{Context, Result};

/// The folder that holds the workspace's `Cargo.toml`.
pub(crate) fn workspace() -> PathBuf {
    let xtask = Path::new(env!("CARGO_MANIFEST_DIR"));
    xtask.parent().expect("the xtask crate lies inside the workspace").to_path_buf()
}

/// The folder that cargo builds into.
pub(crate) fn target() -> PathBuf {
    env::var_os("CARGO_TARGET_DIR").map_or_else(|| workspace().join("target"), |dir| workspace().join(dir))
}

/// A folder, made where there is none.
pub(crate) fn made(folder: impl Into<PathBuf>) -> Result<PathBuf> {
    let folder = folder.into();
    fs::create_dir_all(&folder).with_context(|| format!("can't make {}", folder.display()))?;
    Ok(folder)
}

/// What lies in a folder, by name.
pub(crate) fn entries(folder: &Path) -> Result<Vec<PathBuf>> {
    let mut paths = Vec::new();
    for entry in folder.read_dir().with_context(|| format!("can't list {}", folder.display()))? {
        paths.push(entry?.path());
    }
    paths.sort();
    Ok(paths)
}
