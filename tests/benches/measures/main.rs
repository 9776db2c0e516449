//! What measuring costs, beside the ebur128 crate. `cargo xtask bench` runs it.
//!
//! The peer is set to momentary, short-term, integrated, range and true peak, with its histogram, and is
//! only fed: none of its figures is asked for. The Analyzer gives all that it gives: the same figures every
//! 100 ms, and fold, correlation, third octaves and health besides.

mod sound;

use std::env;
use std::hint::black_box;
use std::time::Instant;

use anyhow::{Context, Result, bail};
use candlemark_analysis::{Analyzer, Cell, Channels, Hertz, Position, Reading, Sink};
use candlemark_tests::clap_host::{Block, Instance, Placement, playing_at};
use ebur128::{EbuR128, Mode};

use sound::Sound;

const SAMPLE_RATE_HZ: u32 = 48_000;
const BLOCK_FRAMES: usize = 512;
const TEMPO_BPM: f64 = 120.0;
/// The plugin is fed as a host with little latency does.
const PLUGIN_BLOCK_FRAMES: usize = 64;

fn main() -> Result<()> {
    let arguments: Vec<String> = env::args().skip(1).collect();
    let arguments: Vec<&str> = arguments.iter().map(String::as_str).collect();
    match arguments[..] {
        ["compare", "--seconds", seconds, "--runs", runs] => compare(number(seconds)?, number(runs)?),
        ["feed", subject, "--seconds", seconds] => feed(subject, number(seconds)?),
        _ => bail!("run it by `cargo xtask bench`"),
    }
}

fn number(text: &str) -> Result<usize> {
    text.parse().with_context(|| format!("{text:?} is not a number"))
}

/// Times both in turns, so that a slow minute of the machine falls on both.
fn compare(seconds: usize, runs: usize) -> Result<()> {
    let sound = Sound::loud(seconds * SAMPLE_RATE_HZ as usize, SAMPLE_RATE_HZ);
    let (mut analyzer, mut peer, mut ratios) = (Vec::new(), Vec::new(), Vec::new());
    for _ in 0..runs {
        let ours = nanoseconds_a_frame(&sound, feed_analyzer)?;
        let theirs = nanoseconds_a_frame(&sound, feed_ebur128)?;
        analyzer.push(ours);
        peer.push(theirs);
        ratios.push(ours / theirs);
    }
    ratios.sort_by(f64::total_cmp);
    println!(
        "{:<22} {:>10} {:>14} {:>8}   ratios of {runs} runs",
        "ns a frame", "Analyzer", "ebur128", "ratio"
    );
    println!(
        "{:<22} {:>10.1} {:>14.1} {:>8.3}   {:.3} to {:.3}",
        format!("{seconds} s, 48 kHz, 512"),
        median(&mut analyzer),
        median(&mut peer),
        median(&mut ratios.clone()),
        ratios[0],
        ratios[runs - 1],
    );
    Ok(())
}

/// Feeds one of them once; with `sound`, only makes the sound. For counting instructions.
fn feed(subject: &str, seconds: usize) -> Result<()> {
    let sound = black_box(Sound::loud(seconds * SAMPLE_RATE_HZ as usize, SAMPLE_RATE_HZ));
    match subject {
        "sound" => Ok(()),
        "analyzer" => feed_analyzer(&sound),
        "ebur128" => feed_ebur128(&sound),
        "plugin" => feed_plugin(&sound),
        other => bail!("nothing is called {other:?} here"),
    }
}

fn nanoseconds_a_frame(sound: &Sound, feed: fn(&Sound) -> Result<()>) -> Result<f64> {
    let start = Instant::now();
    feed(sound)?;
    Ok(start.elapsed().as_nanos() as f64 / sound.frames() as f64)
}

fn median(values: &mut [f64]) -> f64 {
    values.sort_by(f64::total_cmp);
    let middle = values.len() / 2;
    if values.len() % 2 == 1 { values[middle] } else { f64::midpoint(values[middle - 1], values[middle]) }
}

#[derive(Default)]
struct Taken {
    readings: usize,
    cells: usize,
}

impl Sink for Taken {
    fn reading(&mut self, reading: &Reading) {
        black_box(reading);
        self.readings += 1;
    }

    fn cell(&mut self, cell: &Cell) {
        black_box(cell);
        self.cells += 1;
    }
}

fn feed_analyzer(sound: &Sound) -> Result<()> {
    let mut analyzer = Analyzer::new(Hertz(f64::from(SAMPLE_RATE_HZ)), Channels::Stereo)
        .map_err(|unsupported| anyhow::anyhow!("the Analyzer refuses {} Hz", unsupported.0.0))?;
    let mut taken = Taken::default();
    let mut frame = 0;
    for (left, right) in sound.blocks(BLOCK_FRAMES) {
        let beats = frame as f64 / f64::from(SAMPLE_RATE_HZ) * TEMPO_BPM / 60.0;
        let position = Position {
            playing: Some(true),
            song_frame: Some(frame),
            beats: Some(beats),
            tempo_bpm: Some(TEMPO_BPM),
            preroll: false,
            offline: false,
        };
        analyzer.push(black_box(left), black_box(right), position, &mut taken);
        frame += left.len() as i64;
    }
    // A ratio must not come from an Analyzer that measures nothing.
    let chunks = sound.frames() / (SAMPLE_RATE_HZ as usize / 10);
    if taken.readings + 1 < chunks {
        bail!("{} readings came of {chunks} chunks of 100 ms", taken.readings);
    }
    Ok(())
}

fn feed_ebur128(sound: &Sound) -> Result<()> {
    let modes = Mode::M | Mode::S | Mode::I | Mode::LRA | Mode::TRUE_PEAK | Mode::HISTOGRAM;
    let mut peer = EbuR128::new(2, SAMPLE_RATE_HZ, modes)?;
    for (left, right) in sound.blocks(BLOCK_FRAMES) {
        peer.add_frames_planar_f32(&[black_box(left), black_box(right)])?;
    }
    let integrated = peer.loudness_global()?;
    if !integrated.is_finite() {
        bail!("the peer read {integrated} LUFS of the sound");
    }
    Ok(())
}

/// Plays the sound through the built plugin that `CANDLEMARK_CLAP` names, with a transport.
fn feed_plugin(sound: &Sound) -> Result<()> {
    let rate = f64::from(SAMPLE_RATE_HZ);
    let [mut left, mut right] = [Vec::new(), Vec::new()];
    for (l, r) in sound.blocks(PLUGIN_BLOCK_FRAMES) {
        left.extend_from_slice(l);
        right.extend_from_slice(r);
    }
    let block = |index: usize| Block {
        frames: PLUGIN_BLOCK_FRAMES,
        transport: Some(playing_at((index * PLUGIN_BLOCK_FRAMES) as f64 / rate, TEMPO_BPM)),
    };
    let blocks: Vec<Block> = (0..left.len() / PLUGIN_BLOCK_FRAMES).map(block).collect();
    let mut instance = Instance::new(2);
    instance.activate(rate);
    let input = [left, right];
    if instance.play(&input, &blocks, Placement::InPlace) != input {
        bail!("the plugin changed the sound");
    }
    Ok(())
}
