//! The balance against the records, as remarks judge it: band by band, and under 250 Hz octave by octave.

use candlemark_analysis::Hertz;
use candlemark_analysis::bands::NOMINAL_HZ;

use super::findings::ADJACENT;
use crate::comparison::RECORDS_TO_JUDGE;
use crate::figures::SongFigures;
use crate::statistics::{low_middle_high, mean, median};
use crate::words::SAME_DB;
use crate::yardstick::Yardstick;

/// Under this a band is judged together with its neighbours: by itself it is the song's key.
const OCTAVES_BELOW_HZ: f64 = 250.0;
/// The lowest and the highest band that is judged: 25 Hz and 16 kHz. Beyond, it is a file's coding as much as a mix.
const JUDGED: std::ops::RangeInclusive<usize> = 1..=29;
/// One more record of the kind may lie outside the others by this share of the way from the lowest to the highest of three;
/// of more, by as much less as there are more than three (ours). Of four records two are outside the other three in any band.
const ONE_MORE_SHARE: f64 = 0.5;
/// Bands that lie further outside are clearly so (ours).
const CLEARLY_DB: f64 = 1.0;
/// In an octave that lies outside, the middle one of its bands lies so far on the same side, as a share of it (ours):
/// else a single band made it.
const MIDDLE_SHARE: f64 = 0.5;

/// One band, or one octave around it.
#[derive(Clone, Copy, Debug)]
struct Judged {
    hz: f64,
    /// How far the song lies above the middle record, in dB.
    off_db: f64,
    /// How far it lies outside the records on the side of `off_db`, in dB; inside it is below 0.
    outside_db: f64,
    /// The band by itself lies outside the records on the same side.
    alone_outside: bool,
    /// How far it lies outside beyond what one more record of the kind may, in dB.
    beyond_db: f64,
}

/// The bands of a song beside a yardstick's.
pub(crate) struct Balance(Vec<Judged>);

/// A range of bands that lies outside.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Range {
    /// Its lowest and its highest band.
    pub(crate) bands_hz: [f64; 2],
    /// How far it lies above the middle records, in the mean, in dB.
    pub(crate) off_db: f64,
    /// How far its worst three adjacent bands all lie outside at least, beyond what one more record of the kind may, in dB.
    pub(crate) beyond_db: f64,
}

impl Balance {
    pub(crate) fn new(song: &SongFigures, yardstick: &Yardstick) -> Self {
        let song_level = |band: usize| {
            let nominal = Hertz(*NOMINAL_HZ.get(band)?);
            song.bands
                .iter()
                .find(|figures| figures.nominal == nominal)?
                .relative
                .map(|spread| spread.median_db)
        };
        let record_levels: Vec<Levels> = yardstick
            .records
            .iter()
            .map(|record| {
                NOMINAL_HZ
                    .map(|hz| record.bands.iter().find(|band| band.hz == hz).map(|band| band.relative_db))
            })
            .collect();
        let song_levels: Levels = std::array::from_fn(song_level);
        Self(JUDGED.filter_map(|band| judged(band, &song_levels, &record_levels)).collect())
    }

    /// The share of the bands that lie clearly outside. `None` where there are none.
    pub(crate) fn outside_share(&self) -> Option<f64> {
        let clearly = self.0.iter().filter(|band| band.outside_db > CLEARLY_DB).count();
        (!self.0.is_empty()).then(|| clearly as f64 / self.0.len() as f64)
    }

    /// Of the ranges of at least three adjacent bands outside on the same side, the one of which three lie outside
    /// furthest.
    pub(crate) fn worst_range(&self) -> Option<Range> {
        let adjacent = |a: &Judged, b: &Judged| {
            let is_outside = a.outside_db > SAME_DB && b.outside_db > SAME_DB;
            is_outside && (a.off_db > 0.0) == (b.off_db > 0.0) && follows(a.hz, b.hz)
        };
        self.0
            .chunk_by(adjacent)
            .filter(|range| {
                // Octaves may lie outside by a band or two; what is named is bands, and most of them must.
                2 * range.iter().filter(|band| band.alone_outside).count() > range.len()
            })
            .filter_map(|range| {
                let three =
                    |three: &[Judged]| three.iter().map(|band| band.beyond_db).fold(f64::INFINITY, f64::min);
                let beyond_db = range.windows(ADJACENT).map(three).reduce(f64::max)?;
                let (first, last) = (range.first()?, range.last()?);
                let off_db = mean(range.iter().map(|band| band.off_db))?;
                Some(Range { bands_hz: [first.hz, last.hz], off_db, beyond_db })
            })
            .max_by(|a, b| a.beyond_db.total_cmp(&b.beyond_db))
    }
}

