//! K-weighting: ITU-R BS.1770-5 (11/2023) Annex 1, tables 1 and 2, at any sample rate.
//!
//! The standard prints coefficients for 48 kHz and asks that other rates have "the same frequency response
//! that the specified filter provides at 48 kHz". The sections are carried over by the bilinear transform;
//! where the rate is so low that its warping shows, the shelf is then fitted to the response itself.

use std::f64::consts::PI;

use crate::biquad::Biquad;
use crate::multiply_add::MultiplyAdd;
use crate::{Hertz, QUANTUM};

/// The rate of the standard's tables.
const TABLE_RATE_HZ: f64 = 48_000.0;

/// Stage 1, the shelf: ITU-R BS.1770-5 (11/2023) Annex 1, table 1.
const SHELF: Biquad = Biquad {
    b: [1.53512485958697, -2.69169618940638, 1.19839281085285],
    a: [-1.69065929318241, 0.73248077421585],
};

/// Stage 2, the high-pass: ITU-R BS.1770-5 (11/2023) Annex 1, table 2.
const HIGH_PASS: Biquad = Biquad { b: [1.0, -2.0, 1.0], a: [-1.99004745483398, 0.99007225036621] };

/// Gain of the K-weighting at a frequency under 24 kHz, in dB: the response of the standard's tables, which every rate has.
/// At 997 Hz it is 0.691.
pub fn k_weighting_db(frequency: Hertz) -> f64 {
    let turn = 2.0 * PI * frequency.0 / TABLE_RATE_HZ;
    SHELF.gain_db(turn) + HIGH_PASS.gain_db(turn)
}

/// Where the bilinear transform is made exact: the middle of the shelf's slope and the high-pass's corner
/// (computed from the tables of ITU-R BS.1770-5).
const SHELF_HZ: f64 = 1681.97;
const HIGH_PASS_HZ: f64 = 38.1355;

/// Below this rate the transform's warping exceeds 0.013 dB somewhere under 0.45 of the rate (computed).
const FIT_BELOW_HZ: f64 = 30_000.0;

/// Amplitudes under this are taken as rest: they are 600 dB down, and left alone would in the end become
/// denormal numbers, which cost a processor a hundred times as much.
const REST: f64 = 1e-30;

/// Frames that the numerators look back over.
const PAST: usize = 2;

/// Both stages for two channels.
///
/// The numerators need no result of theirs, so they go by vectors over the whole quantum; only the poles go frame by
/// frame, with one product between a frame and the next. The high-pass's numerator comes first: it takes the second
/// difference, which leaves exactly nothing of a constant. (Rounding was seen 220 dB under loud sound at
/// 48 kHz and 180 dB at 192 kHz; in the transposed form it lies 40 dB lower, at two products between a frame and the next.)
pub(crate) struct KWeighting {
    stages: [Biquad; 2],
    /// The last inputs, then a quantum.
    inputs: [[f64; 2]; PAST + QUANTUM],
    /// Their second differences, likewise.
    differences: [[f64; 2]; PAST + QUANTUM],
    /// The last two outputs of each stage's poles, newest first.
    outputs: [[[f64; 2]; 2]; 2],
}

impl KWeighting {
    pub(crate) fn new(rate_hz: f64) -> Self {
        let mut shelf = SHELF.at_rate(TABLE_RATE_HZ, rate_hz, SHELF_HZ);
        if rate_hz < FIT_BELOW_HZ {
            shelf = fit_shelf(shelf, rate_hz);
        }
        let high_pass = HIGH_PASS.at_rate(TABLE_RATE_HZ, rate_hz, HIGH_PASS_HZ);
        Self {
            stages: [shelf, high_pass],
            inputs: [[0.0; 2]; _],
            differences: [[0.0; 2]; _],
            outputs: [[[0.0; 2]; 2]; 2],
        }
    }

    /// Weights `frames` frames of both channels.
    #[inline(always)]
    pub(crate) fn weight<M: MultiplyAdd>(
        &mut self,
        input: &[[f32; 2]; QUANTUM],
        frames: usize,
        output: &mut [[f64; 2]; QUANTUM],
    ) {
        let [shelf, high_pass] = self.stages;
        for (slot, x) in self.inputs[PAST..].as_flattened_mut().iter_mut().zip(input.as_flattened()) {
            *slot = f64::from(*x);
        }
        // The high-pass's numerator is b₀·(1 − 2z⁻¹ + z⁻²) at every rate; b₀ is left to the shelf's.
        let inputs = self.inputs.as_flattened();
        let differences = self.differences[PAST..].as_flattened_mut();
        for (slot, x) in differences.iter_mut().zip(inputs.array_windows::<{ 2 * PAST + 1 }>()) {
            *slot = (x[4] - x[2]) - (x[2] - x[0]);
        }
        let b = shelf.b.map(|b| b * high_pass.b[0]);
        let differences = self.differences.as_flattened().array_windows::<{ 2 * PAST + 1 }>();
        for (slot, d) in output.as_flattened_mut().iter_mut().zip(differences) {
            *slot = M::double(b[0], d[4], M::double(b[1], d[2], b[2] * d[0]));
        }
        let [mut first, mut second] = self.outputs;
        for frame in &mut output[..frames] {
            let shelved = poles::<M>(&shelf, &mut first, *frame);
            *frame = poles::<M>(&high_pass, &mut second, shelved);
        }
        self.outputs = [first, second];
        for output in self.outputs.as_flattened_mut().as_flattened_mut() {
            if output.abs() < REST {
                *output = 0.0;
            }
        }
        self.inputs.copy_within(frames..frames + PAST, 0);
        self.differences.copy_within(frames..frames + PAST, 0);
    }

