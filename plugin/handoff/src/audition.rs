//! The auditions: what may be played instead of the song, and what becomes of its samples then.

mod fader;
mod noise;
mod release;

pub use fader::Fader;
pub use noise::{NOISE_A_WEIGHTED_DB, NOISE_LONGEST_S};
pub use release::{BEAT_LATE_MS, LONGEST_S, Moment, Release, Sound};

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

#[cfg(all(test, not(loom)))]
mod tests;
