//! A steel-strung guitar: strings that are plucked (Karplus and Strong 1983; tuned as in Jaffe and Smith 1983).

use std::collections::HashMap;

use candlemark_tests::signals::Noise;

use super::super::filters::{HighPass, LowPass};
use super::{envelope, hz};
use crate::music::{RATE_HZ, frames};

/// Where a string is plucked, as a share of its length.
const PLUCKED_AT: f32 = 0.17;
/// No string rings for longer, in seconds.
const LONGEST_S: f64 = 5.2;
/// Of each note there are so many takes, which differ in pitch and in how they are plucked.
const TAKES: usize = 6;

/// The strings that have been plucked so far.
#[derive(Default)]
pub(crate) struct Guitar {
    rung: HashMap<(i32, usize), Vec<f32>>,
    plucked: usize,
}

impl Guitar {
    /// A string that is plucked, and stopped after a time.
    pub(crate) fn string(&mut self, note: i32, length_s: f64, noise: &mut Noise) -> Vec<f32> {
        self.plucked += 1;
        let rung = self.rung.entry((note, self.plucked % TAKES)).or_insert_with(|| {
            let cents = 2.5 * noise.even();
            ringing(hz(f64::from(note) + cents / 100.0), 0.55 + 0.1 * noise.even() as f32, noise)
        });
        let stopped = rung.iter().take(frames(length_s)).enumerate();
        stopped.map(|(n, x)| x * envelope(n as f32 / RATE_HZ as f32, length_s as f32, 0.0005, 0.06)).collect()
    }
}

/// A string that is left to ring.
fn ringing(hz: f32, brightness: f32, noise: &mut Noise) -> Vec<f32> {
    // The loop's low-pass, an average of two neighbours, delays by half a frame.
    let period = RATE_HZ as f32 / hz - 0.5;
    let whole = (period - 0.2).floor();
    let rest = period - whole;
    let allpass = (1.0 - rest) / (1.0 + rest);
    let mut string = plucked(whole as usize, brightness, noise);
    // Low strings ring for longer.
    let rings_s = 2.6 * (110.0 / hz).powf(0.4);
    let loss = 10f32.powf(-3.0 / (hz * rings_s));
    let (mut before, mut x_before, mut y_before) = (0.0, 0.0, 0.0);
    let mut body = HighPass::new(90.0);
    let length = string.len();
    (0..frames(LONGEST_S))
        .map(|n| {
            let out = string[n % length];
            let soft = loss * f32::midpoint(out, before);
            before = out;
            let y = allpass * (soft - y_before) + x_before;
            (x_before, y_before) = (soft, y);
            string[n % length] = y;
            body.next(out)
        })
        .collect()
}

/// The string at the moment in which the finger leaves it.
fn plucked(length: usize, brightness: f32, noise: &mut Noise) -> Vec<f32> {
    let mut soft = LowPass::new(900.0 + 7000.0 * f64::from(brightness));
    let burst: Vec<f32> = (0..2 * length).map(|_| soft.next(noise.even() as f32)).skip(length).collect();
    let apart = ((length as f32 * PLUCKED_AT) as usize).max(1);
    (0..length).map(|n| burst[n] - burst[(n + length - apart) % length]).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::music::spectrum::Spectrum;
    use crate::music::stereo::Stereo;

    #[test]
    fn a_string_is_in_tune() {
        for note in [40, 52, 64, 71] {
            let hz = hz(f64::from(note));
            let string = ringing(hz, 0.5, &mut Noise::new(5));
            let spectrum = Spectrum::of(&Stereo { left: string.clone(), right: string });
            // Half a half tone to either side: of the partial itself, as much lies below the note as above.
            let hz = f64::from(hz);
            let (below, above) = (spectrum.power(hz * 0.97, hz), spectrum.power(hz, hz * 1.03));
            let share = below / (below + above);
            assert!((0.25..=0.75).contains(&share), "note {note}: {share} of it lies below");
        }
    }
}
