//! Loud sound to measure: dense, wide, and the same on every machine.

use std::path::Path;

use anyhow::Result;
use hound::{SampleFormat, WavSpec, WavWriter};

/// Two channels of the same length.
pub(crate) struct Sound {
    left: Vec<f32>,
    right: Vec<f32>,
}

impl Sound {
    /// Noise that falls by 3 dB an octave, mostly common to both channels, beating twice a second, pressed
    /// towards full scale. Loud peaks all the time are the dear case: a true-peak detector can skip little.
    pub(crate) fn loud(frames: usize, sample_rate_hz: u32) -> Self {
        let [mut middle, mut one_side, mut other_side] = [Pink::new(1), Pink::new(2), Pink::new(3)];
        let beat_frames = (sample_rate_hz / 2) as usize;
        let (mut left, mut right) = (Vec::with_capacity(frames), Vec::with_capacity(frames));
        for frame in 0..frames {
            let since_beat = (frame % beat_frames) as f32 / beat_frames as f32;
            let gain = 0.9 - 0.5 * since_beat;
            let common = middle.sample();
            left.push(press(gain * (common + 0.6 * one_side.sample())));
            right.push(press(gain * (common + 0.6 * other_side.sample())));
        }
        Self { left, right }
    }

    /// Length in frames.
    pub(crate) fn frames(&self) -> usize {
        self.left.len()
    }

    /// Both channels.
    pub(crate) fn sides(&self) -> [&[f32]; 2] {
        [&self.left, &self.right]
    }

    /// Writes a sound file of 24 bits.
    pub(crate) fn write_wave(&self, path: &Path) -> Result<()> {
        let spec = WavSpec {
            channels: 2,
            sample_rate: crate::SAMPLE_RATE_HZ,
            bits_per_sample: 24,
            sample_format: SampleFormat::Int,
        };
        let mut writer = WavWriter::create(path, spec)?;
        for (left, right) in self.left.iter().zip(&self.right) {
            for sample in [left, right] {
                writer.write_sample((sample * 8_388_607.0) as i32)?;
            }
        }
        Ok(writer.finalize()?)
    }

    /// Both channels in blocks of `frames`; the last may be shorter.
    pub(crate) fn blocks(&self, frames: usize) -> impl Iterator<Item = (&[f32], &[f32])> {
        self.left.chunks(frames).zip(self.right.chunks(frames))
    }
}

/// A soft limit at full scale: x/√(1 + x²).
fn press(sample: f32) -> f32 {
    sample / (1.0 + sample * sample).sqrt()
}

/// Pink noise: white noises, each held twice as long as the one before, added up.
struct Pink {
    state: u64,
    held: [f32; 12],
    frame: u32,
}

impl Pink {
    fn new(seed: u64) -> Self {
        Self { state: seed.wrapping_mul(0x9e37_79b9_7f4a_7c15) | 1, held: [0.0; 12], frame: 0 }
    }

    fn sample(&mut self) -> f32 {
        self.frame = self.frame.wrapping_add(1);
        let row = self.frame.trailing_zeros() as usize % self.held.len();
        self.held[row] = self.white();
        self.held.iter().sum::<f32>() / 3.0
    }

    /// Evenly spread over ±1, by a xorshift of 64 bits.
    fn white(&mut self) -> f32 {
        self.state ^= self.state << 13;
        self.state ^= self.state >> 7;
        self.state ^= self.state << 17;
        (self.state >> 40) as f32 / 8_388_608.0 - 1.0
    }
}
