//! Signals made from their definitions.

use std::f64::consts::{PI, TAU};

/// Amplitude of a level in dBFS; full scale is 1.
pub fn amplitude(dbfs: f64) -> f64 {
    10f64.powf(dbfs / 20.0)
}

/// The mean power of samples in dB; full scale is 1.
pub fn level_db(samples: &[f32]) -> f64 {
    let squares: f64 = samples.iter().map(|&sample| f64::from(sample).powi(2)).sum();
    10.0 * (squares / samples.len() as f64).log10()
}

/// A sine of `hertz` whose level (dBFS, peak) changes from segment to segment while its phase goes on; a
/// segment is its length in seconds and its level, −∞ for silence. Lengths are rounded to whole frames from
/// the signal's start.
pub fn tone_segments(rate: f64, hertz: f64, segments: &[(f64, f64)]) -> Vec<f32> {
    let mut out = Vec::new();
    let mut end_s = 0.0;
    for &(seconds, dbfs) in segments {
        end_s += seconds;
        let level = amplitude(dbfs);
        let end = (end_s * rate).round() as usize;
        out.extend((out.len()..end).map(|n| (level * (TAU * hertz * n as f64 / rate).sin()) as f32));
    }
    out
}

/// A sine of `hertz` at `dbfs` peak, with `degrees` of phase at its first frame.
pub fn sine(rate: f64, hertz: f64, dbfs: f64, degrees: f64, seconds: f64) -> Vec<f32> {
    let (level, phase) = (amplitude(dbfs), degrees.to_radians());
    let frames = (seconds * rate).round() as usize;
    (0..frames).map(|n| (level * (TAU * hertz * n as f64 / rate + phase).sin()) as f32).collect()
}

/// Frames over which [`add_sine`] turns one exact phase: few enough for what they need to stay in the cache.
const TURNED: usize = 64;

/// Adds a sine of `hertz` and `amplitude`, with `degrees` of phase at the first frame. The phase is exact every
/// 64 frames and turned in between, so that sounds of hundreds of sines are made in no time.
pub fn add_sine(sum: &mut [f64], rate: f64, hertz: f64, amplitude: f64, degrees: f64) {
    let turn = |n: usize| TAU * hertz * n as f64 / rate;
    let turn_sin: [f64; TURNED] = std::array::from_fn(|n| turn(n).sin());
    let turn_cos: [f64; TURNED] = std::array::from_fn(|n| turn(n).cos());
    for (block, sum) in sum.chunks_mut(TURNED).enumerate() {
        let cycles = hertz * (block * TURNED) as f64 / rate;
        let (sin, cos) = (TAU * cycles.fract() + degrees.to_radians()).sin_cos();
        let (sin, cos) = (amplitude * sin, amplitude * cos);
        for ((sum, turn_sin), turn_cos) in sum.iter_mut().zip(&turn_sin).zip(&turn_cos) {
            *sum += sin * turn_cos + cos * turn_sin;
        }
    }
}

/// One line of a sound that is made of sines.
#[derive(Clone, Copy, Debug)]
pub struct Line {
    /// Its frequency in Hz.
    pub hertz: f64,
    /// Its phase at the first frame.
    pub degrees: f64,
}

/// Sines that all have the same `amplitude`.
pub fn sum_of_sines(rate: f64, amplitude: f64, lines: &[Line], seconds: f64) -> Vec<f32> {
    let mut sum = vec![0f64; (seconds * rate).round() as usize];
    for line in lines {
        add_sine(&mut sum, rate, line.hertz, amplitude, line.degrees);
    }
    sum.into_iter().map(|x| x as f32).collect()
}

/// Fades the first and the last 10 ms linearly.
pub fn faded(mut signal: Vec<f32>, rate: f64) -> Vec<f32> {
    let length = (0.01 * rate).round() as usize;
    let last = signal.len() - 1;
    for i in 0..length.min(signal.len() / 2) {
        let gain = i as f32 / length as f32;
        signal[i] *= gain;
        signal[last - i] *= gain;
    }
    signal
}

/// EBU Tech 3341 v4 cases 20 to 23: a sine of rate/6 at half of full scale that contains one period of rate/4
/// at full scale, phase going on at both seams; made at four times the rate, low-passed at half the rate, and
/// decimated with `offset` frames at four times the rate.
pub fn inter_sample_burst(rate: f64, offset: usize) -> Vec<f32> {
    const BASE_PERIOD: usize = 24;
    const BURST_PERIOD: usize = 16;
    let half = (0.25 * rate) as usize / 6 * BASE_PERIOD;
    let base = |n: usize| 0.5 * (TAU * n as f64 / BASE_PERIOD as f64).sin();
    let burst = |n: usize| (TAU * n as f64 / BURST_PERIOD as f64).sin();
    let fine: Vec<f64> =
        (0..half).map(base).chain((0..BURST_PERIOD).map(burst)).chain((0..half).map(base)).collect();
    // A low-pass of 1023 taps at half the lower rate, Kaiser window with beta 10.
    let taps: Vec<f64> = (-511..=511)
        .map(|k| {
            let x = f64::from(k) / 4.0;
            let sinc = if k == 0 { 1.0 } else { (PI * x).sin() / (PI * x) };
            sinc / 4.0 * kaiser(10.0, f64::from(k) / 511.5)
        })
        .collect();
    let filtered = |centre: usize| -> f64 {
        taps.iter()
            .enumerate()
            .filter_map(|(k, tap)| (centre + 511).checked_sub(k).and_then(|i| fine.get(i)).map(|x| tap * x))
            .sum()
    };
    let signal = (offset..fine.len()).step_by(4).map(|n| filtered(n) as f32).collect();
    faded(signal, rate)
}

fn kaiser(beta: f64, x: f64) -> f64 {
    let bessel = |x: f64| -> f64 {
        let (mut term, mut sum) = (1.0, 1.0);
        for k in 1..60 {
            term *= (x / 2.0 / f64::from(k)).powi(2);
            sum += term;
        }
        sum
    };
    bessel(beta * (1.0 - x * x).max(0.0).sqrt()) / bessel(beta)
}

/// Noise that is the same at every run.
#[derive(Clone)]
pub struct Noise(u64);

impl Noise {
    /// Noise from a seed.
    pub fn new(seed: u64) -> Self {
        Self(seed.wrapping_mul(0x9E37_79B9_7F4A_7C15) | 1)
    }

    /// Evenly distributed from −1 to 1 (xorshift64*, Vigna 2016).
    pub fn even(&mut self) -> f64 {
        self.0 ^= self.0 >> 12;
        self.0 ^= self.0 << 25;
        self.0 ^= self.0 >> 27;
        let bits = self.0.wrapping_mul(0x2545_F491_4F6C_DD1D) >> 11;
        bits as f64 / (1u64 << 52) as f64 - 1.0
    }

    /// White noise, Gaussian, of standard deviation `deviation`.
    pub fn gaussian(&mut self, deviation: f64) -> f64 {
        // Box and Muller 1958.
        let radius = (-2.0 * (0.5 * (self.even() + 1.0)).max(1e-300).ln()).sqrt();
        deviation * radius * (PI * self.even()).cos()
    }

    /// White Gaussian noise.
    pub fn white(&mut self, frames: usize, deviation: f64) -> Vec<f32> {
        (0..frames).map(|_| self.gaussian(deviation) as f32).collect()
    }
}
