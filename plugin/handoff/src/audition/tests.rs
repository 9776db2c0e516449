//! What the tests of the auditions share, and that each has its number.

use candlemark_analysis::Hertz;

use super::*;
use crate::Gain;

pub(super) const RATE: Hertz = Hertz(48_000.0);
/// 10 ms: a block, and the length of a ramp.
pub(super) const BLOCK: usize = 480;

pub(super) fn sound(audition: Audition) -> Sound {
    Sound { audition, gain: Gain::UNITY, at_once: false }
}

/// A fader as an activation leaves it.
pub(super) fn ready() -> Fader {
    let mut fader = Fader::default();
    fader.prepare(RATE);
    fader
}

/// The largest step between neighbouring samples.
pub(super) fn largest_step(samples: &[f32]) -> f32 {
    samples.windows(2).map(|pair| (pair[1] - pair[0]).abs()).fold(0.0, f32::max)
}

#[test]
fn every_audition_has_its_number() {
    for (number, audition) in Audition::ALL.into_iter().enumerate() {
        assert_eq!(audition.number(), number);
        assert_eq!(Audition::of_number(number as u64), audition);
    }
    assert_eq!(Audition::of_number(9), Audition::Off);
    assert_eq!(Audition::of_number(u64::MAX), Audition::Off);
}
