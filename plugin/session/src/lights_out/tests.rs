use super::*;
use crate::a_reading::a_reading;

fn at(song_s: f64) -> Reading {
    let mut reading = a_reading();
    reading.place.pass = 3;
    reading.place.song_s = song_s;
    reading.short_term_power = song_s;
    reading
}

/// Plays from one place to another, by tenths of a second.
fn play(dark: &mut LightsOut, from_s: f64, to_s: f64) {
    let tenths = ((to_s - from_s) * 10.0).round() as usize;
    for tenth in 1..=tenths {
        dark.pass(0.1);
        assert_eq!(dark.take(&at(from_s + tenth as f64 / 10.0), 0.1), Became::Same);
    }
}

fn marked_s(dark: &mut LightsOut) -> f64 {
    dark.mark().expect("something was played").0.song_s
}

#[test]
fn it_waits_for_playback_and_is_over_when_it_stops() {
    let mut dark = LightsOut::new(HAND_S);
    assert_eq!(dark.be_still(3600.0), Became::Same, "however long it takes to begin");
    assert_eq!((dark.dark(), dark.mark()), (Dark { waits: true, marks: 0 }, None));
    play(&mut dark, 0.0, 30.0);
    assert_eq!(dark.dark(), Dark { waits: false, marks: 0 });
    assert_eq!(dark.be_still(1.0), Became::Same, "a host may be late");
    play(&mut dark, 30.0, 31.0);
    let mut stopped = at(31.0);
    stopped.place.pass = 0;
    assert_eq!(dark.take(&stopped, 0.1), Became::Same);
    assert!(matches!(dark.be_still(1.5), Became::Over(played_s) if (played_s - 31.0).abs() < 1e-9));
}

#[test]
fn a_tap_is_dated_as_much_earlier_as_the_hand_is_late() {
    for (hand_s, expected) in [(2.0, 8.0), (0.0, 10.0), (0.5, 9.5), (f64::NAN, 8.0), (99.0, 5.0)] {
        let mut dark = LightsOut::new(hand_s);
        play(&mut dark, 0.0, 10.0);
        let (place, read) = dark.mark().unwrap();
        assert!((place.song_s - expected).abs() < 1e-6, "{hand_s} s late: {place:?}");
        assert_eq!(read.short_term, Lufs::of_power(place.song_s), "what was read there");
    }
}

#[test]
fn a_tap_right_after_the_start_is_for_the_start_and_one_after_a_jump_for_what_was_heard() {
    let mut dark = LightsOut::new(HAND_S);
    play(&mut dark, 60.0, 60.5);
    assert!((marked_s(&mut dark) - 60.1).abs() < 1e-9);
    play(&mut dark, 60.5, 70.0);
    play(&mut dark, 10.0, 11.0);
    assert!((marked_s(&mut dark) - 69.0).abs() < 1e-9, "two seconds ago it was still there");
    assert_eq!(dark.dark().marks, 2);
}

#[test]
fn a_tap_after_the_end_is_for_what_was_heard_before() {
    let mut dark = LightsOut::new(HAND_S);
    play(&mut dark, 0.0, 10.0);
    dark.pass(1.0);
    dark.be_still(1.0);
    assert!((marked_s(&mut dark) - 9.0).abs() < 1e-9);
}

/// Blocks of half a second are told of by five tenths at once, and nothing in between.
#[test]
fn large_blocks_date_a_tap_no_otherwise() {
    let mut dark = LightsOut::new(HAND_S);
    for block in 0..20 {
        for _ in 0..4 {
            dark.pass(0.1);
            dark.be_still(0.1);
        }
        dark.pass(0.1);
        for tenth in 1..=5 {
            dark.take(&at(f64::from(block) / 2.0 + f64::from(tenth) / 10.0), 0.1);
        }
    }
    assert!((marked_s(&mut dark) - 8.0).abs() < 1e-9);
    dark.pass(0.3);
    assert!((marked_s(&mut dark) - 8.3).abs() < 1e-9);
}
