//! True peak: EBU Tech 3341 v4 (Nov 2023) cases 15 to 23, at the standard's +0.2/−0.4 dB, at six rates.

use candlemark_analysis::Db;
use candlemark_tests::accuracy::held;
use candlemark_tests::measured::Heard;
use candlemark_tests::signals::{faded, inter_sample_burst, sine};

pub(crate) const RATES: [f64; 6] = [44_100.0, 48_000.0, 88_200.0, 96_000.0, 176_400.0, 192_000.0];

fn true_peak(rate: f64, signal: &[f32]) -> f64 {
    Db::of_amplitude(Heard::stereo(rate, signal, signal).last().pass.true_peak.into()).expect("sound").0
}

fn holds(case: u32, rate: f64, peak: f64, expected: f64) -> f64 {
    println!("3341 #{case:<3} {rate:>6} Hz  {peak:>7.3} dBTP for {expected} +0.2/-0.4");
    assert!((expected - 0.4..=expected + 0.2).contains(&peak), "case {case} at {rate} Hz: {peak:.3}");
    peak - expected
}

/// All of them together, under and over.
fn all_held(cases: &str, off_db: &[f64]) {
    let most = |values: &mut dyn Iterator<Item = f64>| values.fold(0.0, f64::max);
    held(&format!("{cases}, all rates, under"), most(&mut off_db.iter().map(|off| -off)), 0.4, "dB");
    held(&format!("{cases}, all rates, over"), most(&mut off_db.iter().copied()), 0.2, "dB");
}

#[test]
fn cases_15_to_19_steady_tones() {
    let mut off_db = Vec::new();
    for rate in RATES {
        for (case, divisor, amplitude, degrees, expected) in [
            (15, 4.0, 0.5f64, 0.0, -6.0),
            (16, 4.0, 0.5, 45.0, -6.0),
            (17, 6.0, 0.5, 60.0, -6.0),
            (18, 8.0, 0.5, 67.5, -6.0),
            (19, 4.0, 1.41, 45.0, 3.0),
        ] {
            let tone = sine(rate, rate / divisor, 20.0 * amplitude.log10(), degrees, 2.0);
            off_db.push(holds(case, rate, true_peak(rate, &faded(tone, rate)), expected));
        }
    }
    all_held("Tech 3341 cases 15 to 19", &off_db);
}

#[test]
fn cases_20_to_23_a_burst_between_samples() {
    let mut off_db = Vec::new();
    for rate in RATES {
        for offset in 0..4 {
            let signal = inter_sample_burst(rate, offset);
            off_db.push(holds(20 + offset as u32, rate, true_peak(rate, &signal), 0.0));
        }
    }
    all_held("Tech 3341 cases 20 to 23", &off_db);
}

/// A true peak is never under the sample peak: the samples are one of the four phases.
#[test]
fn a_lone_full_scale_sample_is_seen() {
    let mut signal = vec![0f32; 48_000];
    for place in [0, 31, 24_000, 47_999] {
        signal.fill(0.0);
        signal[place] = -1.0;
        let heard = Heard::stereo(48_000.0, &signal, &signal);
        assert_eq!(heard.last().pass.true_peak, 1.0, "sample {place}");
    }
}
