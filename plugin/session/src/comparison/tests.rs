//! A song beside a yardstick: where the records lie, how far they move, and what is called outside.

use candlemark_analysis::Db;

use super::*;
use crate::a_record::a_record;
use crate::figures::{BandFigures, Fold, Spread};
use crate::yardstick::RecordBand;

const HZ: f64 = 1000.0;

/// A record that tells of one band: its relative level, how far it moves down and up, and its mono fold.
fn record(relative_db: f64, [down_db, up_db]: [f64; 2], fold_db: Option<f64>) -> Record {
    let band = RecordBand {
        hz: HZ,
        relative_db,
        low_db: relative_db - down_db,
        high_db: relative_db + up_db,
        fold_db,
    };
    Record { bands: vec![band], ..a_record(&[]) }
}

/// The band of a song that lies at `relative_db`, beside these records.
fn beside(relative_db: f64, records: Vec<Record>) -> BandComparison {
    let band = BandFigures {
        nominal: Hertz(HZ),
        level: Some(Db(relative_db)),
        relative: Some(Spread {
            low_db: relative_db - 1.0,
            median_db: relative_db,
            high_db: relative_db + 1.0,
        }),
        fold: Fold { kept: Some(1.0) },
        correlation: Some(1.0),
    };
    let song = SongFigures { bands: vec![band], ..SongFigures::default() };
    let comparison = Comparison::new(&song, &Yardstick { name: "records".into(), records });
    assert_eq!(comparison.bands.len(), 1);
    comparison.bands[0]
}

fn three() -> Vec<Record> {
    vec![
        record(-11.0, [4.0, 1.0], Some(-0.5)),
        record(-10.0, [1.0, 2.0], Some(-1.5)),
        record(-8.0, [2.0, 3.0], Some(-0.25)),
    ]
}

#[test]
fn records_lie_and_move_around_the_middle_one() {
    let band = beside(-9.0, three());
    assert_eq!([band.off_db, band.low_db, band.high_db], [1.0, -1.0, 2.0]);
    // The lowest that any record goes is −15, the highest −5; the middle record lies at −10.
    assert_eq!([band.within_low_db, band.within_high_db], [-5.0, 5.0]);
    assert!(!band.outside);
    assert_eq!(band.records, 3);
}

/// A level that rounds to that of the outermost record is not called outside it.
#[test]
fn outside_is_beyond_the_last_record_by_more_than_what_is_written() {
    for (relative_db, outside) in
        [(-11.04, false), (-11.06, true), (-7.96, false), (-7.94, true), (-10.0, false), (-40.0, true)]
    {
        assert_eq!(beside(relative_db, three()).outside, outside, "{relative_db} dB");
    }
}

#[test]
fn movement_within_a_record_does_not_make_it_lie_wider() {
    assert!(beside(-6.0, three()).outside, "above every record, though one goes higher for a while");
}

#[test]
fn a_fold_is_outside_when_it_is_a_decibel_under_the_lowest_record() {
    let band = beside(-9.0, three());
    assert_eq!(band.fold_low_db, Some(-1.5));
    assert_eq!(band.falls_below_db(), Some(-2.5));
}

#[test]
fn fewer_than_three_records_that_carry_the_band_judge_nothing() {
    for count in [1, 2] {
        let band = beside(20.0, three().into_iter().take(count).collect());
        assert_eq!(band.records, count);
        assert!(!band.outside);
        assert_eq!(band.fold_low_db, None);
    }
    // A third record that has nothing at 1 kHz does not help.
    let mut other = record(-10.0, [1.0, 1.0], Some(0.0));
    other.bands[0].hz = 2000.0;
    let mut records: Vec<Record> = three().into_iter().take(2).collect();
    records.push(other);
    assert!(!beside(20.0, records).outside);
}
