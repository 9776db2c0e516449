//! How the host has set the plugin up.

use candlemark_analysis::{Channels, Hertz};

use crate::ring::Record;
use crate::words::{WordReader, WordWriter, bit, bits};

/// Words of an activation: number, sample rate (2), flags.
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
    /// Whether sound is measured: not at a sample rate outside
    /// [`candlemark_analysis::Analyzer::RATES`]. It passes all the same.
    pub measured: bool,
}

impl Activation {
    /// What a tape holds before its host has set the plugin up.
    pub(crate) const NONE: Self =
        Self { number: 0, sample_rate: Hertz(0.0), channels: Channels::Stereo, measured: false };

    /// Two channels.
    pub fn is_stereo(&self) -> bool {
        self.channels == Channels::Stereo
    }

    pub(crate) fn write<const W: usize>(&self, words: &mut WordWriter<W>) {
        words.u32(self.number);
        words.f64(self.sample_rate.0);
        words.u32(bits(&[self.channels == Channels::Mono, self.measured]));
    }

    pub(crate) fn read(words: &mut WordReader<'_>) -> Self {
        let number = words.u32();
        let sample_rate = Hertz(words.f64());
        let flags = words.u32();
        Self { number, sample_rate, channels: channels(bit(flags, 0)), measured: bit(flags, 1) }
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
    fn every_field_comes_back() {
        for (number, rate, channels, measured) in [
            (1, 44_100.0, Channels::Stereo, true),
            (u32::MAX, 48_000.0 / 1.001, Channels::Mono, true),
            (7, 768_000.0, Channels::Mono, false),
        ] {
            let activation = Activation { number, sample_rate: Hertz(rate), channels, measured };
            assert_eq!(Activation::from_words(&activation.to_words()), activation);
        }
    }
}
