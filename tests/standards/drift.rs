//! Two hours of work on a song: how far its balance has drifted is found, and nothing where it has not.

use std::f64::consts::PI;

use candlemark_analysis::bands::{NOMINAL_HZ, band_edges};
use candlemark_analysis::{Cell, Hertz};
use candlemark_session::drift::Moved;
use candlemark_tests::measured::{AtWork, Heard, playing};
use candlemark_tests::signals::Noise;

/// Low, so that two hours take seconds; 3 to 5 kHz lie well inside.
const RATE: usize = 16_000;
/// Quarter notes a minute: a cell is a second.
const TEMPO_BPM: f64 = 120.0;
/// Length of the song.
const SONG_S: usize = 60;
/// Drift is found to this (a goal of ours).
const FOUND_DB: f64 = 0.3;

type Sides = [Vec<f32>; 2];

/// Five parts of twelve seconds of noise that differ in level, brightness and width, and fall from lows to highs as music does.
fn song() -> Sides {
    let mut noise = Noise::new(5);
    let parts = [(0.03, 0.2, 0.1), (0.06, 0.4, 0.4), (0.1, 0.8, 0.7), (0.05, 0.3, 0.3), (0.1, 0.7, 0.6)];
    let mut sides: Sides = Default::default();
    for (level, bright, width) in parts {
        let mut poles = [[0.0; 2]; 2];
        for _ in 0..12 * RATE {
            let (middle, side) = (noise.gaussian(level), noise.gaussian(level) * width);
            for (([low, mids], x), out) in
                poles.iter_mut().zip([middle + side, middle - side]).zip(&mut sides)
            {
                *low += 0.05 * (x - *low);
                *mids += 0.25 * (x - *mids);
                out.push((*low * 5.0 + bright * (1.5 * *mids + 0.12 * x)) as f32);
            }
        }
    }
    sides
}

/// The same with all from 2.7 to 5.8 kHz, which holds the bands at 3.15, 4 and 5 kHz, lifted by 2 dB: the song and a share of
/// itself through a band-pass (a windowed sinc, whose delay is taken out).
fn lifted(song: &Sides) -> Sides {
    const REACH: i64 = 255;
    const SHARE: f64 = 0.258_925; // 10^(2/20) − 1
    let taps: Vec<f64> = (-REACH..=REACH)
        .map(|n| {
            let sinc = |hz: f64| {
                let turn = 2.0 * hz / RATE as f64;
                if n == 0 { turn } else { (PI * turn * n as f64).sin() / (PI * n as f64) }
            };
            let window = 0.5 + 0.5 * (PI * n as f64 / (REACH + 1) as f64).cos();
            SHARE * window * (sinc(5800.0) - sinc(2700.0))
        })
        .collect();
    song.each_ref().map(|side| {
        (0..side.len() as i64)
            .map(|at| {
                let around = (-REACH..=REACH).zip(&taps).filter_map(|(n, tap)| {
                    side.get(usize::try_from(at - n).ok()?).map(|x| tap * f64::from(*x))
                });
                side[at as usize] + around.sum::<f64>() as f32
            })
            .collect()
    })
}

/// A song that is worked on, and for how long.
struct Work {
    song: AtWork,
    worked_s: usize,
}

impl Work {
    fn new() -> Self {
        Self { song: AtWork::new(RATE as f64), worked_s: 0 }
    }

    /// Plays from a second to another, so many cells having been put in before everything.
    fn play(&mut self, song: &Sides, from_s: usize, to_s: usize, put_in: usize) {
        self.play_at(song, from_s, to_s, TEMPO_BPM, 2.0 * put_in as f64);
    }

    fn play_at(&mut self, song: &Sides, from_s: usize, to_s: usize, tempo_bpm: f64, later_beats: f64) {
        let sides = song.each_ref().map(|side| &side[from_s * RATE..to_s * RATE]);
        self.song.play(sides, 512, |at| {
            let since = at as f64 / RATE as f64;
            let beats = from_s as f64 * TEMPO_BPM / 60.0 + since * tempo_bpm / 60.0 + later_beats;
            playing(beats, tempo_bpm)
        });
        self.song.stop(512, 2 * RATE / 512 * 512);
        self.worked_s += to_s - from_s;
    }

