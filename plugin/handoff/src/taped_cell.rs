//! A cell on the tape, for four hours.

use candlemark_analysis::bands::BAND_COUNT;
use candlemark_analysis::{BandPower, Cell, Channels, Place, Power};

use crate::activation::channels;
use crate::levels::{level_of_power, power_of_level, seconds_of_ticks, ticks_of_seconds};
use crate::ring::Record;
use crate::words::{WordReader, WordWriter, bit, bits};

/// Words of a taped cell:
///
/// | word | content |
/// |---|---|
/// | 0 | index, signed |
/// | 1 | pass (bits 0–23), by beats (24), offline (25), pre-roll (26), mono (27) |
/// | 2 | song position of the end in 0.1 ms, signed |
/// | 3, 4 | start frame (40 bits), then frames (24 bits) |
/// | 5 | beats of the end as a share of the cell (0 to 1 in 16 bits), activation (16 bits) |
/// | 6 | coverage |
/// | 7–9 | K-weighted left, right, mono fold |
/// | 10–12 | plain left, right, mono fold |
/// | 13–15 | short-term, true peak of 3 s, true peak |
/// | 16–62 | bands, each left, right, mono fold, in 1/100 dB and 16 bits |
///
/// Words 6 to 15 are in single precision. The last half word is empty.
pub(crate) const CELL_WORDS: usize = 16 + (3 * BAND_COUNT).div_ceil(2);

/// The largest number of a pass that fits.
const MAX_PASS: u32 = (1 << 24) - 1;
/// The largest start frame that fits: 33 days at 384 kHz.
const MAX_START_FRAME: u64 = (1 << 40) - 1;
/// The largest length that fits: 43 s at 384 kHz, a cell at less than 3 quarter notes a minute.
const MAX_FRAMES: u32 = (1 << 24) - 1;
/// Quarter notes in a cell.
const BEATS: f64 = 2.0;

/// A [`Cell`] and in which activation it was measured.
///
/// Powers of the whole cell are in single precision; the bands' levels are within 0.005 dB and lie between
/// −327.67 and +327.67 dB; positions are within 0.05 ms and 1/30 000 quarter note. What does not fit stays at
/// the end of its range.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TapedCell {
    /// The lower 16 bits of the number of the activation in which it was measured.
    pub activation: u16,
    /// What was measured. Its passes are counted over the whole tape, not from each activation anew; the
    /// beats of its end are there where the cell is counted by beats.
    pub cell: Cell,
}

impl Record<CELL_WORDS> for TapedCell {
    fn to_words(&self) -> [u32; CELL_WORDS] {
        let cell = &self.cell;
        let place = &cell.place;
        let mut words = WordWriter::new();
        words.i32(cell.index.clamp(i32::MIN.into(), i32::MAX.into()) as i32);
        let flags = bits(&[cell.by_beats, place.offline, place.preroll, cell.channels == Channels::Mono]);
        words.u32(place.pass.min(MAX_PASS) | flags << 24);
        words.i32(ticks_of_seconds(place.song_s));
        words.u64(cell.start_frame.min(MAX_START_FRAME) | u64::from(cell.frames.min(MAX_FRAMES)) << 40);
        let end = place.beats.map_or(0.0, |beats| beats / BEATS - cell.index as f64);
        words.pair((end * f64::from(u16::MAX)).round() as u16, self.activation);
        words.f32(cell.coverage);
        for power in [&cell.weighted, &cell.plain] {
            words.f32(power.left as f32);
            words.f32(power.right as f32);
            words.f32(power.mid as f32);
        }
        words.f32(cell.short_term_power as f32);
        words.f32(cell.true_peak_3s);
        words.f32(cell.true_peak);
        // Two levels a word.
        let powers = cell.bands.iter().flat_map(|band| [band.left, band.right, band.mid]);
        let mut levels = powers.map(|power| level_of_power(power.into()));
        while let Some(level) = levels.next() {
            words.pair(level, levels.next().unwrap_or(0));
        }
        words.finish()
    }

    fn from_words(words: &[u32; CELL_WORDS]) -> Self {
        let words = &mut WordReader::new(words);
        let index = i64::from(words.i32());
        let pass = words.u32();
        let by_beats = bit(pass, 24);
        let song_s = seconds_of_ticks(words.i32());
        let extent = words.u64();
        let (end, activation) = words.pair();
        let beats = BEATS * (index as f64 + f64::from(end) / f64::from(u16::MAX));
        Self {
            activation,
            // The fields are read in the order in which they are written here, which is that of the words.
            cell: Cell {
                channels: channels(bit(pass, 27)),
                index,
                by_beats,
                place: Place {
                    pass: pass & MAX_PASS,
                    song_s,
                    beats: by_beats.then_some(beats),
                    offline: bit(pass, 25),
                    preroll: bit(pass, 26),
                },
                start_frame: extent & MAX_START_FRAME,
                frames: (extent >> 40) as u32,
                coverage: words.f32(),
                weighted: read_power(words),
                plain: read_power(words),
                short_term_power: words.f32().into(),
                true_peak_3s: words.f32(),
                true_peak: words.f32(),
                bands: read_bands(words),
            },
        }
    }
}

fn read_power(words: &mut WordReader<'_>) -> Power {
    Power { left: words.f32().into(), right: words.f32().into(), mid: words.f32().into() }
}

fn read_bands(words: &mut WordReader<'_>) -> [BandPower; BAND_COUNT] {
    let mut waiting = None;
    let mut power = || {
        let level = waiting.take().unwrap_or_else(|| {
            let (level, next) = words.pair();
            waiting = Some(next);
            level
        });
        power_of_level(level) as f32
    };
    std::array::from_fn(|_| BandPower { left: power(), right: power(), mid: power() })
}
