use candlemark_analysis::BandPower;

use super::*;
use crate::a_reading::a_reading;

/// A reading whose one band, 1 kHz, has this mean power in each channel.
fn tone(power: f32) -> Reading {
    let mut reading = a_reading();
    reading.bands_3s[17] = BandPower { left: power, right: power, mid: power };
    reading
}

/// Marked at 60 dBA with a noise of −30 dB.
fn marked() -> Chair {
    let mut chair = Chair::default();
    chair.put_mark(Knob::Quiet, MonitorMark::new(60.0, -30.0).unwrap());
    chair
}

fn level(chair: &Chair) -> ChairLevel {
    match chair.at_chair() {
        AtChair::Level(level) => level,
        other => panic!("{other:?}"),
    }
}

fn listen(chair: &mut Chair, power: f32, seconds: usize) {
    for _ in 0..seconds * 10 {
        chair.listen(&tone(power), 0.1);
    }
}

#[test]
fn without_a_mark_there_is_nothing_at_all() {
    let mut chair = Chair::default();
    listen(&mut chair, 0.1, 100);
    chair.confirm();
    assert_eq!(chair.at_chair(), AtChair::NoMark);
}

#[test]
fn a_level_follows_from_what_was_read_of_the_noise() {
    let mut chair = marked();
    // Two speakers with −33.01 dB each are as loud as one with the noise.
    listen(&mut chair, 0.5e-3, 70);
    let quiet = level(&chair);
    assert!((quiet.now_dba.unwrap() - 60.0).abs() < 0.01, "{quiet:?}");
    assert!((quiet.averaged_dba.unwrap() - 60.0).abs() < 0.01);
    assert!((quiet.over_meant_db.unwrap() - (60.0 - MEANT_DBA)).abs() < 0.01);
    assert_eq!(quiet.words(), "talking level");
    // As long again 10 dB louder: by energy 7.4 dB more than the first alone.
    listen(&mut chair, 0.5e-2, 70);
    let averaged = level(&chair).averaged_dba.unwrap();
    assert!((averaged - (60.0 + 10.0 * 5.5f64.log10())).abs() < 0.01, "{averaged}");
}

#[test]
fn each_level_has_its_words_and_silence_those_of_what_was_heard() {
    let words = |now_dba: Option<f64>, averaged_dba: Option<f64>| {
        ChairLevel { now_dba, averaged_dba, ..level(&marked()) }.words()
    };
    for (from, words_there, to) in [
        (30.0, "whispering level", 54.9),
        (55.0, "talking level", 67.9),
        (68.0, "raised voices", 75.9),
        (76.0, "loud: for minutes", 84.9),
        (85.0, "very loud: turn it down", 120.0),
    ] {
        assert_eq!((words(Some(from), Some(60.0)), words(Some(to), None)), (words_there, words_there));
    }
    assert_eq!((words(None, Some(60.0)), words(None, None)), ("talking level", "silence"));
}

#[test]
fn a_mark_that_another_window_has_put_anew_is_to_be_confirmed_anew_and_no_other() {
    let mark = |dba: f64| MonitorMark::new(dba, -30.0);
    let marks = |quiet: f64, normal: f64| {
        let mut marks = Marks::default();
        marks.put(Knob::Quiet, mark(quiet));
        marks.put(Knob::Normal, mark(normal));
        marks
    };
    let mut chair = Chair::default();
    chair.set_marks(marks(60.0, 70.0));
    assert_eq!(chair.at_chair(), AtChair::Unconfirmed(Knob::Quiet), "marks alone confirm nothing");
    for knob in [Knob::Quiet, Knob::Normal] {
        chair.set_knob(knob);
        chair.confirm();
    }
    chair.set_marks(marks(62.0, 70.0));
    assert!(matches!(chair.at_chair(), AtChair::Level(_)), "the same as it was");
    chair.set_knob(Knob::Quiet);
    assert_eq!(chair.at_chair(), AtChair::Unconfirmed(Knob::Quiet));
}

/// Marked at 60 dBA with the knob at quiet, and 10 dB louder at normal.
fn marked_twice() -> Chair {
    let mut chair = marked();
    chair.put_mark(Knob::Normal, MonitorMark::new(70.0, -30.0).unwrap());
    chair.set_knob(Knob::Quiet);
    chair
}