    /// About so long of what a person does: the whole song, its chorus over and over, jumps, a solo, a slower try.
    fn work(&mut self, song: &Sides, solo: &Sides, seconds: usize) {
        let end_s = self.worked_s + seconds;
        while self.worked_s < end_s {
            self.play(song, 0, SONG_S, 0);
            for _ in 0..20 {
                self.play(song, 24, 36, 0);
            }
            self.play(song, 50, 55, 0);
            self.play(song, 7, 11, 0);
            self.play(solo, 12, 30, 0);
            // A little slower: the cells are shorter in sound, and begin elsewhere in it.
            self.play_at(song, 36, 48, 0.98 * TEMPO_BPM, 0.0);
            self.play(song, 12, 48, 0);
        }
    }

    /// An hour on one sound and an hour on another.
    fn two_hours(first: &Sides, then: &Sides, solo: &Sides) -> Self {
        let mut work = Self::new();
        work.work(first, solo, 3600);
        work.work(then, solo, 3600);
        work
    }
}

/// A single part of the song alone: a low tone.
fn solo() -> Sides {
    let tone: Vec<f32> = (0..SONG_S * RATE).map(|n| 0.05 * (n as f32 * 0.06).sin()).collect();
    [tone.clone(), tone]
}

/// The bands whose edges lie inside what is lifted, and those that it does not reach.
fn is_lifted(band: usize) -> Option<bool> {
    let (Hertz(low), Hertz(high)) = band_edges(band);
    match (low >= 2800.0 && high <= 5700.0, high <= 2600.0 || low >= 5900.0) {
        (true, _) => Some(true),
        (_, true) => Some(false),
        _ => None,
    }
}

/// K-weighted energy of a whole sound, heard once as a file.
fn weighted_energy(song: &Sides) -> f64 {
    let heard = Heard::stereo(RATE as f64, &song[0], &song[1]);
    let energy = |cell: &Cell| f64::from(cell.frames) * (cell.weighted.left + cell.weighted.right);
    heard.cells.iter().map(energy).sum()
}

/// Whether what is lifted has come up by 2 dB, and nothing else has moved: each band beside the whole, as drift is defined,
/// which has got a little louder by the lift. By how much is measured apart, on the two sounds as files.
fn hold_lifted(since: &str, moved: &Moved, song: &Sides) {
    let whole_db = 10.0 * (weighted_energy(&lifted(song)) / weighted_energy(song)).log10();
    let mut worst = 0f64;
    for (band, hz) in NOMINAL_HZ.iter().enumerate() {
        let (Some(found), Some(is_lifted)) = (moved.bands_db[band], is_lifted(band)) else { continue };
        let expected = if is_lifted { 2.0 } else { 0.0 } - whole_db;
        worst = worst.max((found.0 - expected).abs());
        assert!((found.0 - expected).abs() < FOUND_DB, "{hz} Hz: {:+.2} for {expected:+.2} dB", found.0);
    }
    println!(
        "{since}, 2 dB lifted, the whole {whole_db:+.2} dB, furthest off {worst:.2} dB, {}",
        line(moved)
    );
    assert!(moved.brighter_db.unwrap().0 > 0.5, "{moved:?}");
}

/// Whether no band has moved.
fn hold_still(since: &str, moved: &Moved) {
    let most = moved.bands_db.iter().flatten().map(|db| db.0.abs()).fold(0.0, f64::max);
    println!("{since}, nothing lifted, at most {most:.2} dB, {}", line(moved));
    for (found, hz) in moved.bands_db.iter().zip(NOMINAL_HZ) {
        assert!(found.is_none_or(|db| db.0.abs() < FOUND_DB), "{hz} Hz: {found:?}");
    }
    assert!(moved.brighter_db.unwrap().0.abs() < FOUND_DB, "{moved:?}");
}

