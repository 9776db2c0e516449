//! A concertina: free reeds, two to a note, a little out of tune with each other.

use super::super::filters::{HighPass, LowPass};
use super::{Saw, envelope};
use crate::music::{RATE_HZ, frames};

/// One reed of a note. `cents` is how far it lies beside the note; over its last `lets_go_s` it fades.
pub(crate) fn reed(hz: f32, cents: f32, length_s: f64, lets_go_s: f64) -> Vec<f32> {
    let rate = RATE_HZ as f32;
    let hz = hz * 2f32.powf(cents / 1200.0);
    // Two reeds never begin together.
    let mut saw = Saw::new((cents * 0.37).rem_euclid(1.0));
    let mut soft = [LowPass::new(1500.0), LowPass::new(4200.0)];
    let mut low_cut = HighPass::new(160.0);
    (0..frames(length_s))
        .map(|n| {
            let t = n as f32 / rate;
            // The arm at the bellows is not quite even.
            let breath = 1.0 + 0.05 * (((t * 0.7 + cents).fract() - 0.5).abs() - 0.25);
            // The bellows open: a note grows while it is held.
            let grows = 0.75 + 0.25 * (t / length_s as f32);
            let raw = saw.next(hz);
            let rounded = 0.7 * soft[0].next(raw) + 0.3 * soft[1].next(raw);
            low_cut.next(rounded) * breath * grows * envelope(t, length_s as f32, 0.07, lets_go_s as f32)
        })
        .collect()
}
