//! Where things lie in the workspace.

use std::env;
use std::path::{Path, PathBuf};

/// The folder that holds the workspace's `Cargo.toml`.
pub(crate) fn workspace() -> PathBuf {
    let xtask = Path::new(env!("CARGO_MANIFEST_DIR"));
    xtask.parent().expect("the xtask crate lies inside the workspace").to_path_buf()
}

/// The folder that cargo builds into.
pub(crate) fn target() -> PathBuf {
    env::var_os("CARGO_TARGET_DIR").map_or_else(|| workspace().join("target"), |dir| workspace().join(dir))
}
