//! The band's instruments. Each gives one note, or one line, as samples of its own.

pub(crate) mod bass;
pub(crate) mod drums;
pub(crate) mod guitar;
pub(crate) mod reeds;
pub(crate) mod voice;

use super::RATE_HZ;

/// A sawtooth without the worst of its aliases (a polynomial in place of the step; Välimäki and Huovilainen 2007).
pub(crate) struct Saw {
    phase: f32,
}

impl Saw {
    /// Begins at a phase from 0 to 1.
    pub(crate) fn new(phase: f32) -> Self {
        Self { phase }
    }

    pub(crate) fn next(&mut self, hz: f32) -> f32 {
        let step = hz / RATE_HZ as f32;
        self.phase += step;
        if self.phase >= 1.0 {
            self.phase -= 1.0;
        }
        let mut value = 2.0 * self.phase - 1.0;
        if self.phase < step {
            let t = self.phase / step;
            value -= 2.0 * t - t * t - 1.0;
        } else if self.phase > 1.0 - step {
            let t = (self.phase - 1.0) / step;
            value -= t * t + 2.0 * t + 1.0;
        }
        value
    }
}

/// Frequency in Hz of a note by its MIDI number.
pub(crate) fn hz(note: f64) -> f32 {
    (440.0 * 2f64.powf((note - 69.0) / 12.0)) as f32
}

/// Rises over `attack_s` and falls over `release_s` before the end of `length_s`, linearly.
pub(crate) fn envelope(t_s: f32, length_s: f32, attack_s: f32, release_s: f32) -> f32 {
    (t_s / attack_s).min((length_s - t_s) / release_s).clamp(0.0, 1.0)
}
