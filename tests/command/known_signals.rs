//! Signals whose figures are known before they are measured.

use candlemark_tests::command::{Home, figure};
use candlemark_tests::signals::{Noise, sine};
use candlemark_tests::sound::Sound;
use serde_json::Value;

use crate::files::{RATE, noise, wav};

fn measured(sound: &Sound) -> Value {
    let home = Home::new();
    let path = wav(home.folder(), "sound.wav", sound);
    let file = home.measure([path]).remove(0);
    assert!(file["error"].is_null(), "{}", file["error"]);
    file
}

fn bands(file: &Value) -> &[Value] {
    let bands = file["bands"].as_array().expect("the bands are a list");
    assert_eq!(bands.len(), 31);
    bands
}

/// EBU Tech 3341 v4 (2023), case 1, with its tolerance.
#[test]
fn a_stereo_sine_at_minus_23_reads_minus_23() {
    let tone = sine(RATE, 1000.0, -23.0, 0.0, 20.0);
    let file = measured(&Sound::in_both(RATE, tone));
    for key in ["integrated_lufs", "momentary_max_lufs", "short_term_max_lufs"] {
        assert!((figure(&file, key) + 23.0).abs() <= 0.1, "{key}: {}", file[key]);
    }
    assert_eq!(figure(&file, "duration_s"), 20.0);
}

#[test]
fn identical_channels_fold_to_themselves() {
    let left = noise(20.0).left;
    let file = measured(&Sound::in_both(RATE, left));
    assert_eq!((figure(&file, "fold_db"), figure(&file, "fold_kept")), (0.0, 1.0));
    assert!(figure(&file, "correlation") >= 0.9995, "it is to read +1.000");
    for band in bands(&file) {
        assert!(figure(band, "fold_db").abs() < 0.005, "it is to read 0.00: {band}");
        assert!(figure(band, "correlation") >= 0.9995, "it is to read +1.000: {band}");
    }
}

#[test]
fn opposite_channels_leave_nothing() {
    let left = noise(20.0).left;
    let right = left.iter().map(|x| -x).collect();
    let file = measured(&Sound::stereo(RATE, left, right));
    assert!(file["fold_db"].is_null(), "{}", file["fold_db"]);
    assert_eq!(figure(&file, "fold_kept"), 0.0);
    assert!(figure(&file, "correlation") <= -0.9995, "it is to read −1.000");
    for band in bands(&file) {
        assert!(band["fold_db"].is_null(), "{band}");
        assert_eq!(figure(band, "fold_kept"), 0.0, "{band}");
        assert!(figure(band, "correlation") <= -0.9995, "it is to read −1.000: {band}");
    }
}

/// −3.01 dB and 0, within three standard deviations: 3·4.34/√(BT) dB of a level and 3/√(2BT) of a correlation,
/// with B the width in hertz and T the time in seconds.
#[test]
fn unrelated_channels_lose_three_decibels() {
    let seconds = 60.0;
    let [left, right] = [71, 72].map(|seed| Noise::new(seed).white((seconds * RATE) as usize, 0.1));
    let file = measured(&Sound::stereo(RATE, left, right));
    let hold = |what: &Value, width: f64| {
        let (fold, correlation) = (figure(what, "fold_db"), figure(what, "correlation"));
        let times = width * seconds;
        let (fold_most, correlation_most) = (3.0 * 4.34 / times.sqrt(), 3.0 / (2.0 * times).sqrt());
        assert!((fold + 3.0103).abs() <= fold_most, "{}: fold {fold}, within {fold_most}", what["hz"]);
        assert!(correlation.abs() <= correlation_most, "{}: {correlation}", what["hz"]);
    };
    hold(&file, RATE / 2.0);
    for band in bands(&file) {
        // A third octave is 0.2316 of its mid-band wide.
        hold(band, 0.2316 * figure(band, "hz"));
    }
}
