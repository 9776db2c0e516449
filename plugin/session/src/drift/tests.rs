use candlemark_analysis::Place;

use super::*;
use crate::a_cell::a_cell;

const RATE: Hertz = Hertz(48_000.0);

/// A pass over `cells` whose bands are even but for one that is raised.
fn pass(drift: &mut Drift, cells: std::ops::Range<i64>, raised_db: f64) {
    for index in cells {
        drift.take(&a_cell(index, |band| if band == 22 { -40.0 + raised_db } else { -40.0 }), true);
    }
}

/// Passes over the first half minute, one after the other, with that band raised by so much in each.
fn passes(drift: &mut Drift, raised_db: &[f64]) {
    for db in raised_db {
        pass(drift, 0..30, *db);
    }
}

fn raised(moved: &Moved) -> f64 {
    moved.bands_db[22].unwrap().0
}

#[test]
fn a_band_that_has_come_up_is_found_beside_the_whole() {
    let mut drift = Drift::default();
    pass(&mut drift, 0..30, 0.0);
    assert_eq!(drift.since_start(RATE), None, "nothing has been heard twice");
    pass(&mut drift, 0..30, 3.0);
    let moved = drift.since_start(RATE).unwrap();
    // The whole has come up, too: one band of 31 by 3 dB.
    let whole_db = 10.0 * ((30.0 + 10f64.powf(0.3)) / 31.0).log10();
    assert!((raised(&moved) - (3.0 - whole_db)).abs() < 1e-4, "{moved:?}");
    assert!((moved.bands_db[3].unwrap().0 + whole_db).abs() < 1e-4);
    assert!((moved.common_s - 30.0).abs() < 1e-9);
    // One of the ten bands from 2 to 16 kHz.
    assert!((moved.brighter_db.unwrap().0 - 0.3).abs() < 1e-4, "{moved:?}");
}

#[test]
fn a_fader_is_no_drift() {
    let mut drift = Drift::default();
    for gain_db in [0.0, -10.0] {
        for index in 0..30 {
            drift.take(&a_cell(index, |band| gain_db - band as f64), true);
        }
    }
    let moved = drift.since_start(RATE).unwrap();
    assert!(moved.bands_db.iter().all(|db| db.unwrap().0.abs() < 1e-4), "{moved:?}");
}

/// A chorus that is brighter than the verse and is looped is the same song.
#[test]
fn what_is_heard_more_often_is_not_counted_more() {
    let mut drift = Drift::default();
    let verse = |index| a_cell(index, |band| -40.0 - band as f64);
    let chorus = |index| a_cell(index, |_| -40.0);
    for index in 0..30 {
        drift.take(&verse(index), true);
    }
    for index in 30..60 {
        drift.take(&chorus(index), true);
    }
    for _ in 0..20 {
        for index in 30..60 {
            drift.take(&chorus(index), true);
        }
    }
    let moved = drift.since_start(RATE).unwrap();
    assert!(moved.bands_db.iter().all(|db| db.unwrap().0.abs() < 1e-4), "{moved:?}");
    assert!((moved.common_s - 30.0).abs() < 1e-9, "the verse was heard once");
}

#[test]
fn one_try_among_three_passes_is_not_believed() {
    let mut drift = Drift::default();
    passes(&mut drift, &[0.0, 0.0, 0.0, 0.0, 9.0, 0.0]);
    assert!(raised(&drift.since_start(RATE).unwrap()).abs() < 1e-4);
}

#[test]
fn a_rest_begins_anew_and_erases_nothing_from_before_it() {
    let mut drift = Drift::default();
    passes(&mut drift, &[0.0, 0.0, 0.0, 3.0, 3.0, 3.0]);
    assert!(drift.since_start(RATE).is_some());
    assert_eq!(drift.since_rest(RATE), None, "who has not rested has no drift since a rest");
    drift.rest();
    assert_eq!(drift.since_rest(RATE), None, "nothing has been heard since");
    passes(&mut drift, &[3.0, 3.0]);
    assert!(raised(&drift.since_rest(RATE).unwrap()).abs() < 1e-4);
    assert!(raised(&drift.since_start(RATE).unwrap()) > 2.5);
}

#[test]
fn under_twenty_seconds_it_cannot_be_told() {
    let mut drift = Drift::default();
    for db in [0.0, 3.0] {
        pass(&mut drift, 0..19, db);
    }
    assert_eq!(drift.since_start(RATE), None);
    for db in [0.0, 3.0] {
        pass(&mut drift, 19..20, db);
    }
    assert!(drift.since_start(RATE).is_some());
}

#[test]
fn where_most_of_what_comes_is_another_sound_it_cannot_be_told() {
    let mut drift = Drift::default();
    for db in [0.0, 0.0] {
        pass(&mut drift, 0..40, db);
    }
    for index in 0..40 {
        drift.take(&a_cell(index, |band| -40.0 - band as f64), false);
    }
    assert_eq!(drift.since_start(RATE), None);
    pass(&mut drift, 0..40, 0.0);
    assert!(drift.since_start(RATE).is_some(), "it is the song again");
}

#[test]
fn a_render_a_pre_roll_and_half_a_cell_are_no_passes() {
    let mut drift = Drift::default();
    pass(&mut drift, 0..30, 0.0);
    for index in 0..30 {
        let heard = a_cell(index, |_| -40.0);
        drift.take(&Cell { place: Place { offline: true, ..heard.place }, ..heard }, true);
        drift.take(&Cell { place: Place { preroll: true, ..heard.place }, ..heard }, true);
        drift.take(&Cell { coverage: 0.5, ..heard }, true);
    }
    assert_eq!(drift.since_start(RATE), None);
}

#[test]
fn a_band_without_sound_has_not_moved() {
    let mut drift = Drift::default();
    for _ in 0..2 {
        (0..30).for_each(|index| {
            drift.take(&a_cell(index, |band| if band == 0 { -150.0 } else { -40.0 }), true);
        });
    }
    assert_eq!(drift.since_start(RATE).unwrap().bands_db[0], None);
}
