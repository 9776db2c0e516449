//! Fold and correlation against their closed forms, whole and by band.
//!
//! With P the channels' powers and r their correlation, the fold is
//! `10·lg[(P_L + P_R + 2r√(P_L·P_R)) / (2(P_L + P_R))]`; of equal powers, 10·lg((1 + r)/2). These are identities
//! of the definitions; no standard fixes a correlation meter.

use candlemark_session::figures::SongFigures;
use candlemark_tests::measured::Heard;
use candlemark_tests::signals::{Noise, amplitude, sine};

const RATE: f64 = 48_000.0;

fn figures(left: &[f32], right: &[f32]) -> SongFigures {
    Heard::stereo(RATE, left, right).figures(RATE)
}

fn noise(seed: u64, seconds: f64) -> Vec<f32> {
    Noise::new(seed).white((seconds * RATE) as usize, 0.1)
}

#[test]
fn identical_channels_keep_everything() {
    let left = noise(1, 12.0);
    let song = figures(&left, &left);
    assert_eq!(song.fold.kept, Some(1.0));
    assert!(song.correlation.unwrap() > 1.0 - 1e-12);
    for band in &song.bands {
        let hz = band.nominal.0;
        assert!(band.fold.db().unwrap().0.abs() < 0.005, "{hz} Hz: {:?}", band.fold);
        assert!(band.correlation.unwrap() > 0.9995, "{hz} Hz: {:?}", band.correlation);
    }
}

#[test]
fn opposite_channels_keep_nothing() {
    let left = noise(2, 12.0);
    let right: Vec<f32> = left.iter().map(|x| -x).collect();
    let song = figures(&left, &right);
    assert_eq!(song.fold.kept, Some(0.0));
    assert_eq!(song.fold.db(), None);
    assert!(song.correlation.unwrap() < -1.0 + 1e-12);
    let worst = song.fold_worst.expect("12 s hold a worst 10 s");
    assert_eq!((worst.fold.kept, worst.at_s), (Some(0.0), 0.0));
    for band in &song.bands {
        let hz = band.nominal.0;
        assert_eq!((band.fold.kept, band.fold.db()), (Some(0.0), None), "{hz} Hz");
        assert!(band.correlation.unwrap() < -0.9995, "{hz} Hz: {:?}", band.correlation);
    }
}

/// Unrelated noise: −3.01 dB and 0, within three standard deviations: 3·4.34/√(BT) dB for a power's level, and
/// 3/√(2BT) for a correlation, B in hertz and T in seconds.
#[test]
fn unrelated_channels_lose_three_decibels() {
    let seconds = 60.0;
    let song = figures(&noise(3, seconds), &noise(4, seconds));
    let whole = RATE / 2.0 * seconds;
    let fold = song.fold.db().unwrap().0;
    // K-weighting leaves less than the whole width to count: a tenth of it is on the safe side.
    let tolerance = 3.0 * 4.34 / (whole / 10.0).sqrt();
    assert!((fold + 3.0103).abs() < tolerance, "fold {fold}, tolerance {tolerance}");
    assert!(song.correlation.unwrap().abs() < 3.0 / (2.0 * whole).sqrt(), "{:?}", song.correlation);
    for band in &song.bands {
        let (hz, width) = (band.nominal.0, band.nominal.0 * 0.2316);
        let fold = band.fold.db().unwrap().0;
        let tolerance = 3.0 * 4.34 / (width * seconds).sqrt();
        assert!((fold + 3.0103).abs() < tolerance, "{hz} Hz: fold {fold}, tolerance {tolerance}");
        let correlation = band.correlation.unwrap();
        assert!(correlation.abs() < 3.0 / (2.0 * width * seconds).sqrt(), "{hz} Hz: {correlation}");
    }
}

/// A 1 kHz sine whose right side is turned: r is the cosine of the turn.
#[test]
fn a_turned_sine_has_the_cosine_of_its_turn() {
    let left = sine(RATE, 1000.0, -20.0, 0.0, 12.0);
    for degrees in [0.0f64, 30.0, 45.0, 60.0, 90.0, 120.0, 135.0, 150.0] {
        let right = sine(RATE, 1000.0, -20.0, degrees, 12.0);
        let song = figures(&left, &right);
        let r = degrees.to_radians().cos();
        let expected = 10.0 * f64::midpoint(1.0, r).log10();
        let band = song.bands.iter().find(|band| band.nominal.0 == 1000.0).unwrap();
        for (what, fold, correlation) in
            [("whole", song.fold, song.correlation), ("1 kHz", band.fold, band.correlation)]
        {
            let (fold, correlation) = (fold.db().unwrap().0, correlation.unwrap());
            assert!((fold - expected).abs() < 0.01, "{what} at {degrees}°: {fold} for {expected}");
            assert!((correlation - r).abs() < 0.001, "{what} at {degrees}°: {correlation} for {r}");
        }
    }
}

