//! Third octaves on noise whose band powers are known exactly: a periodic sum of sines.
//!
//! Each band holds the same number of lines of the same power, evenly spread over the logarithm of frequency, so a
//! band's level is that of its lines, by the definition. A window's skirts make a line near an edge count in part
//! on the other side of it; but the edge lies halfway between two lines of equal power, and the band's other
//! neighbours are as far, so what it loses to a neighbour it gets back. The lowest and the highest band have
//! lines beyond their outer edges for the same reason. Every line is a whole number of cycles in the period, and the
//! period goes into the sound six times: what two lines' beat adds at one time it takes away at another.

use std::fmt::Write as _;

use candlemark_analysis::Hertz;
use candlemark_analysis::bands::{BAND_COUNT, NOMINAL_HZ, band_edges, fitting_bands, mid_band};
use candlemark_tests::accuracy::held;
use candlemark_tests::measured::Heard;
use candlemark_tests::signals::{Line, Noise, sum_of_sines};

use crate::RATES;

/// Lines of a band: two in each bin of the lowest band, which makes it noise to the transform.
const LINES: usize = 12;
const AMPLITUDE: f64 = 0.007;

/// Lines fall on whole cycles in this time: 0.1 Hz, a quarter of the distance of the lowest band's lines.
const PERIOD_S: f64 = 10.0;
const PERIODS: usize = 6;

/// The goal is ours.
const FLAT_DB: f64 = 0.2;

/// The lines of every band that fits, and of one more on either side as far as the rate carries it.
fn lines(rate: f64) -> Vec<Line> {
    let mut noise = Noise::new(61);
    let lowest = mid_band(0).0 * 10f64.powf(-0.1);
    (0..(fitting_bands(Hertz(rate)) + 2) * LINES)
        .map(|i| {
            let bands = (i as f64 + 0.5) / LINES as f64 - 0.5;
            let hertz = (lowest * 10f64.powf(bands / 10.0) * PERIOD_S).round() / PERIOD_S;
            Line { hertz, degrees: 180.0 * noise.even() }
        })
        .filter(|line| line.hertz < 0.4999 * rate)
        .collect()
}

/// The level of the lines inside a band's edges, where a full-scale sine is 0 dB.
fn level_of_the_lines(lines: &[Line], band: usize) -> f64 {
    let (Hertz(low), Hertz(high)) = band_edges(band);
    let inside = lines.iter().filter(|line| (low..high).contains(&line.hertz)).count();
    10.0 * (inside as f64 * AMPLITUDE * AMPLITUDE).log10()
}

/// The sound, each line of the right channel a quarter turn ahead: unrelated to the left exactly.
fn sound(rate: f64, lines: &[Line]) -> [Vec<f32>; 2] {
    [0.0, 90.0].map(|ahead| {
        let turned: Vec<Line> =
            lines.iter().map(|line| Line { degrees: line.degrees + ahead, ..*line }).collect();
        sum_of_sines(rate, AMPLITUDE, &turned, PERIOD_S).repeat(PERIODS)
    })
}

#[test]
fn noise_is_flat_in_every_band_at_every_rate() {
    let mut table = String::from("multisine noise, dB off its level by band\n      Hz");
    let mut rows = [(); BAND_COUNT].map(|()| String::new());
    let mut far = Vec::new();
    let mut furthest = 0f64;
    for rate in RATES {
        let _ = write!(table, "{rate:>9}");
        let lines = lines(rate);
        let [left, right] = sound(rate, &lines);
        let song = Heard::stereo(rate, &left, &right).figures(rate);
        assert_eq!(song.bands.len(), fitting_bands(Hertz(rate)));
        for (band, figures) in song.bands.iter().enumerate() {
            let off = figures.level.expect("it sounds").0 - level_of_the_lines(&lines, band);
            let fold = figures.fold.db().expect("half of it is left").0;
            let _ = write!(rows[band], "{off:>+9.3}");
            furthest = furthest.max(off.abs());
            if off.abs() > FLAT_DB || (fold + 3.0103).abs() > FLAT_DB {
                far.push(format!("{rate} Hz, {} Hz: {off:.3} dB, fold {fold:.3} dB", NOMINAL_HZ[band]));
            }
        }
    }
    for (nominal, row) in NOMINAL_HZ.iter().zip(rows) {
        let _ = write!(table, "\n{nominal:>8}{row}");
    }
    println!("{table}");
    held("noise in any band, all rates", furthest, FLAT_DB, "dB");
    assert!(far.is_empty(), "{far:#?}");
}
