//! Silence at the head and the tail of a sound.

use candlemark_analysis::{Hertz, LARGEST_AMPLITUDE};
use serde::{Deserialize, Serialize};

/// A sample counts as sound above this amplitude, −60 dBFS (common practice, no source): noise of converters, dither and
/// the last of a fade are under it.
const SOUND_AMPLITUDE: f32 = 0.001;

/// How long nothing above −60 dBFS sounds at both ends, in seconds.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Silence {
    /// Before the first sample that sounds.
    pub head_s: f64,
    /// After the last one.
    pub tail_s: f64,
}

/// Finds the first and the last sample that sounds, block by block.
#[derive(Clone, Copy, Debug, Default)]
pub struct Edges {
    frames: u64,
    /// The first frame that sounds, and the one after the last.
    sounding: Option<(u64, u64)>,
}

impl Edges {
    /// Takes in a block; the right channel may be empty. Samples that are no numbers are silent.
    pub fn take(&mut self, left: &[f32], right: &[f32]) {
        let sounds = |n: &usize| {
            let at = |plane: &[f32]| {
                plane.get(*n).is_some_and(|x| x.abs() > SOUND_AMPLITUDE && x.abs() <= LARGEST_AMPLITUDE)
            };
            at(left) || at(right)
        };
        let start = self.frames;
        if let Some(last) = (0..left.len()).rev().find(sounds) {
            let first = match self.sounding {
                Some((first, _)) => first,
                None => start + (0..left.len()).find(sounds).unwrap_or(last) as u64,
            };
            self.sounding = Some((first, start + last as u64 + 1));
        }
        self.frames += left.len() as u64;
    }

    /// The silence at both ends. `None` when nothing sounds.
    pub fn silence(&self, rate: Hertz) -> Option<Silence> {
        let (first, end) = self.sounding?;
        Some(Silence { head_s: first as f64 / rate.0, tail_s: (self.frames - end) as f64 / rate.0 })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn of(left: &[f32], right: &[f32], step: usize) -> Option<Silence> {
        let mut edges = Edges::default();
        for from in (0..left.len()).step_by(step) {
            let to = (from + step).min(left.len());
            edges.take(&left[from..to], right.get(from..to).unwrap_or_default());
        }
        edges.silence(Hertz(10.0))
    }

    #[test]
    fn what_lies_before_the_first_and_after_the_last_sounding_sample_is_silence() {
        let mut left = vec![0.0005; 100];
        let mut right = left.clone();
        left[30] = 0.5;
        right[69] = -0.5;
        left[10] = f32::NAN;
        left[90] = f32::INFINITY;
        for step in [1, 7, 64, 100] {
            assert_eq!(
                of(&left, &right, step),
                Some(Silence { head_s: 3.0, tail_s: 3.0 }),
                "in steps of {step}"
            );
        }
        assert_eq!(of(&left, &[], 9), Some(Silence { head_s: 3.0, tail_s: 6.9 }));
    }

    /// What lies at a bound is still within it: −60 dBFS is silent, and the largest sample that the measures take sounds.
    #[test]
    fn the_bounds_are_where_they_are_said_to_be() {
        for (sample, sounds) in [(0.001, false), (0.001_1, true), (1e6, true), (1.000_1e6, false)] {
            assert_eq!(of(&[sample], &[], 1).is_some(), sounds, "{sample}");
            assert_eq!(of(&[0.0], &[-sample], 1).is_some(), sounds, "{sample} below, on the right");
        }
    }

    #[test]
    fn of_what_never_sounds_there_is_none() {
        assert_eq!(of(&[0.0; 50], &[0.0; 50], 8), None);
        assert_eq!(of(&[], &[], 8), None);
    }
}
