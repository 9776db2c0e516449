//! A song beside a yardstick: the same statistic on both sides.

use candlemark_analysis::Hertz;
use candlemark_analysis::bands::NOMINAL_HZ;
use serde::{Deserialize, Serialize};

use crate::distance::distance_db;
use crate::figures::SongFigures;
use crate::octave_groups::GroupComparison;
use crate::statistics::low_middle_high;
use crate::words::SAME_DB;
use crate::yardstick::{Record, Yardstick};

/// With fewer records than this nothing is called outside: two records do not say how far records lie apart.
pub const RECORDS_TO_JUDGE: usize = 3;

/// A band's mono fold lies outside the records' when it is lower than the lowest by this much: of thirty bands and three
/// records, several are a little lower by chance (ours).
const FOLD_APART_DB: f64 = 1.0;

/// Where a song lies against the records.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Comparison {
    /// The yardstick's name.
    pub name: String,
    /// How many records it was taken from.
    pub records: usize,
    /// Root mean square over bands of the song's distance from the middle record, in dB, where levels under
    /// −80 dB of the loudness count as −80. `None` when no band can be compared.
    pub distance_db: Option<f64>,
    /// The records' own figures.
    pub figures: RecordFigures,
    /// The bands that both have, from low to high.
    pub bands: Vec<BandComparison>,
    /// The five groups of octaves that both have, from low to high.
    pub groups: Vec<GroupComparison>,
}

/// One band of a song against the records. All figures are relative to the middle record: the median over
/// records of their relative levels.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct BandComparison {
    /// Nominal mid-band frequency.
    #[serde(rename = "hz")]
    pub nominal: Hertz,
    /// How far the song's relative level lies above the middle record's, in dB.
    pub off_db: f64,
    /// How far the lowest record lies above the middle one (0 or less), in dB.
    pub low_db: f64,
    /// How far the highest record lies above the middle one (0 or more), in dB.
    pub high_db: f64,
    /// How far the lowest 10th percentile within a record lies above the middle record, in dB: from there to
    /// `within_high_db` records move by themselves.
    pub within_low_db: f64,
    /// How far the highest 90th percentile within a record lies above the middle record, in dB.
    pub within_high_db: f64,
    /// The lowest mono fold of a record in the band, in dB. `None` with fewer than three records that tell one.
    pub fold_low_db: Option<f64>,
    /// How many of the records carry the band.
    pub records: usize,
    /// The song lies below the lowest or above the highest record. Never with fewer than three records.
    pub outside: bool,
}

impl BandComparison {
    /// The mono fold below which the band keeps less than the records do, in dB. `None` with fewer than three records.
    pub fn falls_below_db(&self) -> Option<f64> {
        self.fold_low_db.map(|low_db| low_db - FOLD_APART_DB)
    }
}

impl Comparison {
    /// Whether there are records enough for anything to be called outside them.
    pub fn judges(&self) -> bool {
        self.records >= RECORDS_TO_JUDGE
    }

    /// Puts a song beside a yardstick.
    pub fn new(song: &SongFigures, yardstick: &Yardstick) -> Self {
        let mut middles = Vec::new();
        let bands: Vec<BandComparison> = song
            .bands
            .iter()
            .filter_map(|band| {
                let curve = yardstick.curve_at(band.nominal)?;
                let median_db = band.relative?.median_db;
                let off_db = median_db - curve.middle_db;
                middles.push([median_db, curve.middle_db]);
                let (low_db, high_db) = (curve.low_db - curve.middle_db, curve.high_db - curve.middle_db);
                let outside = curve.records >= RECORDS_TO_JUDGE && is_outside(off_db, [low_db, high_db]);
                Some(BandComparison {
                    nominal: band.nominal,
                    off_db,
                    low_db,
                    high_db,
                    within_low_db: curve.within_low_db - curve.middle_db,
                    within_high_db: curve.within_high_db - curve.middle_db,
                    fold_low_db: curve.fold_low_db,
                    records: curve.records,
                    outside,
                })
            })
            .collect();
        Self {
            name: yardstick.name.clone(),
            records: yardstick.records.len(),
            distance_db: distance_db(middles),
            figures: RecordFigures::of(yardstick),
            bands,
            groups: GroupComparison::all(&song.bands, yardstick),
        }
    }

