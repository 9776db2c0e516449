//! Remarks on range and on what is kept elsewhere, beside records of the same make, so that nothing else stands apart; and on
//! a song that is not like the records.

use candlemark_session::remarks::Figure;
use candlemark_session::yardstick::Yardstick;
use candlemark_tests::sound::Sound;

use super::material::{Parts, bell};
use super::{NOTHING, RECORDS, SECONDS, ids, said};

fn three(song: impl Fn(u64, f64) -> Sound) -> Yardstick {
    super::three(&[(2100, -3.0), (2200, 0.0), (2300, 3.0)].map(|(seed, tilt_db)| song(seed, tilt_db)))
}

/// A song whose first half lies so much under its second: of two levels the range is what lies between them (EBU Tech 3342:
/// from the 10th to the 95th percentile).
fn in_two_levels(seed: u64, tilt_db: f64, apart_db: f64) -> Sound {
    let gain = 10f32.powf(-apart_db as f32 / 20.0);
    Parts::new(seed, SECONDS, tilt_db).sound().by_side(|side| {
        let (first, second) = side.split_at(side.len() / 2);
        first.iter().map(|x| x * gain).chain(second.iter().copied()).collect()
    })
}

#[test]
fn a_song_that_keeps_to_one_loudness_is_told_beside_records_that_do_not() {
    let records = three(|seed, tilt_db| in_two_levels(seed, tilt_db, 8.0));
    let ranges: Vec<f64> = records.records.iter().filter_map(|record| record.range_lu).collect();
    println!("the records' ranges: {ranges:.2?} LU");
    let nearer = |apart_db| in_two_levels(2400, 0.0, apart_db);
    let remarks = said(&nearer(4.6), Some(&records));
    let told: Vec<&str> = remarks.iter().map(|remark| remark.id.as_str()).collect();
    assert_eq!(told, ["range"]);
    let Figure::Range(range_lu) = remarks[0].evidence.figure else { panic!("{remarks:?}") };
    // Noise moves by some tenths by itself, the records' as the song's.
    assert!((range_lu - 4.6).abs() < 0.5, "{range_lu}");
    assert_eq!(ids(&nearer(5.3), Some(&records)), NOTHING);
    assert_eq!(ids(&nearer(12.0), Some(&records)), NOTHING, "more range than theirs is nothing");
}

/// Records with a strong low end that mono keeps, and a song that is wider above it: the whole keeps most in mono, and one
/// speaker without a low end loses the wide part alone.
#[test]
fn what_one_speaker_without_a_low_end_loses_more_of_is_told() {
    let strong = |seed, tilt_db| Parts::new(seed, SECONDS, tilt_db).with_low_end(4.0);
    let records = three(|seed, tilt_db| strong(seed, tilt_db).sound());
    let wide = |times| strong(2500, 0.0).spread(times);
    let remarks = said(&wide(2.8), Some(&records));
    let told: Vec<&str> = remarks.iter().map(|remark| remark.id.as_str()).collect();
    assert_eq!(told, ["elsewhere"]);
    assert!(remarks[0].text.starts_with("Through one speaker of "), "{}", remarks[0].text);
    assert_eq!(ids(&wide(2.6), Some(&records)), NOTHING);
}

/// As a broad bell grows over the middle of a song, first a range of it lies outside, then nearly all.
#[test]
fn a_song_outside_in_nearly_all_bands_is_told_to_be_unlike_them_and_one_in_many_is_told_by_its_range() {
    let song = Parts::new(1300, SECONDS, 0.0).sound().times(0.3);
    let outside = |db| ids(&bell(&song, 500.0, 0.4, db), Some(&RECORDS));
    assert_eq!(outside(10.0), ["balance"]);
    assert_eq!(outside(12.0), ["unlike-records"]);
}
