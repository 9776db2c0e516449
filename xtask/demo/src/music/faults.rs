//! The faults that are planted in the mix.

use super::RATE_HZ;
use super::spectrum::Spectrum;
use super::stereo::Stereo;

/// Below this the sides are turned against each other, in Hz.
pub const LOW_END_HZ: f64 = 125.0;
/// The upper mids, in Hz: the nominal frequencies of the lowest and the highest third octave that is too bright.
pub const UPPER_MIDS_HZ: [f64; 2] = [2000.0, 6300.0];
/// By so much they are lifted, in dB. The loudness rises with them: at matched loudness it is less.
pub const UPPER_MIDS_DB: f64 = 7.5;
/// By so much the mix is driven further into its limiter than the records are, in dB of loudness.
pub const DRIVEN_DB: f64 = 3.5;

/// The crossover at the low end, from where it begins to where it ends, in Hz: what is turned round ends in the third octave
/// below 125 Hz.
const CROSSOVER_HZ: [f64; 2] = [104.0, 120.0];
/// The way from one polarity to the other, in seconds.
const TURN_S: f64 = 0.25;

/// What the upper mids gain, by frequency in Hz, in dB: even over the bands, gone a sixth of an octave beyond them.
pub(crate) fn too_bright_db(hz: f64) -> f64 {
    let sixth = 2f64.powf(1.0 / 6.0);
    let beyond = [UPPER_MIDS_HZ[0] / sixth / hz, hz / (UPPER_MIDS_HZ[1] * sixth)]
        .map(|ratio| ratio.max(1e-9).log2() * 6.0)
        .into_iter()
        .fold(f64::NEG_INFINITY, f64::max);
    UPPER_MIDS_DB * eased(1.0 - beyond)
}

/// Turns the right side's low end upside down from a time on.
pub(crate) fn turn_low_end(sound: &mut Stereo, from_s: f64) {
    let [begins_hz, ends_hz] = CROSSOVER_HZ;
    let low = Spectrum::of(sound).filtered(|hz| eased((ends_hz - hz) / (ends_hz - begins_hz)) as f32);
    for (n, (right, low)) in sound.right.iter_mut().zip(&low.right).enumerate() {
        let t = n as f64 / RATE_HZ;
        *right -= 2.0 * eased((t - from_s) / TURN_S + 0.5) as f32 * low;
    }
}

/// From 0 to 1, without corners.
fn eased(share: f64) -> f64 {
    let share = share.clamp(0.0, 1.0);
    share * share * (3.0 - 2.0 * share)
}
