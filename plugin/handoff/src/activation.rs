//! How the host has set the plugin up.

use candlemark_analysis::{Analyzer, Channels, Hertz};

use crate::ring::Record;
use crate::words::{WordReader, WordWriter};

/// Words of an activation: number, sample rate (2), and whether it is mono.
pub(crate) const ACTIVATION_WORDS: usize = 4;

/// One setting-up of the plugin by its host: from here on sample rate and channels stay as they are.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Activation {
    /// Which activation of this tape, counted from 1; 0 before the first.
    pub number: u32,
    /// The host's sample rate.
    pub sample_rate: Hertz,
    /// One channel or two.
    pub channels: Channels,
}

impl Activation {
    /// What a tape holds before its host has set the plugin up.
    pub(crate) const NONE: Self = Self { number: 0, sample_rate: Hertz(0.0), channels: Channels::Stereo };

    /// Two channels.
    pub fn is_stereo(&self) -> bool {
        self.channels == Channels::Stereo
    }

    /// Whether sound is measured: not at a sample rate outside [`Analyzer::RATES`]. It passes all the same.
    pub fn is_measured(&self) -> bool {
        Analyzer::RATES.contains(&self.sample_rate.0)
    }

    pub(crate) fn write<const W: usize>(&self, words: &mut WordWriter<W>) {
        words.u32(self.number);
        words.f64(self.sample_rate.0);
        words.u32(u32::from(self.channels == Channels::Mono));
    }

    pub(crate) fn read(words: &mut WordReader<'_>) -> Self {
        Self { number: words.u32(), sample_rate: Hertz(words.f64()), channels: channels(words.u32() == 1) }
    }
}

pub(crate) fn channels(mono: bool) -> Channels {
    if mono { Channels::Mono } else { Channels::Stereo }
}

impl Record<ACTIVATION_WORDS> for Activation {
    fn to_words(&self) -> [u32; ACTIVATION_WORDS] {
        let mut words = WordWriter::new();
        self.write(&mut words);
        words.finish()
    }

    fn from_words(words: &[u32; ACTIVATION_WORDS]) -> Self {
        Self::read(&mut WordReader::new(words))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_field_comes_back_and_with_the_rate_whether_sound_is_measured() {
        for (number, rate, channels, measured) in [
            (1, 44_100.0, Channels::Stereo, true),
            (u32::MAX, 48_000.0 / 1.001, Channels::Mono, true),
            (7, 768_000.0, Channels::Mono, false),
        ] {
            let activation = Activation { number, sample_rate: Hertz(rate), channels };
            assert_eq!(Activation::from_words(&activation.to_words()), activation);
            assert_eq!(activation.is_measured(), measured);
        }
    }
}
