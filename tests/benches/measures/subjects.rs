//! What is fed, and how.
//!
//! The peer is set to momentary, short-term, integrated, range and true peak, with its histogram.

use std::hint::black_box;

use anyhow::{Result, bail};
use candlemark_analysis::{Analyzer, Build, Cell, Channels, Hertz, Position, Reading, Sink};
use candlemark_tests::clap_host::{Block, Instance, Placement, playing_at};
use ebur128::{EbuR128, Mode};

use crate::sound::Sound;
use crate::{BLOCK_FRAMES, SAMPLE_RATE_HZ, SHORT_BLOCK_FRAMES};

const TEMPO_BPM: f64 = 120.0;

/// Takes what an Analyzer gives.
#[derive(Default)]
pub(crate) struct Taken {
    readings: usize,
    cells: usize,
    /// Power in any band of any cell.
    band_power: f32,
}

impl Sink for Taken {
    fn reading(&mut self, reading: &Reading) {
        black_box(reading);
        self.readings += 1;
    }

    fn cell(&mut self, cell: &Cell) {
        black_box(cell);
        self.cells += 1;
        self.band_power += cell.bands.iter().map(|band| band.left).sum::<f32>();
    }
}

impl Taken {
    /// A figure must not come from an Analyzer that measures nothing.
    pub(crate) fn check(&self, frames: usize, bands: bool) -> Result<()> {
        let seconds = frames / SAMPLE_RATE_HZ as usize;
        let (chunks, cells) = (10 * seconds, (seconds as f64 * TEMPO_BPM / 60.0 / 2.0) as usize);
        // Cells come up to a second late.
        if self.readings + 1 < chunks || self.cells + 2 < cells || bands != (self.band_power > 0.0) {
            bail!(
                "{} readings of {chunks} and {} cells of {cells} came, with {} in their bands",
                self.readings,
                self.cells,
                self.band_power
            );
        }
        Ok(())
    }
}

pub(crate) fn made(build: Build) -> Result<Analyzer> {
    Analyzer::of_build(Hertz(f64::from(SAMPLE_RATE_HZ)), Channels::Stereo, build)
        .map_err(|unsupported| anyhow::anyhow!("the Analyzer refuses {} Hz", unsupported.0.0))
}

/// Where playback is at a frame, as a host with a tempo tells it.
pub(crate) fn position(frame: i64) -> Position {
    Position {
        playing: Some(true),
        song_frame: Some(frame),
        beats: Some(frame as f64 / f64::from(SAMPLE_RATE_HZ) * TEMPO_BPM / 60.0),
        tempo_bpm: Some(TEMPO_BPM),
        preroll: false,
        offline: false,
    }
}

/// Everything that there is: the five figures, and fold, correlation, third octaves, cells and health.
pub(crate) fn analyzer(sound: &Sound) -> Result<()> {
    fed(sound, Build::default())
}

/// Without the bands: the peer's five figures, told every 100 ms.
pub(crate) fn loudness_alone(sound: &Sound) -> Result<()> {
    fed(sound, Build { bands: false, ..Build::default() })
}

fn fed(sound: &Sound, build: Build) -> Result<()> {
    let mut analyzer = made(build)?;
    let mut taken = Taken::default();
    let mut frame = 0;
    for (left, right) in sound.blocks(BLOCK_FRAMES) {
        analyzer.push(black_box(left), black_box(right), position(frame), &mut taken);
        frame += left.len() as i64;
    }
    taken.check(sound.frames(), build.bands)
}

/// The peer, only fed: none of its figures is asked for before the end.
pub(crate) fn ebur128(sound: &Sound) -> Result<()> {
    peer(sound, |_, _| Ok(()))
}

/// The peer as a live display uses it: momentary and short-term are asked 31 times a second, integrated and range
/// three times.
pub(crate) fn ebur128_asked(sound: &Sound) -> Result<()> {
    const BLOCKS_TO_A_PICTURE: usize = SAMPLE_RATE_HZ as usize / BLOCK_FRAMES / 31;
    const PICTURES_TO_A_SUM: usize = 10;
    peer(sound, |peer, block| {
        if block % BLOCKS_TO_A_PICTURE == 0 {
            black_box((peer.loudness_momentary()?, peer.loudness_shortterm()?));
        }
        if block % (BLOCKS_TO_A_PICTURE * PICTURES_TO_A_SUM) == 0 {
            black_box((peer.loudness_global()?, peer.loudness_range()?));
        }
        Ok(())
    })
}

fn peer(sound: &Sound, mut ask: impl FnMut(&EbuR128, usize) -> Result<()>) -> Result<()> {
    let modes = Mode::M | Mode::S | Mode::I | Mode::LRA | Mode::TRUE_PEAK | Mode::HISTOGRAM;
    let mut peer = EbuR128::new(2, SAMPLE_RATE_HZ, modes)?;
    for (block, (left, right)) in sound.blocks(BLOCK_FRAMES).enumerate() {
        peer.add_frames_planar_f32(&[black_box(left), black_box(right)])?;
        ask(&peer, block)?;
    }
    let integrated = peer.loudness_global()?;
    if !integrated.is_finite() {
        bail!("the peer read {integrated} LUFS of the sound");
    }
    Ok(())
}

/// The whole plugin, as built, that `CANDLEMARK_CLAP` names: in short blocks, with a transport.
pub(crate) fn plugin(sound: &Sound) -> Result<()> {
    let mut instance = Instance::new(2);
    instance.activate(f64::from(SAMPLE_RATE_HZ));
    let whole = sound.frames() / SHORT_BLOCK_FRAMES * SHORT_BLOCK_FRAMES;
    let input = sound.sides().map(|side| side[..whole].to_vec());
    let blocks: Vec<Block> = (0..whole).step_by(SHORT_BLOCK_FRAMES).map(block).collect();
    if instance.play(&input, &blocks, Placement::InPlace) != input {
        bail!("the plugin changed the sound");
    }
    Ok(())
}

/// A short block at frame `start`, with a transport that runs.
pub(crate) fn block(start: usize) -> Block {
    let transport = playing_at(start as f64 / f64::from(SAMPLE_RATE_HZ), TEMPO_BPM);
    Block { frames: SHORT_BLOCK_FRAMES, transport: Some(transport) }
}
