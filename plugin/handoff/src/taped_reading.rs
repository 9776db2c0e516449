//! A whole reading on the tape, for the live display and for the clerk who comes in time.

use candlemark_analysis::bands::BAND_COUNT;
use candlemark_analysis::{BandPower, BandPowers, Channels, Faults, PassFigures, Place, Power, Reading};

use crate::Activation;
use crate::activation::{ACTIVATION_WORDS, channels};
use crate::ring::Record;
use crate::words::{WordReader, WordWriter, bit, bits};

/// Words of a taped reading, in this order: the activation; flags; end frame (2), frames; pass, song position
/// (2), beats (2); K-weighted (6) and plain powers (6) and means (4) of the chunk; sample peak, true peak;
/// faults (2); momentary (2), short-term (2), true peak of 3 s; K-weighted (6) and plain powers (6) of 3 s;
/// the bands' left, right and mono fold; the pass's integrated (2), gate (2), range (2), largest momentary (2) and
/// short-term (2), true peak, seconds (2). What is double in a [`Reading`] has two words, the lower half
/// first, so nothing is lost.
pub(crate) const READING_WORDS: usize =
    ACTIVATION_WORDS + 1 + 3 + 5 + 16 + 2 + 2 + 5 + 12 + 3 * BAND_COUNT + 13;

/// A [`Reading`] as it was given, and the activation that it belongs to.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TapedReading {
    /// The activation in which it was measured.
    pub activation: Activation,
    /// What was measured. Its passes are counted over the whole tape, not from each activation anew.
    pub reading: Reading,
}

fn write_power<const W: usize>(words: &mut WordWriter<W>, power: &Power) {
    words.f64(power.left);
    words.f64(power.right);
    words.f64(power.mid);
}

fn read_power(words: &mut WordReader<'_>) -> Power {
    Power { left: words.f64(), right: words.f64(), mid: words.f64() }
}

impl Record<READING_WORDS> for TapedReading {
    fn to_words(&self) -> [u32; READING_WORDS] {
        let Reading {
            channels: layout,
            end_frame,
            frames,
            place,
            weighted,
            plain,
            mean,
            sample_peak,
            true_peak,
            faults,
            momentary_power,
            short_term_power,
            true_peak_3s,
            weighted_3s,
            plain_3s,
            bands_3s,
            pass,
        } = &self.reading;
        let mut words = WordWriter::new();
        self.activation.write(&mut words);
        words.u32(bits(&[
            place.offline,
            place.preroll,
            place.beats.is_some(),
            pass.range_lu.is_some(),
            *layout == Channels::Mono,
        ]));
        words.u64(*end_frame);
        words.u32(*frames);
        words.u32(place.pass);
        words.f64(place.song_s);
        words.f64(place.beats.unwrap_or(0.0));
        write_power(&mut words, weighted);
        write_power(&mut words, plain);
        words.f64(mean[0]);
        words.f64(mean[1]);
        words.f32(*sample_peak);
        words.f32(*true_peak);
        words.u32(faults.non_finite);
        words.u32(faults.clipped_runs);
        words.f64(*momentary_power);
        words.f64(*short_term_power);
        words.f32(*true_peak_3s);
        write_power(&mut words, weighted_3s);
        write_power(&mut words, plain_3s);
        for band in bands_3s {
            words.f32(band.left);
            words.f32(band.right);
            words.f32(band.mid);
        }
        words.f64(pass.integrated_power);
        words.f64(pass.gate_power);
        words.f64(pass.range_lu.unwrap_or(0.0));
        words.f64(pass.momentary_max_power);
        words.f64(pass.short_term_max_power);
        words.f32(pass.true_peak);
        words.f64(pass.seconds);
        words.finish()
    }

    fn from_words(words: &[u32; READING_WORDS]) -> Self {
        let words = &mut WordReader::new(words);
        let activation = Activation::read(words);
        let flags = words.u32();
        // The fields are read in the order in which they are written here, which is that of the words.
        let reading = Reading {
            channels: channels(bit(flags, 4)),
            end_frame: words.u64(),
            frames: words.u32(),
            place: Place {
                pass: words.u32(),
                song_s: words.f64(),
                beats: Some(words.f64()).filter(|_| bit(flags, 2)),
                offline: bit(flags, 0),
                preroll: bit(flags, 1),
            },
            weighted: read_power(words),
            plain: read_power(words),
            mean: [words.f64(), words.f64()],
            sample_peak: words.f32(),
            true_peak: words.f32(),
            faults: Faults { non_finite: words.u32(), clipped_runs: words.u32() },
            momentary_power: words.f64(),
            short_term_power: words.f64(),
            true_peak_3s: words.f32(),
            weighted_3s: read_power(words),
            plain_3s: read_power(words),
            bands_3s: read_bands(words),
            pass: PassFigures {
                integrated_power: words.f64(),
                gate_power: words.f64(),
                range_lu: Some(words.f64()).filter(|_| bit(flags, 3)),
                momentary_max_power: words.f64(),
                short_term_max_power: words.f64(),
                true_peak: words.f32(),
                seconds: words.f64(),
            },
        };
        Self { activation, reading }
    }
}

fn read_bands(words: &mut WordReader<'_>) -> BandPowers {
    std::array::from_fn(|_| BandPower { left: words.f32(), right: words.f32(), mid: words.f32() })
}
