//! What a sound measures by other means than the project's own: levels by Fourier transform.

use rustfft::FftPlanner;
use rustfft::num_complex::Complex;

/// The mean power of a sound over frequency.
pub struct Spectrum {
    /// Power in each bin, full scale ±1 being 1.
    pub bins: Vec<f64>,
    /// How far bins lie apart.
    apart_hz: f64,
}

impl Spectrum {
    /// Welch's method: half-overlapping stretches of so many frames in Hann's window.
    pub fn of(samples: &[f32], rate: f64, stretch: usize) -> Self {
        let window: Vec<f64> = (0..stretch)
            .map(|n| (std::f64::consts::PI * (n as f64 + 0.5) / stretch as f64).sin().powi(2))
            .collect();
        let of_window: f64 = window.iter().map(|share| share * share).sum();
        let transform = FftPlanner::new().plan_fft_forward(stretch);
        let mut bins = vec![0.0; stretch / 2];
        let stretches = samples.windows(stretch).step_by(stretch / 2);
        let count = stretches.len() as f64;
        for samples in stretches {
            let mut turned: Vec<Complex<f64>> =
                samples.iter().zip(&window).map(|(&x, w)| Complex::new(f64::from(x) * w, 0.0)).collect();
            transform.process(&mut turned);
            for (bin, turned) in bins.iter_mut().zip(&turned) {
                // Both halves of the transform hold the same.
                *bin += 2.0 * turned.norm_sqr() / (stretch as f64 * of_window * count);
            }
        }
        Self { bins, apart_hz: rate / stretch as f64 }
    }

    fn hertz(&self, bin: usize) -> f64 {
        bin as f64 * self.apart_hz
    }

    /// Level of a third octave of this base-ten number (IEC 61260-1:2014, 5.2 to 5.5: 30 is 1 kHz), in dB.
    pub fn third_octave_db(&self, number: i32) -> f64 {
        let edge = |tenths: f64| 10f64.powf(tenths / 10.0);
        let [low, high] = [f64::from(number) - 0.5, f64::from(number) + 0.5].map(edge);
        let within = (0..self.bins.len()).filter(|&bin| (low..high).contains(&self.hertz(bin)));
        10.0 * within.map(|bin| self.bins[bin]).sum::<f64>().log10()
    }

    /// A-weighted level, in dB.
    pub fn a_weighted_db(&self) -> f64 {
        let weighted = self.bins.iter().enumerate().skip(1);
        10.0 * weighted.map(|(bin, power)| power * a_weight(self.hertz(bin))).sum::<f64>().log10()
    }
}

/// What A-weighting makes of a power at this frequency: the formula of IEC 61672-1:2013, Annex E, with the pole frequencies
/// given there, from memory.
pub fn a_weight(hertz: f64) -> f64 {
    let of = |hertz: f64| {
        let square = hertz * hertz;
        let [f1, f2, f3, f4] = [20.60, 107.7, 737.9, 12_194.0].map(|pole: f64| pole * pole);
        f4 * square * square / ((square + f1) * ((square + f2) * (square + f3)).sqrt() * (square + f4))
    };
    (of(hertz) / of(1000.0)).powi(2)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::signals::sine;

    #[test]
    fn a_sine_has_its_level_in_its_third_octave_and_the_standard_s_weight() {
        // IEC 61672-1:2013, Table 3: A-weighting at 100 Hz, 1 kHz and 8 kHz (from memory).
        for (number, hertz, weight_db) in [(20, 100.0, -19.1), (30, 1000.0, 0.0), (39, 7940.0, -1.1)] {
            let spectrum = Spectrum::of(&sine(48_000.0, hertz, -20.0, 0.0, 2.0), 48_000.0, 4800);
            let level = spectrum.third_octave_db(number);
            assert!((level + 23.01).abs() < 0.01, "{hertz} Hz: {level} dB");
            let weighted = spectrum.a_weighted_db() - level;
            assert!((weighted - weight_db).abs() < 0.06, "{hertz} Hz: {weighted} dB");
        }
    }
}