#[test]
fn a_lift_of_two_decibels_halfway_is_found() {
    let (song, solo) = (song(), solo());
    let work = Work::two_hours(&song, &lifted(&song), &solo);
    let drifts = work.song.desk.drifts();
    hold_lifted("since the start", &drifts.since_start.expect("the whole song has been heard often"), &song);
    assert_eq!(drifts.since_rest, None, "there was none");
}

#[test]
fn two_hours_without_a_change_are_no_drift() {
    let (song, solo) = (song(), solo());
    let work = Work::two_hours(&song, &song, &solo);
    hold_still(
        "since the start",
        &work.song.desk.drifts().since_start.expect("the whole song has been heard often"),
    );
}

/// A rest after the first half hour; the lift comes an hour later.
#[test]
fn a_lift_that_came_after_the_rest_is_found_since_the_rest_and_since_the_start() {
    let (song, solo) = (song(), solo());
    let mut work = Work::new();
    work.work(&song, &solo, 1800);
    work.song.desk.rest();
    work.work(&song, &solo, 2700);
    work.work(&lifted(&song), &solo, 2700);
    let drifts = work.song.desk.drifts();
    hold_lifted("since the rest", &drifts.since_rest.expect("the whole song has been heard since"), &song);
    hold_lifted("since the start", &drifts.since_start.expect("the whole song has been heard often"), &song);
}

/// The lift, and then the rest: what was done before it is not erased, and since the rest nothing has moved.
#[test]
fn a_lift_that_came_before_the_rest_is_found_since_the_start_alone() {
    let (song, solo) = (song(), solo());
    let lifted = lifted(&song);
    let mut work = Work::new();
    work.work(&song, &solo, 2700);
    work.work(&lifted, &solo, 900);
    work.song.desk.rest();
    work.work(&lifted, &solo, 3600);
    let drifts = work.song.desk.drifts();
    hold_still("since the rest", &drifts.since_rest.expect("the whole song has been heard since"));
    hold_lifted("since the start", &drifts.since_start.expect("the whole song has been heard often"), &song);
}

#[test]
fn after_a_rest_it_cannot_be_told_before_enough_was_heard_twice() {
    let song = song();
    let mut work = Work::new();
    work.play(&song, 0, SONG_S, 0);
    work.play(&song, 0, SONG_S, 0);
    work.song.desk.rest();
    assert_eq!(work.song.desk.drifts().since_rest, None);
    work.play(&song, 0, SONG_S, 0);
    assert_eq!(work.song.desk.drifts().since_rest, None, "nothing has been heard twice since");
    work.play(&song, 0, 18, 0);
    assert_eq!(work.song.desk.drifts().since_rest, None, "18 s have");
    work.play(&song, 18, 24, 0);
    let moved = work.song.desk.drifts().since_rest.expect("24 s have");
    assert!((20.0..=24.5).contains(&moved.common_s), "{}", moved.common_s);
}

/// Six bars put in before the song: from there on every cell holds another part of it.
#[test]
fn where_bars_have_been_put_in_it_cannot_be_told() {
    let song = song();
    let mut work = Work::new();
    for _ in 0..4 {
        work.play(&song, 0, SONG_S, 0);
    }
    work.song.desk.rest();
    for _ in 0..4 {
        work.play(&song, 0, SONG_S, 0);
    }
    let before = work.song.desk.drifts();
    assert!(before.since_start.is_some() && before.since_rest.is_some());
    for _ in 0..3 {
        work.play(&song, 0, SONG_S, 12);
    }
    let after = work.song.desk.drifts();
    assert_eq!((after.since_start, after.since_rest), (None, None));
}

fn line(moved: &Moved) -> String {
    let bands = NOMINAL_HZ.iter().zip(&moved.bands_db);
    let bands: Vec<String> =
        bands.filter_map(|(hz, db)| Some(format!("{hz}: {:+.2}", db.as_ref()?.0))).collect();
    let brighter_db = moved.brighter_db.map_or(f64::NAN, |db| db.0);
    format!("brighter {brighter_db:+.2} dB; {}", bands.join(", "))
}
