//! What a person has meant is not said again until it is worse.

use super::*;

/// The song with a low end that mono takes `db` of.
fn low_end(db: f64) -> SongFigures {
    let mut song = song();
    super::low_end(&mut song, db, [None, None]);
    song
}

#[test]
fn a_remark_that_is_meant_is_made_again_once_it_is_a_decibel_worse() {
    let mut remarks = Remarks::default();
    assert_eq!(ids(&remarks.on(&Given::of_file(&low_end(-3.0), None))), ["low-end-fold"]);
    remarks.mean("low-end-fold");
    assert_eq!(remarks.meant().len(), 1);
    assert_eq!(remarks.on(&Given::of_file(&low_end(-3.0), None)), []);
    assert_eq!(remarks.on(&Given::of_file(&low_end(-3.9), None)), [], "not a decibel worse");
    assert_eq!(remarks.on(&Given::of_file(&low_end(-0.1), None)), [], "better, and there is nothing to say");
    assert_eq!(remarks.on(&Given::of_file(&low_end(-3.0), None)), [], "as it was meant");
    assert_eq!(ids(&remarks.on(&Given::of_file(&low_end(-4.1), None))), ["low-end-fold"]);
    assert_eq!(remarks.meant(), [], "what is worse was not meant");
}

#[test]
fn what_is_meant_can_be_taken_back() {
    let mut remarks = Remarks::default();
    remarks.on(&Given::of_file(&low_end(-3.0), None));
    remarks.mean("low-end-fold");
    remarks.no_longer_mean("low-end-fold");
    assert_eq!(ids(&remarks.on(&Given::of_file(&low_end(-3.0), None))), ["low-end-fold"]);
}

#[test]
fn another_place_was_not_meant() {
    let yardstick = records();
    let (mut low, mut high) = (song(), song());
    raised(&mut low, 250.0, 500.0, 4.0);
    raised(&mut high, 2000.0, 5000.0, 4.0);
    let mut remarks = Remarks::default();
    assert_eq!(ids(&remarks.on(&Given::of_file(&low, Some(&yardstick)))), ["balance"]);
    remarks.mean("balance");
    assert_eq!(remarks.on(&Given::of_file(&low, Some(&yardstick))), []);
    assert_eq!(ids(&remarks.on(&Given::of_file(&high, Some(&yardstick)))), ["balance"]);
}

/// A rule whose finding is meant still keeps those quiet that would tell what follows from it.
#[test]
fn what_follows_from_what_is_meant_is_not_said() {
    let mut turned = low_end(-6.0);
    correlated(&mut turned, -0.9);
    let mut remarks = Remarks::default();
    assert_eq!(ids(&remarks.on(&Given::of_file(&turned, None))), ["inverted-channel"]);
    remarks.mean("inverted-channel");
    assert_eq!(remarks.on(&Given::of_file(&turned, None)), []);
}

#[test]
fn only_what_was_found_can_be_meant() {
    let mut remarks = Remarks::default();
    remarks.on(&Given::of_file(&song(), None));
    remarks.mean("low-end-fold");
    remarks.mean("no such rule");
    assert_eq!(remarks.meant(), []);
}

#[test]
fn what_is_meant_is_written_down_and_read_back() {
    let mut remarks = Remarks::default();
    remarks.on(&Given::of_file(&low_end(-3.0), None));
    remarks.mean("low-end-fold");
    let written = serde_json::to_string(remarks.meant()).unwrap();
    let mut opened = Remarks::default();
    opened.take_meant(serde_json::from_str(&written).unwrap());
    assert_eq!(opened.meant(), remarks.meant());
    assert_eq!(opened.on(&Given::of_file(&low_end(-3.0), None)), []);
}
