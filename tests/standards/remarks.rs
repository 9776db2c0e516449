//! Remarks on sound: each rule on a signal that trips it and on one just short of it, and sound of which there is
//! nothing to say.

mod apart;
mod drifted;
mod material;
mod nothing;
mod sides;

use std::sync::LazyLock;

use candlemark_analysis::Position;
use candlemark_session::elsewhere::Elsewhere;
use candlemark_session::figures::SongFigures;
use candlemark_session::remarks::{Figure, Given, Remark, Remarks};
use candlemark_session::yardstick::{Record, Yardstick};
use candlemark_tests::measured::{AtWork, playing};
use candlemark_tests::signals::{Noise, sine};
use candlemark_tests::sound::Sound;
use material::{Parts, RATE, bell, limited};

/// Long enough to be judged.
const SECONDS: f64 = 66.0;
/// Its middle.
const MIDDLE_S: f64 = 33.0;

fn figures(sound: &Sound) -> SongFigures {
    sound.heard().figures(sound.rate)
}

/// A yardstick of three songs.
fn three(songs: &[Sound; 3]) -> Yardstick {
    let record = |song: &Sound| Record::of("one of three", &figures(song)).expect("it can be a record");
    Yardstick { name: "three songs".into(), records: songs.iter().map(record).collect() }
}

/// Three songs of a kind.
static RECORDS: LazyLock<Yardstick> = LazyLock::new(|| {
    let song = |(seed, tilt_db)| Parts::new(seed, SECONDS, tilt_db).sound();
    three(&[(100, -3.0), (200, 0.0), (300, 3.0)].map(song))
});

fn said(sound: &Sound, yardstick: Option<&Yardstick>) -> Vec<Remark> {
    let song = figures(sound);
    let elsewhere = Elsewhere::all(&song.bands, yardstick);
    let given = Given { elsewhere: &elsewhere, ..Given::of_file(&song, yardstick) };
    let remarks = Remarks::default().on(&given);
    for remark in &remarks {
        println!("{}: {}", remark.id, remark.text);
    }
    remarks
}

fn ids(sound: &Sound, yardstick: Option<&Yardstick>) -> Vec<String> {
    said(sound, yardstick).into_iter().map(|remark| remark.id).collect()
}

const NOTHING: [&str; 0] = [];

/// A mix that its maker has spoilt in three ways, and the same mix unspoilt.
#[test]
fn three_planted_faults_are_told_by_name_and_nothing_else() {
    let parts = Parts::new(400, SECONDS, 0.5);
    assert_eq!(ids(&parts.sound(), Some(&RECORDS)), NOTHING, "the mix unspoilt");

    let spoilt = limited(&bell(&parts.mixed(MIDDLE_S..SECONDS), 3500.0, 0.9, 5.0), 12.0, 0.8);
    let remarks = said(&spoilt, Some(&RECORDS));
    let ids: Vec<&str> = remarks.iter().map(|remark| remark.id.as_str()).collect();
    assert_eq!(ids, ["low-end-fold", "balance", "compression"]);

    let [low_end, balance, compression] = [0, 1, 2].map(|n| remarks[n].evidence);
    // The low end is told in windows of 1.4 s, in cells of a second.
    assert!((low_end.at_s.unwrap() - MIDDLE_S).abs() <= 2.0, "{low_end:?}");
    assert!(low_end.bands_hz.unwrap()[1] <= 200.0, "{low_end:?}");
    let Figure::Fold(fold) = low_end.figure else { panic!("{low_end:?}") };
    assert!(fold.is_none_or(|fold| fold.0 < -10.0), "{low_end:?}");

    // The bell's half width; matched in loudness, of its 5 dB less is left over the records.
    let [low_hz, high_hz] = balance.bands_hz.unwrap();
    assert!(low_hz >= 1600.0 && high_hz <= 8000.0 && high_hz / low_hz > 1.9, "{balance:?}");
    let Figure::Off(off) = balance.figure else { panic!("{balance:?}") };
    assert!((1.5..=5.0).contains(&off.0), "{balance:?}");

    let Figure::PsrLoud(psr) = compression.figure else { panic!("{compression:?}") };
    let lowest = RECORDS.records.iter().filter_map(|record| record.psr_loud_db).fold(f64::INFINITY, f64::min);
    assert!(psr.0 < lowest - 1.0, "{compression:?}");
}

