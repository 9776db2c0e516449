//! A whole stereo sound as one spectrum, and back: each side is one part of complex numbers, which a gain that is the same
//! up and down leaves apart.

use rustfft::FftPlanner;
use rustfft::num_complex::Complex32;

use super::RATE_HZ;
use super::stereo::Stereo;

/// The spectrum of a whole sound.
pub(crate) struct Spectrum {
    bins: Vec<Complex32>,
    frames: usize,
}

impl Spectrum {
    pub(crate) fn of(sound: &Stereo) -> Self {
        let frames = sound.left.len();
        // Silence behind it, so that what rings before the start does not end up at the end.
        let length = fast_length(frames + frames / 64);
        let pairs = sound.left.iter().zip(&sound.right);
        let mut bins: Vec<Complex32> = pairs.map(|(left, right)| Complex32::new(*left, *right)).collect();
        bins.resize(length, Complex32::default());
        FftPlanner::new().plan_fft_forward(length).process(&mut bins);
        Self { bins, frames }
    }

    /// Frequencies of the bins, in Hz.
    fn hz(length: usize) -> impl Iterator<Item = f64> {
        (0..length).map(move |bin| bin.min(length - bin) as f64 * RATE_HZ / length as f64)
    }

    /// Power of both sides together from one frequency to another, as a sum over bins.
    pub(crate) fn power(&self, from_hz: f64, to_hz: f64) -> f64 {
        let length = self.bins.len();
        let bin = |hz: f64| ((hz * length as f64 / RATE_HZ).ceil() as usize).min(length / 2);
        let (from, to) = (bin(from_hz).max(1), bin(to_hz));
        (from..to)
            .map(|n| f64::from(self.bins[n].norm_sqr()) + f64::from(self.bins[length - n].norm_sqr()))
            .sum()
    }

    /// The sound through a filter of this gain (a factor of amplitude, by frequency in Hz) and no delay at any frequency.
    pub(crate) fn filtered(&self, gain: impl Fn(f64) -> f32) -> Stereo {
        let length = self.bins.len();
        let mut bins: Vec<Complex32> =
            self.bins.iter().zip(Self::hz(length)).map(|(bin, hz)| bin * gain(hz)).collect();
        FftPlanner::new().plan_fft_inverse(length).process(&mut bins);
        let whole = 1.0 / length as f32;
        let frames = &bins[..self.frames];
        Stereo {
            left: frames.iter().map(|frame| frame.re * whole).collect(),
            right: frames.iter().map(|frame| frame.im * whole).collect(),
        }
    }
}

/// The next length of small factors, which transforms fast.
fn fast_length(at_least: usize) -> usize {
    let powers = |base: usize| (0..).map(move |n| base.pow(n)).take_while(move |power| *power <= 27);
    let lengths = powers(3).flat_map(|three| powers(5).map(move |five| three * five));
    lengths.map(|odd| odd * at_least.div_ceil(odd).next_power_of_two()).min().unwrap_or(at_least)
}
