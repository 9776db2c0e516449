//! What is added up of a stretch of sound, before it becomes powers.

use crate::instruments::Quantum;
use crate::true_peak::larger;
use crate::{Channels, Faults, Power};

/// Energies (sums of squares), sums and peaks over a stretch of sound.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Sums {
    pub(crate) frames: u32,
    weighted: Power,
    plain: Power,
    sum: [f64; 2],
    pub(crate) sample_peak: f32,
    pub(crate) true_peak: f32,
    pub(crate) faults: Faults,
}

/// Strands that a sum is split into, so that it goes by vectors; always the same, whatever the processor.
const STRANDS: usize = 4;

impl Sums {
    /// Nothing.
    pub(crate) const NONE: Self = Self {
        frames: 0,
        weighted: Power { left: 0.0, right: 0.0, mid: 0.0 },
        plain: Power { left: 0.0, right: 0.0, mid: 0.0 },
        sum: [0.0; 2],
        sample_peak: 0.0,
        true_peak: 0.0,
        faults: Faults { non_finite: 0, clipped_runs: 0, lost_cells: 0 },
    };

    /// Adds up the frames `from..to` of a quantum.
    #[inline(always)]
    pub(crate) fn of(quantum: &Quantum, from: usize, to: usize) -> Self {
        let [left, right] = &quantum.plain;
        let [weighted_left, weighted_right] = &quantum.weighted;
        let (plain, sum) = energies(&left[from..to], &right[from..to], |x| f64::from(*x));
        let (weighted, _) = energies(&weighted_left[from..to], &weighted_right[from..to], |x| *x);
        let mut sample_peak = 0f32;
        for (l, r) in left[from..to].iter().zip(&right[from..to]) {
            sample_peak = larger(sample_peak, larger(l.abs(), r.abs()));
        }
        let true_peak = quantum.peaks[from..to].iter().fold(0f32, |peak, x| larger(peak, *x));
        Self {
            frames: (to - from) as u32,
            weighted,
            plain,
            sum,
            sample_peak,
            true_peak,
            faults: Faults::default(),
        }
    }

    /// No sound but a true peak: what an interpolator still held.
    pub(crate) fn of_peak(true_peak: f32) -> Self {
        Self { true_peak, ..Self::NONE }
    }

    /// Adds another stretch.
    pub(crate) fn add(&mut self, more: &Self) {
        self.frames += more.frames;
        add_power(&mut self.weighted, &more.weighted);
        add_power(&mut self.plain, &more.plain);
        self.sum[0] += more.sum[0];
        self.sum[1] += more.sum[1];
        self.sample_peak = self.sample_peak.max(more.sample_peak);
        self.true_peak = self.true_peak.max(more.true_peak);
        self.faults.non_finite += more.faults.non_finite;
        self.faults.clipped_runs += more.faults.clipped_runs;
        self.faults.lost_cells += more.faults.lost_cells;
    }

    /// K-weighted energy summed over channels.
    pub(crate) fn loudness_energy(&self, channels: Channels) -> f64 {
        self.weighted.total(channels)
    }

    /// K-weighted powers; zero of an empty stretch.
    pub(crate) fn weighted(&self) -> Power {
        mean(&self.weighted, self.frames)
    }

    /// Unweighted powers; zero of an empty stretch.
    pub(crate) fn plain(&self) -> Power {
        mean(&self.plain, self.frames)
    }

    /// Mean of each channel; zero of an empty stretch.
    pub(crate) fn mean(&self) -> [f64; 2] {
        self.sum.map(|sum| sum / f64::from(self.frames.max(1)))
    }
}

fn add_power(to: &mut Power, more: &Power) {
    to.left += more.left;
    to.right += more.right;
    to.mid += more.mid;
}

fn mean(energy: &Power, frames: u32) -> Power {
    let frames = f64::from(frames.max(1));
    Power { left: energy.left / frames, right: energy.right / frames, mid: energy.mid / frames }
}

/// Energies of left, right and mid, and the sums of left and right.
#[inline(always)]
fn energies<T>(left: &[T], right: &[T], value: impl Fn(&T) -> f64) -> (Power, [f64; 2]) {
    let (lefts, last_lefts) = left.as_chunks::<STRANDS>();
    let (rights, last_rights) = right.as_chunks::<STRANDS>();
    let mut strands = [[0f64; STRANDS]; 5];
    for (lefts, rights) in lefts.iter().zip(rights) {
        for i in 0..STRANDS {
            add_frame(&mut strands, i, value(&lefts[i]), value(&rights[i]));
        }
    }
    for (i, (left, right)) in last_lefts.iter().zip(last_rights).enumerate() {
        add_frame(&mut strands, i, value(left), value(right));
    }
    let [l, r, m, sl, sr] = strands.map(|s| (s[0] + s[1]) + (s[2] + s[3]));
    (Power { left: l, right: r, mid: m }, [sl, sr])
}

#[inline(always)]
fn add_frame(strands: &mut [[f64; STRANDS]; 5], i: usize, left: f64, right: f64) {
    let mid = 0.5 * (left + right);
    strands[0][i] += left * left;
    strands[1][i] += right * right;
    strands[2][i] += mid * mid;
    strands[3][i] += left;
    strands[4][i] += right;
}