#[test]
fn each_fault_alone_is_told_alone_and_half_of_it_is_not() {
    let parts = Parts::new(500, SECONDS, 0.0);
    let song = parts.sound();
    for (what, spoilt, id) in [
        ("the low end turned over for half of the song", parts.mixed(MIDDLE_S..SECONDS), "low-end-fold"),
        ("5 dB of upper mids", bell(&song, 3500.0, 0.9, 5.0), "balance"),
        ("9 dB into a limiter", limited(&song, 9.0, 0.8), "compression"),
    ] {
        assert_eq!(ids(&spoilt, Some(&RECORDS)), [id], "{what}");
    }
    for (what, nearly) in [
        // Kept are 79 % of the low end's power, which is −1.0 dB.
        ("the low end turned over for a fifth of the song", parts.mixed(52.0..SECONDS)),
        ("1.5 dB of upper mids", bell(&song, 3500.0, 0.9, 1.5)),
        ("a limiter that hardly works", limited(&song, 0.0, 0.6)),
    ] {
        assert_eq!(ids(&nearly, Some(&RECORDS)), NOTHING, "{what}");
    }
}

#[test]
fn where_the_low_end_falls_away_from_its_beginning_no_place_is_told() {
    let parts = Parts::new(600, SECONDS, 0.0);
    let whole = said(&parts.mixed(0.0..SECONDS), None).remove(0);
    assert_eq!((whole.id.as_str(), whole.evidence.at_s), ("low-end-fold", None));
    let part = said(&parts.mixed(15.0..50.0), None).remove(0);
    assert!((part.evidence.at_s.unwrap() - 15.0).abs() <= 2.0, "{part:?}");
    assert!(part.text.contains("first from 0:"), "{}", part.text);
}

/// A tone on both sides, which one of them turns over for a while.
#[test]
fn ten_seconds_that_cancel_are_told_and_five_are_not() {
    let song = Parts::new(700, 60.0, 0.0).sound();
    let tone = sine(RATE, 2500.0, -15.0, 0.0, 60.0);
    let turned = |seconds: f64| {
        let turned = (20.0 * RATE) as usize..((20.0 + seconds) * RATE) as usize;
        let mut song = song.clone();
        for (n, tone) in tone.iter().enumerate() {
            song.left[n] += tone;
            song.right[n] += if turned.contains(&n) { -tone } else { *tone };
        }
        song
    };
    let remark = said(&turned(11.0), None).remove(0);
    assert_eq!((remark.id.as_str(), remark.evidence.bands_hz), ("cancellation", Some([2000.0, 3150.0])));
    assert!((19.0..=21.0).contains(&remark.evidence.at_s.unwrap()), "{remark:?}");
    // At least 26 % of any ten seconds is kept, which is −5.8 dB; with half a second more of it turned over, 21 %, −6.8 dB.
    assert_eq!(ids(&turned(7.4), None), NOTHING);
    assert_eq!(ids(&turned(7.9), None), ["cancellation"]);
    // −3 dB is ordinary: a tone on one side alone, and another on the other, about as loud.
    let mut panned = song.clone();
    let other = sine(RATE, 800.0, -12.0, 0.0, 60.0);
    panned.left.iter_mut().zip(&tone).for_each(|(x, tone)| *x += tone);
    panned.right.iter_mut().zip(&other).for_each(|(x, tone)| *x += tone);
    assert_eq!(ids(&panned, None), NOTHING, "hard-panned");
}

#[test]
fn a_dead_side_is_told_after_twenty_seconds() {
    let song = Parts::new(800, 60.0, 0.0).sound();
    let dead = |seconds: f64| {
        let mut song = song.clone();
        let from = (10.0 * RATE) as usize;
        song.right[from..from + (seconds * RATE) as usize].fill(0.0);
        song
    };
    let remark = said(&dead(22.0), None).remove(0);
    assert_eq!(remark.id, "dead-channel");
    assert_eq!(remark.text.split(" while").next(), Some("The right side is silent for 22 s from 0:10"));
    assert_eq!(ids(&dead(19.0), None), NOTHING);
}

