//! EBU Tech 3341 v4 (Nov 2023) table 1 and Tech 3342 v4 (Nov 2023) table 1: the signals that can be made from
//! their definitions, at the standards' own tolerances, at five rates.
//!
//! Not here: 3341 case 6 has five channels; cases 7 and 8 (3342 cases 5 and 6) are the EBU's own recordings.

use candlemark_analysis::Lufs;
use candlemark_tests::measured::Heard;
use candlemark_tests::signals::tone_segments;

use crate::RATES;

const SILENCE: f64 = f64::NEG_INFINITY;
/// Tech 3341 table 1 allows 0.1; we hold half of it.
const TOLERANCE_LU: f64 = 0.05;
/// Tech 3342 table 1 allows 1; we hold a twentieth of it.
const RANGE_TOLERANCE_LU: f64 = 0.05;

fn tone(rate: f64, segments: &[(f64, f64)]) -> Heard {
    let signal = tone_segments(rate, 1000.0, segments);
    Heard::stereo(rate, &signal, &signal)
}

pub(crate) fn lufs(power: f64) -> f64 {
    Lufs::of_power(power).map_or(f64::NEG_INFINITY, |lufs| lufs.0)
}

/// Prints a case's figure, so that `--nocapture` lists them, and holds it to the tolerance.
fn holds(case: &str, rate: f64, figure: f64, expected: f64, tolerance: f64) {
    println!("{case:<24} {rate:>6} Hz  {figure:>9.3}  for {expected} ± {tolerance}");
    assert!((figure - expected).abs() <= tolerance, "{case} at {rate} Hz: {figure:.3} for {expected}");
}

#[test]
fn cases_1_and_2_steady_tones() {
    for rate in RATES {
        for (case, level) in [(1, -23.0), (2, -33.0)] {
            let heard = tone(rate, &[(20.0, level)]);
            let pass = heard.last().pass;
            for (name, power) in [
                ("M", pass.momentary_max_power),
                ("S", pass.short_term_max_power),
                ("I", pass.integrated_power),
            ] {
                holds(&format!("3341 #{case} {name}"), rate, lufs(power), level, TOLERANCE_LU);
            }
        }
    }
}

#[test]
fn cases_3_to_5_gating() {
    let cases: [(u32, &[(f64, f64)]); 3] = [
        (3, &[(10.0, -36.0), (60.0, -23.0), (10.0, -36.0)]),
        (4, &[(10.0, -72.0), (10.0, -36.0), (60.0, -23.0), (10.0, -36.0), (10.0, -72.0)]),
        (5, &[(20.0, -26.0), (20.1, -20.0), (20.0, -26.0)]),
    ];
    for rate in RATES {
        for (case, segments) in cases {
            let integrated = lufs(tone(rate, segments).last().pass.integrated_power);
            holds(&format!("3341 #{case} I"), rate, integrated, -23.0, TOLERANCE_LU);
        }
    }
}

/// A negative control: with its middle tone as short as its neighbours, case 3 must not read −23. The value is
/// the gated mean of the definition: every block passes the relative gate (−36 lies under 10 LU below the mean
/// of all three, −27.6), so the powers of 20, 20 and 20 s average.
#[test]
fn case_3_made_wrong_reads_wrong() {
    let integrated =
        lufs(tone(48_000.0, &[(20.0, -36.0), (20.0, -23.0), (20.0, -36.0)]).last().pass.integrated_power);
    let mean = 10.0 * ((2.0 * 10f64.powf(-3.6) + 10f64.powf(-2.3)) / 3.0).log10();
    assert!((integrated - mean).abs() < 0.1, "{integrated} for {mean}");
}

#[test]
fn case_9_short_term_stands_still() {
    for rate in RATES {
        let heard = tone(rate, &[(1.34, -20.0), (1.66, -30.0)].repeat(5));
        for reading in heard.readings.iter().filter(|r| r.frames > 0 && r.end_frame as f64 >= 3.0 * rate) {
            let short_term = lufs(reading.short_term_power);
            assert!((short_term + 23.0).abs() <= TOLERANCE_LU, "{rate} Hz: {short_term}");
        }
        holds("3341 #9 S max", rate, lufs(heard.last().pass.short_term_max_power), -23.0, TOLERANCE_LU);
    }
}

#[test]
fn case_10_short_term_of_files() {
    for rate in RATES {
        let worst = (0..20)
            .map(|i| {
                let segments = [(f64::from(i) * 0.15, SILENCE), (3.0, -23.0), (1.0, SILENCE)];
                lufs(tone(rate, &segments).last().pass.short_term_max_power)
            })
            .max_by(|a, b| (a + 23.0).abs().total_cmp(&(b + 23.0).abs()))
            .unwrap();
        holds("3341 #10 worst S max", rate, worst, -23.0, TOLERANCE_LU);
    }
}

/// The largest of a window's values at the readings in each stretch of `unit_s`.
fn largest_in_units(heard: &Heard, rate: f64, unit_s: f64, value: impl Fn(usize) -> f64) -> Vec<f64> {
    let mut largest = vec![f64::NEG_INFINITY; 20];
    for (i, reading) in heard.readings.iter().enumerate() {
        let unit = ((reading.end_frame as f64 - 1.0) / rate / unit_s) as usize;
        if reading.frames > 0 && unit < 20 {
            largest[unit] = largest[unit].max(value(i));
        }
    }
    largest
}

