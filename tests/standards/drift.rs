//! Two hours of work on a song: how far its balance has drifted is found, and nothing where it has not.

use std::f64::consts::PI;

use candlemark_analysis::bands::{NOMINAL_HZ, band_edges};
use candlemark_analysis::{Analyzer, Channels, Hertz, Position};
use candlemark_session::desk::Desk;
use candlemark_session::drift::Moved;
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

/// Five parts of twelve seconds of noise that differ in level, brightness and width.
fn song() -> Sides {
    let mut noise = Noise::new(5);
    let parts = [(0.03, 0.2, 0.1), (0.06, 0.4, 0.4), (0.1, 0.8, 0.7), (0.05, 0.3, 0.3), (0.1, 0.7, 0.6)];
    let mut sides: Sides = Default::default();
    for (level, bright, width) in parts {
        let mut low = [0.0; 2];
        for _ in 0..12 * RATE {
            let (middle, side) = (noise.gaussian(level), noise.gaussian(level) * width);
            for ((low, x), out) in low.iter_mut().zip([middle + side, middle - side]).zip(&mut sides) {
                *low += 0.05 * (x - *low);
                out.push((*low * 3.0 + bright * x) as f32);
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

/// A host, an Analyzer and a Desk.
struct Work {
    analyzer: Analyzer,
    desk: Desk,
    worked_s: usize,
}

impl Work {
    fn new() -> Self {
        let rate = Hertz(RATE as f64);
        Self {
            analyzer: Analyzer::new(rate, Channels::Stereo).unwrap(),
            desk: Desk::of_song(rate, Channels::Stereo),
            worked_s: 0,
        }
    }

    /// Plays from a second to another, so many cells having been put in before everything.
    fn play(&mut self, song: &Sides, from_s: usize, to_s: usize, put_in: usize) {
        self.play_at(song, from_s, to_s, TEMPO_BPM, 2.0 * put_in as f64);
    }

    fn play_at(&mut self, song: &Sides, from_s: usize, to_s: usize, tempo_bpm: f64, later_beats: f64) {
        let start = from_s * RATE;
        for at in (start..to_s * RATE).step_by(512) {
            let end = (at + 512).min(to_s * RATE);
            let since = (at - start) as f64 / RATE as f64;
            let beats = from_s as f64 * TEMPO_BPM / 60.0 + since * tempo_bpm / 60.0 + later_beats;
            let position = Position {
                playing: Some(true),
                beats: Some(beats),
                tempo_bpm: Some(tempo_bpm),
                ..Position::UNKNOWN
            };
            self.analyzer.push(&song[0][at..end], &song[1][at..end], position, &mut self.desk);
        }
        let stopped = Position { playing: Some(false), ..Position::UNKNOWN };
        let silence = vec![0f32; 512];
        for _ in 0..2 * RATE / 512 {
            self.analyzer.push(&silence, &silence, stopped, &mut self.desk);
        }
        self.worked_s += to_s - from_s;
    }

    /// About an hour of what a person does: the whole song, its chorus over and over, jumps, a solo, a slower try.
    fn an_hour(&mut self, song: &Sides, solo: &Sides) {
        let end_s = self.worked_s + 3600;
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

    fn drift(&self) -> Option<Moved> {
        self.desk.drifts().since_start
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

#[test]
fn a_lift_of_two_decibels_halfway_is_found() {
    let (song, solo) = (song(), solo());
    let mut work = Work::new();
    work.an_hour(&song, &solo);
    work.an_hour(&lifted(&song), &solo);
    let moved = work.drift().expect("the whole song has been heard often");
    // The whole has got a little louder by it; beside the whole the others have gone down by as much.
    let others: Vec<f64> = (0..31)
        .filter(|band| is_lifted(*band) == Some(false))
        .filter_map(|band| Some(moved.bands_db[band]?.0))
        .collect();
    let whole_db = -others.iter().sum::<f64>() / others.len() as f64;
    println!("drift by band, the whole {whole_db:+.2} dB: {}", line(&moved));
    assert!((0.0..1.0).contains(&whole_db), "{whole_db}");
    for (band, hz) in NOMINAL_HZ.iter().enumerate() {
        let (Some(found), Some(is_lifted)) = (moved.bands_db[band], is_lifted(band)) else { continue };
        let expected = if is_lifted { 2.0 } else { 0.0 } - whole_db;
        assert!((found.0 - expected).abs() < FOUND_DB, "{hz} Hz: {:+.2} for {expected:+.2} dB", found.0);
    }
    assert!(moved.brighter_db.unwrap().0 > 0.5, "{moved:?}");
}

#[test]
fn two_hours_without_a_change_are_no_drift() {
    let (song, solo) = (song(), solo());
    let mut work = Work::new();
    work.an_hour(&song, &solo);
    work.an_hour(&song, &solo);
    let moved = work.drift().expect("the whole song has been heard often");
    println!("drift by band: {}", line(&moved));
    for (found, hz) in moved.bands_db.iter().zip(NOMINAL_HZ) {
        assert!(found.is_none_or(|db| db.0.abs() < FOUND_DB), "{hz} Hz: {found:?}");
    }
}

/// Six bars put in before the song: from there on every cell holds another part of it.
#[test]
fn where_bars_have_been_put_in_it_cannot_be_told() {
    let song = song();
    let mut work = Work::new();
    for _ in 0..4 {
        work.play(&song, 0, SONG_S, 0);
    }
    assert!(work.drift().is_some());
    for _ in 0..3 {
        work.play(&song, 0, SONG_S, 12);
    }
    assert_eq!(work.drift(), None);
}

fn line(moved: &Moved) -> String {
    let bands = NOMINAL_HZ.iter().zip(&moved.bands_db);
    bands.filter_map(|(hz, db)| Some(format!("{hz}: {:+.2}", db.as_ref()?.0))).collect::<Vec<_>>().join(", ")
}