#[test]
fn sides_that_mirror_each_other_are_told_and_nothing_that_follows_from_it() {
    let song = Parts::new(900, 70.0, 0.0).sound();
    let mut mirrored = song.clone();
    mirrored.right.iter_mut().for_each(|x| *x = -*x);
    assert_eq!(ids(&mirrored, None), ["inverted-channel"]);
    let [left, right] = [910, 911].map(|seed| Noise::new(seed).white((60.0 * RATE) as usize, 0.1));
    let unrelated = Sound::stereo(RATE, left, right);
    assert_eq!(ids(&unrelated, None), NOTHING, "unrelated sides");
}

#[test]
fn clips_overs_and_dc_are_told() {
    let quiet = || sine(RATE, 997.0, -20.0, 0.0, 20.0);
    // A run of full samples every second: three are one.
    let clipped = |run: usize, runs: usize| {
        let mut left = quiet();
        for second in 1..=runs {
            let at = second * RATE as usize;
            left[at..at + run].fill(1.0);
        }
        Sound::stereo(RATE, left, quiet())
    };
    let remark = said(&clipped(3, 11), None).remove(0);
    assert_eq!(remark.id, "clipped-runs");
    assert!(remark.text.starts_with("It clips 11 times, first at 0:0"), "{}", remark.text);
    assert!(!ids(&clipped(3, 10), None).contains(&"clipped-runs".to_owned()));
    assert!(!ids(&clipped(2, 19), None).contains(&"clipped-runs".to_owned()));

    // A sine at a quarter of the rate, 45° off its samples, peaks 3 dB over them.
    let between = |dbtp: f64| {
        let mut left = quiet();
        let loud = sine(RATE, RATE / 4.0, dbtp, 45.0, 0.5);
        let at = 12 * RATE as usize;
        left[at..at + loud.len()].copy_from_slice(&loud);
        Sound::stereo(RATE, left, quiet())
    };
    let remark = said(&between(0.4), None).remove(0);
    assert_eq!(remark.id, "true-peak-overs");
    assert!(
        remark.text.contains("first over at 0:12") || remark.text.contains("first over at 0:11"),
        "{}",
        remark.text
    );
    assert_eq!(ids(&between(0.1), None), NOTHING);

    let shifted = |dbfs: f64| {
        let dc = 10f64.powf(dbfs / 20.0) as f32;
        Sound::stereo(RATE, quiet(), quiet().iter().map(|x| x - dc).collect())
    };
    let remark = said(&shifted(-44.0), None).remove(0);
    assert_eq!(
        (remark.id.as_str(), remark.text.contains("−44 dBFS on the right")),
        ("dc", true),
        "{}",
        remark.text
    );
    assert_eq!(ids(&shifted(-46.0), None), NOTHING);
}

/// A song that is worked on: what was mended and heard again is no longer said.
#[test]
fn what_was_mended_and_heard_again_is_gone() {
    let mut song = AtWork::new(RATE);
    let mut remarks = Remarks::default();
    let mut play = |spoil: fn(&mut [f32])| {
        let mut left = Noise::new(1200).white((20.0 * RATE) as usize, 0.1);
        spoil(&mut left);
        song.play([&left, &left], 500, |at| {
            let position = playing(at as f64 / (RATE / 2.0), 120.0);
            Position { song_frame: Some(at as i64), ..position }
        });
        // Two seconds pass.
        song.stop(500, 128 * 500);
        let said = remarks.on(&Given::of_song(&song.desk.figures(), None));
        said.into_iter().map(|remark| remark.text).collect::<Vec<_>>()
    };
    let clip = |left: &mut [f32]| {
        for run in 0..12 {
            let at = (5.0 * RATE) as usize + 100 * run;
            left[at..at + 3].fill(1.0);
        }
    };
    assert_eq!(play(clip), ["It clips 24 times, first at 0:05. Turn the mix down before its last stage."]);
    let dc = |left: &mut [f32]| left.iter_mut().for_each(|x| *x += 0.01);
    assert_eq!(
        play(dc),
        ["There is DC, −40 dBFS on both sides. Try a high-pass at 20 Hz where it comes in."]
    );
    assert_eq!(play(|_| ()), NOTHING);
}
