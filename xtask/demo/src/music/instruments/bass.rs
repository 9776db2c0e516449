//! A plucked bass: partials that fade the faster the higher they are.

use rustfft::num_complex::Complex32;

use super::envelope;
use crate::music::{RATE_HZ, frames};

const PARTIALS: usize = 8;
/// Where the string is plucked, as a share of its length: partials with a node there are weak.
const PLUCKED_AT: f32 = 0.22;

/// One note.
pub(crate) fn note(hz: f32, length_s: f64) -> Vec<f32> {
    let rate = RATE_HZ as f32;
    // Each partial turns and shrinks from frame to frame.
    let mut partials: [(Complex32, Complex32); PARTIALS] = std::array::from_fn(|index| {
        let n = (index + 1) as f32;
        let gain = (std::f32::consts::PI * n * PLUCKED_AT).sin().abs() / n.powf(1.2);
        // A real string's partials lie a little high.
        let turns = std::f32::consts::TAU * hz * n * (1.0 + 0.0001 * n * n) / rate;
        let fades = (-(0.8 + 0.6 * n) / rate).exp();
        (Complex32::new(gain, 0.0), Complex32::from_polar(fades, turns))
    });
    (0..frames(length_s))
        .map(|n| {
            let mut sum = 0.0;
            for (partial, step) in &mut partials {
                *partial *= *step;
                sum += partial.im;
            }
            sum * envelope(n as f32 / rate, length_s as f32, 0.004, 0.04)
        })
        .collect()
}
