//! Gated loudness that costs the same after four hours as after one minute: blocks are counted by loudness.
//!
//! A bin is 0.01 LU wide and keeps the true energy of its blocks beside their count, so that only the blocks
//! of the one bin in which a gate lies can fall on the wrong side of it.

use crate::Lufs;

/// The relative gate of the integrated loudness, in LU: ITU-R BS.1770-5 (11/2023) Annex 1, eq. (6).
const RELATIVE_GATE_LU: f64 = 10.0;

const BINS_PER_LU: f64 = 100.0;
/// −70 to +30 LUFS; what is louder still falls into the last bin.
const BINS: usize = 10_000;

/// Bins of a block. Sums over many bins go by whole blocks, so that they cost about the same for any music.
const BLOCK: usize = 100;

/// No bins: any bin that is added widens it to itself.
const NOTHING: std::ops::Range<usize> = std::ops::Range { start: BINS, end: 0 };

/// Counts and energies of blocks by loudness: the gated figures of a pass or of a song.
///
/// # Realtime safety
///
/// Allocates when it is made, and never after.
pub struct LoudnessHistogram {
    counts: Vec<u32>,
    energies: Vec<f64>,
    block_counts: [u64; BINS / BLOCK],
    block_energies: [f64; BINS / BLOCK],
    /// Bins that hold anything.
    used: std::ops::Range<usize>,
    count: u64,
    energy: f64,
}

impl Default for LoudnessHistogram {
    /// An empty one.
    fn default() -> Self {
        Self {
            counts: vec![0; BINS],
            energies: vec![0.0; BINS],
            block_counts: [0; _],
            block_energies: [0.0; _],
            used: NOTHING,
            count: 0,
            energy: 0.0,
        }
    }
}

impl LoudnessHistogram {
    /// Both gates of the integrated loudness and of the range count from here: ITU-R BS.1770-5 (11/2023)
    /// Annex 1, eq. (5), and EBU Tech 3342 v4 (2023).
    pub const ABSOLUTE_GATE: Lufs = Lufs(-70.0);

    /// Counts a block of K-weighted power `power` that is at or above the absolute gate.
    pub fn add(&mut self, power: f64) {
        let bin = Self::bin(power);
        self.counts[bin] += 1;
        self.energies[bin] += power;
        self.block_counts[bin / BLOCK] += 1;
        self.block_energies[bin / BLOCK] += power;
        self.used = self.used.start.min(bin)..self.used.end.max(bin + 1);
        self.count += 1;
        self.energy += power;
    }

    /// Forgets all blocks.
    pub fn clear(&mut self) {
        if !self.used.is_empty() {
            self.counts[self.used.clone()].fill(0);
            self.energies[self.used.clone()].fill(0.0);
        }
        self.block_counts.fill(0);
        self.block_energies.fill(0.0);
        self.used = NOTHING;
        self.count = 0;
        self.energy = 0.0;
    }

    /// The integrated loudness as a power: mean power of the blocks above the relative gate, 10 LU under the mean
    /// of all. 0 when nothing was counted.
    pub fn integrated_power(&self) -> f64 {
        let gate = self.gate_power();
        let first = Self::bin(gate);
        // ITU-R BS.1770-5 (11/2023) Annex 1, eqs. (6) and (7): strictly above the gate.
        let partly = if self.bin_mean(first) > gate { first } else { first + 1 };
        let (count, energy) = self.from(partly);
        if count == 0 { 0.0 } else { energy / count as f64 }
    }

    /// The power of the relative gate; 0 when nothing was counted.
    pub fn gate_power(&self) -> f64 {
        self.relative_gate(RELATIVE_GATE_LU)
    }

    /// Distance in LU between the 10th and the 95th percentile of the blocks at or above the relative gate,
    /// which lies 20 LU under the mean of all: the loudness range of EBU Tech 3342 v4 (2023), sec. 3. `None`
    /// when nothing was counted.
    pub fn range_lu(&self) -> Option<f64> {
        if self.count == 0 {
            return None;
        }
        let gate = self.relative_gate(20.0);
        let first = Self::bin(gate);
        let partly = if self.bin_mean(first) >= gate { first } else { first + 1 };
        let (count, _) = self.from(partly);
        if count == 0 {
            return None;
        }
        // The standard's own index, round((n − 1)·p/100 + 1), counted from 0 here.
        let rank = |percent: f64| ((count - 1) as f64 * percent / 100.0).round() as u64;
        let [low, high] = [10.0, 95.0].map(|percent| self.at_rank(partly, rank(percent)));
        Some(10.0 * (high / low).log10())
    }

