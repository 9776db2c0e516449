use candlemark_analysis::{Db, Hertz};

use super::*;
use crate::a_record::a_record;
use crate::falls_away::{FALLS_DB, LOW_END_FALLS_DB};
use crate::figures::Spread;
use crate::yardstick::Record;

fn band(hz: f64, relative_db: f64) -> BandFigures {
    BandFigures {
        nominal: Hertz(hz),
        level: Some(Db(relative_db - 20.0)),
        relative: Some(Spread { low_db: relative_db, median_db: relative_db, high_db: relative_db }),
        fold: Fold { kept: Some(1.0) },
        correlation: None,
    }
}

/// A song whose relative level in every band is what `level_db` gives for its frequency.
fn song(level_db: impl Fn(f64) -> f64) -> Vec<BandFigures> {
    NOMINAL_HZ.into_iter().map(|hz| band(hz, level_db(hz))).collect()
}

fn record(level_db: impl Fn(f64) -> f64) -> Record {
    a_record(&NOMINAL_HZ.map(|hz| (hz, level_db(hz))))
}

fn yardstick(bends_db: &[f64]) -> Yardstick {
    let records = bends_db.iter().map(|bend_db| record(|hz| tilt_db(hz) + bend_db)).collect();
    Yardstick { name: String::new(), records }
}

fn tilt_db(hz: f64) -> f64 {
    -3.0 * (hz / 100.0).log2()
}

#[test]
fn the_groups_are_ten_octaves_without_gap_or_overlap() {
    let all: Vec<f64> = OctaveGroup::ALL.into_iter().flat_map(OctaveGroup::bands_hz).copied().collect();
    assert_eq!(all, NOMINAL_HZ[1..]);
    assert_eq!(OctaveGroup::Lows.bands_hz(), [25.0, 31.5, 40.0, 50.0, 63.0, 80.0]);
    assert_eq!(OctaveGroup::Top.bands_hz().first(), Some(&6300.0));
}

/// Ten times a power is 10 dB, and twice a power 10·log10(2).
#[test]
fn a_group_has_its_bands_powers_together() {
    let flat = song(|_| -12.0);
    let db = OctaveGroup::Mids.relative_db(&flat).unwrap();
    assert!((db - (-12.0 + 10.0 * 6f64.log10())).abs() < 1e-12, "{db}");
    let one = song(|hz| if hz == 1000.0 { -5.0 } else { -500.0 });
    assert!((OctaveGroup::Mids.relative_db(&one).unwrap() + 5.0).abs() < 1e-9);
    assert_eq!(OctaveGroup::Top.relative_db(&flat[..20]), None);
}

#[test]
fn a_record_beside_itself_is_nowhere_off() {
    let song = song(tilt_db);
    let groups = GroupComparison::all(&song, &yardstick(&[0.0]));
    assert_eq!(groups.len(), 5);
    assert!(groups.iter().all(|group| group.off_db.abs() < 1e-12 && !group.outside));
}

#[test]
fn a_shift_of_every_band_is_the_groups_shift() {
    let song = song(|hz| tilt_db(hz) + if hz > 1500.0 && hz < 6000.0 { 3.0 } else { 0.5 });
    let groups = GroupComparison::all(&song, &yardstick(&[-1.0, 0.0, 2.0]));
    for group in groups {
        let expected = if group.group == OctaveGroup::UpperMids { 3.0 } else { 0.5 };
        assert!((group.off_db - expected).abs() < 1e-9, "{group:?}");
        assert!((group.low_db + 1.0).abs() < 1e-9 && (group.high_db - 2.0).abs() < 1e-9, "{group:?}");
        assert_eq!(group.outside, group.group == OctaveGroup::UpperMids);
    }
}

#[test]
fn with_two_records_no_group_is_outside() {
    let song = song(|hz| tilt_db(hz) + 20.0);
    assert!(GroupComparison::all(&song, &yardstick(&[0.0, 1.0])).iter().all(|group| !group.outside));
}

/// A record of half the sample rate has no top: it says nothing of the song's.
#[test]
fn a_record_without_the_groups_bands_is_not_asked() {
    let song = song(tilt_db);
    let mut yardstick = yardstick(&[0.0, 1.0]);
    yardstick.records[1].bands.retain(|band| band.hz < 8000.0);
    let groups = GroupComparison::all(&song, &yardstick);
    assert_eq!(groups[4].high_db, 0.0);
    assert_eq!(groups[4].off_db, 0.0);
    assert!((groups[0].high_db - 0.5).abs() < 1e-9);
    yardstick.records.pop();
    yardstick.records[0].bands.truncate(10);
    assert_eq!(GroupComparison::all(&song, &yardstick).len(), 1);
}

#[test]
fn the_fold_is_that_of_the_powers_together() {
    let mut bands = song(|_| -10.0);
    for band in bands.iter_mut().filter(|band| band.nominal.0 == 63.0 || band.nominal.0 == 80.0) {
        band.fold.kept = Some(0.0);
    }
    let kept = OctaveGroup::Lows.fold(&bands).kept.unwrap();
    assert!((kept - 4.0 / 6.0).abs() < 1e-12, "{kept}");
    assert_eq!(OctaveGroup::Mids.fold(&bands).kept, Some(1.0));
    assert_eq!(OctaveGroup::Mids.fold(&[]).kept, None);
    assert_eq!(OctaveGroup::Lows.falls_below_db(), LOW_END_FALLS_DB);
    assert_eq!(OctaveGroup::LowMids.falls_below_db(), FALLS_DB);
}
