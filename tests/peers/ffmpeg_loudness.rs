//! Loudness, range and peaks of every real track against ffmpeg's filter `ebur128`.
//!
//! Its summary prints one decimal, 0.05 of rounding in each figure; its metadata carry three, and those are
//! read here. EBU Tech 3342 v4 (2023) has a meter of files append 1.5 s of silence for the range; a filter does
//! not know that a file ends, so it is given that silence, and its integrated loudness is read before it.

use std::collections::HashMap;
use std::ffi::OsStr;
use std::fmt::Write as _;
use std::path::{Path, PathBuf};

use candlemark_tests::command::{Home, figure};
use candlemark_tests::paths;
use serde_json::Value;

use crate::{ffmpeg, name};

/// What was promised: differences of at most so much.
const INTEGRATED_LU: f64 = 0.1;
const RANGE_LU: f64 = 0.15;
/// The peer resamples to 192 kHz with a filter of its own, and so does not look at the same places.
const TRUE_PEAK_DB: f64 = 0.3;
/// Sample peaks are the same samples; the peer prints amplitudes to three decimals, which at an amplitude of a
/// half or more is 0.01 dB.
const SAMPLE_PEAK_DB: f64 = 0.01;

struct Theirs {
    integrated_lufs: f64,
    range_lu: f64,
    /// The range before the silence: of no file-based meter, shown only.
    bare_range_lu: f64,
    true_peak_dbtp: f64,
    sample_peak_dbfs: f64,
}

/// What the filter says of a track of `seconds`.
fn theirs(track: &Path, seconds: f64) -> Theirs {
    let filter = "apad=pad_dur=1.5,ebur128=peak=true+sample:metadata=1,ametadata=mode=print:file=-";
    let input = [OsStr::new("-i"), track.as_os_str()];
    let output = ["-map", "0:a", "-af", filter, "-f", "null", "-"].map(OsStr::new);
    let printed = ffmpeg::run(input.into_iter().chain(output));
    let printed = String::from_utf8(printed).expect("it prints text");
    // Lines like `frame:1916 pts:8449560 pts_time:191.6`, then ones like `lavfi.r128.I=-10.564`.
    let (mut last, mut before_silence) = (HashMap::new(), HashMap::new());
    for line in printed.lines() {
        if let Some((_, start_s)) = line.split_once("pts_time:") {
            let start_s: f64 = start_s.trim().parse().unwrap_or_else(|_| panic!("{line}"));
            if start_s <= seconds {
                before_silence.clone_from(&last);
            }
        } else if let Some((key, value)) = line.strip_prefix("lavfi.r128.").and_then(|l| l.split_once('=')) {
            last.insert(key, value.parse().unwrap_or_else(|_| panic!("{line}")));
        }
    }
    let get = |from: &HashMap<&str, f64>, key| {
        *from.get(key).unwrap_or_else(|| panic!("{}: no {key}", track.display()))
    };
    // The peaks are amplitudes.
    let peak = |key| 20.0 * f64::log10(get(&last, key));
    Theirs {
        integrated_lufs: get(&before_silence, "I"),
        range_lu: get(&last, "LRA"),
        bare_range_lu: get(&before_silence, "LRA"),
        true_peak_dbtp: peak("true_peak"),
        sample_peak_dbfs: peak("sample_peak"),
    }
}

fn differences(track: &Path, ours: &Value, table: &mut String) -> [f64; 4] {
    let theirs = theirs(track, figure(ours, "duration_s"));
    let pairs = [
        ("integrated_lufs", theirs.integrated_lufs),
        ("range_lu", theirs.range_lu),
        ("true_peak_dbtp", theirs.true_peak_dbtp),
        ("sample_peak_dbfs", theirs.sample_peak_dbfs),
    ];
    let _ = write!(table, "{:<14}", name(track));
    let apart = pairs.map(|(key, theirs)| {
        let ours = figure(ours, key);
        let _ = write!(table, "{ours:>9.3}{theirs:>9.3}{:>8.3}", ours - theirs);
        ours - theirs
    });
    let _ = writeln!(table, "{:>9.3}", theirs.bare_range_lu);
    apart
}

#[test]
fn every_track_reads_as_ffmpeg_reads_it() {
    let tracks: Vec<PathBuf> = paths::music_tracks();
    let files = Home::new().measure(&tracks);
    let stereo = files.iter().filter(|file| file["channels"] == 2).count();
    assert!(stereo >= 8, "only {stereo} of the tracks are stereo");
    let mut table = format!(
        "ours, ffmpeg's, difference\n{:<14}{:<26}{:<26}{:<26}{:<26}bare range\n",
        "", "integrated, LUFS", "range, LU", "true peak, dBTP", "sample peak, dBFS"
    );
    let mut far = Vec::new();
    for (track, ours) in tracks.iter().zip(&files) {
        let apart = differences(track, ours, &mut table);
        let most = [INTEGRATED_LU, RANGE_LU, TRUE_PEAK_DB, SAMPLE_PEAK_DB];
        if apart.iter().zip(most).any(|(apart, most)| apart.abs() > most) {
            far.push(format!("{}: {apart:.3?}", name(track)));
        }
    }
    println!("{table}");
    assert!(far.is_empty(), "too far apart (integrated, range, true peak, sample peak): {far:#?}");
}