    /// Count and energy of the blocks in bin `first` and those above.
    fn from(&self, first: usize) -> (u64, f64) {
        let whole = first.div_ceil(BLOCK);
        let bins = first..whole * BLOCK;
        let count: u64 = self.counts[bins.clone()].iter().map(|count| u64::from(*count)).sum();
        let energy: f64 = self.energies[bins].iter().sum();
        (
            count + self.block_counts[whole..].iter().sum::<u64>(),
            energy + self.block_energies[whole..].iter().sum::<f64>(),
        )
    }

    /// Mean power of the bin in which the block of rank `rank`, from 0, lies, counted up from bin `first`.
    fn at_rank(&self, first: usize, rank: u64) -> f64 {
        let mut seen = 0;
        let mut passes = |count: u64| {
            seen += count;
            seen > rank
        };
        // The rest of the first block, then whole blocks, then the bins of the one in which it lies.
        let whole = first.div_ceil(BLOCK);
        if let Some(bin) = (first..whole * BLOCK).find(|bin| passes(self.counts[*bin].into())) {
            return self.bin_mean(bin);
        }
        let Some(block) = (whole..BINS / BLOCK).find(|block| passes(self.block_counts[*block])) else {
            return 0.0;
        };
        seen -= self.block_counts[block];
        let mut bins = block * BLOCK..(block + 1) * BLOCK;
        let bin = bins.find(|bin| {
            seen += u64::from(self.counts[*bin]);
            seen > rank
        });
        bin.map_or(0.0, |bin| self.bin_mean(bin))
    }

    /// The power that lies `below` LU under the mean of all blocks; 0 when nothing was counted.
    fn relative_gate(&self, below: f64) -> f64 {
        self.energy / self.count.max(1) as f64 * 10f64.powf(-below / 10.0)
    }

    fn bin(power: f64) -> usize {
        let above = Lufs::of_power(power).map_or(0.0, |loudness| loudness.0 - Self::ABSOLUTE_GATE.0);
        ((above * BINS_PER_LU).max(0.0) as usize).min(BINS - 1)
    }

    /// Mean power of a bin's blocks; 0 of an empty one.
    fn bin_mean(&self, bin: usize) -> f64 {
        match self.counts[bin] {
            0 => 0.0,
            count => self.energies[bin] / f64::from(count),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn histogram(blocks: impl IntoIterator<Item = f64>) -> LoudnessHistogram {
        let mut histogram = LoudnessHistogram::default();
        blocks.into_iter().for_each(|lufs| histogram.add(Lufs(lufs).power()));
        histogram
    }

    #[test]
    fn a_quiet_half_is_gated_out() {
        let blocks = std::iter::repeat_n(-20.0, 50).chain(std::iter::repeat_n(-40.0, 50));
        let mean = Lufs::of_power(histogram(blocks).integrated_power()).unwrap().0;
        assert!((mean + 20.0).abs() < 1e-9, "{mean}");
    }

    /// ITU-R BS.1770-5, Annex 1, eq. (6): ten under the mean power of all blocks.
    #[test]
    fn the_gate_lies_ten_under_the_mean_of_all() {
        let gate = Lufs::of_power(histogram([-20.0, -20.0]).gate_power()).unwrap().0;
        assert!((gate + 30.0).abs() < 1e-9, "{gate}");
        let half = Lufs::of_power(histogram([-20.0, -60.0]).gate_power()).unwrap().0;
        assert!((half + 33.01).abs() < 0.001, "{half}");
        assert_eq!(histogram([]).gate_power(), 0.0);
    }

    /// EBU Tech 3342: what lies under the gate, twenty under the mean, has no part in it.
    #[test]
    fn the_range_lies_between_the_percentiles_and_silence_between_widens_it_not() {
        for silent in [0, 50] {
            // 101 blocks in steps of 0.1 LU: the percentiles are the 11th and the 96th.
            let blocks = (0..=100).map(|i| -30.0 + f64::from(i) * 0.1);
            let range = histogram(blocks.chain(std::iter::repeat_n(-60.0, silent))).range_lu().unwrap();
            assert!((range - 8.5).abs() < 1e-9, "{silent} silent blocks: {range}");
        }
    }

    #[test]
    fn nothing_counted_is_nothing_told() {
        let mut histogram = histogram([-20.0]);
        histogram.clear();
        assert_eq!(histogram.integrated_power(), 0.0);
        assert_eq!(histogram.range_lu(), None);
    }

    #[test]
    fn louder_than_any_bin_keeps_its_energy() {
        let mean = Lufs::of_power(histogram([90.0, 90.0]).integrated_power()).unwrap().0;
        assert!((mean - 90.0).abs() < 1e-9, "{mean}");
    }
}
