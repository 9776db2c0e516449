//! Music of a kind for the remarks: a low end, a middle with an upper part, and beats; and what can be done to it.

use std::f64::consts::{FRAC_1_SQRT_2, TAU};

use candlemark_tests::signals::Noise;
use candlemark_tests::sound::Sound;

/// Low, for the sake of time: nothing here sounds above 16 kHz.
pub(super) const RATE: f64 = 32_000.0;

/// A song's parts, apart, so that each can be spoilt by itself.
pub(super) struct Parts {
    low: Vec<f64>,
    /// Left and right.
    high: [Vec<f64>; 2],
    beats: Vec<f64>,
}

/// A filter of the second order: `[b0, b1, b2, a1, a2]`.
struct Biquad([f64; 5], [f64; 2]);

impl Biquad {
    fn new(b: [f64; 3], a: [f64; 3]) -> Self {
        Self([b[0] / a[0], b[1] / a[0], b[2] / a[0], a[1] / a[0], a[2] / a[0]], [0.0; 2])
    }

    /// A low-pass without a peak: the bilinear transform of a Butterworth low-pass.
    fn low_pass(hertz: f64) -> Self {
        let (w, q) = (TAU * hertz / RATE, FRAC_1_SQRT_2);
        let alpha = w.sin() / (2.0 * q);
        let b = (1.0 - w.cos()) / 2.0;
        Self::new([b, 2.0 * b, b], [1.0 + alpha, -2.0 * w.cos(), 1.0 - alpha])
    }

    /// A bell of so many decibels: the bilinear transform of (s² + sA/Q + 1)/(s² + s/(AQ) + 1).
    fn bell(hertz: f64, q: f64, db: f64) -> Self {
        let (w, gain) = (TAU * hertz / RATE, 10f64.powf(db / 40.0));
        let alpha = w.sin() / (2.0 * q);
        Self::new(
            [1.0 + alpha * gain, -2.0 * w.cos(), 1.0 - alpha * gain],
            [1.0 + alpha / gain, -2.0 * w.cos(), 1.0 - alpha / gain],
        )
    }

    fn filtered(mut self, signal: &[f64]) -> Vec<f64> {
        let [b0, b1, b2, a1, a2] = self.0;
        let [s1, s2] = &mut self.1;
        signal
            .iter()
            .map(|x| {
                let y = b0 * x + *s1;
                *s1 = b1 * x - a1 * y + *s2;
                *s2 = b2 * x - a2 * y;
                y
            })
            .collect()
    }
}

/// White noise made to fall by about 3 dB an octave, as music does.
fn falling(white: &[f64]) -> Vec<f64> {
    let [low, middle, high] = [150.0, 1000.0, 7000.0].map(|hertz| Biquad::low_pass(hertz).filtered(white));
    (0..white.len()).map(|n| 3.5 * low[n] + 1.5 * middle[n] + high[n]).collect()
}

fn noise(seed: u64, frames: usize, deviation: f64) -> Vec<f64> {
    let mut noise = Noise::new(seed);
    (0..frames).map(|_| deviation * 3f64.sqrt() * noise.even()).collect()
}

impl Parts {
    /// So many seconds of a song. Songs of other seeds are alike, but that each is tilted a little differently, by
    /// `tilt_db` from its lows to its highs.
    pub(super) fn new(seed: u64, seconds: f64, tilt_db: f64) -> Self {
        let frames = (seconds * RATE) as usize;
        let tilted = |signal: &[f64]| Biquad::bell(9000.0, 0.4, tilt_db).filtered(signal);
        let steep =
            |signal: Vec<f64>| Biquad::low_pass(80.0).filtered(&Biquad::low_pass(80.0).filtered(&signal));
        let low = steep(steep(noise(seed, frames, 1.4)));
        let shared = noise(seed + 1, frames, 0.02);
        let high = [2, 3].map(|side| {
            let own = noise(seed + side, frames, 0.012);
            let both: Vec<f64> = own.iter().zip(&shared).map(|(own, shared)| own + shared).collect();
            tilted(&falling(&both))
        });
        // Two beats a second, each dying away within a twentieth of it.
        let every = (0.5 * RATE) as usize;
        let hits = noise(seed + 4, frames, 0.2);
        let hits: Vec<f64> = hits
            .iter()
            .enumerate()
            .map(|(n, x)| x * (-((n % every) as f64) / (0.012 * RATE)).exp())
            .collect();
        Self { low, high, beats: tilted(&falling(&hits)) }
    }