/// Relative levels by band, in dB.
type Levels = [Option<f64>; NOMINAL_HZ.len()];

fn follows(low_hz: f64, high_hz: f64) -> bool {
    NOMINAL_HZ.windows(2).any(|pair| pair == [low_hz, high_hz])
}

/// The bands that a band is judged by.
fn around(band: usize) -> std::ops::RangeInclusive<usize> {
    if NOMINAL_HZ[band] < OCTAVES_BELOW_HZ { band - 1..=band + 1 } else { band..=band }
}

/// The level of a band, or the mean power of the octave around it.
fn level(levels: &Levels, band: usize) -> Option<f64> {
    levels[band]?;
    let power = mean(levels[around(band)].iter().flatten().map(|db| 10f64.powf(db / 10.0)))?;
    Some(10.0 * power.log10())
}

/// The records' lowest, middle and highest level. `None` when too few have one.
fn reach(records: &[Levels], level: impl Fn(&Levels) -> Option<f64>) -> Option<[f64; 3]> {
    let mut levels: Vec<f64> = records.iter().filter_map(level).collect();
    low_middle_high(&mut levels).filter(|_| levels.len() >= RECORDS_TO_JUDGE)
}

fn judged(band: usize, song: &Levels, records: &[Levels]) -> Option<Judged> {
    let [low, middle, high] = reach(records, |record| level(record, band))?;
    let song_level = level(song, band)?;
    let off_db = song_level - middle;
    let mut outside_db = if off_db > 0.0 { song_level - high } else { low - song_level };
    let mut offs: Vec<f64> = around(band)
        .filter_map(|near| Some(song[near]? - reach(records, |record| record[near])?[1]))
        .collect();
    if median(&mut offs)? * off_db.signum() < MIDDLE_SHARE * off_db.abs() {
        outside_db = outside_db.min(0.0);
    }
    let with_it = records.iter().filter(|record| record[band].is_some()).count();
    let may_db = ONE_MORE_SHARE * (high - low) / with_it.saturating_sub(2).max(1) as f64;
    let [alone_low, _, alone_high] = reach(records, |record| record[band])?;
    let alone_db = song[band]?;
    let alone_outside = if off_db > 0.0 { alone_db > alone_high } else { alone_db < alone_low };
    let beyond_db = outside_db - may_db;
    Some(Judged { hz: NOMINAL_HZ[band], off_db, outside_db, alone_outside, beyond_db })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The bands from 100 to 250 Hz, where the records have their gaps one each.
    fn levels(off_db: f64, gap: Option<usize>) -> Levels {
        std::array::from_fn(|band| {
            (7..=11).contains(&band).then(|| if Some(band) == gap { off_db - 12.0 } else { off_db })
        })
    }

    #[test]
    fn bands_are_named_that_lie_outside_themselves() {
        let worst = |records: &[Levels], off_db: f64| {
            let song = levels(off_db, None);
            Balance(JUDGED.filter_map(|band| judged(band, &song, records)).collect()).worst_range()
        };
        // Each record is thin in another band: the octave around it moves little, the band much.
        let thin = [8, 9, 10].map(|gap| levels(0.0, Some(gap)));
        let even = [0.0, 0.1, -0.1].map(|off_db| levels(off_db, None));
        assert_eq!(worst(&thin, -7.0), None, "every band is within what a record has there");
        assert_eq!(worst(&even, -7.0).map(|range| range.bands_hz), Some([100.0, 250.0]));
    }
}
