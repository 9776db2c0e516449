//! What a sample should not be: not a number, out of all bounds, or clipped in a run.

use crate::QUANTUM;

/// A sample beyond this is no sound (120 dB over full scale): it is counted, and measured as zero.
pub const LARGEST_AMPLITUDE: f32 = 1e6;

/// A sample under this (220 dB under full scale) is silence: what is computed of it in single precision, down to the
/// rounding of its spectra squared, would be denormal numbers, which cost a processor a hundred times as much (ours).
const SILENT: f32 = 1e-11;

/// Full scale for a clipped run: the largest positive sample of a 16-bit file, the coarsest in use.
const FULL_SCALE: f32 = 1.0 - 1.0 / 32_768.0;

/// So many consecutive samples at full scale are a clipped run (common practice, no source).
const RUN: u32 = 3;

/// Clipped runs as they grow, for both channels.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct ClipRuns([u32; 2]);

/// The sample, or zero where it is silence, or no sound, which is counted.
#[inline(always)]
pub(crate) fn cleansed(sample: f32, bad: &mut u32) -> f32 {
    let fine = sample.abs() <= LARGEST_AMPLITUDE;
    *bad += u32::from(!fine);
    if fine && sample.abs() >= SILENT { sample } else { 0.0 }
}

impl ClipRuns {
    /// Goes on over `frames` frames, no sample of which is larger than `peak`. Marks in `ends` the frames at which a run
    /// became one, and gives whether there are any.
    #[inline(always)]
    pub(crate) fn follow(
        &mut self,
        samples: &[[f32; 2]; QUANTUM],
        frames: usize,
        channels: usize,
        peak: f32,
        ends: &mut [u8; QUANTUM],
    ) -> bool {
        if peak < FULL_SCALE {
            self.0 = [0; 2];
            return false;
        }
        let mut any = false;
        ends.fill(0);
        for (frame, end) in samples[..frames].iter().zip(ends) {
            for (run, sample) in self.0.iter_mut().zip(frame).take(channels) {
                *run = if sample.abs() >= FULL_SCALE { run.saturating_add(1) } else { 0 };
                if *run == RUN {
                    *end += 1;
                    any = true;
                }
            }
        }
        any
    }

    pub(crate) fn clear(&mut self) {
        self.0 = [0; 2];
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_no_sound_is_counted_and_zeroed() {
        let samples = [0.5, f32::NAN, f32::INFINITY, -2e6, 1e6, -1e-10, f32::MIN_POSITIVE / 2.0];
        let mut bad = 0;
        let samples = samples.map(|sample| cleansed(sample, &mut bad));
        assert_eq!(bad, 3);
        assert_eq!(samples, [0.5, 0.0, 0.0, 0.0, 1e6, -1e-10, 0.0]);
    }

    /// What a quantum that was cut short holds beyond its end is of the sound before.
    #[test]
    fn what_lies_beyond_the_frames_is_not_counted() {
        let mut runs = ClipRuns::default();
        let mut ends = [0; QUANTUM];
        let mut block = [[1f32; 2]; QUANTUM];
        block[..5].fill([0.1; 2]);
        assert!(!runs.follow(&block, 5, 2, 1.0, &mut ends));
        block[..2].fill([1.0; 2]);
        assert!(!runs.follow(&block, 2, 2, 1.0, &mut ends), "two of a run");
        block[..5].fill([1.0, 0.1]);
        assert!(runs.follow(&block, 5, 2, 1.0, &mut ends));
        assert_eq!(ends[..5], [1, 0, 0, 0, 0], "the third of the run");
    }

    #[test]
    fn three_at_full_scale_are_one_run_over_a_quantums_border() {
        let mut runs = ClipRuns::default();
        let mut ends = [0; QUANTUM];
        let mut block = [[0f32; 2]; QUANTUM];
        block[62][0] = 1.0;
        block[63][0] = 1.0;
        assert!(!runs.follow(&block, 64, 2, 1.0, &mut ends));
        let mut block = [[0f32; 2]; QUANTUM];
        block[..5].fill([-1.0, 0.0]);
        assert!(runs.follow(&block, 64, 2, 1.0, &mut ends));
        assert_eq!(ends.iter().sum::<u8>(), 1);
        assert_eq!(ends[0], 1);
    }
}