    /// The low end so many times as strong beside the rest, which is made weaker.
    pub(super) fn with_low_end(mut self, times: f64) -> Self {
        let [left, right] = &mut self.high;
        left.iter_mut().chain(right).chain(&mut self.beats).for_each(|x| *x /= times);
        self
    }

    fn frames(&self) -> usize {
        self.low.len()
    }

    /// The low end's right side turned over from one second to another.
    pub(super) fn mixed(&self, turned_s: std::ops::Range<f64>) -> Sound {
        let side = |side: usize| -> Vec<f32> {
            (0..self.frames())
                .map(|n| {
                    let is_turned = side == 1 && turned_s.contains(&(n as f64 / RATE));
                    let low = if is_turned { -self.low[n] } else { self.low[n] };
                    (1.1 * (low + self.high[side][n] + self.beats[n])) as f32
                })
                .collect()
        };
        Sound::stereo(RATE, side(0), side(1))
    }

    /// What differs between the sides of the upper part so many times as strong, and what they share by as much weaker
    /// as keeps its power.
    pub(super) fn spread(mut self, times: f64) -> Sound {
        let halves = |l: &f64, r: &f64| (0.5 * (l + r), 0.5 * (l - r));
        let pairs = || self.high[0].iter().zip(&self.high[1]).map(|(l, r)| halves(l, r));
        let (shared, own) =
            pairs().fold((0.0, 0.0), |(shared, own), (mid, side)| (shared + mid * mid, own + side * side));
        let kept = (1.0 - (times * times - 1.0) * own / shared).max(0.0).sqrt();
        let spread = pairs().map(|(mid, side)| (kept * mid + times * side, kept * mid - times * side));
        let (left, right) = spread.unzip();
        self.high = [left, right];
        self.sound()
    }

    /// From one second to another only the part with the upper middle goes on, at half its level: a breakdown.
    pub(super) fn broken_down(&self, during_s: std::ops::Range<f64>) -> Sound {
        let mut sound = self.sound();
        for n in (0..self.frames()).filter(|n| during_s.contains(&(*n as f64 / RATE))) {
            sound.left[n] = (0.55 * self.high[0][n]) as f32;
            sound.right[n] = (0.55 * self.high[1][n]) as f32;
        }
        sound
    }

    /// From one second to another one part plays by itself, in the middle: a solo of the low end.
    pub(super) fn solo(&self, during_s: std::ops::Range<f64>) -> Sound {
        let mut sound = self.sound();
        for n in (0..self.frames()).filter(|n| during_s.contains(&(*n as f64 / RATE))) {
            let alone = (1.1 * self.low[n]) as f32;
            (sound.left[n], sound.right[n]) = (alone, alone);
        }
        sound
    }

    /// The song as it should be.
    pub(super) fn sound(&self) -> Sound {
        self.mixed(0.0..0.0)
    }
}

/// A bell of so many decibels over both sides.
pub(super) fn bell(sound: &Sound, hertz: f64, q: f64, db: f64) -> Sound {
    sound.by_side(|side| {
        let samples: Vec<f64> = side.iter().map(|x| f64::from(*x)).collect();
        Biquad::bell(hertz, q, db).filtered(&samples).iter().map(|x| *x as f32).collect()
    })
}

/// A limiter on both sides together: nothing comes over `ceiling`; the gain goes back within a tenth of a second. What
/// is limited is first made louder by `drive_db`.
pub(super) fn limited(sound: &Sound, drive_db: f64, ceiling: f64) -> Sound {
    let drive = 10f64.powf(drive_db / 20.0);
    let back = (-1.0 / (0.1 * RATE)).exp();
    let (mut envelope, mut left, mut right) = (0f64, Vec::new(), Vec::new());
    for (l, r) in sound.left.iter().zip(&sound.right) {
        let [l, r] = [l, r].map(|x| drive * f64::from(*x));
        envelope = (envelope * back).max(l.abs()).max(r.abs());
        let gain = (ceiling / envelope).min(1.0);
        left.push((l * gain) as f32);
        right.push((r * gain) as f32);
    }
    Sound::stereo(RATE, left, right)
}

/// What differs between the sides made so many times as strong: 0 is mono.
pub(super) fn widened(sound: &Sound, times: f32) -> Sound {
    let sides = sound.left.iter().zip(&sound.right).map(|(l, r)| (0.5 * (l + r), 0.5 * times * (l - r)));
    let (left, right) = sides.map(|(mid, side)| (mid + side, mid - side)).unzip();
    Sound::stereo(RATE, left, right)
}
