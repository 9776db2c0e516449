//! The same figures with the processor's vector instructions and without, but for their last bits.

use candlemark_analysis::{
    Analyzer, BandPower, Build, Cell, Channels, Hertz, Position, Power, Reading, Sink,
};

#[derive(Default)]
struct Heard {
    readings: Vec<Reading>,
    cells: Vec<Cell>,
}

impl Sink for Heard {
    fn reading(&mut self, reading: &Reading) {
        self.readings.push(*reading);
    }

    fn cell(&mut self, cell: &Cell) {
        self.cells.push(*cell);
    }
}

/// Twelve seconds of noise, tones and steps, loud and quiet by turns, of which the sides are partly alike.
fn sound(rate: f64) -> [Vec<f32>; 2] {
    let mut state = 0x2545_f491_4f6c_dd1d_u64;
    let mut white = || {
        state ^= state << 13;
        state ^= state >> 7;
        state ^= state << 17;
        (state >> 40) as f32 / 8_388_608.0 - 1.0
    };
    let mut sides = [Vec::new(), Vec::new()];
    for n in 0..(12.0 * rate) as usize {
        let s = n as f64 / rate;
        let tone = (s * 55.0 * std::f64::consts::TAU).sin() as f32 + (s * s * 4000.0).sin() as f32 * 0.5;
        let level = if s as u32 % 4 == 3 { 0.001 } else { 0.3 };
        let common = tone + white();
        for side in &mut sides {
            side.push((level * (common + 0.5 * white())).clamp(-1.0, 1.0));
        }
    }
    sides
}

fn heard(rate: f64, channels: Channels, sides: &[Vec<f32>; 2], build: Build) -> Heard {
    let mut analyzer = Analyzer::of_build(Hertz(rate), channels, build).unwrap();
    let mut heard = Heard::default();
    let mut at = 0;
    for (left, right) in sides[0].chunks(480).zip(sides[1].chunks(480)) {
        analyzer.push(left, right, Position::in_file(at), &mut heard);
        at += left.len() as i64;
    }
    analyzer.finish(&mut heard);
    heard
}

/// How far apart two values are, as a share of `full`.
#[derive(Default)]
struct Apart {
    worst: f64,
}

impl Apart {
    fn see(&mut self, one: f64, other: f64, full: f64) {
        if full != 0.0 || one != other {
            self.worst = self.worst.max((one - other).abs() / full);
        }
    }

    fn see_power(&mut self, one: Power, other: Power) {
        self.see_power_under(one, other, one.left + one.right);
    }

    fn see_power_under(&mut self, one: Power, other: Power, full: f64) {
        for (one, other) in [(one.left, other.left), (one.right, other.right), (one.mid, other.mid)] {
            self.see(one, other, full);
        }
    }

    fn see_bands(&mut self, one: &[BandPower], other: &[BandPower], all: Power) {
        for (one, other) in one.iter().zip(other) {
            let (one, other) = (Power::from(*one), Power::from(*other));
            // A band far under the whole holds the rounding of the whole in single precision: 140 dB down.
            let full = (one.left + one.right) + 1e-9 * (all.left + all.right);
            self.see_power_under(one, other, full);
        }
    }
}

#[test]
fn both_paths_give_the_same_figures_within_their_last_bits() {
    for (rate, channels) in [
        (44_100.0, Channels::Stereo),
        (48_000.0, Channels::Stereo),
        (48_000.0, Channels::Mono),
        (192_000.0, Channels::Stereo),
        (8000.0, Channels::Stereo),
        (384_000.0, Channels::Stereo),
    ] {
        let sides = sound(rate);
        let [vectors, plain] =
            [true, false].map(|vectors| heard(rate, channels, &sides, Build { vectors, ..Build::default() }));
        assert_eq!(vectors.readings.len(), plain.readings.len());
        assert_eq!(vectors.cells.len(), plain.cells.len());
        assert!(vectors.readings.len() >= 120 && vectors.cells.len() == 12, "{rate}");

        let [mut powers, mut peaks, mut bands] = [Apart::default(), Apart::default(), Apart::default()];
        for (one, other) in vectors.readings.iter().zip(&plain.readings) {
            powers.see_power(one.weighted, other.weighted);
            powers.see_power(one.plain, other.plain);
            powers.see_power(one.weighted_3s, other.weighted_3s);
            powers.see_power(one.plain_3s, other.plain_3s);
            for (one, other) in [
                (one.momentary_power, other.momentary_power),
                (one.short_term_power, other.short_term_power),
                (one.pass.integrated_power, other.pass.integrated_power),
            ] {
                powers.see(one, other, one);
            }
            powers.see(one.pass.range_lu.unwrap_or(0.0), other.pass.range_lu.unwrap_or(0.0), 1.0);
            for (one, other) in [(one.true_peak, other.true_peak), (one.true_peak_3s, other.true_peak_3s)] {
                peaks.see(one.into(), other.into(), one.into());
            }
            for (one, other) in one.mean.iter().zip(other.mean) {
                powers.see(*one, other, 1.0);
            }
            bands.see_bands(&one.bands_3s, &other.bands_3s, one.plain_3s);
            assert_eq!(one.sample_peak, other.sample_peak);
            assert_eq!(one.faults, other.faults);
            assert_eq!((one.place, one.end_frame), (other.place, other.end_frame));
        }
        for (one, other) in vectors.cells.iter().zip(&plain.cells) {
            powers.see_power(one.weighted, other.weighted);
            powers.see_power(one.plain, other.plain);
            powers.see(one.short_term_power, other.short_term_power, one.short_term_power);
            peaks.see(one.true_peak.into(), other.true_peak.into(), one.true_peak.into());
            bands.see_bands(&one.bands, &other.bands, one.plain);
        }
        // A float rounds by 6e-8. A double does by 1.1e-16, which the poles of the K-weighting's high-pass magnify, the more
        // the higher the rate, and here what is 50 dB quieter follows at once. A millionth of the power is 0.000004 dB.
        for (what, Apart { worst }, limit) in
            [("powers", powers, 1e-6), ("true peak", peaks, 1e-6), ("bands", bands, 1e-5)]
        {
            println!(
                "accuracy | vector path beside the plain one, {rate} Hz, {what} | {worst} | {limit} | of them"
            );
            assert!(worst < limit, "{rate} Hz {channels:?}: {what} {worst:.2e}");
        }
    }
}

/// The figures of the loudness do not depend on whether bands are measured beside them.
#[test]
fn without_bands_the_other_figures_are_the_same() {
    let sides = sound(48_000.0);
    let [all, without] = [true, false]
        .map(|bands| heard(48_000.0, Channels::Stereo, &sides, Build { bands, ..Build::default() }));
    assert_eq!(all.readings.len(), without.readings.len());
    assert_eq!(all.cells.len(), without.cells.len());
    for (all, without) in all.cells.iter().zip(&without.cells) {
        let mut expected = *all;
        expected.bands = without.bands;
        assert_eq!(*without, expected);
    }
    for (all, without) in all.readings.iter().zip(&without.readings) {
        let mut expected = *all;
        expected.bands_3s = without.bands_3s;
        assert_eq!(*without, expected);
        assert!(without.bands_3s.iter().all(|band| *band == BandPower::default()));
    }
}