#[test]
fn what_was_loud_before_the_knob_was_turned_down_is_held_against_nobody() {
    let mut chair = marked_twice();
    chair.set_knob(Knob::Normal);
    listen(&mut chair, 0.5e-3, 400);
    let over = level(&chair).over_meant_db.unwrap();
    assert!((over - (70.0 - MEANT_DBA)).abs() < 0.01, "{over}");
    chair.set_knob(Knob::Quiet);
    assert_eq!(level(&chair).over_meant_db, None, "the knob was turned down");
    listen(&mut chair, 0.5e-3, 61);
    let over = level(&chair).over_meant_db.unwrap();
    assert!((over - (60.0 - MEANT_DBA)).abs() < 0.01, "{over}");
    chair.confirm();
    assert_eq!(level(&chair).over_meant_db, None);
}

#[test]
fn a_louder_position_is_for_a_while_and_minutes_of_silence_count() {
    let mut chair = marked_twice();
    chair.set_meant_dba(58.0);
    chair.set_knob(Knob::Normal);
    listen(&mut chair, 0.5e-3, 299);
    assert_eq!(level(&chair).over_meant_db, None, "to compare");
    listen(&mut chair, 0.5e-3, 2);
    let over = level(&chair).over_meant_db.unwrap();
    assert!((over - 12.0).abs() < 0.01, "{over}");
    // As long again without sound: the mean of both and what an average of 300 s has let go of.
    chair.be_still(300.0);
    assert_eq!(level(&chair).over_meant_db, None, "nothing is left of it");
    assert_eq!(level(&chair).now_dba, None);
}

#[test]
fn shares_are_those_of_the_level_and_the_time() {
    let mut chair = marked();
    listen(&mut chair, 1e-3, 600);
    let at = level(&chair);
    let dba = at.averaged_dba.unwrap();
    assert!((at.niosh_day_share / niosh_day_share(dba, 600.0) - 1.0).abs() < 1e-3);
    assert!((at.who_week_share / who_week_share(dba, 600.0) - 1.0).abs() < 1e-3);
    assert!((at.listened_s - 600.0).abs() < 1e-6);
}

#[test]
fn a_mark_of_an_earlier_session_says_nothing_before_it_is_confirmed() {
    let mut chair = Chair::default();
    chair.set_marks(marked().marks);
    listen(&mut chair, 1e-3, 5);
    assert_eq!(chair.at_chair(), AtChair::Unconfirmed(Knob::Quiet));
    chair.confirm();
    assert_eq!(level(&chair).listened_s, 0.0, "what came before is not known");
    listen(&mut chair, 1e-3, 5);
    assert!(level(&chair).now_dba.is_some());
    chair.set_headphones(true);
    assert_eq!(chair.at_chair(), AtChair::Headphones);
    chair.set_headphones(false);
    chair.set_knob(Knob::Loud);
    assert_eq!(chair.at_chair(), AtChair::NoMark);
}

#[test]
fn renders_and_silence_are_not_listened_to() {
    let mut chair = marked();
    let mut render = tone(0.1);
    render.place.offline = true;
    chair.listen(&render, 100.0);
    listen(&mut chair, 0.0, 5);
    let at = level(&chair);
    assert_eq!((at.now_dba, at.averaged_dba, at.listened_s), (None, None, 0.0));
    assert_eq!(at.words(), "silence");
}

#[test]
fn what_no_meter_shows_is_no_mark() {
    for read_dba in [f64::NAN, -3.0, 29.0, 101.0, f64::INFINITY] {
        assert_eq!(MonitorMark::new(read_dba, -30.0), None);
    }
    assert_eq!(MonitorMark::new(60.0, f64::NEG_INFINITY), None);
}

/// The A-weighted power of pink noise, 20 Hz to 20 kHz: 2.86 dB under its unweighted power (integrated from IEC 61672-1's
/// formula apart from this code).
#[test]
fn pink_noise_loses_what_the_weighting_takes() {
    // 20 Hz and 20 kHz are the middles of the first and the last third octave.
    let each = 0.5 / (BAND_COUNT - 1) as f32;
    let mut bands = [BandPower { left: each, right: each, mid: each }; BAND_COUNT];
    for end in [0, BAND_COUNT - 1] {
        bands[end] = BandPower { left: each / 2.0, right: each / 2.0, mid: each / 2.0 };
    }
    let weighted_db = 10.0 * a_weighted_power(&bands).log10();
    assert!((weighted_db + 2.86).abs() < 0.03, "{weighted_db}");
}
