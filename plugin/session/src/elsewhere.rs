//! Elsewhere: how much of the loudness is kept where speakers are narrower, or there is only one.
//!
//! Figures, never a simulation: what a playback does beside its range (its resonances, its distortion, the room) is not
//! in them. They are of use beside the records'.

mod words;

use candlemark_analysis::bands::{NOMINAL_HZ, band_edges, mid_band};
use candlemark_analysis::k_weighting_db;
use serde::{Deserialize, Serialize};

use crate::comparison::reach;
use crate::figures::BandFigures;
use crate::yardstick::{Record, Yardstick};

/// A playback elsewhere.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Playback {
    /// One speaker that fits in a pocket.
    SmallSpeaker,
    /// One speaker without a low end.
    ThinSpeaker,
    /// Two speakers without a low end.
    TwoSpeakers,
}

impl Playback {
    /// Every one of them.
    pub const ALL: [Self; 3] = [Self::SmallSpeaker, Self::ThinSpeaker, Self::TwoSpeakers];

    /// How many speakers there are: one plays both sides together.
    pub fn speakers(self) -> u8 {
        if self == Self::TwoSpeakers { 2 } else { 1 }
    }

    /// The lowest and the highest frequency that it carries, in hertz (ours).
    pub fn range_hz(self) -> [f64; 2] {
        match self {
            Self::SmallSpeaker => [150.0, 8_000.0],
            Self::ThinSpeaker => [400.0, 15_000.0],
            Self::TwoSpeakers => [200.0, 16_000.0],
        }
    }

    /// The share of a third octave that it carries, 0 to 1, over log frequency.
    fn share(self, index: usize) -> f64 {
        let [low, high] = self.range_hz();
        let (from, to) = band_edges(index);
        let carried = to.0.min(high) / from.0.max(low);
        (carried.ln() / (to.0 / from.0).ln()).clamp(0.0, 1.0)
    }

    /// Loudness that it keeps of bands (nominal frequency, relative level in dB, share that mono keeps), in dB: 0 when
    /// all, less when less. `None` when it keeps nothing, or there are no bands.
    fn kept_db(self, bands: impl Iterator<Item = (f64, f64, f64)>) -> Option<f64> {
        let (mut whole, mut kept) = (0.0, 0.0);
        for (hz, relative_db, fold_kept) in bands {
            let Some(index) = NOMINAL_HZ.iter().position(|nominal| *nominal == hz) else { continue };
            let power = 10f64.powf((relative_db + k_weighting_db(mid_band(index))) / 10.0);
            let heard = if self.speakers() == 1 { fold_kept } else { 1.0 };
            whole += power;
            kept += power * heard * self.share(index);
        }
        (kept > 0.0).then(|| 10.0 * (kept / whole).log10())
    }

    /// What it keeps of a song.
    fn of_song(self, song: &[BandFigures]) -> Option<f64> {
        self.kept_db(song.iter().filter_map(|band| {
            let median_db = band.relative?.median_db;
            Some((band.nominal.0, median_db, band.fold.kept.unwrap_or(0.0)))
        }))
    }

    /// What it keeps of a record.
    fn of_record(self, record: &Record) -> Option<f64> {
        let kept = |fold_db: Option<f64>| fold_db.map_or(0.0, |db| 10f64.powf(db / 10.0));
        self.kept_db(record.bands.iter().map(|band| (band.hz, band.relative_db, kept(band.fold_db))))
    }
}

/// What is left of a song on one playback, and of the records.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Elsewhere {
    /// The playback.
    pub playback: Playback,
    /// Loudness that is kept of the song, in dB, 0 or less. `None` when nothing is left.
    pub kept_db: Option<f64>,
    /// The least and the most that is kept of a record, in dB. `None` without records.
    pub records_db: Option<[f64; 2]>,
}

impl Elsewhere {
    /// A song on every playback, beside a yardstick where one is in use. Empty before the song has a balance.
    pub fn all(song: &[BandFigures], yardstick: Option<&Yardstick>) -> Vec<Self> {
        if song.iter().all(|band| band.relative.is_none()) {
            return Vec::new();
        }
        let of = |playback: Playback| {
            let records = yardstick.into_iter().flat_map(|yardstick| &yardstick.records);
            let records_db = reach(records.filter_map(|record| playback.of_record(record)));
            Self { playback, kept_db: playback.of_song(song), records_db }
        };
        Playback::ALL.into_iter().map(of).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Every band at one level, of which mono keeps so much.
    fn flat(fold_kept: f64) -> impl Iterator<Item = (f64, f64, f64)> {
        NOMINAL_HZ.into_iter().map(move |hz| (hz, 0.0, fold_kept))
    }

    #[test]
    fn a_song_without_a_balance_is_kept_nowhere_and_lost_nowhere() {
        assert_eq!(Elsewhere::all(&[], None), []);
    }

    #[test]
    fn what_lies_inside_is_kept_and_what_lies_outside_is_not() {
        let only = |hz: f64| Playback::TwoSpeakers.kept_db([(hz, -10.0, 1.0)].into_iter());
        assert_eq!(only(1000.0), Some(0.0));
        assert_eq!((only(63.0), only(20_000.0)), (None, None));
        // 200 Hz cuts its own third octave, whose middle is 199.5 Hz, nearly in half.
        assert!((only(200.0).unwrap() - 10.0 * 0.5f64.log10()).abs() < 0.1, "{:?}", only(200.0));
    }

    #[test]
    fn one_speaker_loses_what_mono_loses() {
        for playback in Playback::ALL {
            let (mono, wide) = (playback.kept_db(flat(1.0)).unwrap(), playback.kept_db(flat(0.5)).unwrap());
            let lost_db = if playback.speakers() == 1 { 10.0 * 2f64.log10() } else { 0.0 };
            assert!((mono - wide - lost_db).abs() < 1e-12, "{playback:?}: {mono}, {wide}");
        }
        assert_eq!(Playback::SmallSpeaker.kept_db(flat(0.0)), None);
    }

    /// From the definition, with the K-weighting of BS.1770-5 as printed in its tables: of pink noise (every third octave
    /// alike) 150 Hz to 8 kHz keeps the share of the weighted power between.
    #[test]
    fn of_pink_noise_it_is_the_weighted_share_between_its_ends() {
        let (mut whole, mut inside) = (0.0, 0.0);
        let steps = 20_000;
        for step in 0..steps {
            let at = (f64::from(step) + 0.5) / f64::from(steps);
            let hz = 17.8 * (22_387.0f64 / 17.8).powf(at);
            let power = 10f64.powf(k_weighting_db(candlemark_analysis::Hertz(hz)) / 10.0);
            whole += power;
            inside += if (150.0..8000.0).contains(&hz) { power } else { 0.0 };
        }
        let expected = 10.0 * (inside / whole).log10();
        let kept = Playback::SmallSpeaker.kept_db(flat(1.0)).unwrap();
        assert!((kept - expected).abs() < 0.03, "{kept} for {expected}");
    }
}