/// Live meters. The maxima are the Analyzer's own, over windows that slide by 20 ms; they are reset at each
/// unit's start by hand, as a person resets them: here each unit is its own pass.
#[test]
fn cases_11_and_14_live_maxima() {
    for rate in RATES {
        for (case, steps_s, tone_s) in [(11, 0.15, 3.0), (14, 0.02, 0.4)] {
            let mut worst = 0.0f64;
            for i in 0..20 {
                let level = -38.0 + f64::from(i);
                let wait = f64::from(i) * steps_s;
                let segments = [(wait, SILENCE), (tone_s, level), (tone_s - wait, SILENCE)];
                let pass = tone(rate, &segments).last().pass;
                let largest = if case == 11 { pass.short_term_max_power } else { pass.momentary_max_power };
                worst = [worst, lufs(largest) - level]
                    .into_iter()
                    .max_by(|a, b| a.abs().total_cmp(&b.abs()))
                    .unwrap();
            }
            holds(&format!("3341 #{case} worst error"), rate, worst, 0.0, TOLERANCE_LU);
        }
    }
}

/// Case 11 as one stream, as the standard lays it out: the readings of each 6 s hold the unit's level. (A reading
/// comes every 100 ms, and 3 s of tone lie wholly inside a short-term window at one of them when they begin on
/// a tenth of a second: those are the even units.)
#[test]
fn case_11_as_one_stream() {
    for rate in RATES {
        let segments: Vec<(f64, f64)> = (0..20)
            .flat_map(|i| {
                let wait = f64::from(i) * 0.15;
                [(wait, SILENCE), (3.0, -38.0 + f64::from(i)), (3.0 - wait, SILENCE)]
            })
            .collect();
        let heard = tone(rate, &segments);
        let largest = largest_in_units(&heard, rate, 6.0, |i| lufs(heard.readings[i].short_term_power));
        for (i, largest) in largest.iter().enumerate().step_by(2) {
            let expected = -38.0 + i as f64;
            assert!(
                (largest - expected).abs() <= TOLERANCE_LU,
                "{rate} Hz, unit {i}: {largest} for {expected}"
            );
        }
    }
}

#[test]
fn case_12_momentary_stands_still() {
    for rate in RATES {
        let heard = tone(rate, &[(0.18, -20.0), (0.22, -30.0)].repeat(25));
        for reading in heard.readings.iter().filter(|r| r.frames > 0 && r.end_frame as f64 >= rate) {
            let momentary = lufs(reading.momentary_power);
            assert!((momentary + 23.0).abs() <= TOLERANCE_LU, "{rate} Hz: {momentary}");
        }
        holds("3341 #12 M max", rate, lufs(heard.last().pass.momentary_max_power), -23.0, TOLERANCE_LU);
    }
}

#[test]
fn case_13_momentary_of_files() {
    for rate in RATES {
        let worst = (0..20)
            .map(|i| {
                let segments = [(f64::from(i) * 0.02, SILENCE), (0.4, -23.0), (1.0, SILENCE)];
                lufs(tone(rate, &segments).last().pass.momentary_max_power)
            })
            .max_by(|a, b| (a + 23.0).abs().total_cmp(&(b + 23.0).abs()))
            .unwrap();
        holds("3341 #13 worst M max", rate, worst, -23.0, TOLERANCE_LU);
    }
}

#[test]
fn tech_3342_loudness_range() {
    let cases: [(u32, &[f64], f64); 4] = [
        (1, &[-20.0, -30.0], 10.0),
        (2, &[-20.0, -15.0], 5.0),
        (3, &[-40.0, -20.0], 20.0),
        (4, &[-50.0, -35.0, -20.0, -35.0, -50.0], 15.0),
    ];
    for rate in RATES {
        for (case, levels, expected) in cases {
            let segments: Vec<(f64, f64)> = levels.iter().map(|level| (20.0, *level)).collect();
            let range = tone(rate, &segments).last().pass.range_lu.expect("a range");
            holds(&format!("3342 #{case}"), rate, range, expected, RANGE_TOLERANCE_LU);
        }
    }
}

/// EBU Tech 3342: the range does not change when the programme is repeated.
#[test]
fn the_range_of_a_repetition_is_the_same() {
    let once: Vec<(f64, f64)> = [-20.0, -30.0, -25.0].iter().map(|level| (20.0, *level)).collect();
    let range = |times| tone(48_000.0, &once.repeat(times)).last().pass.range_lu.unwrap();
    assert!((range(1) - range(3)).abs() < 0.3, "{} and {}", range(1), range(3));
}

/// ITU-R BS.1770-5 (11/2023) Annex 1: a 0 dBFS 997 Hz sine in the left or the right channel alone reads −3.01.
#[test]
fn a_full_scale_sine_in_one_channel_reads_the_standards_anchor() {
    for rate in RATES {
        let tone = candlemark_tests::signals::sine(rate, 997.0, 0.0, 0.0, 10.0);
        let silence = vec![0f32; tone.len()];
        for (left, right) in [(&tone, &silence), (&silence, &tone)] {
            let integrated = lufs(Heard::stereo(rate, left, right).last().pass.integrated_power);
            holds("BS.1770 997 Hz anchor", rate, integrated, -3.01, 0.02);
        }
    }
}

/// Per-channel levels of in-phase stereo sines that read −23 LUFS at 48 kHz, computed from the tables of
/// ITU-R BS.1770-5 Annex 1; they stand for the tones of report ITU-R BS.2217.
#[test]
fn tones_over_the_whole_range_read_minus_23() {
    for (hertz, dbfs) in [
        (25.0, -11.916),
        (100.0, -21.176),
        (500.0, -22.351),
        (1000.0, -23.007),
        (2000.0, -25.380),
        (10_000.0, -26.351),
    ] {
        for rate in RATES {
            let tone = candlemark_tests::signals::sine(rate, hertz, dbfs, 0.0, 10.0);
            let integrated = lufs(Heard::stereo(rate, &tone, &tone).last().pass.integrated_power);
            holds(&format!("{hertz} Hz"), rate, integrated, -23.0, TOLERANCE_LU);
        }
    }
}
