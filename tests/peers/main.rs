//! Figures and decoding against independent implementations, on real music and on made sounds.
//!
//! `--nocapture` shows the tables: ours, the peer's, and how far they lie apart.

mod cut_files;
mod decoding;
mod ebur128_crate;
mod ffmpeg;
mod ffmpeg_loudness;
mod filter_bank;
mod gating;
mod numpy_statistics;
mod python;
mod relative_levels;
mod scipy_measures;

use std::path::Path;

use candlemark_tests::paths;

/// A track's name without its folder.
fn name(path: &Path) -> String {
    path.file_name().map_or_else(String::new, |name| name.to_string_lossy().into_owned())
}

/// A track by its file's name.
#[track_caller]
fn track(wanted: &str) -> std::path::PathBuf {
    paths::music_tracks()
        .into_iter()
        .find(|track| name(track) == wanted)
        .unwrap_or_else(|| panic!("{wanted} is not among the music"))
}
