//! White noise made pink and kept within its band.

use std::f64::consts::{PI, TAU};

use candlemark_analysis::Hertz;

/// The band of EBU Tech 3343 §8.2's reference noise, in hertz.
const BAND_HZ: [f64; 2] = [500.0, 2000.0];

/// Below this rate there is no room for the band's upper edge, in hertz (ours).
const LOWEST_RATE_HZ: f64 = 8000.0;

/// Pole pairs of each edge (ours): so steep that what lies outside the band does not move its level.
const PAIRS: usize = 4;

/// Poles of the slope of −3 dB an octave, in hertz, each with a zero an octave above it (ours): spread evenly over a
/// logarithmic axis and beyond the band on both sides.
const SLOPE_POLES_HZ: [f64; 3] = [176.8, 707.1, 2828.4];

/// Steps in hertz and upper end of the sum that gives the filters' power (ours): the filters let nothing through beyond.
const SUM_STEP_HZ: f64 = 4.0;
const SUM_END_HZ: f64 = 8000.0;

/// Variance of white noise spread evenly within ±1.
const WHITE_POWER: f64 = 1.0 / 3.0;

/// A section of second order, transposed direct form II.
#[derive(Clone, Copy, Debug)]
struct Section {
    above: [f64; 3],
    below: [f64; 2],
    state: [f64; 2],
}

impl Section {
    /// A pair of Butterworth poles at an edge, by the bilinear transform; `warped` is tan(π·edge/rate).
    fn edge(pair: usize, warped: f64, high_pass: bool) -> Self {
        let angle = PI * (2 * pair + 1) as f64 / (4 * PAIRS) as f64;
        let damping = 2.0 * angle.sin() * warped;
        let square = warped * warped;
        let whole = 1.0 + damping + square;
        let top = if high_pass { [1.0, -2.0, 1.0] } else { [square, 2.0 * square, square] };
        Self {
            above: top.map(|part| part / whole),
            below: [2.0 * (square - 1.0) / whole, (1.0 - damping + square) / whole],
            state: [0.0; 2],
        }
    }

    /// (1 + s/zero) / (1 + s/pole) by the bilinear transform, both warped.
    fn slope(pole: f64, zero: f64) -> Self {
        let whole = (1.0 + 1.0 / pole) * zero;
        Self {
            above: [(zero + 1.0) / whole, (zero - 1.0) / whole, 0.0],
            below: [(1.0 - 1.0 / pole) * zero / whole, 0.0],
            state: [0.0; 2],
        }
    }

    fn filter(&mut self, sample: f64) -> f64 {
        let out = self.above[0] * sample + self.state[0];
        self.state[0] = self.above[1] * sample - self.below[0] * out + self.state[1];
        self.state[1] = self.above[2] * sample - self.below[1] * out;
        out
    }

    /// Its gain of power at so many radians a sample.
    fn power(&self, radians: f64) -> f64 {
        let squared = |[first, second, third]: [f64; 3]| {
            let real = first + second * radians.cos() + third * (2.0 * radians).cos();
            let imaginary = second * radians.sin() + third * (2.0 * radians).sin();
            real * real + imaginary * imaginary
        };
        squared(self.above) / squared([1.0, self.below[0], self.below[1]])
    }
}

/// The filters of the noise, and the gain that brings them to a level.
#[derive(Clone, Debug)]
pub(super) struct Band {
    sections: [Section; 2 * PAIRS + SLOPE_POLES_HZ.len()],
    gain: f64,
}

impl Band {
    /// The filters that make white noise within ±1 the noise of an rms. `None` at a rate that has no room for the band.
    /// Not for the audio thread: it takes long.
    pub(super) fn new(sample_rate: Hertz, rms: f64) -> Option<Self> {
        let rate = sample_rate.0;
        if !(LOWEST_RATE_HZ..f64::INFINITY).contains(&rate) {
            return None;
        }
        // The slope's upper corners stay below half the rate.
        let warped = |hz: f64| (PI * hz.min(0.49 * rate) / rate).tan();
        let sections = std::array::from_fn(|index| match index.checked_sub(2 * PAIRS) {
            Some(slope) => {
                let pole = SLOPE_POLES_HZ[slope];
                Section::slope(warped(pole), warped(2.0 * pole))
            }
            None => Section::edge(index % PAIRS, warped(BAND_HZ[index / PAIRS]), index < PAIRS),
        });
        let mut band = Self { sections, gain: 1.0 };
        // White noise has its power spread evenly up to half the rate.
        let share = band.sum_of_powers(rate) * SUM_STEP_HZ / (0.5 * rate);
        band.gain = rms / (WHITE_POWER * share).sqrt();
        Some(band)
    }

    fn sum_of_powers(&self, rate: f64) -> f64 {
        let steps = (SUM_END_HZ.min(0.5 * rate) / SUM_STEP_HZ) as u32;
        (1..steps).map(|step| self.power(TAU * SUM_STEP_HZ * f64::from(step) / rate)).sum()
    }

    fn power(&self, radians: f64) -> f64 {
        self.sections.iter().map(|section| section.power(radians)).product()
    }

    /// Forgets what went through.
    pub(super) fn clear(&mut self) {
        for section in &mut self.sections {
            section.state = [0.0; 2];
        }
    }

    /// The noise's next sample.
    pub(super) fn filter(&mut self, white: f64) -> f64 {
        self.gain * self.sections.iter_mut().fold(white, |sample, section| section.filter(sample))
    }
}
