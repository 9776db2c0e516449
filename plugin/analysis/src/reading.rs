//! What the Analyzer gives: a [`Reading`] every 100 ms and a [`Cell`] at each cell's end.
//!
//! Both carry powers (mean squares, full scale ±1), not decibels: who shows a figure turns it into one, with
//! [`crate::Lufs`], [`crate::Db`] and the methods of [`Power`].

use crate::bands::BAND_COUNT;
use crate::cells::{COVERAGE_ROUNDING, FILLED};
use crate::{Channels, Db, Lufs};

/// The powers of a pair of channels over some stretch of time, each a mean square with full scale ±1: a
/// full-scale sine has 0.5. A mono bus counts as both speakers playing the same: all three are equal.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Power {
    /// Mean square of the left channel.
    pub left: f64,
    /// Mean square of the right channel.
    pub right: f64,
    /// Mean square of the mono fold (L + R)/2.
    pub mid: f64,
}

/// The same in single precision, one for each third octave; see [`Power`].
pub type BandPowers = [BandPower; BAND_COUNT];

/// One band's powers: as [`Power`], in single precision.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct BandPower {
    /// Mean square of the left channel in the band.
    pub left: f32,
    /// Mean square of the right channel in the band.
    pub right: f32,
    /// Mean square of the mono fold (L + R)/2 in the band.
    pub mid: f32,
}

/// Less than this share of the power kept in mono is nothing kept: the rounding of a 32-bit transform of
/// opposite channels leaves about 10⁻¹⁴.
const NOTHING_KEPT: f64 = 1e-10;

/// A channel with less than this share of the other's power is silent as far as a correlation goes.
const SILENT_CHANNEL: f64 = 1e-9;

impl Power {
    /// Share of the power that mono keeps, 0 (opposite channels) to 1 (identical channels): the mono fold
    /// as a ratio. `None` in silence.
    pub fn fold_kept(self) -> Option<f64> {
        let stereo = self.left + self.right;
        (stereo > 0.0).then(|| {
            let kept = 2.0 * self.mid / stereo;
            if kept < NOTHING_KEPT { 0.0 } else { kept.min(1.0) }
        })
    }

    /// The mono fold in dB: 0 for identical channels, −3.01 for unrelated ones. `None` in silence, and where
    /// nothing is left in mono (it would be −∞).
    pub fn fold_db(self) -> Option<Db> {
        self.fold_kept().and_then(Db::of_power)
    }

    /// Correlation of the channels, −1 to +1, about zero (the mean is not taken off). `None` for a mono bus,
    /// in silence, and where one channel is silent.
    pub fn correlation(self, channels: Channels) -> Option<f64> {
        let (quieter, louder) = (self.left.min(self.right), self.left.max(self.right));
        let defined = channels == Channels::Stereo && quieter > louder * SILENT_CHANNEL;
        defined.then(|| {
            let cross = 2.0 * self.mid - 0.5 * (self.left + self.right);
            (cross / (self.left.sqrt() * self.right.sqrt())).clamp(-1.0, 1.0)
        })
    }

    /// Power summed over the channels there are.
    pub fn total(self, channels: Channels) -> f64 {
        match channels {
            Channels::Mono => self.left,
            Channels::Stereo => self.left + self.right,
        }
    }

    /// Loudness of K-weighted powers. `None` in silence.
    pub fn loudness(self, channels: Channels) -> Option<Lufs> {
        Lufs::of_power(self.total(channels))
    }

    /// Mean power over channels as a level in dB, where a full-scale sine in every channel is 0. `None` in
    /// silence.
    pub fn level_db(self) -> Option<Db> {
        Db::of_power(self.left + self.right)
    }
}

impl Cell {
    /// Whether enough of the cell was heard for it to stand for its place in the song: nine tenths.
    pub fn is_filled(&self) -> bool {
        self.coverage >= (FILLED - COVERAGE_ROUNDING) as f32
    }

    /// K-weighted power, summed over channels: the cell's own loudness.
    pub fn loudness_power(&self) -> f64 {
        self.weighted.total(self.channels)
    }
}

impl From<BandPower> for Power {
    fn from(band: BandPower) -> Self {
        Self { left: band.left.into(), right: band.right.into(), mid: band.mid.into() }
    }
}

/// Which stretch of playback, and where in the song.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Place {
    /// Number of the pass, counted from 1 for this Analyzer; 0 when no pass runs.
    pub pass: u32,
    /// Song position of the stretch's end, in seconds from the song's start; from the Analyzer's first frame
    /// when the host gives no position. 0 when no pass runs.
    pub song_s: f64,
    /// The song position of the stretch's end in quarter notes, when the host gives beats.
    pub beats: Option<f64>,
    /// The host says that it renders offline.
    pub offline: bool,
    /// The host plays its pre-roll.
    pub preroll: bool,
}

/// Things that happened in a stretch and should not have: counts, never errors.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Faults {
    /// Samples that were NaN, infinite or beyond ±10⁶; each was counted as zero.
    pub non_finite: u32,
    /// Runs of three or more consecutive samples of one channel at full scale. Counted where the third
    /// sample lies.
    pub clipped_runs: u32,
}

