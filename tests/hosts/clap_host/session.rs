//! An evening's work on a song through the built plugin: what it says at the end is what the whole song measures as a
//! file, and whatever was no song was told aside when it sounded.

use std::env;
use std::path::PathBuf;

use candlemark_clerk::{READ_OUT_VARIABLE, ReadOut};
use candlemark_session::candle::Flame;
use candlemark_tests::measured::Heard;
use candlemark_tests::own_process::in_its_own_process;
use candlemark_tests::read_out;
use candlemark_tests::signals::Noise;
use candlemark_tests::song::{RATE, same_figures, song};
use clack_extensions::render::RenderMode;
use clack_host::events::event_types::TransportFlags;
use clack_host::utils::BeatTime;

use crate::host::{Block, Instance, Placement, assert_same, playing_at};

const BLOCK: usize = 480;

#[test]
fn the_song_is_what_counts() {
    let folder = tempfile::tempdir().expect("there is a place for files");
    in_its_own_process(
        "session::the_song_is_what_counts",
        |command| _ = command.env(READ_OUT_VARIABLE, folder.path()),
        evening,
    );
}

/// The song halves its pace by a third in the middle: at 24 s, quarter note 48, from 120 a minute to 80.
fn beats_and_tempo(seconds: f64) -> (f64, f64) {
    if seconds < 24.0 { (2.0 * seconds, 120.0) } else { (48.0 + (seconds - 24.0) * 80.0 / 60.0, 80.0) }
}

/// A workstation with the plugin last on its master bus.
struct Evening {
    instance: Instance,
    song: [Vec<f32>; 2],
    folder: PathBuf,
}

impl Evening {
    fn begin() -> Self {
        let mut instance = Instance::new(2);
        instance.activate(RATE);
        let folder = env::var_os(READ_OUT_VARIABLE).expect("the folder is named");
        Self { instance, song: song(), folder: folder.into() }
    }

    /// Plays seconds of the song, what sounds being made of the song's frames, then stands still for two seconds.
    /// Gives what the meter shows then.
    fn play(&mut self, from_s: usize, to_s: usize, sound: impl Fn(usize, [f32; 2]) -> [f32; 2]) -> ReadOut {
        self.send(from_s, to_s, sound);
        let still = vec![vec![0.0; 2 * RATE as usize]; 2];
        let mut transport = playing_at(to_s as f64, beats_and_tempo(to_s as f64).1);
        transport.flags.remove(TransportFlags::IS_PLAYING);
        let stands = |_| Block { frames: BLOCK, transport: Some(transport) };
        let blocks: Vec<Block> = (0..still[0].len() / BLOCK).map(stands).collect();
        self.instance.play(&still, &blocks, Placement::InPlace);
        self.shown()
    }

    /// Plays seconds of the song and does not wait for the meter, as a loop does.
    fn send(&mut self, from_s: usize, to_s: usize, sound: impl Fn(usize, [f32; 2]) -> [f32; 2]) {
        let rate = RATE as usize;
        let frames: Vec<[f32; 2]> =
            (from_s * rate..to_s * rate).map(|n| sound(n, [self.song[0][n], self.song[1][n]])).collect();
        let input: Vec<Vec<f32>> = [0, 1].map(|side| frames.iter().map(|frame| frame[side]).collect()).into();
        let block = |index| {
            let seconds = (from_s * rate + index * BLOCK) as f64 / RATE;
            let (beats, tempo) = beats_and_tempo(seconds);
            let mut transport = playing_at(seconds, tempo);
            transport.song_pos_beats = BeatTime::from_float(beats);
            Block { frames: BLOCK, transport: Some(transport) }
        };
        let blocks: Vec<Block> = (0..frames.len() / BLOCK).map(block).collect();
        let output = self.instance.play(&input, &blocks, Placement::InPlace);
        assert_same(&output, &input, "the evening");
    }

    fn as_it_is(&mut self, from_s: usize, to_s: usize) -> ReadOut {
        self.play(from_s, to_s, |_, frame| frame)
    }

    /// What the meter shows when it has taken in all that was played.
    fn shown(&mut self) -> ReadOut {
        read_out::settled(&mut self.instance, &self.folder).expect("the read-out settles")
    }
}

/// Seconds of the strip that are aside.
fn aside_s(shown: &ReadOut) -> f64 {
    shown.view.strip.iter().filter(|point| point.aside).map(|point| point.cell_s).sum()
}

#[test]
fn a_render_lights_no_candle() {
    let folder = tempfile::tempdir().expect("there is a place for files");
    in_its_own_process(
        "session::a_render_lights_no_candle",
        |command| _ = command.env(READ_OUT_VARIABLE, folder.path()),
        || {
            let mut evening = Evening::begin();
            evening.instance.activate_for(RenderMode::Offline, RATE);
            let shown = evening.as_it_is(0, 48);
            assert!(shown.offline && shown.view.song.duration_s > 40.0);
            assert_eq!(shown.view.candle.flame(), Flame::Unlit);
        },
    );
}

fn evening() {
    let mut evening = Evening::begin();
    let file = Heard::stereo(RATE, &evening.song[0], &evening.song[1]).figures(RATE);

    let shown = evening.as_it_is(0, 48);
    same_figures(&shown.view.song, &file);
    assert_eq!(aside_s(&shown), 0.0);

    // The chorus over and over.
    for _ in 0..19 {
        evening.send(24, 36, |_, frame| frame);
    }
    let shown = evening.as_it_is(24, 36);
    same_figures(&shown.view.song, &file);
    assert!((shown.view.song.duration_s - 48.0).abs() < 1.0, "{} s", shown.view.song.duration_s);

    // A solo: a single tone of the song's own level.
    let shown = evening.play(12, 24, |n, _| [0.05 * (n as f32 * 0.05).sin(); 2]);
    assert!(shown.view.aside && aside_s(&shown) > 9.0, "the solo: {} s aside", aside_s(&shown));
    same_figures(&shown.view.song, &file);

    // A record ten decibels louder, of another balance.
    let record = Noise::new(9).white(48 * 48_000, 0.25);
    let shown = evening.play(0, 24, |n, _| [record[n]; 2]);
    assert!(shown.view.aside && aside_s(&shown) > 20.0, "the record: {} s aside", aside_s(&shown));
    same_figures(&shown.view.song, &file);
    let shown = evening.as_it_is(0, 24);
    assert!(!shown.view.aside && aside_s(&shown) == 0.0, "the song again");

    // The fader pulled down ten decibels is the song, until it is up again.
    let shown = evening.play(36, 48, |_, frame| frame.map(|x| x * 0.316));
    assert!(!shown.view.aside, "the fader");
    let last = shown.view.strip.last().expect("the strip has the song");
    let pulled_db = last.latest.expect("it sounds").0 - last.before.expect("it sounded").0;
    assert!((pulled_db + 10.0).abs() < 1.5, "{pulled_db}");
    let shown = evening.as_it_is(36, 48);
    same_figures(&shown.view.song, &file);

    // Jumps into the middle of cells and out of them.
    evening.as_it_is(30, 33);
    let shown = evening.as_it_is(7, 9);
    same_figures(&shown.view.song, &file);

    // An offline render of the whole.
    evening.instance.activate_for(RenderMode::Offline, RATE);
    let shown = evening.as_it_is(0, 48);
    assert!(shown.offline && !shown.view.aside);
    same_figures(&shown.view.song, &file);
    evening.instance.activate_for(RenderMode::Realtime, RATE);
}
