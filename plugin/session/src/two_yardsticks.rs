//! One yardstick beside another: where each one's records lie, and how far they lie apart.

use candlemark_analysis::Hertz;
use serde::Serialize;

use crate::comparison::CurvePoint;
use crate::distance::distance_db;
use crate::statistics::low_middle_high;
use crate::yardstick::{Record, Yardstick};

/// Two yardsticks beside each other.
#[derive(Clone, Debug, PartialEq)]
pub struct TwoYardsticks {
    /// How far the one's middle lies from the other's, in dB: as a song's distance from a yardstick. `None` when they have
    /// no band in common.
    pub distance_db: Option<f64>,
    /// The figures of each.
    pub figures: [MiddleFigures; 2],
    /// The bands that both have, from low to high.
    pub bands: Vec<BandOfTwo>,
}

/// One third octave of two yardsticks.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BandOfTwo {
    /// Nominal mid-band frequency.
    pub nominal: Hertz,
    /// Where the records of each lie, relative to their own loudness.
    pub curves: [CurvePoint; 2],
}

impl BandOfTwo {
    /// How far the one's middle lies above the other's, in dB.
    pub fn above_db(&self) -> f64 {
        self.curves[0].middle_db - self.curves[1].middle_db
    }
}

/// Lowest, middle and highest figure over a yardstick's records. `None` where no record has it.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize)]
pub struct MiddleFigures {
    /// Integrated loudness, in LUFS.
    pub integrated_lufs: Option<[f64; 3]>,
    /// Loudness range, in LU.
    pub range_lu: Option<[f64; 3]>,
    /// Peak to short-term ratio of the loud parts, in dB.
    pub psr_loud_db: Option<[f64; 3]>,
    /// Peak to loudness ratio, in dB.
    pub plr_db: Option<[f64; 3]>,
    /// Crest factor, in dB.
    pub crest_db: Option<[f64; 3]>,
    /// Mono fold, in dB.
    pub fold_db: Option<[f64; 3]>,
    /// Correlation, −1 to 1: no unit.
    pub correlation: Option<[f64; 3]>,
}

impl TwoYardsticks {
    /// Puts `one` beside `other`.
    pub fn new(one: &Yardstick, other: &Yardstick) -> Self {
        let bands: Vec<BandOfTwo> = one
            .curve()
            .filter_map(|(nominal, curve)| {
                Some(BandOfTwo { nominal, curves: [curve, other.curve_at(nominal)?] })
            })
            .collect();
        Self {
            distance_db: distance_db(bands.iter().map(|band| band.curves.map(|curve| curve.middle_db))),
            figures: [MiddleFigures::of(one), MiddleFigures::of(other)],
            bands,
        }
    }
}

impl MiddleFigures {
    /// Those of a yardstick.
    pub fn of(yardstick: &Yardstick) -> Self {
        let reach = |figure: fn(&Record) -> Option<f64>| {
            low_middle_high(&mut yardstick.records.iter().filter_map(figure).collect::<Vec<f64>>())
        };
        Self {
            integrated_lufs: reach(|record| Some(record.integrated_lufs)),
            range_lu: reach(|record| record.range_lu),
            psr_loud_db: reach(|record| record.psr_loud_db),
            plr_db: reach(|record| record.plr_db),
            crest_db: reach(|record| record.crest_db),
            fold_db: reach(|record| record.fold_db),
            correlation: reach(|record| record.correlation),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::a_record::a_record;

    fn record(range_lu: f64, bands: &[(f64, f64)]) -> Record {
        Record { range_lu: Some(range_lu), ..a_record(bands) }
    }

    fn yardstick(records: Vec<Record>) -> Yardstick {
        Yardstick { name: "some".into(), records }
    }

    #[test]
    fn the_middles_lie_beside_each_other_in_the_bands_that_both_have() {
        let one = yardstick(vec![
            record(4.0, &[(100.0, -10.0), (1000.0, -20.0)]),
            record(9.0, &[(100.0, -13.0), (1000.0, -21.0)]),
            record(5.0, &[(100.0, -12.0), (1000.0, -19.0)]),
        ]);
        let other = yardstick(vec![record(7.0, &[(100.0, -15.0), (1000.0, -16.0), (2000.0, -18.0)])]);
        let two = TwoYardsticks::new(&one, &other);
        let apart: Vec<_> = two.bands.iter().map(|band| (band.nominal.0, band.above_db())).collect();
        assert_eq!(apart, [(100.0, 3.0), (1000.0, -4.0)]);
        // By hand: √((3² + 4²)/2).
        assert_eq!(two.distance_db, Some(12.5f64.sqrt()));
        assert_eq!(two.figures[0].range_lu, Some([4.0, 5.0, 9.0]));
        assert_eq!(two.figures[1].range_lu, Some([7.0; 3]));
        assert_eq!(two.figures[1].plr_db, None);
        let [low, high] = [two.bands[0].curves[0].low_db, two.bands[0].curves[0].high_db];
        assert_eq!([low, high], [-13.0, -10.0]);
    }

    #[test]
    fn a_yardstick_lies_on_itself_and_nothing_in_common_has_no_distance() {
        let one = yardstick(vec![record(4.0, &[(100.0, -10.0), (1000.0, -200.0)])]);
        assert_eq!(TwoYardsticks::new(&one, &one).distance_db, Some(0.0));
        let other = yardstick(vec![record(4.0, &[(200.0, -10.0)])]);
        let two = TwoYardsticks::new(&one, &other);
        assert_eq!((two.distance_db, two.bands.len()), (None, 0));
    }
}
