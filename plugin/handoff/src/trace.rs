//! What a reading leaves on the tape for four hours: enough for the song strip and for the places of overs.

use candlemark_analysis::{Channels, Power, Reading};

use crate::activation::channels;
use crate::levels::{
    amplitude_of_level, level_of_amplitude, level_of_power, power_of_level, seconds_of_ticks,
    ticks_of_seconds,
};
use crate::ring::Record;
use crate::words::{WordReader, WordWriter, bit, bits};

/// Words of a trace:
///
/// | word | bits 0–15 | bits 16–31 |
/// |---|---|---|
/// | 0 | frames | clipped runs (16–23), non-finite samples (24–31), each 255 at most |
/// | 1 | pass (0–23) | offline (24), pre-roll (25), mono (26) |
/// | 2 | song position in 0.1 ms, signed | |
/// | 3 | K-weighted left | K-weighted right |
/// | 4 | K-weighted mono fold | short-term |
/// | 5 | true peak | sample peak |
///
/// Levels are in 1/100 dB.
pub(crate) const TRACE_WORDS: usize = 6;

/// The largest number that fits into a trace's or a cell's 24 bits of pass.
pub(crate) const MAX_PASS: u32 = (1 << 24) - 1;

/// A [`Reading`] in 24 bytes. Levels are within 0.005 dB and lie between −327.67 and +327.67 dB; positions are
/// within 0.05 ms.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Trace {
    /// One channel or two.
    pub channels: Channels,
    /// Length of the chunk in frames.
    pub frames: u32,
    /// Number of the pass, counted from 1 for this tape; 0 when no pass runs.
    pub pass: u32,
    /// Song position of the chunk's end, in seconds.
    pub song_s: f64,
    /// The host says that it renders offline.
    pub offline: bool,
    /// The host plays its pre-roll.
    pub preroll: bool,
    /// K-weighted powers of the chunk.
    pub weighted: Power,
    /// K-weighted power, summed over channels, of the last 3 s.
    pub short_term: f64,
    /// True peak of the chunk, as an amplitude.
    pub true_peak: f32,
    /// Largest sample of the chunk, as an amplitude.
    pub sample_peak: f32,
    /// Clipped runs in the chunk, 255 at most.
    pub clipped_runs: u8,
    /// Samples of the chunk that were NaN, infinite or beyond ±10⁶, 255 at most.
    pub non_finite: u8,
}

impl From<&Reading> for Trace {
    fn from(reading: &Reading) -> Self {
        Self {
            channels: reading.channels,
            frames: reading.frames,
            pass: reading.place.pass,
            song_s: reading.place.song_s,
            offline: reading.place.offline,
            preroll: reading.place.preroll,
            weighted: reading.weighted,
            short_term: reading.short_term_power,
            true_peak: reading.true_peak,
            sample_peak: reading.sample_peak,
            clipped_runs: reading.faults.clipped_runs.try_into().unwrap_or(u8::MAX),
            non_finite: reading.faults.non_finite.try_into().unwrap_or(u8::MAX),
        }
    }
}

impl Record<TRACE_WORDS> for Trace {
    fn to_words(&self) -> [u32; TRACE_WORDS] {
        let mut words = WordWriter::new();
        words.pair(
            self.frames.try_into().unwrap_or(u16::MAX),
            u16::from_le_bytes([self.clipped_runs, self.non_finite]),
        );
        words.u32(
            self.pass.min(MAX_PASS)
                | bits(&[self.offline, self.preroll, self.channels == Channels::Mono]) << 24,
        );
        words.i32(ticks_of_seconds(self.song_s));
        words.pair(level_of_power(self.weighted.left), level_of_power(self.weighted.right));
        words.pair(level_of_power(self.weighted.mid), level_of_power(self.short_term));
        words.pair(level_of_amplitude(self.true_peak), level_of_amplitude(self.sample_peak));
        words.finish()
    }

    fn from_words(words: &[u32; TRACE_WORDS]) -> Self {
        let mut words = WordReader::new(words);
        let (frames, faults) = words.pair();
        let [clipped_runs, non_finite] = faults.to_le_bytes();
        let pass = words.u32();
        let song_s = seconds_of_ticks(words.i32());
        let (left, right) = words.pair();
        let (mid, short_term) = words.pair();
        let (true_peak, sample_peak) = words.pair();
        Self {
            channels: channels(bit(pass, 26)),
            frames: u32::from(frames),
            pass: pass & MAX_PASS,
            song_s,
            offline: bit(pass, 24),
            preroll: bit(pass, 25),
            weighted: Power {
                left: power_of_level(left),
                right: power_of_level(right),
                mid: power_of_level(mid),
            },
            short_term: power_of_level(short_term),
            true_peak: amplitude_of_level(true_peak),
            sample_peak: amplitude_of_level(sample_peak),
            clipped_runs,
            non_finite,
        }
    }
}
