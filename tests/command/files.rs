//! Files that the tests are made of.

use std::ffi::{OsStr, OsString};
use std::fs;
use std::path::{Path, PathBuf};

use candlemark_tests::command::{Home, Run};
use candlemark_tests::signals::Noise;
use candlemark_tests::sound::Sound;

pub(crate) const RATE: f64 = 48_000.0;

/// So many seconds of two noises that share half their power.
pub(crate) fn noise(seconds: f64) -> Sound {
    let frames = (seconds * RATE) as usize;
    let [left, right, shared] = [61, 62, 63].map(|seed| Noise::new(seed).white(frames, 0.1));
    let mixed = |own: &[f32]| own.iter().zip(&shared).map(|(own, shared)| own + shared).collect();
    Sound::stereo(RATE, mixed(&left), mixed(&right))
}

/// Writes a sound into `folder`.
pub(crate) fn wav(folder: &Path, name: &str, sound: &Sound) -> PathBuf {
    let path = folder.join(name);
    sound.write_wav(&path);
    path
}

/// Takes a yardstick of these records.
#[track_caller]
pub(crate) fn take<A: AsRef<OsStr>>(home: &Home, name: &str, records: impl IntoIterator<Item = A>) -> Run {
    let records = records.into_iter().map(|record| record.as_ref().to_owned());
    home.run(["yardstick", "take", "--name", name].map(OsString::from).into_iter().chain(records)).well()
}

/// Writes bytes into `folder`.
pub(crate) fn bytes(folder: &Path, name: &str, bytes: &[u8]) -> PathBuf {
    let path = folder.join(name);
    fs::write(&path, bytes).expect("a test's file can be written");
    path
}
