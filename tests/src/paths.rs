//! Where the built plugin, the command, the interpreter and the music are.
//!
//! `cargo xtask test` builds and fetches all of them and says where in the environment; without it
//! the places it uses by default are looked in. What isn't there fails the test that asked for it.

use std::env;
use std::path::{Path, PathBuf};

/// The built CLAP plugin, a file.
pub const CLAP_VARIABLE: &str = "CANDLEMARK_CLAP";

/// The folder that holds the workspace's `Cargo.toml`.
pub fn workspace() -> PathBuf {
    let tests = Path::new(env!("CARGO_MANIFEST_DIR"));
    tests.parent().expect("the tests crate lies inside the workspace").to_path_buf()
}

/// The folder that cargo builds into.
pub fn target() -> PathBuf {
    env::var_os("CARGO_TARGET_DIR").map_or_else(|| workspace().join("target"), |dir| workspace().join(dir))
}

/// The built `Candlemark.clap`.
pub fn clap_plugin() -> PathBuf {
    existing("the CLAP plugin", CLAP_VARIABLE, "bundled-debug/Candlemark.clap")
}

/// The built `Candlemark.vst3` bundle.
pub fn vst3_plugin() -> PathBuf {
    existing("the VST3 plugin", "CANDLEMARK_VST3", "bundled-debug/Candlemark.vst3")
}

/// The built `candlemark` command.
pub fn command() -> PathBuf {
    let name = format!("debug/candlemark{}", env::consts::EXE_SUFFIX);
    existing("the `candlemark` command", "CANDLEMARK_BIN", &name)
}

/// The built `candlemark-desk`, the plugin in a desktop window.
pub fn desk() -> PathBuf {
    let name = format!("debug/candlemark-desk{}", env::consts::EXE_SUFFIX);
    existing("`candlemark-desk`", "CANDLEMARK_DESK", &name)
}

/// The Python interpreter of the tests' own environment, which has NumPy, SciPy, soundfile and pedalboard.
pub fn python() -> PathBuf {
    let name = if cfg!(windows) { "venv/Scripts/python.exe" } else { "venv/bin/python" };
    existing("the tests' Python", "CANDLEMARK_PYTHON", name)
}

/// The folder under which the real music lies.
pub fn music() -> PathBuf {
    existing("the music", "CANDLEMARK_MUSIC", "music")
}

/// Every real stereo track, sorted by path, so that runs are alike.
pub fn music_tracks() -> Vec<PathBuf> {
    let music = music();
    // The package links a track from a second place; one reading of each is enough.
    let mut tracks = files_below(&music, &Path::is_symlink);
    tracks.retain(|path| path.extension().is_some_and(|extension| extension == "ogg"));
    assert!(!tracks.is_empty(), "no .ogg file under {}; {REMEDY}", music.display());
    tracks
}

const REMEDY: &str = "`cargo xtask test` builds and fetches all that the tests need";

fn existing(what: &str, variable: &str, default: &str) -> PathBuf {
    let (path, source) = match env::var_os(variable) {
        Some(path) => (PathBuf::from(path), format!("as {variable} says")),
        None => (target().join(default), format!("and {variable} is not set")),
    };
    assert!(path.exists(), "{what} is not at {}, {source}; {REMEDY}", path.display());
    path
}

/// Every file below a folder, sorted, so that runs are alike. What is left out is not looked into either.
pub fn files_below(folder: &Path, is_left_out: &dyn Fn(&Path) -> bool) -> Vec<PathBuf> {
    let entries =
        folder.read_dir().unwrap_or_else(|error| panic!("can't list {}: {error}", folder.display()));
    let paths = entries.map(|entry| entry.expect("a folder's entry can be read").path());
    let mut files: Vec<PathBuf> = paths
        .filter(|path| !is_left_out(path))
        .flat_map(|path| if path.is_dir() { files_below(&path, is_left_out) } else { vec![path] })
        .collect();
    files.sort();
    files
}