    /// In how many bands the song lies outside the records.
    pub fn outside_count(&self) -> usize {
        self.bands.iter().filter(|band| band.outside).count()
    }
}

/// Whether a level lies below the lowest record or above the highest.
pub fn is_outside(off_db: f64, [low_db, high_db]: [f64; 2]) -> bool {
    off_db < low_db - SAME_DB || off_db > high_db + SAME_DB
}

/// Lowest and highest figure over a yardstick's records. `None` where no record has it.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct RecordFigures {
    /// Loudness range, in LU.
    pub range_lu: Option<[f64; 2]>,
    /// Peak to short-term ratio of the loud parts, in dB.
    pub psr_loud_db: Option<[f64; 2]>,
    /// Peak to loudness ratio, in dB.
    pub plr_db: Option<[f64; 2]>,
    /// Crest factor, in dB.
    pub crest_db: Option<[f64; 2]>,
    /// Mono fold, in dB.
    pub fold_db: Option<[f64; 2]>,
}

impl RecordFigures {
    /// Those of a yardstick.
    pub fn of(yardstick: &Yardstick) -> Self {
        let reach = |figure: fn(&Record) -> Option<f64>| reach(yardstick.records.iter().filter_map(figure));
        Self {
            range_lu: reach(|record| record.range_lu),
            psr_loud_db: reach(|record| record.psr_loud_db),
            plr_db: reach(|record| record.plr_db),
            crest_db: reach(|record| record.crest_db),
            fold_db: reach(|record| record.fold_db),
        }
    }
}

/// The lowest and the highest of figures. `None` of none.
pub(crate) fn reach(mut figures: impl Iterator<Item = f64>) -> Option<[f64; 2]> {
    let first = figures.next()?;
    Some(figures.fold([first; 2], |[low, high], figure| [low.min(figure), high.max(figure)]))
}

/// One band of a yardstick: relative levels over its records, in dB.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct CurvePoint {
    /// The lowest record.
    pub low_db: f64,
    /// The median over records.
    pub middle_db: f64,
    /// The highest record.
    pub high_db: f64,
    /// The lowest 10th percentile within a record.
    pub within_low_db: f64,
    /// The highest 90th percentile within a record.
    pub within_high_db: f64,
    /// The lowest mono fold over the records. `None` with fewer than three records that tell one.
    pub fold_low_db: Option<f64>,
    /// How many records carry the band.
    pub records: usize,
}

impl Yardstick {
    /// The curve: every third octave that a record carries, from low to high.
    pub fn curve(&self) -> impl Iterator<Item = (Hertz, CurvePoint)> {
        NOMINAL_HZ.into_iter().filter_map(|hz| Some((Hertz(hz), self.curve_at(Hertz(hz))?)))
    }

    /// The records' relative levels in the band with this nominal frequency. `None` when no record carries
    /// it.
    pub fn curve_at(&self, nominal: Hertz) -> Option<CurvePoint> {
        let bands = || self.records.iter().flat_map(|r| &r.bands).filter(|band| band.hz == nominal.0);
        let mut levels: Vec<f64> = bands().map(|band| band.relative_db).collect();
        let [low_db, middle_db, high_db] = low_middle_high(&mut levels)?;
        let folds = || bands().filter_map(|band| band.fold_db);
        let fold_low_db = folds().reduce(f64::min).filter(|_| folds().count() >= RECORDS_TO_JUDGE);
        Some(CurvePoint {
            low_db,
            middle_db,
            high_db,
            within_low_db: bands().map(|band| band.low_db).fold(f64::INFINITY, f64::min),
            within_high_db: bands().map(|band| band.high_db).fold(f64::NEG_INFINITY, f64::max),
            fold_low_db,
            records: levels.len(),
        })
    }
}

#[cfg(test)]
mod tests;
