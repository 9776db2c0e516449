//! The auditions: what may be played instead of the song, and what becomes of its samples then.

mod fader;
mod noise;
mod release;

pub use fader::Fader;
use fader::Mix;
pub use noise::{NOISE_A_WEIGHTED_DB, NOISE_LONGEST_S};
pub use release::{BEAT_LATE_MS, LONGEST_S, Moment, Release, Sound};

use crate::Gain;

/// What is played while a person holds it.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum Audition {
    /// The song, bit for bit.
    #[default]
    Off,
    /// The mono sum (L+R)/2 from both speakers.
    MonoBoth,
    /// The mono sum from the left speaker, the right one silent.
    MonoLeftSpeaker,
    /// The mono sum from the right speaker, the left one silent.
    MonoRightSpeaker,
    /// The left channel from both speakers.
    Left,
    /// The right channel from both speakers.
    Right,
    /// The difference (L−R)/2 from both speakers: what the mono sum leaves out.
    Difference,
    /// The calibration noise from the left speaker, the right one silent; the song is not heard.
    NoiseLeftSpeaker,
    /// The calibration noise from the right speaker, the left one silent; the song is not heard.
    NoiseRightSpeaker,
}

impl Audition {
    /// Every audition, in the order of their numbers; `Off` is the first.
    pub const ALL: [Self; 9] = [
        Self::Off,
        Self::MonoBoth,
        Self::MonoLeftSpeaker,
        Self::MonoRightSpeaker,
        Self::Left,
        Self::Right,
        Self::Difference,
        Self::NoiseLeftSpeaker,
        Self::NoiseRightSpeaker,
    ];

    /// Whether it is the calibration noise, which is only ever held, and only while the transport stands.
    pub fn is_noise(self) -> bool {
        matches!(self, Self::NoiseLeftSpeaker | Self::NoiseRightSpeaker)
    }

    /// Its place in [`Audition::ALL`].
    pub(crate) fn number(self) -> usize {
        self as usize
    }

    /// The audition of a number; `Off` for a number that none has.
    pub(crate) fn of_number(number: u64) -> Self {
        Self::ALL.get(number as usize).copied().unwrap_or(Self::Off)
    }
}

/// Plays an audition in place of the samples. `Off` leaves them as they are, whatever the gain; the noise leaves silence,
/// which [`noise::Noise`] fills.
///
/// # Realtime safety
///
/// One pass over the samples; nothing is allocated.
pub(crate) fn apply(audition: Audition, gain: Gain, left: &mut [f32], right: &mut [f32]) {
    if audition == Audition::Off {
        return;
    }
    let mix = Mix::of(audition, gain);
    left.iter_mut().zip(right).for_each(|(l, r)| mix.play(l, r));
}

#[cfg(test)]
mod tests {
    use super::*;

    const LEFT: [f32; 4] = [1.0, -0.5, 0.25, 0.0];
    const RIGHT: [f32; 4] = [0.5, 0.5, -0.75, 1.0];

    fn played(audition: Audition, gain: Gain) -> ([f32; 4], [f32; 4]) {
        let (mut left, mut right) = (LEFT, RIGHT);
        apply(audition, gain, &mut left, &mut right);
        (left, right)
    }

    #[test]
    fn each_audition_is_what_it_says() {
        let sum = [0.75, 0.0, -0.25, 0.5];
        let difference = [0.25, -0.5, 0.5, -0.5];
        let silence = [0.0; 4];
        for (audition, expected) in [
            (Audition::Off, (LEFT, RIGHT)),
            (Audition::MonoBoth, (sum, sum)),
            (Audition::MonoLeftSpeaker, (sum, silence)),
            (Audition::MonoRightSpeaker, (silence, sum)),
            (Audition::Left, (LEFT, LEFT)),
            (Audition::Right, (RIGHT, RIGHT)),
            (Audition::Difference, (difference, difference)),
            (Audition::NoiseLeftSpeaker, (silence, silence)),
            (Audition::NoiseRightSpeaker, (silence, silence)),
        ] {
            assert_eq!(played(audition, Gain::UNITY), expected, "{audition:?}");
        }
    }

    #[test]
    fn the_gain_is_a_factor_of_every_audition() {
        // Powers of two, so that the factor is exact.
        for factor in [0.0, 0.5, 2.0] {
            for audition in Audition::ALL.into_iter().filter(|audition| *audition != Audition::Off) {
                let (left, right) = played(audition, Gain::UNITY);
                let expected = (left.map(|l| l * factor), right.map(|r| r * factor));
                assert_eq!(played(audition, Gain::of_amplitude(factor)), expected, "{audition:?}");
            }
        }
    }

    #[test]
    fn off_leaves_every_bit_whatever_the_gain() {
        let odd = [f32::NAN, -f32::NAN, f32::INFINITY, -0.0, f32::MIN_POSITIVE / 8.0, 1e30, -1.0];
        for factor in [0.0, 0.3, 2.0] {
            let (mut left, mut right) = (odd, odd);
            right.reverse();
            let before = (left.map(f32::to_bits), right.map(f32::to_bits));
            apply(Audition::Off, Gain::of_amplitude(factor), &mut left, &mut right);
            assert_eq!((left.map(f32::to_bits), right.map(f32::to_bits)), before);
        }
    }

    #[test]
    fn two_channels_at_the_end_of_the_range_do_not_overflow() {
        let (mut left, mut right) = ([f32::MAX], [f32::MAX]);
        apply(Audition::MonoBoth, Gain::UNITY, &mut left, &mut right);
        assert_eq!((left, right), ([f32::MAX], [f32::MAX]));
    }

    #[test]
    fn one_side_alone_is_not_spoilt_by_the_other() {
        let (mut left, mut right) = ([0.5], [f32::NAN]);
        apply(Audition::Left, Gain::UNITY, &mut left, &mut right);
        assert_eq!((left, right), ([0.5], [0.5]));
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
}
