//! What is added up of a stretch of sound, before it becomes powers.

use crate::instruments::Quantum;
use crate::multiply_add::MultiplyAdd;
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

/// Strands that a sum is split into, so that it goes by vectors: four frames, left and right by turns. Always the same,
/// whatever the processor.
const STRANDS: usize = 8;

impl Sums {
    /// Nothing.
    pub(crate) const NONE: Self = Self {
        frames: 0,
        weighted: Power { left: 0.0, right: 0.0, mid: 0.0 },
        plain: Power { left: 0.0, right: 0.0, mid: 0.0 },
        sum: [0.0; 2],
        sample_peak: 0.0,
        true_peak: 0.0,
        faults: Faults { non_finite: 0, clipped_runs: 0 },
    };

    /// Adds up the frames `from..to` of a quantum.
    #[inline(always)]
    pub(crate) fn of<M: MultiplyAdd>(quantum: &Quantum, from: usize, to: usize) -> Self {
        let (plain, weighted) = (&quantum.plain[from..to], &quantum.weighted[from..to]);
        Self {
            frames: (to - from) as u32,
            weighted: energies::<_, M>(weighted.as_flattened(), |x| x),
            plain: energies::<_, M>(plain.as_flattened(), f64::from),
            sum: sums(plain.as_flattened()),
            sample_peak: largest(plain.as_flattened()),
            true_peak: largest(quantum.peaks[from..to].as_flattened()),
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

/// Energies of left, right and mid of samples by turns.
#[inline(always)]
fn energies<T: Copy, M: MultiplyAdd>(samples: &[T], value: impl Fn(T) -> f64) -> Power {
    let mut squares = [0f64; STRANDS];
    let mut mids = [0f64; STRANDS / 2];
    let (whole, rest) = samples.as_chunks::<STRANDS>();
    let mut add = |x: [f64; STRANDS]| {
        for (square, x) in squares.iter_mut().zip(x) {
            *square = M::double(x, x, *square);
        }
        // Mid is formed before squaring, so that opposite channels leave nothing.
        let both = [x[0] + x[1], x[4] + x[5], x[2] + x[3], x[6] + x[7]];
        for (mid, both) in mids.iter_mut().zip(both) {
            *mid = M::double(both, both, *mid);
        }
    };
    for samples in whole {
        add(samples.map(&value));
    }
    if !rest.is_empty() {
        let mut last = [0f64; STRANDS];
        for (slot, x) in last.iter_mut().zip(rest) {
            *slot = value(*x);
        }
        add(last);
    }
    let [left, right] = by_turns(squares);
    Power { left, right, mid: 0.25 * ((mids[0] + mids[2]) + (mids[1] + mids[3])) }
}

/// The sums of left and right of samples by turns.
#[inline(always)]
fn sums(samples: &[f32]) -> [f64; 2] {
    let mut strands = [0f64; STRANDS];
    let (whole, rest) = samples.as_chunks::<STRANDS>();
    for samples in whole {
        for (strand, x) in strands.iter_mut().zip(samples) {
            *strand += f64::from(*x);
        }
    }
    for (strand, x) in strands.iter_mut().zip(rest) {
        *strand += f64::from(*x);
    }
    by_turns(strands)
}

/// The sums of the left and of the right strands.
#[inline(always)]
fn by_turns(strands: [f64; STRANDS]) -> [f64; 2] {
    std::array::from_fn(|c| (strands[c] + strands[c + 2]) + (strands[c + 4] + strands[c + 6]))
}

/// The largest amplitude.
#[inline(always)]
pub(crate) fn largest(samples: &[f32]) -> f32 {
    let mut strands = [0f32; 2 * STRANDS];
    let (whole, rest) = samples.as_chunks::<{ 2 * STRANDS }>();
    for samples in whole {
        for (strand, x) in strands.iter_mut().zip(samples) {
            *strand = larger(*strand, x.abs());
        }
    }
    for (strand, x) in strands.iter_mut().zip(rest) {
        *strand = larger(*strand, x.abs());
    }
    strands.into_iter().fold(0.0, larger)
}