/// What was measured in one chunk of 100 ms, and what the sliding windows hold at its end.
///
/// A chunk is shorter than 100 ms where a pass begins or ends, and at the end of a file.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Reading {
    /// One channel or two.
    pub channels: Channels,
    /// Frames the Analyzer had been given at the chunk's end, since it was made; those before a
    /// [`crate::Analyzer::clear`] count.
    pub end_frame: u64,
    /// Length of the chunk in frames.
    pub frames: u32,
    /// Where the chunk ended.
    pub place: Place,

    /// K-weighted powers of the chunk.
    pub weighted: Power,
    /// Unweighted powers of the chunk.
    pub plain: Power,
    /// Mean of the left and of the right channel over the chunk: DC, full scale 1.
    pub mean: [f64; 2],
    /// Largest sample of the chunk, as an amplitude; 1 is full scale.
    pub sample_peak: f32,
    /// True peak of the chunk, as an amplitude; 1 is 0 dBTP.
    pub true_peak: f32,
    /// Faults in the chunk.
    pub faults: Faults,

    /// K-weighted power, summed over channels, of the last 400 ms.
    pub momentary_power: f64,
    /// K-weighted power, summed over channels, of the last 3 s.
    pub short_term_power: f64,
    /// True peak of the last 3 s, as an amplitude.
    pub true_peak_3s: f32,
    /// K-weighted powers of the last 3 s: the live fold.
    pub weighted_3s: Power,
    /// Unweighted powers of the last 3 s: the live correlation.
    pub plain_3s: Power,
    /// Band powers of the last 3 s, the low bands a little more; each band's result lies
    /// [`crate::Analyzer::band_delay_s`] in the past.
    pub bands_3s: BandPowers,

    /// Figures of the pass, from its start or the last reset.
    pub pass: PassFigures,
}

/// What a pass has added up to, from its start (or the last reset) to a reading's chunk end.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct PassFigures {
    /// Gated K-weighted power: the integrated loudness. 0 while no block has passed the gates.
    pub integrated_power: f64,
    /// The power above which sound counts for the integrated loudness: the absolute or the relative gate,
    /// whichever is higher.
    pub gate_power: f64,
    /// Loudness range in LU; `None` until a short-term value has passed its gates.
    pub range_lu: Option<f64>,
    /// Largest momentary power, over windows that slide by 20 ms.
    pub momentary_max_power: f64,
    /// Largest short-term power, over windows that slide by 20 ms.
    pub short_term_max_power: f64,
    /// Largest true peak, as an amplitude.
    pub true_peak: f32,
    /// Seconds that went into the pass's figures (pauses not counted).
    pub seconds: f64,
}

/// One cell of the song: two quarter notes, or one second where there are no beats.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Cell {
    /// One channel or two.
    pub channels: Channels,
    /// Which cell of the song: the beat position halved, or the seconds, rounded down. Negative before the
    /// song's start.
    pub index: i64,
    /// Whether `index` counts pairs of quarter notes (else seconds).
    pub by_beats: bool,
    /// Place of the cell's end.
    pub place: Place,
    /// Frame at which it began, counted as [`Reading::end_frame`].
    pub start_frame: u64,
    /// Length in frames of what was heard of it.
    pub frames: u32,
    /// Share of the cell that was heard, 0 to 1; a pass fills a cell from 0.9 on.
    pub coverage: f32,

    /// K-weighted powers.
    pub weighted: Power,
    /// Unweighted powers.
    pub plain: Power,
    /// Short-term power, over the 3 s to the cell's end, summed over channels.
    pub short_term_power: f64,
    /// True peak of the 3 s to the cell's end, as an amplitude.
    pub true_peak_3s: f32,
    /// True peak of the cell, as an amplitude.
    pub true_peak: f32,
    /// Band powers.
    pub bands: BandPowers,
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The powers of two sines of one frequency, `at` turns apart: 2·mid is half of both and the cross term.
    fn sines(left: f64, right: f64, turns: f64) -> Power {
        let cross = left * right * (std::f64::consts::TAU * turns).cos();
        let [left, right] = [left, right].map(|amplitude| amplitude * amplitude / 2.0);
        Power { left, right, mid: (left + right + cross) / 4.0 }
    }

    #[test]
    fn fold_and_correlation_are_those_of_two_sines() {
        for (power, kept, correlation) in [
            (sines(0.5, 0.5, 0.0), Some(1.0), Some(1.0)),
            (sines(0.5, 0.5, 0.25), Some(0.5), Some(0.0)),
            (sines(0.5, 0.5, 0.5), Some(0.0), Some(-1.0)),
            // Sixty degrees; one side half as strong: (1 + 0.25 + 0.5)/2.5.
            (sines(0.5, 0.25, 1.0 / 6.0), Some(0.7), Some(0.5)),
            (sines(0.5, 0.0, 0.0), Some(0.5), None),
            (Power::default(), None, None),
        ] {
            let close = |told: Option<f64>, wanted: Option<f64>| match (told, wanted) {
                (Some(told), Some(wanted)) => (told - wanted).abs() < 1e-12,
                (told, wanted) => told == wanted,
            };
            assert!(close(power.fold_kept(), kept), "{power:?} keeps {:?}", power.fold_kept());
            let told = power.correlation(Channels::Stereo);
            assert!(close(told, correlation), "{power:?} correlates {told:?}");
            assert_eq!(power.correlation(Channels::Mono), None);
        }
        assert_eq!(sines(0.5, 0.5, 0.5).fold_db(), None);
        assert!((sines(0.5, 0.5, 0.25).fold_db().unwrap().0 + 3.0103).abs() < 1e-4);
        assert_eq!(sines(0.5, 0.25, 0.0).total(Channels::Mono), 0.125);
        assert_eq!(sines(0.5, 0.25, 0.0).total(Channels::Stereo), 0.156_25);
    }
}
