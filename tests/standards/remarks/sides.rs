//! Remarks on the two sides, and on samples that are no numbers.

use candlemark_tests::signals::Noise;
use candlemark_tests::sound::Sound;

use super::material::{Parts, RATE, widened};
use super::{NOTHING, RECORDS, SECONDS, ids};

#[test]
fn a_side_that_is_3_db_louder_is_told() {
    let song = Parts::new(1200, SECONDS, 0.0).sound();
    let lower = |db: f32| {
        let mut song = song.clone();
        song.right.iter_mut().for_each(|x| *x *= 10f32.powf(-db / 20.0));
        song
    };
    assert_eq!(ids(&lower(3.3), None), ["imbalance"]);
    assert_eq!(ids(&lower(2.7), None), NOTHING);
}

/// Noise of which one side holds a share of the other turned over: the share is the correlation.
#[test]
fn sides_that_work_against_each_other_are_told() {
    let [left, own] = [1300, 1301].map(|seed| Noise::new(seed).white((SECONDS * RATE) as usize, 0.1));
    let correlated = |correlation: f32| {
        let rest = (1.0 - correlation * correlation).sqrt();
        let right = left.iter().zip(&own).map(|(l, own)| correlation * l + rest * own).collect();
        Sound::stereo(RATE, left.clone(), right)
    };
    assert_eq!(ids(&correlated(-0.35), None), ["correlation"]);
    assert_eq!(ids(&correlated(-0.25), None), NOTHING);
    // From −0.7 on they mirror each other.
    assert!(!ids(&correlated(-0.68), None).contains(&"inverted-channel".to_owned()));
    assert_eq!(ids(&correlated(-0.72), None), ["inverted-channel"]);
}

#[test]
fn a_song_wider_than_the_records_is_told_and_one_a_little_wider_is_not() {
    let spread = |times: f64| Parts::new(1400, SECONDS, 0.0).spread(times);
    // One speaker that plays both sides together loses as much; that is not told again.
    assert_eq!(ids(&spread(2.65), Some(&RECORDS)), ["fold"]);
    assert_eq!(ids(&spread(2.3), Some(&RECORDS)), NOTHING);
}

#[test]
fn a_song_in_mono_beside_wide_records_is_told_and_a_narrow_one_is_not() {
    let song = Parts::new(1500, SECONDS, 0.0).sound();
    assert_eq!(ids(&widened(&song, 0.0), Some(&RECORDS)), ["mono-bus"]);
    assert_eq!(ids(&widened(&song, 0.2), Some(&RECORDS)), NOTHING);
    assert_eq!(ids(&widened(&song, 0.0), None), NOTHING, "without records");
}

#[test]
fn one_sample_that_is_no_number_is_told_and_the_least_one_that_is_is_not() {
    let mut song = Parts::new(1600, 20.0, 0.0).sound();
    let at = 12 * RATE as usize;
    song.left[at] = f32::from_bits(1);
    assert_eq!(ids(&song, None), NOTHING);
    song.left[at] = f32::NAN;
    assert_eq!(ids(&song, None), ["non-finite"]);
}
