//! The balance in five groups of octaves, for whoever looks from across the room.

use candlemark_analysis::bands::{BAND_COUNT, NOMINAL_HZ};
use serde::{Deserialize, Serialize};

use crate::comparison::{RECORDS_TO_JUDGE, is_outside};
use crate::falls_away::falls_below_db;
use crate::figures::{BandFigures, Fold};
use crate::statistics::low_middle_high;
use crate::yardstick::Yardstick;

/// Two neighbouring octaves.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum OctaveGroup {
    /// The octaves around 31.5 and 63 Hz.
    Lows,
    /// The octaves around 125 and 250 Hz.
    LowMids,
    /// The octaves around 500 Hz and 1 kHz.
    Mids,
    /// The octaves around 2 and 4 kHz.
    UpperMids,
    /// The octaves around 8 and 16 kHz.
    Top,
}

/// Third octaves in a group.
const BANDS: usize = 6;

impl OctaveGroup {
    /// Every group, from low to high.
    pub const ALL: [Self; 5] = [Self::Lows, Self::LowMids, Self::Mids, Self::UpperMids, Self::Top];

    /// What a person calls it.
    pub fn name(self) -> &'static str {
        match self {
            Self::Lows => "lows",
            Self::LowMids => "low mids",
            Self::Mids => "mids",
            Self::UpperMids => "upper mids",
            Self::Top => "top",
        }
    }

    /// Nominal frequencies of its third octaves, in hertz. The lowest of all, 20 Hz, belongs to no group.
    pub fn bands_hz(self) -> &'static [f64] {
        let first = 1 + BANDS * self as usize;
        &NOMINAL_HZ[first..(first + BANDS).min(BAND_COUNT)]
    }

    pub(crate) fn holds(self, hz: f64) -> bool {
        self.bands_hz().contains(&hz)
    }

    /// The song's relative level in the group, in dB: that of its bands' powers together. `None` where it has none of
    /// them.
    pub fn relative_db(self, song: &[BandFigures]) -> Option<f64> {
        let levels = song.iter().filter(|band| self.holds(band.nominal.0));
        together_db(levels.filter_map(|band| Some(band.relative?.median_db)))
    }

    /// The song's mono fold in the group, gated, unweighted: of its bands' powers together.
    pub fn fold(self, song: &[BandFigures]) -> Fold {
        let (mut whole, mut kept) = (0.0, 0.0);
        for band in song.iter().filter(|band| self.holds(band.nominal.0)) {
            if let Some((level, share)) = band.level.zip(band.fold.kept) {
                let power = power(level.0);
                whole += power;
                kept += power * share;
            }
        }
        Fold { kept: (whole > 0.0).then(|| kept / whole) }
    }

    /// The fold below which the group falls away in mono, in dB.
    pub fn falls_below_db(self) -> f64 {
        falls_below_db(self.bands_hz().iter().copied().fold(0.0, f64::max))
    }
}

/// One group of a song against the records, relative to the middle record: the median over records of their relative
/// levels in the group.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct GroupComparison {
    /// The group.
    pub group: OctaveGroup,
    /// How far the song's relative level lies above the middle record's, in dB.
    pub off_db: f64,
    /// How far the lowest record lies above the middle one (0 or less), in dB.
    pub low_db: f64,
    /// How far the highest record lies above the middle one (0 or more), in dB.
    pub high_db: f64,
    /// The song lies below the lowest or above the highest record. Never with fewer than three records.
    pub outside: bool,
}

impl GroupComparison {
    /// Those groups of a song that both have, from low to high: over the bands of the group that the song has, and
    /// beside those records that have them all.
    pub fn all(song: &[BandFigures], yardstick: &Yardstick) -> Vec<Self> {
        OctaveGroup::ALL.into_iter().filter_map(|group| Self::of(group, song, yardstick)).collect()
    }

    fn of(group: OctaveGroup, song: &[BandFigures], yardstick: &Yardstick) -> Option<Self> {
        let own: Vec<f64> = song
            .iter()
            .filter(|band| group.holds(band.nominal.0) && band.relative.is_some())
            .map(|band| band.nominal.0)
            .collect();
        let song_db = group.relative_db(song)?;
        let mut records: Vec<f64> = yardstick
            .records
            .iter()
            .filter_map(|record| {
                let bands = record.bands.iter().filter(|band| own.contains(&band.hz));
                together_db(bands.map(|band| band.relative_db))
                    .filter(|_| own.iter().all(|hz| record.bands.iter().any(|band| band.hz == *hz)))
            })
            .collect();
        let [low_db, middle_db, high_db] = low_middle_high(&mut records)?;
        let (low_db, high_db) = (low_db - middle_db, high_db - middle_db);
        let off_db = song_db - middle_db;
        let outside = records.len() >= RECORDS_TO_JUDGE && is_outside(off_db, [low_db, high_db]);
        Some(Self { group, off_db, low_db, high_db, outside })
    }
}

fn power(db: f64) -> f64 {
    10f64.powf(db / 10.0)
}

/// The level of powers together. `None` of nothing.
fn together_db(levels_db: impl Iterator<Item = f64>) -> Option<f64> {
    let sum = levels_db.map(power).reduce(|sum, power| sum + power)?;
    Some(10.0 * sum.log10())
}

#[cfg(test)]
mod tests;
