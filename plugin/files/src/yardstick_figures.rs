//! Whether the figures of a yardstick can be true.

use std::ops::RangeInclusive;

use candlemark_analysis::bands::NOMINAL_HZ;
use candlemark_session::yardstick::{Record, Yardstick};

use crate::text_fault::Flaw;

/// A record's length in seconds: up to a week.
const DURATION_S: RangeInclusive<f64> = 0.0..=604_800.0;
/// Samples are measured up to ±10⁶, which is +120 dB; nothing quieter than −70 LUFS is integrated.
const LOUDNESS_LUFS: RangeInclusive<f64> = -70.0..=130.0;
const RANGE_LU: RangeInclusive<f64> = 0.0..=200.0;
/// Single precision, in which samples come, ends at about −760 dB.
const PEAK_DBTP: RangeInclusive<f64> = -800.0..=130.0;
/// A difference of a peak and a loudness.
const PEAK_RATIO_DB: RangeInclusive<f64> = -800.0..=200.0;
/// Mono is never louder than stereo, but for the last digit.
const FOLD_DB: RangeInclusive<f64> = -400.0..=0.001;
/// The same.
const CORRELATION: RangeInclusive<f64> = -1.000_001..=1.000_001;
/// A band against the whole's loudness: never far above, but as far below as there is anything.
const RELATIVE_DB: RangeInclusive<f64> = -800.0..=100.0;

/// Checks that every figure is a number that can be, and that the bands are third octaves in their order.
pub(crate) fn check_figures(yardstick: &Yardstick) -> Result<(), Flaw> {
    yardstick.records.iter().zip(1..).try_for_each(|(record, number)| check_record(record, number))
}

/// What is measured of a record, by its key, and what it can be.
pub(crate) fn figures_of(record: &Record) -> [(&'static str, Option<f64>, RangeInclusive<f64>); 8] {
    [
        ("integrated_lufs", Some(record.integrated_lufs), LOUDNESS_LUFS),
        ("range_lu", record.range_lu, RANGE_LU),
        ("true_peak_dbtp", record.true_peak_dbtp, PEAK_DBTP),
        ("plr_db", record.plr_db, PEAK_RATIO_DB),
        ("psr_loud_db", record.psr_loud_db, PEAK_RATIO_DB),
        ("crest_db", record.crest_db, PEAK_RATIO_DB),
        ("fold_db", record.fold_db, FOLD_DB),
        ("correlation", record.correlation, CORRELATION),
    ]
}

fn check_record(record: &Record, number: usize) -> Result<(), Flaw> {
    let duration = ("duration_s", Some(record.duration_s), DURATION_S);
    for (key, value, range) in std::iter::once(duration).chain(figures_of(record)) {
        within(value, &range, || format!("record {number}, `{key}`"))?;
    }
    if record.bands.is_empty() {
        return Err(Flaw::of_all(format!("record {number} has no band")));
    }
    let mut below = 0.0;
    for band in &record.bands {
        let hz = band.hz;
        if !NOMINAL_HZ.contains(&hz) || hz <= below {
            let field = format!("record {number}, `hz` of a band");
            return Err(Flaw::Figure { field, value: hz });
        }
        below = hz;
        for (key, value, range) in [
            ("relative_db", Some(band.relative_db), RELATIVE_DB),
            ("low_db", Some(band.low_db), RELATIVE_DB),
            ("high_db", Some(band.high_db), band.low_db..=*RELATIVE_DB.end()),
            ("fold_db", band.fold_db, FOLD_DB),
        ] {
            within(value, &range, || format!("record {number}, the band at {hz} Hz, `{key}`"))?;
        }
    }
    Ok(())
}

fn within(
    value: Option<f64>,
    range: &RangeInclusive<f64>,
    field: impl FnOnce() -> String,
) -> Result<(), Flaw> {
    match value {
        // NaN lies in no range.
        Some(value) if !range.contains(&value) => Err(Flaw::Figure { field: field(), value }),
        _ => Ok(()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::yardstick_toml::samples::yardstick;

    #[test]
    fn a_figure_that_can_not_be_is_named() {
        type Change = fn(&mut Record);
        let changes: [(Change, &str); 7] = [
            (|record| record.integrated_lufs = f64::NAN, "record 1, `integrated_lufs`"),
            (|record| record.duration_s = -1.0, "record 1, `duration_s`"),
            (|record| record.correlation = Some(1.1), "record 1, `correlation`"),
            (|record| record.fold_db = Some(f64::INFINITY), "record 1, `fold_db`"),
            (|record| record.bands[0].low_db = f64::NEG_INFINITY, "record 1, the band at 63 Hz, `low_db`"),
            (|record| record.bands[1].high_db = -900.0, "record 1, the band at 1000 Hz, `high_db`"),
            (|record| record.bands[1].fold_db = Some(3.0), "record 1, the band at 1000 Hz, `fold_db`"),
        ];
        for (change, named) in changes {
            let mut yardstick = yardstick();
            change(&mut yardstick.records[0]);
            match check_figures(&yardstick) {
                Err(Flaw::Figure { field, .. }) => assert_eq!(field, named),
                other => panic!("{named}: {other:?}"),
            }
        }
    }

    #[test]
    fn bands_are_third_octaves_in_their_order() {
        for hz in [0.0, 63.0, 64.0, f64::NAN, 25_000.0] {
            let mut yardstick = yardstick();
            yardstick.records[0].bands[1].hz = hz;
            assert!(check_figures(&yardstick).is_err(), "{hz} Hz after 63 Hz");
        }
        let mut yardstick = yardstick();
        yardstick.records[0].bands.clear();
        assert!(check_figures(&yardstick).is_err());
    }
}
