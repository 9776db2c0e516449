//! K-weighting from end to end: sines read what the standard's own table says, at every rate.

use std::f64::consts::TAU;

use candlemark_analysis::Lufs;
use candlemark_tests::accuracy::held;
use candlemark_tests::measured::Heard;
use candlemark_tests::signals::{Line, sum_of_sines};

/// The rates a host may run at, and lower ones that files have.
const RATES: [f64; 10] =
    [8000.0, 16_000.0, 22_050.0, 32_000.0, 44_100.0, 48_000.0, 88_200.0, 96_000.0, 192_000.0, 384_000.0];

/// The goal is ours; the standard asks for "the same frequency response".
const OFF_DB: f64 = 0.05;

/// ITU-R BS.1770-5 (11/2023) Annex 1, tables 1 and 2: numerators and denominators of both stages at 48 kHz.
const TABLE_RATE_HZ: f64 = 48_000.0;
const STAGES: [([f64; 3], [f64; 3]); 2] = [
    ([1.53512485958697, -2.69169618940638, 1.19839281085285], [1.0, -1.69065929318241, 0.73248077421585]),
    ([1.0, -2.0, 1.0], [1.0, -1.99004745483398, 0.99007225036621]),
];

/// Tried in whole hertz, so that a window of 3 s holds whole periods of each.
const HERTZ: [f64; 16] = [
    20.0, 27.0, 38.0, 60.0, 100.0, 200.0, 500.0, 997.0, 1500.0, 2000.0, 3000.0, 5000.0, 8000.0, 12_000.0,
    16_000.0, 20_000.0,
];

/// The table's response at a frequency, in dB.
fn table_db(hertz: f64) -> f64 {
    let squared = |polynomial: [f64; 3]| {
        let (real, imaginary) = polynomial.iter().enumerate().fold((0.0, 0.0), |(re, im), (delay, c)| {
            let turn = TAU * hertz / TABLE_RATE_HZ * delay as f64;
            (re + c * turn.cos(), im - c * turn.sin())
        });
        real * real + imaginary * imaginary
    };
    STAGES.iter().map(|(above, below)| 10.0 * (squared(*above) / squared(*below)).log10()).sum()
}

/// Printed in the standard, Annex 1: −0.691 "cancels out the K-weighting gain for 997 Hz".
#[test]
fn the_table_has_the_gain_that_the_standard_cancels() {
    assert!((table_db(997.0) - 0.691).abs() < 0.0005, "{}", table_db(997.0));
}

#[test]
fn sines_read_what_the_table_says_at_every_rate() {
    let mut furthest = 0f64;
    for rate in RATES {
        let mut worst = (0f64, 0.0);
        // Up to 0.45 of the rate, and of the table's.
        let top = (0.45 * rate.min(TABLE_RATE_HZ)).floor();
        for hertz in HERTZ.into_iter().filter(|hertz| *hertz < top).chain([top]) {
            // A second for the filters to settle, then the 3 s that are read.
            let tone = sum_of_sines(rate, 0.1, &[Line { hertz, degrees: 20.0 }], 4.0);
            let last = *Heard::stereo(rate, &tone, &tone).last();
            let read = Lufs::of_power(last.short_term_power).expect("it sounds").0;
            // Two channels of half the amplitude's square each.
            let off = read - (-20.0 - 0.691 + table_db(hertz));
            assert!(off.abs() < OFF_DB, "{hertz} Hz at {rate} Hz: {off:+.4} dB off");
            if off.abs() > worst.0.abs() {
                worst = (off, hertz);
            }
        }
        furthest = furthest.max(worst.0.abs());
        println!("K-weighting at {rate:>6} Hz: at most {:+.4} dB off, at {} Hz", worst.0, worst.1);
    }
    held("K-weighting, all rates", furthest, OFF_DB, "dB");
}