/// The same sound, the right side lower: r is 1 and the fold follows from the powers alone.
#[test]
fn an_uneven_pair_loses_what_its_powers_say() {
    let left = noise(5, 12.0);
    for (right_db, expected) in [(-3.0, -0.125), (-6.0, -0.455), (-12.0, -1.330), (-20.0, -2.226)] {
        let gain = amplitude(right_db) as f32;
        let right: Vec<f32> = left.iter().map(|x| x * gain).collect();
        let song = figures(&left, &right);
        let fold = song.fold.db().unwrap().0;
        assert!((fold - expected).abs() < 0.01, "{right_db} dB: {fold} for {expected}");
        assert!(song.correlation.unwrap() > 0.9999);
        let imbalance = song.health.imbalance.unwrap().0;
        assert!((imbalance + right_db).abs() < 0.01, "{right_db} dB: imbalance {imbalance}");
    }
}

#[test]
fn a_dead_channel_has_a_fold_and_no_correlation() {
    let left = noise(6, 12.0);
    let right = vec![0f32; left.len()];
    let song = figures(&left, &right);
    assert!((song.fold.db().unwrap().0 + 3.0103).abs() < 0.001, "{:?}", song.fold);
    assert_eq!(song.correlation, None);
    for band in &song.bands {
        assert!((band.fold.db().unwrap().0 + 3.0103).abs() < 0.001, "{band:?}");
        assert_eq!(band.correlation, None, "{} Hz", band.nominal.0);
    }
}

/// And its balance is that of both speakers playing the same: a mix in mono can lie beside stereo records.
#[test]
fn a_mono_bus_folds_to_itself() {
    let samples = noise(7, 12.0);
    let song = Heard::mono(RATE, &samples).figures(RATE);
    assert_eq!((song.fold.kept, song.correlation), (Some(1.0), None));
    // One channel has half the power of two alike: 3.01 LU less.
    let stereo = figures(&samples, &samples);
    let less = stereo.integrated.unwrap().0 - song.integrated.unwrap().0;
    assert!((less - 3.0103).abs() < 1e-6, "{less}");
    for (mono, stereo) in song.bands.iter().zip(&stereo.bands) {
        let off = mono.level.unwrap().0 - stereo.level.unwrap().0;
        assert!(off.abs() < 0.001, "{} Hz: {off}", mono.nominal.0);
        let off = mono.relative.unwrap().median_db - stereo.relative.unwrap().median_db;
        assert!(off.abs() < 0.001, "{} Hz, relative: {off}", mono.nominal.0);
        assert_eq!(mono.correlation, None);
    }
}

/// The worst ten seconds are found where they were put.
#[test]
fn the_worst_ten_seconds_are_found() {
    let left = noise(8, 60.0);
    let turned = (24.0 * RATE) as usize..(36.0 * RATE) as usize;
    let right: Vec<f32> =
        left.iter().enumerate().map(|(n, x)| if turned.contains(&n) { -x } else { *x }).collect();
    let worst = figures(&left, &right).fold_worst.unwrap();
    assert_eq!(worst.fold.kept, Some(0.0));
    assert!((24.0..=26.0).contains(&worst.at_s), "{}", worst.at_s);
}

/// DC is the mean; it leaves the loudness alone, which has a high-pass.
#[test]
fn dc_is_told_and_is_not_loud() {
    let clean = noise(9, 12.0);
    let shifted: Vec<f32> = clean.iter().map(|x| x + 0.05).collect();
    let song = figures(&shifted, &clean);
    let offset = song.health.dc_left - song.health.dc_right;
    assert!((offset - 0.05).abs() < 1e-6, "{offset}");
    let moved = song.integrated.unwrap().0 - figures(&clean, &clean).integrated.unwrap().0;
    assert!(moved.abs() < 0.05, "{moved}");
}
