//! A voice without words: a source like a glottis, and the resonances of a mouth that goes from vowel to vowel.

use candlemark_tests::signals::Noise;

use super::super::filters::{HighPass, LowPass, Resonance};
use super::Saw;
use crate::music::{RATE_HZ, frames};

/// One note of a line.
#[derive(Clone, Copy)]
pub(crate) struct Sung {
    pub(crate) at_s: f64,
    pub(crate) length_s: f64,
    pub(crate) hz: f32,
}

/// Formants in Hz, from low to high, of the vowels in the order in which they are sung (facts of the trade, rounded: common
/// practice, no source).
const VOWELS: [[f32; 5]; 5] = [
    [760.0, 1180.0, 2750.0, 3500.0, 4900.0],
    [440.0, 860.0, 2700.0, 3450.0, 4900.0],
    [470.0, 1750.0, 2650.0, 3550.0, 4950.0],
    [700.0, 1100.0, 2700.0, 3400.0, 4900.0],
    [360.0, 1950.0, 2800.0, 3600.0, 5000.0],
];
/// Their widths in Hz, and their gains (ours: brighter than speech, as singing is).
const WIDTHS_HZ: [f32; 5] = [85.0, 100.0, 140.0, 170.0, 260.0];
const GAINS: [f32; 5] = [1.0, 0.62, 0.42, 0.34, 0.16];

/// So long the mouth takes from vowel to vowel, and the pitch from note to note.
const GLIDE_S: f32 = 0.06;
/// Vowels are tuned anew after so many frames.
const TUNED_EVERY: usize = 32;

/// A whole line, from the start of the song on. `late_s` and `cents` set a second take apart from the first.
pub(crate) fn line(notes: &[Sung], late_s: f64, cents: f32, seed: u64) -> Vec<f32> {
    let Some(last) = notes.last() else { return Vec::new() };
    let mut out = vec![0.0; frames(last.at_s + last.length_s + 0.3)];
    let mut mouth = Mouth::new(seed);
    for (index, note) in notes.iter().enumerate() {
        let from = frames(note.at_s + late_s);
        let next_s = notes.get(index + 1).map_or(f64::INFINITY, |next| next.at_s);
        let is_bound = next_s - (note.at_s + note.length_s) < 0.05;
        let until = (from + frames(note.length_s)).min(out.len());
        mouth.sing(
            &mut out[from.min(until)..until],
            note,
            VOWELS[(index * 2 + seed as usize) % 5],
            cents,
            is_bound,
        );
    }
    out
}

struct Mouth {
    saw: Saw,
    noise: Noise,
    hz: f32,
    vowel: [f32; 5],
    formants: [Resonance; 5],
    level: f32,
    throat: LowPass,
    hiss: HighPass,
}

impl Mouth {
    fn new(seed: u64) -> Self {
        Self {
            saw: Saw::new(0.0),
            noise: Noise::new(seed),
            hz: 0.0,
            vowel: VOWELS[0],
            formants: std::array::from_fn(|n| Resonance::new(VOWELS[0][n], WIDTHS_HZ[n])),
            level: 0.0,
            throat: LowPass::new(1300.0),
            hiss: HighPass::new(5200.0),
        }
    }

    fn sing(&mut self, out: &mut [f32], note: &Sung, vowel: [f32; 5], cents: f32, is_bound: bool) {
        let rate = RATE_HZ as f32;
        let length_s = note.length_s as f32;
        let target_hz = note.hz * 2f32.powf(cents / 1200.0);
        if self.level < 0.05 {
            // After a rest it does not slide in from the last note.
            self.hz = target_hz * 0.97;
        }
        let glide = 1.0 - (-1.0 / (GLIDE_S / 3.0 * rate)).exp();
        for (n, out) in out.iter_mut().enumerate() {
            let t = n as f32 / rate;
            if n % TUNED_EVERY == 0 {
                for (index, formant) in self.formants.iter_mut().enumerate() {
                    self.vowel[index] += glide * TUNED_EVERY as f32 * (vowel[index] - self.vowel[index]);
                    formant.tune(self.vowel[index], WIDTHS_HZ[index]);
                }
            }
            let drift = 3.0 * (t * 2.3).sin();
            let vibrato = 22.0 * ((t - 0.22) / 0.4).clamp(0.0, 1.0) * (std::f32::consts::TAU * 5.4 * t).sin();
            self.hz += glide * (target_hz - self.hz);
            let source = self.saw.next(self.hz * (1.0 + (vibrato + drift) * 0.000_577_8));
            let air = self.noise.even() as f32;
            let rounded = 0.8 * self.throat.next(source) + 0.2 * source + 0.012 * air;
            let vowel: f32 =
                self.formants.iter_mut().zip(GAINS).map(|(formant, gain)| gain * formant.next(rounded)).sum();
            // It swells a little, and lets go before the next breath.
            let lets_go = if is_bound { 1.0 } else { ((length_s - t) / 0.12).clamp(0.0, 1.0) };
            let wanted = (0.82 + 0.18 * (t / length_s * std::f32::consts::PI).sin()) * lets_go;
            self.level += 0.0012 * (wanted - self.level);
            let consonant = self.hiss.next(air) * ((t / 0.012).min((0.075 - t) / 0.05)).clamp(0.0, 1.0);
            *out += self.level * vowel + 0.05 * consonant;
        }
        if !is_bound {
            self.level = 0.0;
        }
    }
}