    pub(crate) fn clear(&mut self) {
        self.inputs[..PAST].fill([0.0; 2]);
        self.differences[..PAST].fill([0.0; 2]);
        self.outputs = [[[0.0; 2]; 2]; 2];
    }
}

/// The poles of one section on a frame of two channels: y = x − a₁·y₁ − a₂·y₂. What waits for the newest output comes
/// last.
#[inline(always)]
fn poles<M: MultiplyAdd>(stage: &Biquad, outputs: &mut [[f64; 2]; 2], x: [f64; 2]) -> [f64; 2] {
    let [newer, older] = *outputs;
    let y = std::array::from_fn(|c| M::double(-stage.a[0], newer[c], M::double(-stage.a[1], older[c], x[c])));
    *outputs = [y, newer];
    y
}

/// Points of the fit, spread evenly over log frequency from 20 Hz to 0.46 of the rate.
const FIT_POINTS: usize = 96;

/// Fits `start` to the shelf that the standard's table has at 48 kHz, over what the rate can carry, by damped
/// Gauss–Newton steps on the response in dB.
fn fit_shelf(start: Biquad, rate_hz: f64) -> Biquad {
    let top = 0.46 * rate_hz;
    let points: [(f64, f64); FIT_POINTS] = std::array::from_fn(|i| {
        let hz = 20.0 * (top / 20.0).powf(i as f64 / (FIT_POINTS - 1) as f64);
        (2.0 * PI * hz / rate_hz, SHELF.gain_db(2.0 * PI * hz / TABLE_RATE_HZ))
    });
    let error = |biquad: &Biquad| -> f64 {
        if !biquad.is_stable() {
            return f64::INFINITY;
        }
        points.iter().map(|&(turn, db)| (biquad.gain_db(turn) - db).powi(2)).sum()
    };
    let (mut best, mut best_error, mut damping) = (start, error(&start), 1e-3);
    for _ in 0..200 {
        let trial = best.stepped(&points, damping);
        let trial_error = error(&trial);
        if trial_error < best_error {
            (best, best_error) = (trial, trial_error);
            damping *= 0.3;
        } else {
            damping *= 10.0;
            if damping > 1e9 {
                break;
            }
        }
    }
    best
}

impl Biquad {
    /// One damped Gauss–Newton step towards the gains in `points` (turn, dB).
    fn stepped(&self, points: &[(f64, f64)], damping: f64) -> Self {
        let here = self.coefficients();
        // Normal equations JᵀJ·step = Jᵀ·residual, as five rows of five and the right-hand side.
        let mut rows = [[0.0; 6]; 5];
        for &(turn, db) in points {
            let gain = self.gain_db(turn);
            let slope: [f64; 5] = std::array::from_fn(|i| {
                let mut nudged = here;
                nudged[i] += 1e-7;
                (Self::of_coefficients(nudged).gain_db(turn) - gain) / 1e-7
            });
            for i in 0..5 {
                for j in 0..5 {
                    rows[i][j] += slope[i] * slope[j];
                }
                rows[i][5] += slope[i] * (db - gain);
            }
        }
        for (i, row) in rows.iter_mut().enumerate() {
            row[i] *= 1.0 + damping;
        }
        let step = solved(rows);
        Self::of_coefficients(std::array::from_fn(|i| here[i] + step[i]))
    }
}

/// Solves five equations by elimination with row pivoting.
fn solved(mut rows: [[f64; 6]; 5]) -> [f64; 5] {
    for column in 0..5 {
        let pivot = (column..5)
            .max_by(|&i, &j| rows[i][column].abs().total_cmp(&rows[j][column].abs()))
            .unwrap_or(column);
        rows.swap(column, pivot);
        let pivot_row = rows[column];
        for row in &mut rows[column + 1..] {
            let share = row[column] / pivot_row[column];
            for (cell, pivot) in row.iter_mut().zip(pivot_row).skip(column) {
                *cell -= share * pivot;
            }
        }
    }
    let mut solution = [0.0; 5];
    for i in (0..5).rev() {
        let known: f64 = (i + 1..5).map(|j| rows[i][j] * solution[j]).sum();
        solution[i] = (rows[i][5] - known) / rows[i][i];
    }
    solution
}

#[cfg(test)]
mod tests {
    use super::*;

    /// ITU-R BS.1770-5 Annex 1 asks for the 48 kHz table's response at every rate. The tables' own response
    /// is the reference, computed from the printed coefficients; the goal of 0.05 dB is ours.
    #[test]
    fn every_rate_has_the_response_of_the_standards_table() {
        for rate in [
            8000.0, 11025.0, 12000.0, 16000.0, 22050.0, 24000.0, 32000.0, 44100.0, 48000.0, 88200.0, 96000.0,
            176_400.0, 192_000.0, 352_800.0, 384_000.0,
        ] {
            let filter = KWeighting::new(rate);
            let top = (0.45 * rate).min(0.45 * TABLE_RATE_HZ);
            for i in 0..=500 {
                let hz = 20.0 * (top / 20.0f64).powf(f64::from(i) / 500.0);
                let here: f64 = filter.stages.iter().map(|s| s.gain_db(2.0 * PI * hz / rate)).sum();
                let table = k_weighting_db(Hertz(hz));
                assert!((here - table).abs() < 0.05, "{rate} Hz at {hz:.0} Hz: {here:.4} for {table:.4} dB");
            }
            assert!(filter.stages.iter().all(Biquad::is_stable), "{rate}");
        }
    }

    /// ITU-R BS.1770-5 (11/2023) Annex 1: "−0.691 cancels out the K-weighting gain for 997 Hz".
    #[test]
    fn the_gain_at_997_hertz_is_what_the_standard_cancels() {
        let gain = k_weighting_db(Hertz(997.0));
        assert!((gain - 0.691).abs() < 0.0005, "{gain}");
    }
}
